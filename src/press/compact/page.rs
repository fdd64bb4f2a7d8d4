//! What is on a page: a list of things to be put on paper, each with all that its look depends on.

use std::sync::Arc;

use super::syntax::Value;

/// What the typesetter's single precision leaves open.
pub(super) const HAIR: f64 = 1e-5;

/// A transformation: x' = a x + c y + e, y' = b x + d y + f (8.3.4).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Matrix {
    pub(super) a: f64,
    pub(super) b: f64,
    pub(super) c: f64,
    pub(super) d: f64,
    pub(super) e: f64,
    pub(super) f: f64,
}

impl Matrix {
    pub(super) const IDENTITY: Self = Self { a: 1.0, b: 0.0, c: 0.0, d: 1.0, e: 0.0, f: 0.0 };

    /// First this, then the other.
    pub(super) fn then(&self, other: &Self) -> Self {
        let (e, f) = other.apply((self.e, self.f));
        Self {
            a: self.a * other.a + self.b * other.c,
            b: self.a * other.b + self.b * other.d,
            c: self.c * other.a + self.d * other.c,
            d: self.c * other.b + self.d * other.d,
            e,
            f,
        }
    }

    pub(super) fn apply(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f)
    }

    /// By how much lengths grow, where they grow alike in all directions.
    pub(super) fn scale(&self) -> Option<f64> {
        let (first, second) = (self.a.hypot(self.b), self.c.hypot(self.d));
        let across = self.a * self.c + self.b * self.d;
        ((first - second).abs() < HAIR * first && across.abs() < HAIR * first * second).then_some(first)
    }
}

/// A colour: its space with the slash, and its components as written.
pub(super) type Colour<'a> = (&'a [u8], Arc<[&'a [u8]]>);

/// What a stroke or a fill looks like (8.4.3).
#[derive(Debug, Clone)]
pub(super) struct Pen<'a> {
    pub(super) fill: Option<Colour<'a>>,
    pub(super) stroke: Option<Colour<'a>>,
    pub(super) width: f64,
    pub(super) cap: &'a [u8],
    pub(super) join: &'a [u8],
    pub(super) miter: &'a [u8],
    pub(super) dashes: (Arc<[f64]>, f64),
}

impl Pen<'_> {
    /// Whatever a page has set when it shows a form.
    pub(super) fn unknown() -> Self {
        let (width, dashes) = (f64::NAN, (Arc::from([f64::NAN]), f64::NAN));
        Self { fill: None, stroke: None, width, cap: b"", join: b"", miter: b"", dashes }
    }

    /// As a page begins (8.4.1, table 52).
    pub(super) fn initial() -> Self {
        Self { fill: None, stroke: None, width: 1.0, cap: b"0", join: b"0", miter: b"10", dashes: (Arc::from([]), 0.0) }
    }
}

/// A piece of a path, by its points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Segment {
    /// To where a new line begins.
    Move([(f64, f64); 1]),
    /// A straight stroke.
    Line([(f64, f64); 1]),
    /// A cubic curve.
    Curve([(f64, f64); 3]),
    /// Back to where the line began.
    Close,
}

/// Where a sequence of marked content begins (14.6).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mark<'a> {
    pub(super) tag: &'a [u8],
    /// Its identifier on the page, where it belongs to the structure.
    pub(super) id: Option<usize>,
    /// Its other properties; none where it has none at all.
    pub(super) properties: Option<Value<'a>>,
}

/// A thing on a page, in the order of painting.
#[derive(Debug, Clone)]
pub(super) enum Item<'a> {
    /// The beginning of marked content.
    Begin(Mark<'a>),
    /// Its end.
    End,
    /// From here on only what is inside the path is painted; with the operator that says what inside is.
    Clip(Vec<Segment>, &'a [u8]),
    /// The end of the last such restriction.
    Unclip,
    /// A path, with its operator.
    Paint { path: Vec<Segment>, matrix: Matrix, pen: Pen<'a>, operator: &'a [u8] },
    /// A run of letters, with the operator that shows it.
    Show { text: Vec<u8>, matrix: Matrix, font: &'a [u8], size: f64, fill: Option<Colour<'a>>, ends_in_space: bool },
    /// A form that several pages show.
    Form(&'a [u8]),
}

/// A path in the measure of the page.
pub(super) fn moved(path: &[Segment], matrix: &Matrix) -> Vec<Segment> {
    let place = |segment: &Segment| match segment {
        Segment::Move(points) => Segment::Move(points.map(|point| matrix.apply(point))),
        Segment::Line(points) => Segment::Line(points.map(|point| matrix.apply(point))),
        Segment::Curve(points) => Segment::Curve(points.map(|point| matrix.apply(point))),
        Segment::Close => Segment::Close,
    };
    path.iter().map(place).collect()
}
