//! A sheet to draw on, in millimetres, y downward: fills, strokes gathered by pen, covers, written as SVG, and the words over
//! them.
//!
//! All weights, greys and dash patterns of the drawings stand in [`Pen`] and [`Ink`], so that every drawing of a pack has
//! the same hand. Nothing depends on colour: lines differ by weight and pattern, fills by black, white and hatching.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_1_SQRT_2;
use std::fmt::Write;

use svg::Document;
use svg::node::element::{ClipPath, Group, Path};

use super::Drawing;
use super::cover::{Covers, corners};
pub use super::label::{Anchor, Label};
use super::text::Face;

/// A point on the sheet, in millimetres.
pub type Point = (f64, f64);

/// What a stroke is for; each has one weight and pattern.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pen {
    /// Hatching of the healthy band.
    Hatch,
    /// Grid of a chart.
    Grid,
    /// From a test point down to its column.
    Guide,
    /// Edge of the healthy band.
    Edge,
    /// Zero line of a chart.
    Axis,
    /// Mechanical link from a coil, cam or hand to a contact.
    Linkage,
    /// Leaders and the fine parts of symbols.
    Fine,
    /// Wires and symbols.
    Conductor,
    /// Battery plates, cores.
    Heavy,
    /// Frames to write in.
    Frame,
    /// Healthy profile.
    Healthy,
    /// First fault profile.
    FaultDashed,
    /// Second fault profile.
    FaultDotted,
    /// Third fault profile.
    FaultDashDot,
}

impl Pen {
    /// Weight in millimetres, colour, dashes.
    pub(super) fn look(self) -> (f64, &'static str, &'static str) {
        match self {
            Pen::Hatch => (0.12, "#8a8a8a", ""),
            Pen::Grid => (0.18, "#a6a6a6", ""),
            Pen::Guide => (0.22, "#8a8a8a", "0.22 0.9"),
            Pen::Edge => (0.22, "#555555", ""),
            Pen::Axis => (0.4, "#444444", ""),
            Pen::Linkage => (0.25, "#000000", "1 0.7"),
            Pen::Fine => (0.25, "#000000", ""),
            Pen::Conductor => (0.42, "#000000", ""),
            Pen::Heavy => (1.0, "#000000", ""),
            Pen::Frame => (0.35, "#000000", ""),
            Pen::Healthy => (0.7, "#000000", ""),
            Pen::FaultDashed => (0.55, "#000000", "2.4 1.3"),
            Pen::FaultDotted => (0.6, "#000000", "0.01 1.25"),
            Pen::FaultDashDot => (0.55, "#000000", "3.4 1.1 0.01 1.1"),
        }
    }
}

/// How an area is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Solid black.
    Black,
    /// Paper white, to clear what lies beneath.
    White,
    /// A colour of a wire, as `#rrggbb`.
    Colour(&'static str),
}

impl Ink {
    pub(super) fn value(self) -> &'static str {
        match self {
            Ink::Black => "#000000",
            Ink::White => "#ffffff",
            Ink::Colour(value) => value,
        }
    }
}

/// A sheet in the making.
#[derive(Default)]
pub struct Canvas {
    strokes: BTreeMap<Pen, Track>,
    fills: Vec<Box<dyn svg::node::Node>>,
    covers: Covers,
    labels: Vec<Label>,
    hatches: usize,
}

/// Hundredths of a millimetre are finer than any printer; as `f32` they print short.
#[expect(clippy::cast_possible_truncation, reason = "a page is small")]
pub(super) fn rounded(value: f64) -> f32 {
    ((value * 100.0).round() / 100.0) as f32 + 0.0
}

impl Canvas {
    /// An empty sheet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The strokes of a pen, to be added to.
    fn stroke(&mut self, pen: Pen) -> &mut Track {
        self.strokes.entry(pen).or_default()
    }

    /// A line through points.
    pub fn line(&mut self, pen: Pen, points: &[Point]) {
        self.stroke(pen).line(points);
    }

    /// A closed outline.
    pub fn outline(&mut self, pen: Pen, points: &[Point]) {
        self.stroke(pen).outline(points);
    }

    /// A rectangle by its corner and size.
    pub fn rectangle(&mut self, pen: Pen, corner: Point, size: Point) {
        self.outline(pen, &corners(corner, size));
    }

    /// A circle.
    pub fn circle(&mut self, pen: Pen, centre: Point, radius: f64) {
        let (x, y) = centre;
        let track = self.stroke(pen);
        track.command('M', &[x - radius, y]);
        track.command('A', &[radius, radius, 0.0, 1.0, 1.0, x + radius, y]);
        track.command('A', &[radius, radius, 0.0, 1.0, 1.0, x - radius, y]);
        track.close();
    }

    /// An arc between two points, clockwise on the page if `clockwise`.
    pub fn arc(&mut self, pen: Pen, from: Point, to: Point, radius: f64, clockwise: bool) {
        let track = self.stroke(pen);
        track.command('M', &[from.0, from.1]);
        track.command('A', &[radius, radius, 0.0, 0.0, f64::from(u8::from(clockwise)), to.0, to.1]);
    }

    /// A cubic curve.
    pub fn curve(&mut self, pen: Pen, from: Point, first: Point, second: Point, to: Point) {
        let track = self.stroke(pen);
        track.command('M', &[from.0, from.1]);
        track.command('C', &[first.0, first.1, second.0, second.1, to.0, to.1]);
    }

    /// A filled polygon, under the strokes.
    pub fn area(&mut self, ink: Ink, points: &[Point]) {
        let path = polygon(points);
        self.fills.push(Box::new(Path::new().set("d", path).set("fill", ink.value())));
    }

    /// A filled polygon over the strokes.
    pub fn solid(&mut self, ink: Ink, points: &[Point]) {
        self.covers.polygon(ink, points);
    }

    /// A black disc over the strokes.
    pub fn disc(&mut self, centre: Point, radius: f64) {
        self.covers.dot(false, centre, radius);
    }

    /// A white disc in a black one.
    pub fn hole(&mut self, centre: Point, radius: f64) {
        self.covers.dot(true, centre, radius);
    }

    /// A ring with paper inside, over the strokes; its outline in the weight of a conductor.
    pub fn ring(&mut self, centre: Point, radius: f64) {
        let (weight, ..) = Pen::Conductor.look();
        self.covers.dot(false, centre, radius + weight / 2.0);
        self.covers.dot(true, centre, radius - weight / 2.0);
    }

    /// A black box with rounded corners.
    pub fn flag(&mut self, corner: Point, size: Point, radius: f64) {
        self.covers.rounded(false, corner, size, radius);
    }

    /// A framed box with rounded corners and paper inside, to write in.
    pub fn write_in(&mut self, (x, y): Point, (wide, high): Point, radius: f64) {
        let (weight, ..) = Pen::Frame.look();
        let half = weight / 2.0;
        self.covers.rounded(false, (x - half, y - half), (wide + weight, high + weight), radius + half);
        self.covers.rounded(true, (x + half, y + half), (wide - weight, high - weight), radius - half);
    }

    /// Paper white over the strokes, for a label that stands on a grid.
    pub fn clear(&mut self, corner: Point, size: Point) {
        self.covers.polygon(Ink::White, &corners(corner, size));
    }

    /// A thin frame over the fills, such as that of a swatch.
    pub fn frame(&mut self, pen: Pen, corner: Point, size: Point) {
        self.covers.frame(pen, corner, size);
    }

    /// Words with their baseline at the point.
    pub fn text(&mut self, at: Point, anchor: Anchor, face: Face, points: f64, label: &str) {
        self.label(Label::new(at, anchor, face, points, label));
    }

    /// White words for a black ground.
    pub fn reversed_text(&mut self, at: Point, anchor: Anchor, face: Face, points: f64, label: &str) {
        self.label(Label { reversed: true, ..Label::new(at, anchor, face, points, label) });
    }

    fn label(&mut self, label: Label) {
        if !label.text.is_empty() {
            self.labels.push(label);
        }
    }

    /// Slanting lines inside a polygon, under the strokes. They keep their phase over the whole sheet.
    ///
    /// One broad dashed stroke across the slant, cut out by the polygon: as many lines as it takes, in a few numbers.
    pub fn hatch(&mut self, polygon_corners: &[Point]) {
        /// Between two lines, along the x-axis.
        const APART: f64 = 2.0;
        let (weight, colour, _) = Pen::Hatch.look();
        // Along a line x + y is constant; across the lines both grow alike.
        let sums = || polygon_corners.iter().map(|(x, y)| x + y);
        let first = (sums().fold(f64::MAX, f64::min) / APART).floor() * APART;
        let last = sums().fold(f64::MIN, f64::max);
        let reach = polygon_corners.iter().map(|(x, y)| (x - y).abs()).fold(0.0, f64::max) * 2.0;
        let pitch = APART * FRAC_1_SQRT_2;
        let mut stroke = Track::default();
        stroke.line(&[(first / 2.0, first / 2.0), (last / 2.0, last / 2.0)]);
        self.hatches += 1;
        let name = format!("hatch-{}", self.hatches);
        let outline = Path::new().set("d", polygon(polygon_corners));
        self.fills.push(Box::new(ClipPath::new().set("id", name.as_str()).add(outline)));
        let lines = Path::new()
            .set("d", stroke.data)
            .set("fill", "none")
            .set("stroke", colour)
            .set("stroke-width", rounded(reach))
            .set("stroke-dasharray", format!("{weight} {:.4}", pitch - weight))
            .set("clip-path", format!("url(#{name})"));
        self.fills.push(Box::new(lines));
    }

    /// The finished drawing, so many millimetres wide and high, with what it shows in words.
    #[must_use]
    pub fn finish(self, alt: String, width: f64, height: f64) -> Drawing {
        let mut document = Document::new()
            .set("width", format!("{}mm", rounded(width)))
            .set("height", format!("{}mm", rounded(height)))
            .set("viewBox", format!("0 0 {} {}", rounded(width), rounded(height)));
        for fill in self.fills {
            document = document.add(fill);
        }
        let mut lines = Group::new().set("fill", "none").set("stroke-linecap", "round").set("stroke-linejoin", "round");
        for (pen, track) in self.strokes {
            let (weight, colour, dashes) = pen.look();
            let mut path = Path::new().set("d", track.data).set("stroke", colour).set("stroke-width", weight);
            if !dashes.is_empty() {
                path = path.set("stroke-dasharray", dashes);
            }
            if matches!(pen, Pen::FaultDashed | Pen::Linkage | Pen::Heavy) {
                path = path.set("stroke-linecap", "butt");
            }
            lines = lines.add(path);
        }
        document = document.add(lines);
        let svg = self.covers.draw(document).to_string();
        Drawing { svg, labels: self.labels, alt, width, height }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a page is small")]
pub(super) fn in_hundredths(value: f64) -> i64 {
    (value * 100.0).round() as i64
}

fn place_in_hundredths((x, y): Point) -> (i64, i64) {
    (in_hundredths(x), in_hundredths(y))
}

fn polygon(points: &[Point]) -> String {
    let mut track = Track::default();
    track.outline(points);
    track.into_data()
}

/// The data of a path, written as it grows: a drawing has thousands of numbers, and a list of commands first and text
/// later would take most of the time that drawing takes.
#[derive(Debug, Default)]
pub(super) struct Track {
    data: String,
    /// Where the pen is lifted last, in hundredths of a millimetre.
    end: Option<(i64, i64)>,
}

impl Track {
    fn command(&mut self, letter: char, numbers: &[f64]) {
        self.end = None;
        self.data.push(letter);
        for (index, number) in numbers.iter().enumerate() {
            if index > 0 {
                self.data.push(' ');
            }
            self.number(*number);
        }
    }

    /// A line through points; it goes on without lifting the pen where it starts at the end of the last.
    pub(super) fn line(&mut self, points: &[Point]) {
        let (Some(first), Some(last)) = (points.first(), points.last()) else { return };
        let goes_on = self.end == Some(place_in_hundredths(*first));
        for (index, (x, y)) in points.iter().enumerate().skip(usize::from(goes_on)) {
            self.command(if index == 0 { 'M' } else { 'L' }, &[*x, *y]);
        }
        self.end = Some(place_in_hundredths(*last));
    }

    /// A closed line.
    pub(super) fn outline(&mut self, points: &[Point]) {
        self.lift();
        self.line(points);
        self.close();
    }

    /// The next line begins anew.
    pub(super) fn lift(&mut self) {
        self.end = None;
    }

    /// Whether nothing was drawn.
    pub(super) fn is_empty(&self) -> bool {
        self.data.is_empty()
    }

    /// The finished data.
    pub(super) fn into_data(self) -> String {
        self.data
    }

    fn close(&mut self) {
        self.data.push('z');
        self.end = None;
    }

    /// In hundredths of a millimetre, without zeros that say nothing.
    fn number(&mut self, value: f64) {
        debug_assert!(value.is_finite(), "a stroke has a place");
        let hundredths = in_hundredths(value);
        if hundredths < 0 {
            self.data.push('-');
        }
        let (whole, part) = (hundredths.abs() / 100, hundredths.abs() % 100);
        let written = match part {
            0 => write!(self.data, "{whole}"),
            tenth if tenth % 10 == 0 => write!(self.data, "{whole}.{}", tenth / 10),
            _ => write!(self.data, "{whole}.{part:02}"),
        };
        debug_assert!(written.is_ok(), "a string takes any text");
    }
}
