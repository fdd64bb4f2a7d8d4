//! A selector drawn in full: each ring a circle of named segments, the wiper a hand for each ring, joined at the hub.
//!
//! The circles show which segments there are and which of them the wiper joins, not how the maker spaced them. The segment
//! under the wiper is black and its name heavy, so the position can be read without the hand.

use std::f64::consts::TAU;

use super::canvas::{Anchor, Canvas, Ink, Pen, Point};
use super::text::{Face, width};
use super::{Drawing, NAME, NOTE};
use crate::machine::model::{Machine, PartId, PartKind, Selector};
use crate::words::Words;

/// Radial width of a segment.
const SEGMENT: f64 = 3.4;
/// From a ring to the names outside it.
const NAME_OUT: f64 = 3.4;
/// Least room along the ring for a name.
const NAME_PITCH: f64 = 5.2;
/// Least radius of the innermost ring.
const LEAST_RADIUS: f64 = 9.0;
/// Angle that parts two segments, as a share of one.
const SPLIT: f64 = 0.12;

/// One ring in place.
struct Ring<'a> {
    name: &'a str,
    segments: &'a [String],
    inner: f64,
    under: Option<usize>,
}

impl Ring<'_> {
    /// Angle of the middle of a segment, clockwise from the top.
    #[expect(clippy::cast_precision_loss, reason = "a few dozen segments")]
    fn angle(&self, segment: usize) -> f64 {
        TAU * segment as f64 / self.segments.len() as f64
    }

    #[expect(clippy::cast_precision_loss, reason = "a few dozen segments")]
    fn step(&self) -> f64 {
        TAU / self.segments.len() as f64
    }
}

/// Draws a selector with its wiper at a position: for each ring the segment under the wiper, none between segments. None
/// if the part is no selector or has no segments.
#[must_use]
pub fn selector(machine: &Machine, part: PartId, position: &[Option<usize>], words: &Words) -> Option<Drawing> {
    let PartKind::Selector(data) = &machine.part(part).kind else { return None };
    let rings = rings_of(data, position);
    let outer = rings.first()?;
    let longest = outer.segments.iter().map(|name| width(name, Face::Bold, NOTE)).fold(0.0, f64::max);
    let radius = outer.inner + SEGMENT + NAME_OUT + longest / 2.0 + 1.5;
    let id = &machine.part(part).id;
    let caption = position_text(&rings, words);
    let wide = (2.0 * radius).max(width(&caption, Face::Regular, NOTE)).max(width(id, Face::Bold, NAME)) + 2.0;
    let (centre, high) = ((wide / 2.0, radius), 2.0 * radius + 11.0);
    let mut canvas = Canvas::new();
    for ring in &rings {
        draw_ring(&mut canvas, centre, ring);
    }
    draw_wiper(&mut canvas, centre, &rings);
    canvas.text((centre.0, 2.0 * radius + 4.6), Anchor::Middle, Face::Bold, NAME, id);
    canvas.text((centre.0, 2.0 * radius + 9.2), Anchor::Middle, Face::Regular, NOTE, &caption);
    let alt = words.fill("drawing.alt-selector", &[("selector", id), ("position", &caption)]);
    Some(canvas.finish(alt, wide, high))
}

/// The rings from the outermost in, each large enough for its names and for the ring inside it.
fn rings_of<'a>(data: &'a Selector, position: &[Option<usize>]) -> Vec<Ring<'a>> {
    let mut rings: Vec<Ring<'a>> = Vec::new();
    let mut inside = LEAST_RADIUS;
    let filled = data.rings.iter().enumerate().filter(|(_, (_, segments))| !segments.is_empty());
    for (index, (name, segments)) in filled.rev() {
        let longest = segments.iter().map(|name| width(name, Face::Bold, NOTE)).fold(0.0, f64::max);
        #[expect(clippy::cast_precision_loss, reason = "a few dozen segments")]
        let around = segments.len() as f64 * longest.max(NAME_PITCH - 1.4).max(3.8) * 1.25 / TAU;
        let inner = inside.max(around - SEGMENT - NAME_OUT);
        let under = position.get(index).copied().flatten().filter(|under| *under < segments.len());
        rings.insert(0, Ring { name, segments, inner, under });
        inside = inner + SEGMENT + NAME_OUT + longest.max(3.0) / 2.0 + 2.6;
    }
    rings
}

/// The position in words, ring by ring.
fn position_text(rings: &[Ring], words: &Words) -> String {
    let texts: Vec<String> = rings
        .iter()
        .map(|ring| match ring.under {
            Some(under) => format!("{} {}", ring.name, ring.segments[under]),
            None => words.fill("drawing.between", &[("ring", ring.name)]),
        })
        .collect();
    texts.join(" · ")
}

fn on_circle(centre: Point, radius: f64, angle: f64) -> Point {
    (centre.0 + radius * angle.sin(), centre.1 - radius * angle.cos())
}

fn draw_ring(canvas: &mut Canvas, centre: Point, ring: &Ring) {
    for (index, name) in ring.segments.iter().enumerate() {
        let under = ring.under == Some(index);
        let half = ring.step() / 2.0 * (1.0 - SPLIT);
        let middle = ring.angle(index);
        let corners = sector(centre, ring, middle - half, middle + half);
        if under {
            canvas.solid(Ink::Black, &corners);
        } else {
            canvas.outline(Pen::Fine, &corners);
        }
        let (x, y) = on_circle(centre, ring.inner + SEGMENT + NAME_OUT, middle);
        let face = if under { Face::Bold } else { Face::Regular };
        canvas.text((x, y + 1.1), Anchor::Middle, face, NOTE, name);
    }
}

/// The outline of a segment, its arcs as short chords.
fn sector(centre: Point, ring: &Ring, from: f64, to: f64) -> Vec<Point> {
    const CHORDS: u32 = 8;
    let along =
        |radius: f64, share: u32| on_circle(centre, radius, from + (to - from) * f64::from(share) / f64::from(CHORDS));
    let out = (0..=CHORDS).map(|share| along(ring.inner + SEGMENT, share));
    let back = (0..=CHORDS).rev().map(|share| along(ring.inner, share));
    out.chain(back).collect()
}

/// A hand for each ring that stands on a segment, and the hub that joins them.
fn draw_wiper(canvas: &mut Canvas, centre: Point, rings: &[Ring]) {
    for ring in rings {
        let Some(under) = ring.under else { continue };
        canvas.line(Pen::Heavy, &[centre, on_circle(centre, ring.inner + SEGMENT / 2.0, ring.angle(under))]);
    }
    canvas.disc(centre, 1.7);
    canvas.hole(centre, 0.6);
}
