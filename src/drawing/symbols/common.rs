//! Symbols on which both standards agree, or near enough for a reader of either.

use super::super::canvas::{Anchor, Pen};
use super::super::text::Face;
use super::Hand;

/// A DC source: the long thin plate is positive.
pub(super) fn direct(hand: &mut Hand, positive_left: bool) {
    let long = if positive_left { -0.9 } else { 0.9 };
    hand.leads(0.9);
    hand.line(Pen::Conductor, &[(long, -5.0), (long, 5.0)]);
    hand.line(Pen::Heavy, &[(-long, -2.4), (-long, 2.4)]);
}

/// An AC source.
pub(super) fn alternating(hand: &mut Hand) {
    hand.leads(4.0);
    hand.circle(Pen::Conductor, (0.0, 0.0), 4.0);
    hand.sine((0.0, 0.0), 4.6);
}

/// A rectified source: a converter from alternating to direct.
pub(super) fn rectified(hand: &mut Hand) {
    hand.leads(4.0);
    hand.outline(Pen::Conductor, &[(-4.0, -4.0), (4.0, -4.0), (4.0, 4.0), (-4.0, 4.0)]);
    hand.line(Pen::Conductor, &[(-4.0, 4.0), (4.0, -4.0)]);
    hand.sine((-1.7, -1.7), 2.8);
    hand.line(Pen::Conductor, &[(0.6, 1.6), (3.0, 1.6)]);
    hand.line(Pen::Conductor, &[(0.6, 2.5), (3.0, 2.5)]);
}

/// A motor, with its kind of current below the letter.
pub(super) fn motor(hand: &mut Hand, alternating: bool) {
    hand.leads(4.4);
    hand.circle(Pen::Conductor, (0.0, 0.0), 4.4);
    let at = hand.at((0.0, 0.9));
    hand.canvas.text(at, Anchor::Middle, Face::Bold, 11.0, "M");
    if alternating {
        hand.sine((0.0, 2.6), 2.6);
    } else {
        hand.line(Pen::Conductor, &[(-1.2, 2.6), (1.2, 2.6)]);
    }
}

/// Four turns.
pub(super) fn inductor(hand: &mut Hand) {
    hand.leads(5.2);
    turns(hand, 4, 1.3);
}

/// Half-turns along the path.
pub(super) fn turns(hand: &mut Hand, count: u32, radius: f64) {
    let mut x = -radius * f64::from(count);
    for _ in 0..count {
        hand.arc((x, 0.0), (x + 2.0 * radius, 0.0), radius, true);
        x += 2.0 * radius;
    }
}

/// A loudspeaker: box and horn.
pub(super) fn speaker(hand: &mut Hand) {
    hand.leads(2.2);
    hand.outline(Pen::Conductor, &[(-2.2, -2.0), (2.2, -2.0), (2.2, 2.0), (-2.2, 2.0)]);
    hand.outline(Pen::Conductor, &[(-2.2, -2.0), (-3.6, -4.6), (3.6, -4.6), (2.2, -2.0)]);
}

/// A selector: rows of segments, the one under the wiper filled.
pub(super) fn selector(hand: &mut Hand, two_rings: bool, closed: bool) {
    let lower = if two_rings { 2.4 } else { -2.4 };
    hand.line(Pen::Conductor, &[(-hand.half, 0.0), (-5.4, 0.0), (-5.4, -2.4), (-4.2, -2.4)]);
    if two_rings {
        hand.line(Pen::Conductor, &[(4.2, 2.4), (5.4, 2.4), (5.4, 0.0), (hand.half, 0.0)]);
    } else {
        hand.line(Pen::Conductor, &[(0.9, 0.0), (hand.half, 0.0)]);
    }
    row(hand, -2.4, 1);
    if two_rings {
        row(hand, lower, 2);
        let tip = if closed { (1.1, 1.6) } else { (-0.1, 1.2) };
        hand.line(Pen::Conductor, &[(-1.1, -1.6), tip]);
        hand.dot((0.0, 0.0), 0.55);
    } else {
        let tip = if closed { (-1.1, -1.6) } else { (0.2, -1.6) };
        hand.line(Pen::Conductor, &[(0.9, 0.0), tip]);
        hand.dot((0.9, 0.0), 0.55);
    }
}

fn row(hand: &mut Hand, y: f64, under: usize) {
    let mut x = -4.2;
    for index in 0..4 {
        let corners = [(x, y - 0.8), (x + 1.6, y - 0.8), (x + 1.6, y + 0.8), (x, y + 0.8)];
        hand.outline(Pen::Fine, &corners);
        if index == under {
            hand.solid(&corners);
        }
        x += 2.13;
    }
}
