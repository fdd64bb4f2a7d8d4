//! The words on a drawing, apart from its strokes.
//!
//! A page sets them as text of its own over the picture, with kerning and in whole runs, so that they can be searched for
//! and measured like all other text. A drawing that stands alone carries them as SVG text.

use serde::Serialize;
use svg::node::element::{Group, Text};

use super::Drawing;
use super::canvas::{Point, rounded};
use super::text::{FAMILIES, Face, MM_PER_POINT};

/// Where a label stands from its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Anchor {
    /// The point is its left end.
    Start,
    /// The point is its middle.
    Middle,
    /// The point is its right end.
    End,
}

impl Anchor {
    fn name(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

/// A few words at a place on a drawing, upright, on one line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Label {
    /// Millimetres from the left edge of the drawing to the point that the anchor speaks of.
    pub x: f32,
    /// Millimetres from the upper edge of the drawing down to the baseline.
    pub y: f32,
    /// Where the words stand from the point.
    pub anchor: Anchor,
    /// Size in points.
    pub size: f64,
    /// Whether the letters are heavy.
    pub bold: bool,
    /// Whether the letters are white, for a black ground.
    pub reversed: bool,
    /// The words.
    pub text: String,
}

impl Label {
    /// Black words with their baseline at a point.
    #[must_use]
    pub fn new(at: Point, anchor: Anchor, face: Face, size: f64, text: &str) -> Self {
        let (x, y) = (rounded(at.0), rounded(at.1));
        Self { x, y, anchor, size, bold: face == Face::Bold, reversed: false, text: text.into() }
    }

    /// As a node of an SVG file in millimetres.
    fn node(&self) -> Text {
        let size = rounded(self.size * MM_PER_POINT * 10.0) / 10.0;
        let mut text = Text::new(&self.text).set("x", self.x).set("y", self.y).set("font-size", size);
        if self.anchor != Anchor::Start {
            text = text.set("text-anchor", self.anchor.name());
        }
        if self.bold {
            text = text.set("font-weight", 700);
        }
        if self.reversed {
            text = text.set("fill", "#ffffff");
        }
        text
    }
}

impl Drawing {
    /// The picture with its labels as SVG text: a file that can be looked at by itself.
    #[must_use]
    pub fn standalone(&self) -> String {
        const END: &str = "</svg>";
        let letters = Group::new().set("font-family", FAMILIES);
        let letters = self.labels.iter().map(Label::node).fold(letters, Group::add);
        format!("{}{letters}\n{END}", self.svg.strip_suffix(END).unwrap_or(&self.svg))
    }
}
