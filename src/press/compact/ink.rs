//! Writes the content of a page in few words: everything in the measure of the page, to a hundredth of a point; what is
//! already set is not set again; letters follow one another in one text object with short moves.

use super::figures::{append_number, from_hundredths, hundredths, units};
use super::page::{Colour, HAIR, Item, Mark, Matrix, Pen, Segment, moved};
use super::syntax::append;

/// Decimals of a place on the page: a hundredth of a point is finer than any printer.
const PLACE: usize = 2;
/// Decimals of weights, dashes, sizes of type and components of colours.
const FINE: usize = 4;

/// Whether letters stand on one baseline.
pub(super) fn same_height(one: &Matrix, other: &Matrix) -> bool {
    hundredths(one.f) == hundredths(other.f)
}

/// Writes a page; `identifiers` gives each piece of marked content its new number.
pub(super) fn write(items: &[Item<'_>], identifiers: &[usize]) -> Vec<u8> {
    Writer::new(identifiers, Pen::initial()).all(items)
}

/// Writes what several pages show, whatever they have set before.
pub(super) fn write_form(items: &[Item<'_>]) -> Vec<u8> {
    Writer::new(&[], Pen::unknown()).all(items)
}

/// For each beginning and end of marked content, whether there is nothing but letters between them.
fn only_text(items: &[Item<'_>]) -> Vec<bool> {
    let mut only = vec![true; items.len()];
    let mut open: Vec<usize> = Vec::new();
    for (at, item) in items.iter().enumerate() {
        match item {
            Item::Begin(_) => open.push(at),
            Item::End => {
                if let Some(begin) = open.pop() {
                    only[at] = only[begin];
                }
            }
            Item::Show { .. } => {}
            Item::Clip(..) | Item::Unclip | Item::Paint { .. } | Item::Form(_) => {
                for begin in &open {
                    only[*begin] = false;
                }
            }
        }
    }
    only
}

/// Where letters run to, and where they stand up to: each one step along an axis.
type Axes = [i64; 4];
/// Letters as they usually stand.
const UPRIGHT: Axes = [1, 0, 0, 1];

/// How letters are turned, where that is by quarter turns and without a mirror, and how they are enlarged.
fn turn(matrix: &Matrix) -> Option<(Axes, f64)> {
    let scale = matrix.scale()?;
    let axes = [[1, 0, 0, 1], [0, 1, -1, 0], [-1, 0, 0, -1], [0, -1, 1, 0]];
    let close = |value: f64, part: i64| (value / scale - from_hundredths(part * 100)).abs() < HAIR;
    let parts = [matrix.a, matrix.b, matrix.c, matrix.d];
    let turned = axes.into_iter().find(|axes| parts.iter().zip(axes).all(|(value, part)| close(*value, *part)))?;
    Some((turned, scale))
}

/// What has been set.
#[derive(Clone)]
struct Set<'a> {
    pen: Pen<'a>,
    font: Option<(&'a [u8], f64)>,
}

struct Writer<'a, 'b> {
    identifiers: &'b [usize],
    out: Vec<u8>,
    set: Set<'a>,
    saved: Vec<Set<'a>>,
    in_text: bool,
    /// How the present line of letters is turned, and where it begins; none where it is not along an axis.
    line: Option<(Axes, (i64, i64))>,
}

impl<'a, 'b> Writer<'a, 'b> {
    fn new(identifiers: &'b [usize], pen: Pen<'a>) -> Self {
        let set = Set { pen, font: None };
        Self { identifiers, out: Vec::new(), set, saved: Vec::new(), in_text: false, line: None }
    }

    fn all(mut self, items: &[Item<'a>]) -> Vec<u8> {
        let only_text = only_text(items);
        for (item, only_text) in items.iter().zip(only_text) {
            self.item(item, only_text);
        }
        self.leave_text();
        self.out
    }

    fn item(&mut self, item: &Item<'a>, only_text: bool) {
        match item {
            Item::Begin(mark) => {
                if only_text {
                    self.enter_text();
                } else {
                    self.leave_text();
                }
                self.begin(mark);
            }
            Item::End => {
                if !only_text {
                    self.leave_text();
                }
                self.word("EMC");
            }
            Item::Clip(path, rule) => {
                self.save();
                self.path(path);
                append(&mut self.out, rule);
                self.word("n");
            }
            Item::Unclip => self.restore(),
            Item::Paint { path, matrix, pen, operator } => self.paint(path, matrix, pen, operator),
            Item::Show { text, matrix, font, size, fill, .. } => {
                self.enter_text();
                self.fill(fill.as_ref());
                self.place(matrix, font, *size);
                self.out.extend_from_slice(text);
            }
            Item::Form(name) => {
                self.leave_text();
                append(&mut self.out, name);
                self.word("Do");
            }
        }
    }

    fn word(&mut self, word: &str) {
        append(&mut self.out, word.as_bytes());
    }

    fn number(&mut self, value: f64, decimals: usize) {
        append_number(&mut self.out, value, decimals);
    }

    fn save(&mut self) {
        self.leave_text();
        self.saved.push(self.set.clone());
        self.word("q");
    }

    fn restore(&mut self) {
        self.leave_text();
        if let Some(set) = self.saved.pop() {
            self.set = set;
            self.word("Q");
        }
    }

    fn enter_text(&mut self) {
        if !self.in_text {
            self.word("BT");
            self.in_text = true;
            self.line = Some((UPRIGHT, (0, 0)));
        }
    }

    fn leave_text(&mut self) {
        if self.in_text {
            self.word("ET");
            self.in_text = false;
        }
    }

    fn begin(&mut self, mark: &Mark<'a>) {
        append(&mut self.out, mark.tag);
        let Some(properties) = &mark.properties else { return self.word("BMC") };
        let start = self.out.len();
        properties.write(&mut self.out, &[]);
        if let Some(id) = mark.id {
            let id = self.identifiers.get(id).unwrap_or(&id);
            let rest = self.out.split_off(start + b"<<".len());
            self.out.extend_from_slice(format!("/MCID {id}").as_bytes());
            self.out.extend_from_slice(&rest);
        }
        self.word("BDC");
    }

    fn matrix(&mut self, matrix: &Matrix, operator: &str) {
        for value in [matrix.a, matrix.b, matrix.c, matrix.d] {
            self.number(value, FINE);
        }
        self.number(matrix.e, PLACE);
        self.number(matrix.f, PLACE);
        self.word(operator);
    }

    /// Font and place of the next letters.
    fn place(&mut self, matrix: &Matrix, font: &'a [u8], size: f64) {
        let turned = turn(matrix);
        let size = size * turned.map_or(1.0, |(_, scale)| scale);
        if self.set.font.is_none_or(|(own, own_size)| own != font || (own_size - size).abs() > HAIR) {
            self.set.font = Some((font, size));
            append(&mut self.out, font);
            self.number(size, FINE);
            self.word("Tf");
        }
        let to = (hundredths(matrix.e), hundredths(matrix.f));
        let line = turned.map(|(axes, _)| (axes, to));
        match (line, self.line) {
            (Some((axes, _)), Some((own, from))) if axes == own => {
                let (right, up) = (to.0 - from.0, to.1 - from.1);
                self.number(from_hundredths(axes[0] * right + axes[1] * up), PLACE);
                self.number(from_hundredths(axes[2] * right + axes[3] * up), PLACE);
                self.word("Td");
            }
            (Some((axes, _)), _) => {
                let [a, b, c, d] = axes.map(|part| from_hundredths(part * 100));
                self.matrix(&Matrix { a, b, c, d, ..*matrix }, "Tm");
            }
            (None, _) => self.matrix(matrix, "Tm"),
        }
        self.line = line;
    }

    fn fill(&mut self, colour: Option<&Colour<'a>>) {
        if let Some(colour) = colour.filter(|colour| self.set.pen.fill.as_ref() != Some(*colour)) {
            let space = self.set.pen.fill.as_ref().is_none_or(|own| own.0 != colour.0);
            self.colour(colour, space.then_some("cs"), "scn");
            self.set.pen.fill = Some(colour.clone());
        }
    }

    fn colour(&mut self, (space, parts): &Colour<'a>, space_operator: Option<&str>, operator: &str) {
        if let Some(space_operator) = space_operator {
            append(&mut self.out, space);
            self.word(space_operator);
        }
        for part in parts.iter() {
            self.number(super::syntax::number(part).unwrap_or(0.0), FINE);
        }
        self.word(operator);
    }

    fn paint(&mut self, path: &[Segment], matrix: &Matrix, pen: &Pen<'a>, operator: &'a [u8]) {
        self.leave_text();
        let strokes = !operator.starts_with(b"f");
        let scale = if strokes { matrix.scale() } else { Some(1.0) };
        if scale.is_none() {
            self.save();
            self.matrix(matrix, "cm");
        }
        if operator != b"S" {
            self.fill(pen.fill.as_ref());
        }
        if strokes {
            self.pen(pen, scale.unwrap_or(1.0));
        }
        if scale.is_some() {
            self.path(&moved(path, matrix));
        } else {
            self.path(path);
        }
        append(&mut self.out, operator);
        if scale.is_none() {
            self.restore();
        }
    }

    /// Everything of a stroke that differs from the last.
    fn pen(&mut self, pen: &Pen<'a>, scale: f64) {
        if let Some(colour) = pen.stroke.as_ref().filter(|colour| self.set.pen.stroke.as_ref() != Some(*colour)) {
            let space = self.set.pen.stroke.as_ref().is_none_or(|own| own.0 != colour.0);
            self.colour(colour, space.then_some("CS"), "SCN");
            self.set.pen.stroke = Some(colour.clone());
        }
        let width = pen.width * scale;
        if self.set.pen.width.is_nan() || units(width, FINE) != units(self.set.pen.width, FINE) {
            self.number(width, FINE);
            self.word("w");
            self.set.pen.width = width;
        }
        let (own, set) = (&mut self.out, &mut self.set.pen);
        let fields = [(&mut set.cap, pen.cap, "J"), (&mut set.join, pen.join, "j"), (&mut set.miter, pen.miter, "M")];
        for (own_value, value, operator) in fields {
            if *own_value != value {
                *own_value = value;
                append(own, value);
                append(own, operator.as_bytes());
            }
        }
        let dashes = (pen.dashes.0.iter().map(|dash| dash * scale).collect(), pen.dashes.1 * scale);
        if self.set.pen.dashes != dashes {
            self.out.push(b'[');
            for dash in dashes.0.iter() {
                self.number(*dash, FINE);
            }
            self.out.push(b']');
            self.number(dashes.1, FINE);
            self.word("d");
            self.set.pen.dashes = dashes;
        }
    }

    fn path(&mut self, path: &[Segment]) {
        let mut rest = path;
        while let Some((segment, others)) = rest.split_first() {
            if let Some((corner, size)) = rectangle(rest) {
                for value in [corner.0, corner.1, size.0, size.1] {
                    self.number(from_hundredths(value), PLACE);
                }
                self.word("re");
                rest = &rest[5..];
                continue;
            }
            let (points, operator): (&[(f64, f64)], &str) = match segment {
                Segment::Move(points) => (points, "m"),
                Segment::Line(points) => (points, "l"),
                Segment::Curve(points) => (points, "c"),
                Segment::Close => (&[], "h"),
            };
            for (x, y) in points {
                self.number(*x, PLACE);
                self.number(*y, PLACE);
            }
            self.word(operator);
            rest = others;
        }
    }
}

/// Corner and size of a rectangle that lies along the axes, where the path begins with one (8.5.2.1, table 59).
fn rectangle(path: &[Segment]) -> Option<((i64, i64), (i64, i64))> {
    let [Segment::Move([a]), Segment::Line([b]), Segment::Line([c]), Segment::Line([d]), Segment::Close, ..] = path
    else {
        return None;
    };
    let [a, b, c, d] = [a, b, c, d].map(|(x, y)| (hundredths(*x), hundredths(*y)));
    let along = a.1 == b.1 && b.0 == c.0 && c.1 == d.1 && d.0 == a.0;
    along.then_some((a, (b.0 - a.0, c.1 - b.1)))
}
