//! Draws what `layout` has placed: lanes with their symbols, flags, wires, forks and nets.

use super::canvas::{Anchor, Canvas, Ink, Pen, Point};
use super::layout::{
    FLAG_HIGH, FLAG_RISE, LANE_FLAG_RISE, LETTER_RADIUS, Line, NOTE_LINE, RIGHT_GAP, RIGHT_RISE, Rank, flag_width,
    lane_drops, net_rows, row_line,
};
use super::marks::{ForkMark, Item, JointMark, LetterMark, NetMark, PartMark, TerminalMark, WireMark};
use super::text::{Face, width};
use super::{FLAG, NAME, NOTE, Scene, swatch};
use crate::machine::model::{JointId, TestPointId};

/// Where the joints and test points of the main line ended up.
#[derive(Debug, Default)]
pub(super) struct Stations {
    /// Joints from left to right; a joint may stand at two places with nothing between.
    pub(super) joints: Vec<(f64, JointId)>,
    /// Test points from left to right.
    pub(super) points: Vec<(f64, TestPointId)>,
    /// Those below which nothing is drawn: places, and how far down the line is.
    pub(super) clear: Vec<Point>,
}

/// Draws on a canvas and notes the stations of the main line.
pub(super) struct Pencil<'a> {
    pub(super) scene: &'a Scene<'a>,
    pub(super) canvas: &'a mut Canvas,
    pub(super) stations: Stations,
    /// How many forks enclose what is being drawn.
    pub(super) depth: usize,
}

impl Pencil<'_> {
    /// Draws a lane at height `y` from `start` to `end`.
    pub(super) fn lane(&mut self, items: &[Item], span: (f64, f64), y: f64, line: Line) {
        let (mut cursor, end) = span;
        for item in items {
            if let Item::Space(_) = item {
                cursor = f64::NAN;
                continue;
            }
            let (left, right) = self.reach(item);
            if cursor.is_finite() && left > cursor {
                self.canvas.line(Pen::Conductor, &[(cursor, y), (left, y)]);
            }
            self.item(item, y, line);
            cursor = right;
        }
        if cursor.is_finite() && end > cursor {
            self.canvas.line(Pen::Conductor, &[(cursor, y), (end, y)]);
        }
    }

    /// Where the line enters and leaves a thing.
    fn reach(&self, item: &Item) -> (f64, f64) {
        match item {
            Item::Part(mark) => {
                let half = mark.symbol.extent(self.scene.symbols).half;
                let middle = mark.x + mark.symbol_shift(self.scene);
                (middle - half, middle + half)
            }
            Item::Wire(mark) => (mark.x - swatch::SIZE.0 / 2.0, mark.x + swatch::SIZE.0 / 2.0),
            Item::Joint(mark) => (mark.x, mark.x),
            Item::Letter(mark) => (mark.x - LETTER_RADIUS, mark.x + LETTER_RADIUS),
            Item::Terminal(mark) => (mark.x, mark.x),
            Item::Fork(mark) => (mark.left, mark.right),
            Item::Net(mark) => (mark.bars[0], mark.bars[mark.bars.len() - 1]),
            Item::Space(_) => (f64::NAN, f64::NAN),
        }
    }

    fn item(&mut self, item: &Item, y: f64, line: Line) {
        if line.rank == Rank::Main {
            self.note_stations(item, y);
        }
        match item {
            Item::Part(mark) => self.part(mark, y, line),
            Item::Wire(mark) => self.wire(mark, y),
            Item::Joint(mark) => self.joint(mark, y, line),
            Item::Letter(mark) => self.letter(mark, y),
            Item::Terminal(mark) => self.terminal(mark, y, line),
            Item::Fork(mark) => self.fork(mark, y, line),
            Item::Net(mark) => self.net(mark, y),
            Item::Space(_) => {}
        }
    }

    fn note_stations(&mut self, item: &Item, y: f64) {
        let (left, right) = self.reach(item);
        match item {
            Item::Part(PartMark { ends, .. }) | Item::Wire(WireMark { ends, .. }) => {
                self.stations.joints.extend([(left, ends.0), (right, ends.1)]);
            }
            Item::Net(NetMark { ends, .. }) => self.stations.joints.extend([(left, ends.0), (right, ends.1)]),
            Item::Joint(mark) => {
                self.stations.joints.push((mark.x, mark.joint));
                if let Some(point) = mark.point {
                    self.stations.points.push((mark.x, point));
                    if self.depth == 0 {
                        self.stations.clear.push((mark.x, y));
                    }
                }
            }
            Item::Terminal(TerminalMark { joint, x, .. }) | Item::Letter(LetterMark { joint, x, .. }) => {
                self.stations.joints.push((*x, *joint));
            }
            Item::Fork(_) | Item::Space(_) => {}
        }
    }

    fn part(&mut self, mark: &PartMark, y: f64, line: Line) {
        if mark.labelled_right {
            return self.lone_part(mark, y);
        }
        mark.symbol.draw(self.canvas, self.scene.symbols, (mark.x, y));
        if let Some(above) = &mark.above {
            self.canvas.text((mark.x + 2.8, y - 6.4), Anchor::Start, Face::Bold, NAME, above);
        }
        self.labels((mark.x, y + line.drop), &mark.name, &mark.notes, mark.alarm.as_deref());
    }

    /// A small part with its name to the right, above the line.
    fn lone_part(&mut self, mark: &PartMark, y: f64) {
        let extent = mark.symbol.extent(self.scene.symbols);
        let middle = mark.x + mark.symbol_shift(self.scene);
        mark.symbol.draw(self.canvas, self.scene.symbols, (middle, y));
        let (x, baseline) = (middle + extent.half + 0.5, y - RIGHT_RISE);
        self.canvas.text((x, baseline), Anchor::Start, Face::Bold, NAME, &mark.name);
        let after = x + width(&mark.name, Face::Bold, NAME) + RIGHT_GAP;
        self.canvas.text((after, baseline), Anchor::Start, Face::Regular, NOTE, &mark.right_note());
    }

    /// A name and the lines below it.
    fn labels(&mut self, at: Point, name: &str, notes: &[String], alarm: Option<&str>) {
        self.canvas.text(at, Anchor::Middle, Face::Bold, NAME, name);
        let mut y = at.1;
        for (text, face) in alarm
            .map(|alarm| (alarm, Face::Bold))
            .into_iter()
            .chain(notes.iter().map(|note| (note.as_str(), Face::Regular)))
        {
            y += NOTE_LINE;
            self.canvas.text((at.0, y), Anchor::Middle, face, NOTE, text);
        }
    }

    fn wire(&mut self, mark: &WireMark, y: f64) {
        swatch::draw(self.canvas, (mark.x, y), &mark.base, mark.tracer.as_deref());
        self.canvas.text((mark.x, y - 2.3), Anchor::Middle, Face::Regular, NOTE, &mark.letters());
    }

    fn joint(&mut self, mark: &JointMark, y: f64, line: Line) {
        match (mark.point, &mark.name) {
            (Some(point), _) => self.test_point(point, (mark.x, y), line),
            (None, Some(name)) => {
                self.canvas.disc((mark.x, y), 0.75);
                self.canvas.text((mark.x, y - 2.3), Anchor::Middle, Face::Regular, NOTE, name);
            }
            (None, None) => self.tap(mark, y, line),
        }
    }

    fn test_point(&mut self, point: TestPointId, at: Point, line: Line) {
        let (x, y) = at;
        let id = self.scene.machine.test_points[point.0].id.clone();
        let rise = if line.rank == Rank::Main { FLAG_RISE } else { LANE_FLAG_RISE };
        let wide = flag_width(&id);
        self.canvas.line(Pen::Conductor, &[(x, y), (x, y - rise)]);
        self.canvas.flag((x - wide / 2.0, y - rise - FLAG_HIGH), (wide, FLAG_HIGH), 0.8);
        self.canvas.reversed_text((x, y - rise - 1.75), Anchor::Middle, Face::Bold, FLAG, &id);
        self.canvas.ring((x, y), 1.25);
        if line.rank == Rank::Side {
            let (value, band) = self.scene.reading_texts(point);
            self.canvas.text((x, y + 6.0), Anchor::Middle, Face::Bold, NAME, &value);
            self.canvas.text((x, y + 10.2), Anchor::Middle, Face::Regular, NOTE, &band);
        }
    }

    /// A short branch with an arrow: other loads leave here.
    fn tap(&mut self, mark: &JointMark, y: f64, line: Line) {
        let x = mark.x;
        self.canvas.disc((x, y), 0.75);
        self.canvas.line(Pen::Conductor, &[(x, y), (x, y + 4.4)]);
        self.canvas.solid(Ink::Black, &[(x - 1.0, y + 4.2), (x + 1.0, y + 4.2), (x, y + 6.3)]);
        for (index, text) in mark.tap.iter().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "a handful of lines")]
            let drop = line.drop + NOTE_LINE * index as f64;
            self.canvas.text((x, y + drop), Anchor::Middle, Face::Regular, NOTE, text);
        }
    }

    fn letter(&mut self, mark: &LetterMark, y: f64) {
        self.canvas.ring((mark.x, y), LETTER_RADIUS);
        self.canvas.text((mark.x, y + 1.35), Anchor::Middle, Face::Bold, NAME, &mark.letter);
    }

    /// The reference as the symbol of a common return, any other terminal as a ring.
    fn terminal(&mut self, mark: &TerminalMark, y: f64, line: Line) {
        let x = mark.x;
        if mark.reference {
            self.canvas.line(Pen::Conductor, &[(x, y), (x, y + 2.4)]);
            for (half, drop) in [(2.4, 2.4), (1.5, 3.7), (0.6, 5.0)] {
                self.canvas.line(Pen::Conductor, &[(x - half, y + drop), (x + half, y + drop)]);
            }
        } else {
            self.canvas.ring((x, y), 1.0);
        }
        self.labels((x, y + line.drop), &mark.name, &mark.notes, None);
    }

    fn fork(&mut self, mark: &ForkMark, y: f64, line: Line) {
        let [main, others @ ..] = mark.lanes.as_slice() else { return };
        self.depth += 1;
        self.lane(main, (mark.left, mark.right), y, line);
        self.depth -= 1;
        let drops = lane_drops(self.scene, mark, line);
        let last = drops.last().map_or(0.0, |(drop, _)| *drop);
        for x in [mark.left, mark.right] {
            self.canvas.line(Pen::Conductor, &[(x, y), (x, y + last)]);
            self.canvas.disc((x, y), 0.75);
        }
        for (index, (lane, (drop, _))) in others.iter().zip(&drops).enumerate() {
            self.lane(lane, (mark.left, mark.right), y + drop, Line::of(self.scene, Rank::Side, lane));
            if index + 1 < others.len() {
                self.canvas.disc((mark.left, y + drop), 0.75);
                self.canvas.disc((mark.right, y + drop), 0.75);
            }
        }
    }

    fn net(&mut self, mark: &NetMark, y: f64) {
        let drops: Vec<f64> = net_rows(self.scene, mark).iter().map(|(drop, _)| *drop).collect();
        for (joint, x) in mark.bars.iter().enumerate() {
            let rows = mark.rungs.iter().filter(|rung| rung.from == joint || rung.to == joint).map(|rung| rung.row);
            let (first, last) = rows.fold((usize::MAX, 0), |(low, high), row| (low.min(row), high.max(row)));
            let top = if joint == 0 || joint + 1 == mark.bars.len() { 0 } else { first };
            if let (Some(top), Some(bottom)) = (drops.get(top), drops.get(last)) {
                self.canvas.line(Pen::Conductor, &[(*x, y + top), (*x, y + bottom)]);
            }
        }
        for rung in &mark.rungs {
            let Some(drop) = drops.get(rung.row) else { continue };
            let (left, right) = (mark.bars[rung.from], mark.bars[rung.to]);
            self.lane(&rung.items, (left, right), y + drop, row_line(self.scene, mark, rung.row));
            self.canvas.disc((left, y + drop), 0.75);
            self.canvas.disc((right, y + drop), 0.75);
        }
    }
}
