//! Widths of text on a drawing, from the fonts that print it.
//!
//! Each letter is measured in the first family that has it, which is the one that prints it. Kerning is left out: it
//! only ever makes a label a little narrower.

use std::sync::OnceLock;

use ttf_parser::Face as Font;

use crate::assets::FONTS;

/// Points of type in a millimetre's terms: 1 pt is 1/72 of an inch.
pub const MM_PER_POINT: f64 = 25.4 / 72.0;

/// Families in the order in which a letter is looked for.
pub const FAMILIES: &str = "'Atkinson Hyperlegible Next', 'IBM Plex Sans Condensed', 'DejaVu Sans'";

/// Weight and slant of a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// Upright.
    Regular,
    /// Heavy, for names and values.
    Bold,
}

/// Ems for a letter that no family has.
const FOREIGN: f64 = 1.0;
/// Letters below this number are looked up once and kept.
const KEPT: u32 = 0x180;
/// Letters above it that stand in almost every label, kept too.
const SIGNS: [char; 5] = ['−', '…', 'Ω', 'μ', '–'];

/// Width of a text in millimetres at a size in points.
#[must_use]
pub fn width(text: &str, face: Face, points: f64) -> f64 {
    let widths = widths(face);
    let ems: f64 = text.chars().map(|letter| widths.of(letter)).sum();
    ems * points * MM_PER_POINT
}

/// Breaks a text into at most `lines` lines no wider than `limit` millimetres where words allow; the last line ends in
/// an ellipsis where something had to go.
#[must_use]
pub fn wrapped(text: &str, face: Face, points: f64, limit: f64, lines: usize) -> Vec<String> {
    let mut broken: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let longer = broken.last().map(|line| format!("{line} {word}"));
        match (longer, broken.last_mut()) {
            (Some(longer), Some(last)) if width(&longer, face, points) <= limit => *last = longer,
            _ => broken.push(word.to_string()),
        }
    }
    let cut_lines = broken.len() > lines;
    broken.truncate(lines);
    let count = broken.len();
    for (index, line) in broken.iter_mut().enumerate() {
        let cut = cut_lines && index + 1 == count;
        if cut || width(line, face, points) > limit {
            *line = shortened(line, face, points, limit, cut);
        }
    }
    broken
}

/// The text with as many letters as fit before an ellipsis.
fn shortened(text: &str, face: Face, points: f64, limit: f64, always: bool) -> String {
    if !always && width(text, face, points) <= limit {
        return text.to_string();
    }
    let mut kept: String = text.to_string();
    while !kept.is_empty() && width(&format!("{kept}…"), face, points) > limit {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}

/// Advance widths of the families, tried in order.
struct Widths {
    kept: Vec<f64>,
    signs: [f64; SIGNS.len()],
    fonts: Vec<Font<'static>>,
}

impl Widths {
    /// Reads the fonts of a weight; the last family has glyphs for almost anything.
    fn read(files: [&str; 3]) -> Self {
        let found = files.into_iter().filter_map(|file| FONTS.iter().find(|asset| asset.path.ends_with(file)));
        let fonts: Vec<Font<'static>> = found.filter_map(|asset| Font::parse(asset.bytes, 0).ok()).collect();
        let kept = (0..KEPT).map(|code| char::from_u32(code).map_or(FOREIGN, |letter| ems(&fonts, letter))).collect();
        let signs = SIGNS.map(|letter| ems(&fonts, letter));
        Self { kept, signs, fonts }
    }

    fn of(&self, letter: char) -> f64 {
        let kept = self.kept.get(letter as usize).copied();
        let sign = || SIGNS.iter().position(|sign| *sign == letter).map(|index| self.signs[index]);
        kept.or_else(sign).unwrap_or_else(|| ems(&self.fonts, letter))
    }
}

/// Width of a letter in the first font that has it.
fn ems(fonts: &[Font<'static>], letter: char) -> f64 {
    let advance = fonts.iter().find_map(|font| {
        let glyph = font.glyph_index(letter)?;
        let advance = font.glyph_hor_advance(glyph)?;
        Some(f64::from(advance) / f64::from(font.units_per_em()))
    });
    advance.unwrap_or(FOREIGN)
}

fn widths(face: Face) -> &'static Widths {
    static REGULAR: OnceLock<Widths> = OnceLock::new();
    static BOLD: OnceLock<Widths> = OnceLock::new();
    let (slot, files) = match face {
        Face::Regular => (&REGULAR, ["HyperlegibleNext-Regular.ttf", "SansCondensed-Regular.ttf", "DejaVuSans.ttf"]),
        Face::Bold => (&BOLD, ["HyperlegibleNext-Bold.ttf", "SansCondensed-Bold.ttf", "DejaVuSans-Bold.ttf"]),
    };
    slot.get_or_init(|| Widths::read(files))
}
