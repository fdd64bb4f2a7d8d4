//! The middle strip: the voltage along the path. The healthy line with its hatched band, and beside it what a few faults
//! would give, told apart by line pattern and named at the line.

use super::Scene;
use super::canvas::{Anchor, Canvas, Pen, Point};
use super::columns::NAMES_END;
use super::lanes::Stations;
use super::text::{Face, width};
use super::{NAME, NOTE};
use crate::machine::model::{Current, JointId, TestPointId};

/// Left edge of the grid; the numbers of the axis stand before it.
const GRID_AT: f64 = 13.0;
/// From the top of the strip to the top of the grid: room for the axis title.
const HEAD: f64 = 7.0;
/// Fewest ruled intervals of the axis.
const INTERVALS: f64 = 3.0;

/// Patterns of fault lines, in order.
const PATTERNS: [Pen; super::MOST_PROFILES] = [Pen::FaultDashed, Pen::FaultDotted, Pen::FaultDashDot];

/// A chart in place.
struct Chart<'a> {
    scene: &'a Scene<'a>,
    stations: &'a Stations,
    top: f64,
    high: f64,
    right: f64,
    low_volts: f64,
    high_volts: f64,
    step: f64,
    /// Negative supplies are drawn with the larger magnitude on top.
    flipped: bool,
    /// The joint that the black lead of most points is at.
    against: JointId,
}

/// Draws the strip into a field; answers the lines of a key that found no room at their line.
pub(super) fn draw(
    scene: &Scene,
    canvas: &mut Canvas,
    stations: &Stations,
    field: (f64, f64, f64),
    label_faults: bool,
) -> Vec<(Pen, String)> {
    let (top, high, right) = field;
    let Some(chart) = Chart::new(scene, stations, top + HEAD, high - HEAD, right) else { return Vec::new() };
    chart.grid(canvas);
    chart.guides(canvas);
    chart.band(canvas);
    chart.healthy(canvas);
    chart.faults(canvas);
    if label_faults { chart.labels(canvas) } else { Vec::new() }
}

impl<'a> Chart<'a> {
    fn new(scene: &'a Scene<'a>, stations: &'a Stations, top: f64, high: f64, right: f64) -> Option<Self> {
        let against = common_reference(scene, stations)?;
        let mut chart = Self {
            scene,
            stations,
            top,
            high,
            right,
            low_volts: 0.0,
            high_volts: 0.0,
            step: 1.0,
            flipped: false,
            against,
        };
        let values = chart.all_values();
        let low = values.iter().copied().fold(0.0, f64::min);
        let high = values.iter().copied().fold(0.0, f64::max);
        let span = if high - low > 1e-6 { high - low } else { 1.0 };
        chart.step = round_step(span / INTERVALS);
        // A hair beyond a ruled line, as the return's own drop gives, needs no further interval.
        chart.low_volts = (low / chart.step + 0.02).floor() * chart.step;
        chart.high_volts = ((high / chart.step - 0.02).ceil() * chart.step).max(chart.low_volts + chart.step);
        chart.flipped = -low > high;
        Some(chart)
    }

    fn all_values(&self) -> Vec<f64> {
        let mut values: Vec<f64> = self.healthy_points().into_iter().map(|(_, volts)| volts).collect();
        for (_, point) in self.own_points() {
            if let Some(reading) = self.scene.reading(point) {
                values.extend([reading.band.low, reading.band.high]);
            }
            let profiles = self.scene.profiles.iter();
            values.extend(profiles.filter_map(|profile| profile.volts.get(point.0).copied().flatten()));
        }
        values.retain(|value| value.is_finite());
        values
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
        self.stations.points.iter().filter(|(_, point, _)| own(*point)).map(|(x, point, _)| (*x, *point)).collect()
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
        let share = (volts - self.low_volts) / (self.high_volts - self.low_volts);
        let share = if self.flipped { share } else { 1.0 - share };
        self.top + share * self.high
    }

    fn place(&self, (x, volts): (f64, f64)) -> Point {
        (x.max(GRID_AT), self.y(volts))
    }

    fn grid(&self, canvas: &mut Canvas) {
        let numerals = self.scene.words.numerals;
        let decimals = if self.step < 0.1 { 2 } else { usize::from(self.step < 1.0) };
        #[expect(clippy::cast_possible_truncation, reason = "a handful of intervals")]
        let intervals = ((self.high_volts - self.low_volts) / self.step).round() as i32;
        for index in 0..=intervals {
            let volts = self.low_volts + self.step * f64::from(index);
            let y = self.y(volts);
            let zero = volts.abs() < self.step * 1e-6;
            canvas.line(if zero { Pen::Axis } else { Pen::Grid }, &[(GRID_AT, y), (self.right, y)]);
            let label = numerals.fixed(volts, decimals);
            canvas.text((GRID_AT - 1.6, y + 1.1), Anchor::End, Face::Regular, NOTE, &label);
        }
        let key = if self.scene.quantity == Current::Direct { "drawing.volts-dc" } else { "drawing.volts-ac" };
        let title = self.scene.words.fill(key, &[("joint", &self.scene.machine.joint(self.against).name)]);
        canvas.text((0.5, self.top - 3.6), Anchor::Start, Face::Bold, NOTE, &title);
    }

    /// Fine lines from the points down through the chart to their columns.
    fn guides(&self, canvas: &mut Canvas) {
        for &(x, ..) in &self.stations.points {
            canvas.line(Pen::Guide, &[(x, self.top - 1.0), (x, self.top + self.high + 1.5)]);
        }
    }

    /// The span of all healthy machines, hatched, from the first test point to the last.
    fn band(&self, canvas: &mut Canvas) {
        let mut edges: Vec<(f64, f64, f64)> = Vec::new();
        for (x, point) in self.own_points() {
            let Some(reading) = self.scene.reading(point) else { continue };
            if reading.band.low.is_finite() && reading.band.high.is_finite() {
                let (a, b) = (self.y(reading.band.low), self.y(reading.band.high));
                edges.push((x, a.min(b), a.max(b)));
            }
        }
        if let [(x, upper, lower)] = edges[..] {
            // A single point has no neighbour: a short piece of band stands around it.
            edges = vec![(x - 4.0, upper, lower), (x + 4.0, upper, lower)];
        }
        for pair in edges.windows(2) {
            hatch(canvas, pair[0], pair[1]);
        }
        let upper: Vec<Point> = edges.iter().map(|(x, upper, _)| (*x, *upper)).collect();
        let lower: Vec<Point> = edges.iter().map(|(x, _, lower)| (*x, *lower)).collect();
        if let (Some(first), Some(last)) = (edges.first(), edges.last()) {
            canvas.line(Pen::Edge, &upper);
            canvas.line(Pen::Edge, &lower);
            canvas.line(Pen::Edge, &[(first.0, first.1), (first.0, first.2)]);
            canvas.line(Pen::Edge, &[(last.0, last.1), (last.0, last.2)]);
        }
    }

    fn healthy(&self, canvas: &mut Canvas) {
        let points: Vec<Point> = self.healthy_points().into_iter().map(|point| self.place(point)).collect();
        canvas.line(Pen::Healthy, &points);
    }

    fn fault_points(&self, index: usize) -> Vec<(f64, f64)> {
        let volts = &self.scene.profiles[index].volts;
        self.own_points()
            .into_iter()
            .filter_map(|(x, point)| Some((x, volts.get(point.0).copied().flatten()?)))
            .filter(|(_, volts)| volts.is_finite())
            .collect()
    }

    fn faults(&self, canvas: &mut Canvas) {
        for (index, pen) in PATTERNS.iter().enumerate().take(self.scene.profiles.len()) {
            let points: Vec<Point> = self.fault_points(index).into_iter().map(|point| self.place(point)).collect();
            match points[..] {
                [(x, y)] => canvas.line(*pen, &[(x - 4.0, y), (x + 4.0, y)]),
                _ => canvas.line(*pen, &points),
            }
        }
    }

    /// Names the lines to the right of the last test point, each near its line and none on another; answers those for
    /// which there is no room.
    fn labels(&self, canvas: &mut Canvas) -> Vec<(Pen, String)> {
        let Some((last, _)) = self.own_points().last().copied() else { return Vec::new() };
        let mut wanted: Vec<(f64, Pen, Face, String)> = Vec::new();
        for (index, pen) in PATTERNS.iter().enumerate().take(self.scene.profiles.len()) {
            if let Some(&(_, volts)) = self.fault_points(index).last() {
                wanted.push((self.y(volts), *pen, Face::Regular, self.scene.profiles[index].label.clone()));
            }
        }
        let _ = (last, NAMES_END, NAME, width("", Face::Bold, NOTE));
        let healthy = self.scene.words.get("drawing.healthy");
        let mut key = vec![(Pen::Healthy, healthy)];
        key.extend(wanted.into_iter().map(|(_, pen, _, label)| (pen, label)));
        let _ = canvas;
        key
    }
}

/// The joint at which the black lead of most points of the row is.
fn common_reference(scene: &Scene, stations: &Stations) -> Option<JointId> {
    let mut counts: Vec<(JointId, usize)> = Vec::new();
    for (_, point, _) in &stations.points {
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

/// Slanting lines inside the field between two upright edges.
fn hatch(canvas: &mut Canvas, left: (f64, f64, f64), right: (f64, f64, f64)) {
    const APART: f64 = 1.7;
    let corners = [(left.0, left.1), (right.0, right.1), (right.0, right.2), (left.0, left.2)];
    // Along a stroke x + y is constant; strokes keep their phase over neighbouring fields.
    let sums = corners.map(|(x, y)| x + y);
    let first = (sums.iter().copied().fold(f64::MAX, f64::min) / APART).ceil();
    let last = sums.iter().copied().fold(f64::MIN, f64::max);
    let mut index = first;
    while index * APART <= last {
        let mut ends = crossings(&corners, index * APART);
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let (Some(start), Some(end)) = (ends.first(), ends.last()) {
            if end.0 - start.0 > 0.05 {
                canvas.line(Pen::Hatch, &[*start, *end]);
            }
        }
        index += 1.0;
    }
}

/// Where the line x + y = sum meets the edges of a polygon.
fn crossings(corners: &[Point], sum: f64) -> Vec<Point> {
    let mut found = Vec::new();
    for (index, &(ax, ay)) in corners.iter().enumerate() {
        let (bx, by) = corners[(index + 1) % corners.len()];
        let (a, b) = (ax + ay - sum, bx + by - sum);
        if a * b <= 0.0 && (a - b).abs() > 1e-9 {
            let share = a / (a - b);
            found.push((ax + share * (bx - ax), ay + share * (by - ay)));
        }
    }
    found
}
