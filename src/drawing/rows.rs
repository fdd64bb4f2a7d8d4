//! Breaks a path into rows and rows into pages, and draws them.
//!
//! A row ends where the next thing no longer fits; a ringed letter stands at the end and again at the start of the next
//! row. A fork that is wider than a whole row is opened: its main lane goes on in the row, its other lanes become rows of
//! their own between the same two letters. So any series-parallel network fits any width, and no line crosses another.

use std::collections::VecDeque;

use super::canvas::{Anchor, Canvas, Pen};
use super::items::{path_items, supply_mark};
use super::lanes::{Pencil, Stations};
use super::layout::{Columns, FLAG_HIGH, FLAG_RISE, Gaps, Height, Line, Rank, height, least_width, place};
use super::marks::{Item, LetterMark, TerminalMark};
use super::text::{Face, width};
use super::{Drawing, NOTE, Scene, alt, chart, columns};
use crate::circuit::path::{SignalPath, spine_joints};
use crate::machine::model::{JointId, PartKind, TestPointId};

/// Most extra room between two things when a row is spread over the width.
const WIDEST_GAP: f64 = 15.0;
/// Between two rows.
const ROW_GAP: f64 = 4.0;
/// Heights of the voltage chart, with its title: alone in its sequence, or one of several.
const CHART_HIGH: (f64, f64) = (39.0, 25.0);
/// What a continuation letter takes from a row.
const LETTER_ROOM: f64 = 8.0;
/// Blank paper between two lanes that share a row.
const LANES_APART: f64 = 12.0;
/// Height of a line of the key.
const KEY_LINE: f64 = 5.4;

/// One row.
struct Row {
    items: Vec<Item>,
    line: Line,
    size: Height,
    points: Vec<TestPointId>,
}

impl Row {
    fn new(scene: &Scene, items: Vec<Item>, rank: Rank) -> Self {
        let mut points = Vec::new();
        let line = Line::of(scene, rank, &items);
        if rank == Rank::Main {
            main_points(&items, &mut points);
        }
        let size = height(scene, &items, line);
        Self { items, line, size, points }
    }

    /// Height of the whole row, with its strips.
    fn high(&self, scene: &Scene, chart_high: f64) -> f64 {
        let path = self.size.up + self.size.down;
        if self.points.is_empty() {
            return path;
        }
        path + 2.0 + chart_high + columns::height(scene, &self.points) + key_room(scene)
    }
}

/// What the strips of all rows of a path share.
#[derive(Debug, Clone, Copy)]
struct Strips {
    chart_high: f64,
    axis: chart::Axis,
}

/// Draws a path on as many pages as it needs. Where it is `alone` in its sequence and takes one row, its chart is high.
pub(super) fn pages(scene: &Scene, path: &SignalPath, wide: f64, high: f64, alone: bool) -> Vec<Drawing> {
    let rows = Breaker::new(scene, wide, high).rows(whole_path(scene, path));
    let charts = rows.iter().filter(|row| !row.points.is_empty()).count();
    let roomy = alone && charts <= 1 && rows.iter().all(|row| row.high(scene, CHART_HIGH.0) + ROW_GAP <= high);
    let chart_high = if roomy { CHART_HIGH.0 } else { CHART_HIGH.1 };
    let points: Vec<TestPointId> = rows.iter().flat_map(|row| row.points.iter().copied()).collect();
    let joints: Vec<JointId> = spine_joints(&path.spine).collect();
    let strips = Strips { chart_high, axis: chart::Axis::of(scene, &joints, &points) };
    let mut pages: Vec<Vec<Row>> = Vec::new();
    let mut filled = 0.0;
    for row in rows {
        let own = row.high(scene, chart_high) + ROW_GAP;
        match pages.last_mut() {
            Some(page) if filled + own <= high => page.push(row),
            _ => {
                pages.push(vec![row]);
                filled = 0.0;
            }
        }
        filled += own;
    }
    let count = pages.len();
    pages
        .into_iter()
        .enumerate()
        .map(|(index, page)| draw_page(scene, path, &page, wide, strips, (index + 1, count)))
        .collect()
}

/// The path with its supply and terminals.
fn whole_path(scene: &Scene, path: &SignalPath) -> Vec<Item> {
    let mut items = vec![terminal(scene, path, path.to, false)];
    items.extend(supply_mark(scene, path).map(Item::Part));
    items.extend(path_items(scene, path));
    items.push(terminal(scene, path, path.to, true));
    items
}

/// The end of the path; only the right one is named.
fn terminal(scene: &Scene, path: &SignalPath, joint: JointId, named: bool) -> Item {
    let machine = scene.machine;
    let mut notes = Vec::new();
    if let PartKind::Supply(supply) = &machine.part(path.supply).kind {
        let name = supply.terminals.iter().find(|(_, own)| *own == joint).map(|(name, _)| name.as_str());
        notes.extend(name.map(|name| format!("{} {}", machine.part(path.supply).id, name.replace('-', "−"))));
    }
    Item::Terminal(TerminalMark {
        joint,
        reference: joint == machine.reference,
        name: if named { machine.joint(joint).name.clone() } else { String::new() },
        notes: if named { notes } else { Vec::new() },
        x: 0.0,
    })
}

fn main_points(items: &[Item], points: &mut Vec<TestPointId>) {
    for item in items {
        match item {
            Item::Joint(mark) => points.extend(mark.point),
            Item::Fork(mark) => {
                if let Some(main) = mark.lanes.first() {
                    main_points(main, points);
                }
            }
            _ => {}
        }
    }
}

/// Breaks things into rows.
struct Breaker<'a> {
    scene: &'a Scene<'a>,
    wide: f64,
    high: f64,
    letters: Vec<JointId>,
    /// Lanes that wait for a row of their own.
    waiting: VecDeque<Vec<Item>>,
}

impl<'a> Breaker<'a> {
    fn new(scene: &'a Scene<'a>, wide: f64, high: f64) -> Self {
        Self { scene, wide, high, letters: Vec::new(), waiting: VecDeque::new() }
    }

    fn rows(mut self, items: Vec<Item>) -> Vec<Row> {
        let opened = self.opened(items, Rank::Main);
        let mut rows = self.broken(opened, Rank::Main);
        // Short lanes share a row.
        let mut shared: Vec<Item> = Vec::new();
        while let Some(lane) = self.waiting.pop_front() {
            let lane = self.opened(lane, Rank::Side);
            let mut trial: Vec<Item> = shared.clone();
            if !trial.is_empty() {
                trial.push(Item::Space(LANES_APART));
            }
            trial.extend(lane.iter().cloned());
            if self.laid(&mut trial, Rank::Side, 0.0) <= self.wide {
                shared = trial;
                continue;
            }
            let before = std::mem::replace(&mut shared, lane);
            rows.extend(self.broken(before, Rank::Side));
        }
        rows.extend(self.broken(shared, Rank::Side));
        rows
    }

    /// Opens forks and nets that are wider than a row or higher than a page.
    fn opened(&mut self, items: Vec<Item>, rank: Rank) -> Vec<Item> {
        let mut opened = Vec::new();
        for mut item in items {
            if matches!(item, Item::Fork(_) | Item::Net(_)) && self.is_too_large(&mut item, rank) {
                self.open(item, rank, &mut opened);
            } else {
                opened.push(item);
            }
        }
        opened
    }

    fn is_too_large(&self, item: &mut Item, rank: Rank) -> bool {
        let item = std::slice::from_mut(item);
        let strips =
            if rank == Rank::Main { CHART_HIGH.1 + columns::HIGHEST + 2.0 + key_room(self.scene) } else { 0.0 };
        let size = height(self.scene, item, Line::of(self.scene, rank, item));
        let flags = if rank == Rank::Main { FLAG_RISE + FLAG_HIGH } else { 0.0 };
        let too_high = size.up.max(flags) + size.down + strips > self.high - ROW_GAP;
        too_high || least_width(self.scene, item) > self.wide - columns::NAMES_END
    }

    fn open(&mut self, item: Item, rank: Rank, opened: &mut Vec<Item>) {
        match item {
            Item::Fork(mark) => {
                let (start, end) = (self.letter(mark.ends.0), self.letter(mark.ends.1));
                let mut lanes = mark.lanes.into_iter();
                opened.push(start.clone());
                let main = lanes.next().unwrap_or_default();
                opened.extend(self.opened(main, rank));
                opened.push(end.clone());
                lanes.for_each(|lane| self.wait(&start, lane, &end));
            }
            Item::Net(mark) => {
                opened.push(self.letter(mark.ends.0));
                opened.push(Item::Space(8.0));
                opened.push(self.letter(mark.ends.1));
                for rung in mark.rungs {
                    let (start, end) = (self.letter(mark.joints[rung.from]), self.letter(mark.joints[rung.to]));
                    self.wait(&start, rung.items, &end);
                }
            }
            other => opened.push(other),
        }
    }

    fn wait(&mut self, start: &Item, lane: Vec<Item>, end: &Item) {
        let whole = std::iter::once(start.clone()).chain(lane).chain([end.clone()]).collect();
        self.waiting.push_back(whole);
    }

    /// The letter of a joint: the same wherever the joint is marked.
    fn letter(&mut self, joint: JointId) -> Item {
        let index = self.letters.iter().position(|other| *other == joint).unwrap_or_else(|| {
            self.letters.push(joint);
            self.letters.len() - 1
        });
        Item::Letter(LetterMark { letter: letter_name(index), joint, x: 0.0 })
    }

    /// Rows of about equal fill.
    fn broken(&mut self, items: Vec<Item>, rank: Rank) -> Vec<Row> {
        if items.is_empty() {
            return Vec::new();
        }
        let mut work = items.clone();
        let count = self.cuts(&mut work, rank, self.wide).len();
        let (mut low, mut high) = (self.wide / 3.0, self.wide);
        for _ in 0..if count > 1 { 7 } else { 0 } {
            let middle = f64::midpoint(low, high);
            if self.cuts(&mut work, rank, middle).len() > count { low = middle } else { high = middle }
        }
        let cuts = self.cuts(&mut work, rank, high);
        let mut rest = items.into_iter();
        let mut rows: Vec<Row> = Vec::new();
        let mut carried: Option<Item> = None;
        for (index, &take) in cuts.iter().enumerate() {
            let mut row: Vec<Item> = carried.take().into_iter().chain(rest.by_ref().take(take)).collect();
            if index + 1 < cuts.len() {
                let joint = row.iter().rev().find_map(end_joint).unwrap_or(self.scene.machine.reference);
                if !matches!(row.last(), Some(Item::Letter(_))) {
                    let letter = self.letter(joint);
                    row.push(letter);
                }
                carried = row.last().cloned();
            }
            self.spread(&mut row, rank);
            rows.push(Row::new(self.scene, row, rank));
        }
        rows
    }

    /// How many things each row takes, at a width: `work` is where they are placed for trial.
    fn cuts(&self, work: &mut [Item], rank: Rank, wide: f64) -> Vec<usize> {
        let mut cuts = Vec::new();
        let mut start = 0;
        while start < work.len() {
            let mut columns = Columns { taken: columns::NAMES_END };
            // A row that goes on another starts with a letter.
            let mut x = if start > 0 { LETTER_ROOM } else { 0.0 };
            let mut take = 0;
            while let Some(item) = work.get_mut(start + take) {
                let item = std::slice::from_mut(item);
                x = place(self.scene, item, x, Gaps::default(), rank, &mut columns);
                let last = start + take + 1 == work.len();
                if take > 0 && x > wide - if last { 0.0 } else { LETTER_ROOM } {
                    break;
                }
                take += 1;
            }
            cuts.push(take);
            start += take;
        }
        cuts
    }

    fn laid(&self, items: &mut [Item], rank: Rank, gap: f64) -> f64 {
        let mut columns = Columns { taken: columns::NAMES_END };
        place(self.scene, items, 0.0, Gaps { here: gap, inside: gap }, rank, &mut columns)
    }

    /// Spreads a row over the width.
    fn spread(&self, items: &mut [Item], rank: Rank) {
        let (mut low, mut high) = (0.0, WIDEST_GAP);
        for _ in 0..12 {
            let middle = f64::midpoint(low, high);
            if self.laid(items, rank, middle) <= self.wide { low = middle } else { high = middle }
        }
        self.laid(items, rank, low);
    }
}

/// The joint at the end of a thing.
fn end_joint(item: &Item) -> Option<JointId> {
    match item {
        Item::Part(mark) => Some(mark.ends.1),
        Item::Wire(mark) => Some(mark.ends.1),
        Item::Fork(mark) => Some(mark.ends.1),
        Item::Net(mark) => Some(mark.ends.1),
        Item::Joint(mark) => Some(mark.joint),
        Item::Letter(mark) => Some(mark.joint),
        Item::Terminal(mark) => Some(mark.joint),
        Item::Space(_) => None,
    }
}

/// A, B, ..., without letters that look like a figure; then A1, B1, ...
fn letter_name(index: usize) -> String {
    const LETTERS: &[u8] = b"ABCDEFGHJKLMNPRSTUVWXYZ";
    let letter = char::from(LETTERS[index % LETTERS.len()]);
    match index / LETTERS.len() {
        0 => letter.to_string(),
        round => format!("{letter}{round}"),
    }
}

fn draw_page(
    scene: &Scene,
    path: &SignalPath,
    rows: &[Row],
    wide: f64,
    strips: Strips,
    page: (usize, usize),
) -> Drawing {
    let mut canvas = Canvas::new();
    let mut y = 0.0;
    for row in rows {
        let stations = draw_row(scene, &mut canvas, row, y + row.size.up);
        y += row.size.up + row.size.down;
        if !row.points.is_empty() {
            y += 2.0;
            let key = chart::draw(scene, &mut canvas, &stations, (y, strips.chart_high, wide), strips.axis);
            y += strips.chart_high;
            columns::draw(scene, &mut canvas, &stations, y);
            y += columns::height(scene, &row.points);
            y = draw_key(&mut canvas, &key, wide, y);
        }
        y += ROW_GAP;
    }
    let high = (y - ROW_GAP + 1.0).max(1.0);
    canvas.finish(alt::path_text(scene, path, page), wide, high)
}

fn draw_row(scene: &Scene, canvas: &mut Canvas, row: &Row, y: f64) -> Stations {
    let mut pencil = Pencil { scene, canvas, stations: Stations::default(), depth: 0 };
    pencil.lane(&row.items, (f64::NAN, f64::NAN), y, row.line);
    pencil.stations
}

/// Height that the key takes where no name finds room at its line.
fn key_room(scene: &Scene) -> f64 {
    let labels = scene.profiles.iter().map(|profile| profile.label.clone());
    let key: Vec<(Pen, String)> = labels.map(|label| (Pen::FaultDashed, label)).collect();
    let all = key.into_iter().chain([(Pen::Healthy, scene.words.get("drawing.healthy"))]).collect::<Vec<_>>();
    draw_key(&mut Canvas::new(), &all, scene.wide, 0.0)
}

/// Line patterns with their names, side by side.
fn draw_key(canvas: &mut Canvas, key: &[(Pen, String)], wide: f64, y: f64) -> f64 {
    let mut at = (columns::NAMES_END, y + KEY_LINE - 1.4);
    for (pen, label) in key {
        let need = 14.0 + width(label, Face::Regular, NOTE) + 6.0;
        if at.0 + need > wide && at.0 > columns::NAMES_END {
            at = (columns::NAMES_END, at.1 + KEY_LINE);
        }
        canvas.line(*pen, &[(at.0, at.1 - 1.1), (at.0 + 11.5, at.1 - 1.1)]);
        canvas.text((at.0 + 14.0, at.1), Anchor::Start, Face::Regular, NOTE, label);
        at.0 += need;
    }
    if key.is_empty() { y } else { at.1 + 1.4 }
}
