//! The middle strip: the voltage along the path. The healthy line with its hatched band, and beside it what a few faults
//! would give, told apart by line pattern and named at the line.

mod labels;

use self::labels::{Field, Frame, Wanted};
use super::NOTE;
use super::Scene;
use super::canvas::{Anchor, Canvas, Pen, Point};
use super::lanes::Stations;
use super::text::{Face, width};
use crate::machine::model::{Current, JointId, TestPointId};

/// Left edge of the grid; the numbers of the axis stand before it.
const GRID_AT: f64 = 13.0;
/// From the top of the strip to the top of the grid: room for the axis title.
const HEAD: f64 = 6.2;
/// Fewest ruled intervals of the axis.
const INTERVALS: f64 = 3.0;

/// Height that a name at a line takes.
const LABEL_HIGH: f64 = 3.6;

/// Patterns of fault lines, in order.
const PATTERNS: [Pen; super::MOST_PROFILES] = [Pen::FaultDashed, Pen::FaultDotted, Pen::FaultDashDot];

/// A chart in place.
struct Chart<'a> {
    scene: &'a Scene<'a>,
    stations: &'a Stations,
    top: f64,
    high: f64,
    right: f64,
    axis: Axis,
    /// The joint that the black lead of most points is at.
    against: JointId,
}

/// Draws the strip into a field; answers the lines of a key that found no room at their line.
pub(super) fn draw(
    scene: &Scene,
    canvas: &mut Canvas,
    stations: &Stations,
    field: (f64, f64, f64),
    axis: Axis,
) -> Vec<(Pen, String)> {
    let (top, high, right) = field;
    let Some(chart) = Chart::new(scene, stations, (top + HEAD, high - HEAD, right), axis) else { return Vec::new() };
    chart.grid(canvas);
    chart.guides(canvas);
    chart.band(canvas);
    chart.healthy(canvas);
    chart.faults(canvas);
    chart.labels(canvas)
}

/// The volts that a path's charts span: the same in all its rows, so that they can be compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Axis {
    low: f64,
    high: f64,
    step: f64,
    /// Negative supplies are drawn with the larger magnitude on top.
    flipped: bool,
}

impl Axis {
    /// The axis for everything on the main line of a path.
    pub(super) fn of(scene: &Scene, joints: &[JointId], points: &[TestPointId]) -> Self {
        let mut values: Vec<f64> = joints.iter().filter_map(|joint| scene.joint_volts(*joint)).collect();
        for point in points {
            if let Some(reading) = scene.reading(*point) {
                values.extend([reading.nominal, reading.band.low, reading.band.high]);
            }
            let profiles = scene.profiles.iter();
            values.extend(profiles.filter_map(|profile| profile.volts.get(point.0).copied().flatten()));
        }
        values.retain(|value| value.is_finite());
        Self::spanning(&values)
    }

    fn spanning(values: &[f64]) -> Self {
        let low = values.iter().copied().fold(0.0, f64::min);
        let high = values.iter().copied().fold(0.0, f64::max);
        let span = if high - low > 1e-6 { high - low } else { 1.0 };
        let step = round_step(span / INTERVALS);
        // A hair beyond a ruled line, as the return's own drop gives, needs no further interval.
        let ruled_low = (low / step + 0.02).floor() * step;
        let ruled_high = ((high / step - 0.02).ceil() * step).max(ruled_low + step);
        Self { low: ruled_low, high: ruled_high, step, flipped: -low > high }
    }
}

impl<'a> Chart<'a> {
    fn new(scene: &'a Scene<'a>, stations: &'a Stations, field: (f64, f64, f64), axis: Axis) -> Option<Self> {
        let against = common_reference(scene, stations)?;
        let (top, high, right) = field;
        Some(Self { scene, stations, top, high, right, axis, against })
    }

    /// Test points that are read against the chart's reference in the chart's kind of current.
    fn own_points(&self) -> Vec<(f64, TestPointId)> {
        let own = |point: TestPointId| {
            self.scene.reading(point).is_some_and(|reading| {
                reading.against == self.against
                    && reading.quantity == self.scene.quantity
                    && reading.nominal.is_finite()
            })
        };
        self.stations.points.iter().filter(|(_, point)| own(*point)).map(|(x, point)| (*x, *point)).collect()
    }

    /// The healthy profile from left to right: every joint of the main line, test points as the meter shows them.
    fn healthy_points(&self) -> Vec<(f64, f64)> {
        let read: Vec<(f64, TestPointId)> = self.own_points();
        let mut points = Vec::new();
        for &(x, joint) in &self.stations.joints {
            let reading = read.iter().find(|(_, point)| self.scene.machine.test_points[point.0].joint == joint);
            let volts = match reading {
                Some((_, point)) => self.scene.reading(*point).map(|reading| reading.nominal),
                None if self.against == self.scene.machine.reference => self.scene.joint_volts(joint),
                None => None,
            };
            if let Some(volts) = volts.filter(|volts| volts.is_finite()) {
                points.push((x, volts));
            }
        }
        points
    }

    fn y(&self, volts: f64) -> f64 {
        let share = (volts - self.axis.low) / (self.axis.high - self.axis.low);
        let share = if self.axis.flipped { share } else { 1.0 - share };
        self.top + share * self.high
    }

    fn place(&self, (x, volts): (f64, f64)) -> Point {
        (x.max(GRID_AT), self.y(volts))
    }

    fn grid(&self, canvas: &mut Canvas) {
        let numerals = self.scene.words.numerals;
        let decimals = if self.axis.step < 0.1 { 2 } else { usize::from(self.axis.step < 1.0) };
        #[expect(clippy::cast_possible_truncation, reason = "a handful of intervals")]
        let intervals = ((self.axis.high - self.axis.low) / self.axis.step).round() as i32;
        for index in 0..=intervals {
            let volts = self.axis.low + self.axis.step * f64::from(index);
            let y = self.y(volts);
            let zero = volts.abs() < self.axis.step * 1e-6;
            canvas.line(if zero { Pen::Axis } else { Pen::Grid }, &[(GRID_AT, y), (self.right, y)]);
            let label = numerals.fixed(volts, decimals);
            canvas.text((GRID_AT - 1.6, y + 1.1), Anchor::End, Face::Regular, NOTE, &label);
        }
        let key = if self.scene.quantity == Current::Direct { "drawing.volts-dc" } else { "drawing.volts-ac" };
        let title = self.scene.words.fill(key, &[("joint", &self.scene.machine.joint(self.against).name)]);
        canvas.text((0.5, self.top - 3.0), Anchor::Start, Face::Bold, NOTE, &title);
    }

    /// Fine lines from the points down through the chart to their columns.
    fn guides(&self, canvas: &mut Canvas) {
        for &(x, point) in &self.stations.points {
            let clear = self.stations.clear.iter().find(|(place, _)| (place - x).abs() < 1e-9);
            let from = clear.map_or(self.top - 1.0, |(_, y)| y + 2.0);
            canvas.line(Pen::Guide, &[(x, from), (x, self.top + self.high + 1.5)]);
            let id = &self.scene.machine.test_points[point.0].id;
            let wide = width(id, Face::Bold, NOTE);
            canvas.clear((x - wide / 2.0 - 0.4, self.top - 5.8), (wide + 0.8, LABEL_HIGH));
            canvas.text((x, self.top - 3.0), Anchor::Middle, Face::Bold, NOTE, id);
        }
    }

    /// The span of all healthy machines, hatched, from the first test point to the last.
    fn band(&self, canvas: &mut Canvas) {
        let edges = self.band_edges();
        let upper: Vec<Point> = edges.iter().map(|(x, upper, _)| (*x, *upper)).collect();
        let lower: Vec<Point> = edges.iter().map(|(x, _, lower)| (*x, *lower)).collect();
        if let (Some(first), Some(last)) = (edges.first(), edges.last()) {
            canvas.hatch(&upper.iter().chain(lower.iter().rev()).copied().collect::<Vec<_>>());
            canvas.line(Pen::Edge, &upper);
            canvas.line(Pen::Edge, &lower);
            canvas.line(Pen::Edge, &[(first.0, first.1), (first.0, first.2)]);
            canvas.line(Pen::Edge, &[(last.0, last.1), (last.0, last.2)]);
        }
    }

    /// Places of the band's edges: x, upper y, lower y. Between two test points the edges follow the healthy line: where
    /// it has fallen by a share of the way to the next reading, so have they.
    fn band_edges(&self) -> Vec<(f64, f64, f64)> {
        let read: Vec<(f64, f64, f64, f64)> = self
            .own_points()
            .into_iter()
            .filter_map(|(x, point)| {
                let reading = self.scene.reading(point)?;
                let finite = reading.band.low.is_finite() && reading.band.high.is_finite();
                finite.then_some((x, reading.nominal, reading.band.low, reading.band.high))
            })
            .collect();
        let edge = |x: f64, low: f64, high: f64| {
            let (a, b) = (self.y(low), self.y(high));
            (x, a.min(b), a.max(b))
        };
        if let [(x, _, low, high)] = read[..] {
            // A single point has no neighbour: a short piece of band stands around it.
            return vec![edge(x - 4.0, low, high), edge(x + 4.0, low, high)];
        }
        let healthy = self.healthy_points();
        let mut edges = Vec::new();
        for pair in read.windows(2) {
            let [(x, volts, low, high), (next_x, next_volts, next_low, next_high)] = [pair[0], pair[1]];
            edges.push(edge(x, low, high));
            let fall = next_volts - volts;
            for &(between, own) in healthy.iter().filter(|(between, _)| x < *between && *between < next_x) {
                let share = if fall.abs() < 1e-3 { (between - x) / (next_x - x) } else { (own - volts) / fall };
                let share = share.clamp(0.0, 1.0);
                edges.push(edge(between, low + share * (next_low - low), high + share * (next_high - high)));
            }
        }
        edges.extend(read.last().map(|(x, _, low, high)| edge(*x, *low, *high)));
        edges
    }

    fn healthy(&self, canvas: &mut Canvas) {
        let points: Vec<Point> = self.healthy_points().into_iter().map(|point| self.place(point)).collect();
        canvas.line(Pen::Healthy, &points);
    }

    /// Whether a fault shows in this row at all: somewhere off the healthy reading by more than the eye overlooks.
    fn shows(&self, index: usize) -> bool {
        const OVERLOOKED: f64 = 0.02;
        let least = OVERLOOKED * (self.axis.high - self.axis.low);
        let volts = &self.scene.profiles[index].volts;
        self.own_points().into_iter().any(|(_, point)| {
            let healthy = self.scene.reading(point).map(|reading| reading.nominal);
            let faulty = volts.get(point.0).copied().flatten();
            healthy.zip(faulty).is_some_and(|(healthy, faulty)| (healthy - faulty).abs() > least)
        })
    }

    /// A fault's line from left to right; at a single point a short stroke; none where it does not show.
    fn fault_curve(&self, index: usize) -> Vec<Point> {
        if !self.shows(index) {
            return Vec::new();
        }
        let volts = &self.scene.profiles[index].volts;
        let points: Vec<Point> = self
            .own_points()
            .into_iter()
            .filter_map(|(x, point)| Some((x, volts.get(point.0).copied().flatten()?)))
            .filter(|(_, volts)| volts.is_finite())
            .map(|point| self.place(point))
            .collect();
        match points[..] {
            [(x, y)] => vec![(x - 4.0, y), (x + 4.0, y)],
            _ => points,
        }
    }

    fn faults(&self, canvas: &mut Canvas) {
        for (index, pen) in PATTERNS.iter().enumerate().take(self.scene.profiles.len()) {
            canvas.line(*pen, &self.fault_curve(index));
        }
    }

    /// Names the lines where there is room at them; answers those that must go to the key.
    fn labels(&self, canvas: &mut Canvas) -> Vec<(Pen, String)> {
        let healthy: Vec<Point> = self.healthy_points().into_iter().map(|point| self.place(point)).collect();
        let edges = self.band_edges();
        let upper: Vec<Point> = edges.iter().map(|(x, upper, _)| (*x, *upper)).collect();
        let lower: Vec<Point> = edges.iter().map(|(x, _, lower)| (*x, *lower)).collect();
        let faults: Vec<Vec<Point>> = (0..self.scene.profiles.len()).map(|index| self.fault_curve(index)).collect();
        let curves = faults.iter().chain([&healthy, &upper, &lower]).cloned().collect();
        let bounds = Frame { left: GRID_AT, right: self.right, top: self.top - 1.6, bottom: self.top + self.high };
        let guides = self.stations.points.iter().map(|(x, _)| *x).collect();
        let mut field = Field { bounds, guides, curves, taken: Vec::new() };
        let mut key = Vec::new();
        for (index, curve) in faults.iter().enumerate() {
            let label = &self.scene.profiles[index].label;
            if !curve.is_empty() && !name_line(canvas, &mut field, curve, Face::Regular, label, true) {
                key.push((PATTERNS[index], label.clone()));
            }
        }
        let name = self.scene.words.get("drawing.healthy");
        let along = if upper.is_empty() { &healthy } else { &upper };
        let named = name_line(canvas, &mut field, along, Face::Bold, &name, false)
            || name_line(canvas, &mut field, &lower, Face::Bold, &name, false);
        if !named {
            key.insert(0, (Pen::Healthy, name));
        }
        key
    }
}

/// Names a line where there is room at it; answers whether there was.
fn name_line(canvas: &mut Canvas, field: &mut Field, curve: &[Point], face: Face, text: &str, behind: bool) -> bool {
    let wanted = Wanted { curve, wide: width(text, face, NOTE), high: LABEL_HIGH, behind };
    let Some(frame) = field.place(&wanted) else { return false };
    // Grid lines stop at the name.
    canvas.clear((frame.left - 0.5, frame.top), (frame.right - frame.left + 1.0, LABEL_HIGH));
    canvas.text((frame.left, frame.bottom - 0.9), Anchor::Start, face, NOTE, text);
    true
}

/// The joint at which the black lead of most points of the row is.
fn common_reference(scene: &Scene, stations: &Stations) -> Option<JointId> {
    let mut counts: Vec<(JointId, usize)> = Vec::new();
    for (_, point) in &stations.points {
        let Some(reading) = scene.reading(*point) else { continue };
        match counts.iter_mut().find(|(joint, _)| *joint == reading.against) {
            Some((_, count)) => *count += 1,
            None => counts.push((reading.against, 1)),
        }
    }
    // The first of the most frequent, so that a tie follows the path.
    counts.iter().rev().max_by_key(|(_, count)| *count).map(|(joint, _)| *joint)
}

/// 1, 2 or 5 times a power of ten, at least so large.
fn round_step(least: f64) -> f64 {
    let power = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|factor| factor * power).find(|step| *step >= least * 0.999).unwrap_or(power)
}
