//! Symbols in the manner of IEEE 315, as North American manuals draw them.

use super::super::canvas::Pen;
use super::common::turns;
use super::{Hand, Symbol};

/// Draws a symbol that has a North American form of its own.
pub(super) fn draw(hand: &mut Hand, symbol: Symbol) {
    match symbol {
        Symbol::Fuse { opened } => fuse(hand, opened),
        Symbol::RelayCoil => relay_coil(hand),
        Symbol::Solenoid => solenoid(hand),
        Symbol::Lamp => lamp(hand),
        Symbol::Resistor => resistor(hand),
        Symbol::Capacitor => capacitor(hand),
        Symbol::Diode { forward, zener } => diode(hand, forward, zener),
        _ => pin(hand),
    }
}

fn fuse(hand: &mut Hand, opened: bool) {
    hand.leads(4.0);
    hand.ring((-4.0, 0.0), 0.6);
    hand.ring((4.0, 0.0), 0.6);
    let reach = if opened { 1.0 } else { 0.0 };
    hand.arc((-3.4, 0.0), (-reach, 0.0), 1.75, true);
    hand.arc((reach, 0.0), (3.4, 0.0), 1.75, false);
}

fn relay_coil(hand: &mut Hand) {
    hand.leads(3.8);
    hand.circle(Pen::Conductor, (0.0, 0.0), 3.8);
}

fn solenoid(hand: &mut Hand) {
    hand.leads(5.2);
    turns(hand, 4, 1.3);
    hand.line(Pen::Conductor, &[(-4.6, -2.4), (4.6, -2.4)]);
    hand.line(Pen::Conductor, &[(-4.6, -3.2), (4.6, -3.2)]);
}

fn lamp(hand: &mut Hand) {
    hand.circle(Pen::Conductor, (0.0, 0.0), 3.5);
    hand.leads(1.6);
    hand.arc((-1.6, 0.0), (1.6, 0.0), 1.6, true);
}

fn resistor(hand: &mut Hand) {
    hand.leads(4.2);
    let mut points = vec![(-4.2, 0.0)];
    for step in 0..6 {
        let x = -4.2 + 0.7 + 1.4 * f64::from(step);
        points.push((x, if step % 2 == 0 { -1.8 } else { 1.8 }));
    }
    points.push((4.2, 0.0));
    hand.line(Pen::Conductor, &points);
}

fn capacitor(hand: &mut Hand) {
    hand.leads(0.7);
    hand.line(Pen::Conductor, &[(-0.7, -3.4), (-0.7, 3.4)]);
    hand.arc((1.7, -3.4), (1.7, 3.4), 6.2, false);
}

fn diode(hand: &mut Hand, forward: bool, zener: bool) {
    let side = if forward { 1.0 } else { -1.0 };
    hand.line(Pen::Conductor, &[(-hand.half, 0.0), (hand.half, 0.0)]);
    hand.solid(&[(-2.0 * side, -2.3), (-2.0 * side, 2.3), (2.0 * side, 0.0)]);
    cathode(hand, side, zener);
}

/// The cathode bar, bent at its ends for a Zener diode.
pub(super) fn cathode(hand: &mut Hand, side: f64, zener: bool) {
    let x = 2.0 * side;
    if zener {
        hand.line(Pen::Conductor, &[(x + side, -2.3), (x, -2.3), (x, 2.3), (x - side, 2.3)]);
    } else {
        hand.line(Pen::Conductor, &[(x, -2.3), (x, 2.3)]);
    }
}

/// A plug's pin in its socket: two arrow heads, one in the other.
fn pin(hand: &mut Hand) {
    hand.leads(1.2);
    for x in [-1.2, 1.2] {
        hand.line(Pen::Conductor, &[(x - 1.6, -1.7), (x, 0.0), (x - 1.6, 1.7)]);
    }
    hand.line(Pen::Conductor, &[(-1.2, 0.0), (1.2, 0.0)]);
}
