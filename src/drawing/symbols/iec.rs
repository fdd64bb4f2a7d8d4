//! Symbols in the manner of IEC 60617.

use super::super::canvas::Pen;
use super::{Hand, Symbol};

/// Draws a symbol that has an IEC form of its own.
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
    hand.outline(Pen::Conductor, &[(-4.0, -1.7), (4.0, -1.7), (4.0, 1.7), (-4.0, 1.7)]);
    if opened {
        hand.leads(1.4);
        hand.line(Pen::Conductor, &[(-1.1, -1.1), (1.1, 1.1)]);
        hand.line(Pen::Conductor, &[(-1.1, 1.1), (1.1, -1.1)]);
    } else {
        hand.line(Pen::Conductor, &[(-hand.half, 0.0), (hand.half, 0.0)]);
    }
}

/// An operating device with one winding.
fn relay_coil(hand: &mut Hand) {
    hand.leads(2.6);
    hand.outline(Pen::Conductor, &[(-2.6, -5.2), (2.6, -5.2), (2.6, 5.2), (-2.6, 5.2)]);
    hand.line(Pen::Conductor, &[(-2.6, 5.2), (2.6, -5.2)]);
}

/// A winding that moves a plunger.
fn solenoid(hand: &mut Hand) {
    hand.leads(2.6);
    hand.outline(Pen::Conductor, &[(-2.6, -3.2), (2.6, -3.2), (2.6, 5.2), (-2.6, 5.2)]);
    hand.line(Pen::Conductor, &[(-2.6, 5.2), (2.6, -3.2)]);
    hand.line(Pen::Linkage, &[(0.0, -3.2), (0.0, -4.6)]);
    hand.solid(&[(-0.9, -4.2), (0.0, -5.6), (0.9, -4.2)]);
}

fn lamp(hand: &mut Hand) {
    let c = 3.5 * std::f64::consts::FRAC_1_SQRT_2;
    hand.leads(3.5);
    hand.circle(Pen::Conductor, (0.0, 0.0), 3.5);
    hand.line(Pen::Conductor, &[(-c, -c), (c, c)]);
    hand.line(Pen::Conductor, &[(-c, c), (c, -c)]);
}

fn resistor(hand: &mut Hand) {
    hand.leads(4.0);
    hand.outline(Pen::Conductor, &[(-4.0, -1.6), (4.0, -1.6), (4.0, 1.6), (-4.0, 1.6)]);
}

fn capacitor(hand: &mut Hand) {
    hand.leads(0.7);
    for x in [-0.7, 0.7] {
        hand.line(Pen::Conductor, &[(x, -3.4), (x, 3.4)]);
    }
}

fn diode(hand: &mut Hand, forward: bool, zener: bool) {
    let side = if forward { 1.0 } else { -1.0 };
    hand.line(Pen::Conductor, &[(-hand.half, 0.0), (hand.half, 0.0)]);
    hand.outline(Pen::Conductor, &[(-2.0 * side, -2.3), (-2.0 * side, 2.3), (2.0 * side, 0.0)]);
    super::north_american::cathode(hand, side, zener);
}

/// A plug's pin in its socket: filled bar, open cup.
fn pin(hand: &mut Hand) {
    let half = hand.half;
    hand.line(Pen::Conductor, &[(-half, 0.0), (-1.6, 0.0)]);
    hand.solid(&[(-1.6, -0.75), (0.9, -0.75), (0.9, 0.75), (-1.6, 0.75)]);
    hand.arc((0.4, -1.7), (0.4, 1.7), 1.7, true);
    hand.line(Pen::Conductor, &[(2.1, 0.0), (half, 0.0)]);
}
