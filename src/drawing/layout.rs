//! Where things stand: widths, heights and places along a lane, all in millimetres.
//!
//! Every thing has a slot as wide as its symbol and its labels, so labels can never meet. Lanes of a fork stand below
//! the main one, each under the labels of the one above. On the main line test points keep as far apart as their columns
//! in the strip below need; on other lanes they carry their reading themselves.

use std::cell::Cell;

use super::marks::{ForkMark, Item, JointMark, NetMark, PartMark};
use super::text::{Face, width};
use super::{FLAG, NAME, NOTE, Scene};
use crate::machine::model::TestPointId;

/// From the lowest symbol of a lane down to the baseline of its names.
const NAME_BELOW: f64 = 4.3;
/// From the line down to the baseline of names where the symbols are low.
const LEAST_DROP: f64 = 6.8;
/// From one line of notes to the next.
pub(super) const NOTE_LINE: f64 = 4.0;
/// Clear space between neighbouring labels, on each side.
const CLEAR: f64 = 1.5;
/// From the edge of a fork to its lanes.
pub(super) const PAD: f64 = 2.6;
/// Between the name and the note of a label that stands to the right.
pub(super) const RIGHT_GAP: f64 = 1.6;
/// From the line up to the baseline of such a label.
pub(super) const RIGHT_RISE: f64 = 1.3;
/// Between lanes.
const LANE_GAP: f64 = 2.4;
/// Height of a flag.
pub(super) const FLAG_HIGH: f64 = 6.2;
/// From the main line up to the bottom of a flag.
pub(super) const FLAG_RISE: f64 = 10.0;
/// The same on other lanes.
pub(super) const LANE_FLAG_RISE: f64 = 3.6;
/// Radius of a continuation letter.
pub(super) const LETTER_RADIUS: f64 = 2.9;

/// Whether things stand on the main line, with columns below, or on another lane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rank {
    Main,
    Side,
}

/// What the things on one line share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    pub(super) rank: Rank,
    /// From the line down to the baseline of the names, the same along the whole line.
    pub(super) drop: f64,
}

impl Line {
    /// The line for a lane.
    pub(super) fn of(scene: &Scene, rank: Rank, items: &[Item]) -> Self {
        Self { rank, drop: lowest_symbol(scene, items).max(LEAST_DROP - NAME_BELOW) + NAME_BELOW }
    }
}

/// How far the symbols along a line reach below it.
fn lowest_symbol(scene: &Scene, items: &[Item]) -> f64 {
    let down = |item: &Item| match item {
        Item::Part(mark) => mark.symbol.extent(scene.symbols).down,
        Item::Terminal(mark) if mark.reference => 5.0,
        Item::Joint(mark) if !mark.tap.is_empty() => 5.4,
        Item::Fork(mark) => mark.lanes.first().map_or(0.0, |main| lowest_symbol(scene, main)),
        _ => 0.0,
    };
    items.iter().map(down).fold(0.0, f64::max)
}

/// Keeps the columns of the main line's test points apart.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    /// Right edge of the last column.
    pub(super) taken: f64,
}

/// How wide the flag of a test point is.
pub(super) fn flag_width(id: &str) -> f64 {
    (width(id, Face::Bold, FLAG) + 3.4).max(9.0)
}

/// Measures once: labels do not change while a row is tried at many widths.
fn once(kept: &Cell<Option<f64>>, measure: impl FnOnce() -> f64) -> f64 {
    let value = kept.get().unwrap_or_else(measure);
    kept.set(Some(value));
    value
}

impl PartMark {
    fn half(&self, scene: &Scene) -> f64 {
        once(&self.half, || self.measured(scene))
    }

    /// The text of a label that stands to the right, after the name.
    pub(super) fn right_note(&self) -> String {
        self.notes.join(", ")
    }

    /// From the middle of the slot to that of the symbol.
    pub(super) fn symbol_shift(&self, scene: &Scene) -> f64 {
        if self.labelled_right { self.symbol.extent(scene.symbols).half - self.half(scene) } else { 0.0 }
    }

    fn measured(&self, scene: &Scene) -> f64 {
        if self.labelled_right {
            let text = width(&self.name, Face::Bold, NAME) + RIGHT_GAP + width(&self.right_note(), Face::Regular, NOTE);
            return self.symbol.extent(scene.symbols).half + text / 2.0 + CLEAR;
        }
        let notes = self.notes.iter().map(|note| width(note, Face::Regular, NOTE));
        let alarm = self.alarm.iter().map(|alarm| width(alarm, Face::Bold, NOTE));
        let widest = notes.chain(alarm).fold(width(&self.name, Face::Bold, NAME), f64::max);
        (widest / 2.0 + CLEAR).max(self.symbol.extent(scene.symbols).half)
    }

    /// Lines below the name.
    fn lines(&self) -> usize {
        self.notes.len() + usize::from(self.alarm.is_some())
    }
}

impl JointMark {
    fn half(&self, scene: &Scene, rank: Rank) -> f64 {
        if let Some(point) = self.point {
            if rank == Rank::Main {
                return 2.2;
            }
            return once(&self.half, || Self::measured(scene, point));
        }
        let name = self.name.iter().map(|name| width(name, Face::Regular, NOTE));
        let taps = self.tap.iter().map(|line| width(line, Face::Regular, NOTE));
        name.chain(taps).fold(2.0, f64::max) / 2.0 + CLEAR
    }

    /// A test point that carries its own reading.
    fn measured(scene: &Scene, point: TestPointId) -> f64 {
        let (value, band) = scene.reading_texts(point);
        let flag = flag_width(&scene.machine.test_points[point.0].id);
        let widest = width(&value, Face::Bold, NAME).max(width(&band, Face::Regular, NOTE)).max(flag);
        widest / 2.0 + CLEAR
    }
}

/// Half the width of a thing's slot; forks and nets are as wide as they were placed.
fn half(scene: &Scene, item: &Item, rank: Rank) -> f64 {
    match item {
        Item::Part(mark) => mark.half(scene),
        Item::Wire(mark) => (width(&mark.letters(), Face::Regular, NOTE).max(7.0)) / 2.0 + 1.0,
        Item::Joint(mark) => mark.half(scene, rank),
        Item::Letter(_) => LETTER_RADIUS + 0.8,
        Item::Terminal(mark) => {
            let notes = mark.notes.iter().map(|note| width(note, Face::Regular, NOTE));
            notes.fold(width(&mark.name, Face::Bold, NAME), f64::max).max(5.0) / 2.0 + 0.6
        }
        Item::Fork(mark) => (mark.right - mark.left) / 2.0,
        Item::Net(mark) => (mark.bars[mark.bars.len() - 1] - mark.bars[0]) / 2.0,
        Item::Space(wide) => wide / 2.0,
    }
}

/// The least width of a lane that is not the main one.
pub(super) fn least_width(scene: &Scene, items: &mut [Item]) -> f64 {
    place(scene, items, 0.0, Gaps::default(), Rank::Side, &mut Columns { taken: f64::MIN })
}

/// Extra room between things: on this level, and inside the main lanes of forks.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Gaps {
    pub(super) here: f64,
    pub(super) inside: f64,
}

/// Places things from `x` on; returns where the last one ends.
pub(super) fn place(scene: &Scene, items: &mut [Item], x: f64, gaps: Gaps, rank: Rank, columns: &mut Columns) -> f64 {
    let mut x = x;
    for (index, item) in items.iter_mut().enumerate() {
        if index > 0 {
            x += gaps.here;
        }
        x = match item {
            Item::Fork(mark) => place_fork(scene, mark, x, gaps, rank, columns),
            Item::Net(mark) => place_net(scene, mark, x),
            other => place_single(scene, other, x, rank, columns),
        };
    }
    x
}

fn place_single(scene: &Scene, item: &mut Item, x: f64, rank: Rank, columns: &mut Columns) -> f64 {
    let half = half(scene, item, rank);
    let mut middle = x + half;
    if let (Rank::Main, Item::Joint(JointMark { point: Some(point), column, .. })) = (rank, &*item) {
        let column = once(column, || scene.column_width(*point) / 2.0);
        middle = middle.max(columns.taken + column);
        columns.taken = middle + column;
    }
    match item {
        Item::Part(mark) => mark.x = middle,
        Item::Wire(mark) => mark.x = middle,
        Item::Joint(mark) => mark.x = middle,
        Item::Letter(mark) => mark.x = middle,
        Item::Terminal(mark) => mark.x = middle,
        Item::Fork(_) | Item::Net(_) | Item::Space(_) => {}
    }
    middle + half
}

fn place_fork(scene: &Scene, mark: &mut ForkMark, x: f64, gaps: Gaps, rank: Rank, columns: &mut Columns) -> f64 {
    mark.left = x;
    let [main, others @ ..] = mark.lanes.as_mut_slice() else { return x };
    let inside = Gaps { here: gaps.inside, inside: gaps.inside };
    let before = columns.taken;
    let end = place(scene, main, x + PAD + inside.here, inside, rank, columns) + inside.here;
    let needs: Vec<f64> = others.iter_mut().map(|lane| least_width(scene, lane)).collect();
    let own = end - x - PAD;
    let wide = needs.iter().copied().fold(own, f64::max);
    if wide > own {
        shift(main, (wide - own) / 2.0);
        if columns.taken > before {
            columns.taken += (wide - own) / 2.0;
        }
    }
    for (lane, need) in others.iter_mut().zip(needs) {
        #[expect(clippy::cast_precision_loss, reason = "a handful of things")]
        let gap = (wide - need) / (lane.len() + 1) as f64;
        let gaps = Gaps { here: gap, inside: 0.0 };
        place(scene, lane, x + PAD + gap, gaps, Rank::Side, &mut Columns { taken: f64::MIN });
    }
    mark.right = x + wide + 2.0 * PAD;
    mark.right
}

fn place_net(scene: &Scene, mark: &mut NetMark, x: f64) -> f64 {
    let needs: Vec<f64> = mark.rungs.iter_mut().map(|rung| least_width(scene, &mut rung.items)).collect();
    mark.bars[0] = x;
    for joint in 1..mark.bars.len() {
        let reach = mark.rungs.iter().zip(&needs).filter(|(rung, _)| rung.to == joint);
        let furthest = reach.map(|(rung, need)| mark.bars[rung.from] + need + 2.0 * PAD);
        mark.bars[joint] = furthest.fold(mark.bars[joint - 1] + 2.0 * PAD, f64::max);
    }
    for (rung, need) in mark.rungs.iter_mut().zip(needs) {
        let (from, to) = (mark.bars[rung.from] + PAD, mark.bars[rung.to] - PAD);
        #[expect(clippy::cast_precision_loss, reason = "a handful of things")]
        let gap = (to - from - need) / (rung.items.len() + 1) as f64;
        let gaps = Gaps { here: gap, inside: 0.0 };
        place(scene, &mut rung.items, from + gap, gaps, Rank::Side, &mut Columns { taken: f64::MIN });
    }
    mark.bars[mark.bars.len() - 1]
}

/// Moves things to the right.
pub(super) fn shift(items: &mut [Item], by: f64) {
    for item in items {
        match item {
            Item::Part(mark) => mark.x += by,
            Item::Wire(mark) => mark.x += by,
            Item::Joint(mark) => mark.x += by,
            Item::Letter(mark) => mark.x += by,
            Item::Terminal(mark) => mark.x += by,
            Item::Fork(mark) => {
                mark.left += by;
                mark.right += by;
                mark.lanes.iter_mut().for_each(|lane| shift(lane, by));
            }
            Item::Net(mark) => {
                mark.bars.iter_mut().for_each(|bar| *bar += by);
                mark.rungs.iter_mut().for_each(|rung| shift(&mut rung.items, by));
            }
            Item::Space(_) => {}
        }
    }
}

/// How far a lane reaches above and below its line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Height {
    pub(super) up: f64,
    pub(super) down: f64,
}

/// How far things reach above and below their line.
pub(super) fn height(scene: &Scene, items: &[Item], line: Line) -> Height {
    items
        .iter()
        .map(|item| item_height(scene, item, line))
        .fold(Height { up: 3.0, down: 3.0 }, |all, one| Height { up: all.up.max(one.up), down: all.down.max(one.down) })
}

#[expect(clippy::cast_precision_loss, reason = "a handful of lines")]
fn item_height(scene: &Scene, item: &Item, line: Line) -> Height {
    match item {
        Item::Part(mark) if mark.labelled_right => {
            let extent = mark.symbol.extent(scene.symbols);
            Height { up: extent.up.max(RIGHT_RISE + 3.4), down: extent.down + 0.6 }
        }
        Item::Part(mark) => {
            Height { up: mark.symbol.extent(scene.symbols).up, down: line.drop + 1.2 + NOTE_LINE * mark.lines() as f64 }
        }
        Item::Wire(_) => Height { up: 5.6, down: 2.0 },
        Item::Joint(mark) => joint_height(mark, line),
        Item::Letter(_) => Height { up: LETTER_RADIUS + 0.5, down: LETTER_RADIUS + 0.5 },
        Item::Terminal(mark) => Height { up: 2.0, down: line.drop + 1.2 + NOTE_LINE * mark.notes.len() as f64 },
        Item::Fork(mark) => {
            let main = mark.lanes.first().map_or(Height { up: 0.0, down: 0.0 }, |lane| height(scene, lane, line));
            let down = lane_drops(scene, mark, line).last().map_or(main.down, |(drop, lane)| drop + lane.down);
            Height { up: main.up, down }
        }
        Item::Net(mark) => {
            let rows = net_rows(scene, mark);
            let up = rows.first().map_or(0.0, |row| row.1.up);
            Height { up, down: rows.last().map_or(0.0, |(drop, row)| drop + row.down) }
        }
        Item::Space(_) => Height { up: 0.0, down: 0.0 },
    }
}

#[expect(clippy::cast_precision_loss, reason = "a handful of lines")]
fn joint_height(mark: &JointMark, line: Line) -> Height {
    match (mark.point.is_some(), line.rank) {
        (true, Rank::Main) => Height { up: FLAG_RISE + FLAG_HIGH, down: 2.0 },
        (true, Rank::Side) => Height { up: LANE_FLAG_RISE + FLAG_HIGH, down: 11.4 },
        (false, _) if !mark.tap.is_empty() => {
            Height { up: 2.0, down: line.drop + 1.2 + NOTE_LINE * (mark.tap.len() - 1) as f64 }
        }
        (false, _) => Height { up: 5.6, down: 2.0 },
    }
}

/// For each lane but the main one: how far its line lies below the main line, and its height.
pub(super) fn lane_drops(scene: &Scene, mark: &ForkMark, line: Line) -> Vec<(f64, Height)> {
    let [main, others @ ..] = mark.lanes.as_slice() else { return Vec::new() };
    let mut below = height(scene, main, line).down;
    others
        .iter()
        .map(|lane| {
            let own = height(scene, lane, Line::of(scene, Rank::Side, lane));
            let drop = below + LANE_GAP + own.up;
            below = drop + own.down;
            (drop, own)
        })
        .collect()
}

/// For each row of a net: how far it lies below the first, and its height.
pub(super) fn net_rows(scene: &Scene, mark: &NetMark) -> Vec<(f64, Height)> {
    let count = mark.rungs.iter().map(|rung| rung.row + 1).max().unwrap_or(0);
    let mut rows: Vec<(f64, Height)> = Vec::with_capacity(count);
    for row in 0..count {
        let rungs = mark.rungs.iter().filter(|rung| rung.row == row);
        let own = rungs.map(|rung| height(scene, &rung.items, row_line(scene, mark, row))).fold(
            Height { up: 3.0, down: 3.0 },
            |all, one| Height { up: all.up.max(one.up), down: all.down.max(one.down) },
        );
        let drop = rows.last().map_or(0.0, |(drop, above)| drop + above.down + LANE_GAP + own.up);
        rows.push((drop, own));
    }
    rows
}

/// The line of a row of a net: its rungs share it.
pub(super) fn row_line(scene: &Scene, mark: &NetMark, row: usize) -> Line {
    let rungs = mark.rungs.iter().filter(|rung| rung.row == row);
    let drop = rungs.map(|rung| Line::of(scene, Rank::Side, &rung.items).drop).fold(LEAST_DROP, f64::max);
    Line { rank: Rank::Side, drop }
}
