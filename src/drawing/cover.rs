//! What lies over the strokes of a drawing: paper cleared for labels, swatches, solid shapes, boxes, dots and rings.
//!
//! Round things are strokes of a round pen, and boxes with round corners are rectangles drawn with one, so that a drawing
//! needs few numbers and all things of one look are one path.

use std::collections::BTreeMap;

use svg::Document;
use svg::node::element::Path;

use super::canvas::{Ink, Pen, Point, Track, in_hundredths, rounded};

/// A length in hundredths of a millimetre, as a key.
type Hundredths = i64;

/// Everything over the strokes, in the order in which it is painted.
#[derive(Debug, Default)]
pub(super) struct Covers {
    cleared: Track,
    /// Colours in the order given, for a tracer lies on its base.
    colours: Vec<(Ink, Track)>,
    black: Track,
    frames: BTreeMap<Pen, Track>,
    /// Boxes with round corners by twice their radius: black ones, then white ones.
    boxes: [BTreeMap<Hundredths, Track>; 2],
    /// Dots by their diameter: black ones, then white ones.
    dots: [BTreeMap<Hundredths, Track>; 2],
}

impl Covers {
    /// A filled polygon.
    pub(super) fn polygon(&mut self, ink: Ink, points: &[Point]) {
        let track = match ink {
            Ink::White => &mut self.cleared,
            Ink::Black => &mut self.black,
            colour @ Ink::Colour(_) => {
                if self.colours.last().is_none_or(|(last, _)| *last != colour) {
                    self.colours.push((colour, Track::default()));
                }
                match self.colours.last_mut() {
                    Some((_, track)) => track,
                    None => return,
                }
            }
        };
        track.outline(points);
    }

    /// A frame with sharp corners.
    pub(super) fn frame(&mut self, pen: Pen, corner: Point, size: Point) {
        self.frames.entry(pen).or_default().outline(&corners(corner, size));
    }

    /// A solid box with round corners.
    pub(super) fn rounded(&mut self, white: bool, corner: Point, size: Point, radius: f64) {
        let inner = (corner.0 + radius, corner.1 + radius);
        let track = self.boxes[usize::from(white)].entry(in_hundredths(2.0 * radius)).or_default();
        track.outline(&corners(inner, (size.0 - 2.0 * radius, size.1 - 2.0 * radius)));
    }

    /// A dot.
    pub(super) fn dot(&mut self, white: bool, centre: Point, radius: f64) {
        /// The shortest stroke: one without any length is not drawn by every reader.
        const SHORTEST: f64 = 0.01;
        let track = self.dots[usize::from(white)].entry(in_hundredths(2.0 * radius)).or_default();
        track.lift();
        track.line(&[centre, (centre.0 + SHORTEST, centre.1)]);
    }

    /// Puts everything into the drawing.
    pub(super) fn draw(self, document: Document) -> Document {
        let black = Ink::Black.value();
        let fills = std::iter::once((Ink::White, self.cleared)).chain(self.colours).chain([(Ink::Black, self.black)]);
        let fills = fills.filter(|(_, track)| !track.is_empty());
        let document =
            fills.fold(document, |document, (ink, track)| document.add(path(track).set("fill", ink.value())));
        let document = self.frames.into_iter().fold(document, |document, (pen, track)| {
            let (weight, colour, _) = pen.look();
            document.add(path(track).set("fill", "none").set("stroke", colour).set("stroke-width", weight))
        });
        let document =
            self.boxes.into_iter().zip([black, Ink::White.value()]).fold(document, |document, (boxes, ink)| {
                boxes.into_iter().fold(document, |document, (width, track)| {
                    let path = stroked(track, ink, width).set("fill", ink);
                    document.add(path.set("stroke-linejoin", "round"))
                })
            });
        self.dots.into_iter().zip([black, Ink::White.value()]).fold(document, |document, (dots, ink)| {
            dots.into_iter().fold(document, |document, (width, track)| {
                document.add(stroked(track, ink, width).set("stroke-linecap", "round"))
            })
        })
    }
}

fn path(track: Track) -> Path {
    Path::new().set("d", track.into_data())
}

fn stroked(track: Track, ink: &str, width: Hundredths) -> Path {
    #[expect(clippy::cast_precision_loss, reason = "a drawing is small")]
    let width = rounded(width as f64 / 100.0);
    path(track).set("stroke", ink).set("stroke-width", width)
}

/// The corners of a rectangle from its first corner.
pub(super) fn corners((x, y): Point, (wide, high): Point) -> [Point; 4] {
    [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
}
