//! Contacts as they stand: hinge, blade, fixed contact, and what moves them.
//!
//! IEC: a make contact's blade ends short of the fixed contact when open and rests on it when closed; a break contact
//! has a nib that the blade leans on. North American: relay contacts are two bars, struck through when built to
//! break; other contacts are a blade between two rings. A closed pair of bars has a bridge across the gap, so that the
//! drawn state never depends on the form alone.

use super::super::canvas::Pen;
use super::{Actuator, Form, Hand, SymbolStyle};

/// One contact.
pub(super) fn contact(
    hand: &mut Hand,
    style: SymbolStyle,
    form: Form,
    closed: bool,
    actuator: Actuator,
    hinge_right: bool,
) {
    match (style, actuator) {
        (SymbolStyle::NorthAmerican, Actuator::Relay) if matches!(form, Form::Make | Form::Break) => {
            bars(hand, form, closed);
        }
        (SymbolStyle::NorthAmerican, _) => ringed(hand, form, closed, actuator, hinge_right),
        (SymbolStyle::Iec, _) => bladed(hand, form, closed, actuator, hinge_right),
    }
}

/// Three small contacts in a row: more of the same follow.
pub(super) fn bank(hand: &mut Hand, style: SymbolStyle, form: Form, closed: bool, actuator: Actuator) {
    let half = hand.half;
    let step = 5.2;
    for index in 0..3 {
        let x = -step * 1.5 + step * f64::from(index);
        let tip = tip_of(form, closed, 4.0);
        hand.line(Pen::Conductor, &[(x, 0.0), (x + tip.0, tip.1)]);
        if style == SymbolStyle::NorthAmerican {
            hand.ring((x, 0.0), 0.55);
        } else {
            hand.dot((x, 0.0), 0.5);
        }
        nib(hand, form, closed, x + 4.0, 0.8);
        hand.line(Pen::Conductor, &[(x + 4.0, 0.0), (x + step, 0.0)]);
    }
    hand.line(Pen::Conductor, &[(-half, 0.0), (-step * 1.5, 0.0)]);
    hand.line(Pen::Conductor, &[(step * 1.5, 0.0), (half, 0.0)]);
    linkage(hand, 0.0, -3.2, actuator);
}

/// Where the blade ends, for a blade so long.
fn tip_of(form: Form, closed: bool, long: f64) -> (f64, f64) {
    let scale = long / 6.0;
    let (x, y) = match (form, closed) {
        (Form::Make, false) => (5.4, -3.2),
        (Form::Make, true) => (6.0, -0.75),
        (Form::ChangeOverMake | Form::ChangeOverBreak, true) => (5.7, -0.35),
        (Form::Break, true) => (6.5, -2.1),
        (Form::Break, false) => (5.6, -4.4),
        (Form::ChangeOverMake | Form::ChangeOverBreak, false) => (5.6, -3.2),
    };
    (x * scale, y * scale)
}

/// The fixed contact's upright: long on a break contact, short on a closed make contact.
fn nib(hand: &mut Hand, form: Form, closed: bool, x: f64, scale: f64) {
    match (form, closed) {
        (Form::Break, _) => hand.line(Pen::Conductor, &[(x, 0.0), (x, -2.6 * scale)]),
        (Form::Make, true) => hand.line(Pen::Conductor, &[(x, 0.0), (x, -1.5 * scale)]),
        _ => {}
    }
}

fn bladed(hand: &mut Hand, form: Form, closed: bool, actuator: Actuator, hinge_right: bool) {
    let side = if hinge_right { -1.0 } else { 1.0 };
    let half = hand.half;
    let (hinge, fixed) = (-3.0, 3.0);
    let tip = tip_of(form, closed, 6.0);
    hand.line(Pen::Conductor, &[(-half * side, 0.0), (hinge * side, 0.0)]);
    hand.line(Pen::Conductor, &[(fixed * side, 0.0), (half * side, 0.0)]);
    hand.line(Pen::Conductor, &[(hinge * side, 0.0), ((hinge + tip.0) * side, tip.1)]);
    hand.dot((hinge * side, 0.0), 0.6);
    if matches!(form, Form::ChangeOverMake | Form::ChangeOverBreak) {
        idle_side(hand, side);
        hand.ring((fixed * side, 0.0), 0.5);
    } else {
        nib(hand, form, closed, fixed * side, 1.0);
    }
    linkage(hand, (hinge + tip.0 * 0.5) * side, tip.1 * 0.5, actuator);
}

/// The fixed contact of a change-over that the path does not use.
fn idle_side(hand: &mut Hand, side: f64) {
    hand.line(Pen::Conductor, &[(3.4 * side, -3.6), (5.4 * side, -3.6)]);
    hand.ring((3.0 * side, -3.6), 0.5);
}

fn bars(hand: &mut Hand, form: Form, closed: bool) {
    hand.leads(1.3);
    for x in [-1.3, 1.3] {
        hand.line(Pen::Conductor, &[(x, -2.8), (x, 2.8)]);
    }
    if form == Form::Break {
        hand.line(Pen::Conductor, &[(-2.8, 3.0), (2.8, -3.0)]);
    }
    if closed {
        hand.line(Pen::Heavy, &[(-1.3, 0.0), (1.3, 0.0)]);
    }
    linkage(hand, 0.0, -3.4, Actuator::Relay);
}

fn ringed(hand: &mut Hand, form: Form, closed: bool, actuator: Actuator, hinge_right: bool) {
    let side = if hinge_right { -1.0 } else { 1.0 };
    let half = hand.half;
    let tip = match (form, closed) {
        (Form::Break, true) => (6.4, 0.9),
        (_, true) => (6.2, -0.6),
        (Form::Break, false) => (5.6, -4.0),
        _ => (5.4, -3.2),
    };
    hand.line(Pen::Conductor, &[(-half * side, 0.0), (-3.6 * side, 0.0)]);
    hand.line(Pen::Conductor, &[(3.6 * side, 0.0), (half * side, 0.0)]);
    hand.line(Pen::Conductor, &[(-3.0 * side, 0.0), ((tip.0 - 3.0) * side, tip.1)]);
    hand.ring((-3.0 * side, 0.0), 0.6);
    hand.ring((3.0 * side, 0.0), 0.6);
    if matches!(form, Form::ChangeOverMake | Form::ChangeOverBreak) {
        idle_side(hand, side);
    }
    linkage(hand, (tip.0 * 0.5 - 3.0) * side, tip.1 * 0.5, actuator);
}

/// The dashed link up to a small sign of what moves the contact.
fn linkage(hand: &mut Hand, x: f64, y: f64, actuator: Actuator) {
    let top = -6.6;
    hand.line(Pen::Linkage, &[(x, y), (x, top)]);
    match actuator {
        Actuator::Relay => {
            hand.outline(Pen::Fine, &[(x - 1.7, top - 2.4), (x + 1.7, top - 2.4), (x + 1.7, top), (x - 1.7, top)]);
        }
        Actuator::Hand => {
            hand.line(Pen::Conductor, &[(x - 1.6, top + 0.7), (x - 1.6, top), (x + 1.6, top), (x + 1.6, top + 0.7)]);
        }
        Actuator::Cam => {
            let middle = hand.at((x, top - 1.4));
            hand.canvas.circle(Pen::Fine, middle, 1.4);
            hand.solid(&[(x - 1.0, top - 0.4), (x, top + 0.5), (x + 1.0, top - 0.4)]);
            hand.dot((x, top - 1.4), 0.35);
        }
    }
}
