//! Finds room for the names of a chart's lines, each close to its own line and touching none.
//!
//! A name may stand right of where its line ends, or above or below a stretch of it between two guide lines. Places are
//! tried from the right, where the eye ends; a line for which none is free goes to the key.

use super::super::canvas::Point;

/// A box that a name would fill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl Frame {
    fn meets(&self, other: &Frame) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether a polyline passes through it.
    fn crossed_by(&self, line: &[Point]) -> bool {
        line.windows(2).any(|pair| {
            let Some((low, high)) = heights_within(pair[0], pair[1], self.left, self.right) else { return false };
            low < self.bottom && self.top < high
        })
    }
}

/// The span of heights that a stroke takes between two uprights.
fn heights_within(a: Point, b: Point, left: f64, right: f64) -> Option<(f64, f64)> {
    let (a, b) = if a.0 <= b.0 { (a, b) } else { (b, a) };
    if b.0 < left || a.0 > right {
        return None;
    }
    let at = |x: f64| {
        let share = if (b.0 - a.0).abs() < 1e-9 { 0.0 } else { (x.clamp(a.0, b.0) - a.0) / (b.0 - a.0) };
        a.1 + share * (b.1 - a.1)
    };
    let (first, second) = if (b.0 - a.0).abs() < 1e-9 { (a.1, b.1) } else { (at(left), at(right)) };
    Some((first.min(second), first.max(second)))
}

/// Right of a steep stretch, on the side to which it leans away: corners of names that touch it at several heights.
fn beside_slope(a: Point, b: Point, high: f64) -> impl Iterator<Item = Point> {
    let falls = b.1 > a.1;
    let steep = (b.1 - a.1).abs() >= high;
    [0.5, 0.35, 0.65, 0.2].into_iter().filter(move |_| steep).map(move |share| {
        let (x, y) = (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
        (x + 2.0 * CLEAR, if falls { y - high } else { y })
    })
}

/// What names must keep clear of.
pub(super) struct Field {
    pub(super) bounds: Frame,
    /// Uprights that a name must not stand across.
    pub(super) guides: Vec<f64>,
    pub(super) curves: Vec<Vec<Point>>,
    pub(super) taken: Vec<Frame>,
}

/// A name wanted at its line.
pub(super) struct Wanted<'a> {
    /// The line, from left to right.
    pub(super) curve: &'a [Point],
    pub(super) wide: f64,
    pub(super) high: f64,
    /// Whether it may stand behind the end of the line.
    pub(super) behind: bool,
}

/// Clear space between a name and anything else.
const CLEAR: f64 = 0.9;
/// From one place tried to the next.
const STRIDE: f64 = 2.0;

impl Field {
    /// Finds a free place near the line and keeps it; one that interrupts a guide line only if there is no other.
    pub(super) fn place(&mut self, wanted: &Wanted) -> Option<Frame> {
        let candidates = Self::candidates(wanted);
        let clear = candidates.iter().find(|frame| self.is_free(frame) && !self.interrupts(frame));
        let found = *clear.or_else(|| candidates.iter().find(|frame| self.is_free(frame)))?;
        self.taken.push(found);
        Some(found)
    }

    /// Places near the line, the best first.
    fn candidates(wanted: &Wanted) -> Vec<Frame> {
        let (Some(first), Some(last)) = (wanted.curve.first(), wanted.curve.last()) else { return Vec::new() };
        let frame = |left: f64, top: f64| Frame { left, right: left + wanted.wide, top, bottom: top + wanted.high };
        let mut frames = Vec::new();
        if wanted.behind {
            frames.push(frame(last.0 + 2.0, last.1 - wanted.high / 2.0));
        }
        for pair in wanted.curve.windows(2).rev() {
            frames.extend(beside_slope(pair[0], pair[1], wanted.high).map(|(left, top)| frame(left, top)));
        }
        let mut left = last.0 - wanted.wide - CLEAR;
        while left >= first.0 {
            let spans = wanted
                .curve
                .windows(2)
                .filter_map(|pair| heights_within(pair[0], pair[1], left - CLEAR, left + wanted.wide + CLEAR));
            let (low, high) = spans.fold((f64::MAX, f64::MIN), |all, one| (all.0.min(one.0), all.1.max(one.1)));
            // A steep stretch would leave the name far from its line.
            if high - low < wanted.high {
                frames.push(frame(left, low - CLEAR - wanted.high));
                frames.push(frame(left, high + CLEAR));
            }
            left -= STRIDE;
        }
        frames
    }

    fn interrupts(&self, frame: &Frame) -> bool {
        self.guides.iter().any(|x| frame.left - CLEAR < *x && *x < frame.right + CLEAR)
    }

    fn is_free(&self, frame: &Frame) -> bool {
        let wide = Frame {
            left: frame.left - CLEAR,
            right: frame.right + CLEAR,
            top: frame.top - CLEAR / 2.0,
            bottom: frame.bottom + CLEAR / 2.0,
        };
        let inside = frame.left >= self.bounds.left
            && frame.right <= self.bounds.right
            && frame.top >= self.bounds.top
            && frame.bottom <= self.bounds.bottom;
        inside
            && !self.curves.iter().any(|curve| wide.crossed_by(curve))
            && !self.taken.iter().any(|other| wide.meets(other))
    }
}
