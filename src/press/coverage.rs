//! Letters that no font has, found before they reach the page.
//!
//! A missing glyph would print as an empty box or, under the archival standard, stop the export. Here it becomes one
//! visible sign, and the caller is told, so that the place in the description can be named.

use std::borrow::Cow;
use std::collections::BTreeSet;

use serde_json::Value;

use super::base::Base;
use crate::sheets::Sheet;

/// What is printed in place of a letter that no font has.
pub const REPLACEMENT: char = '\u{25A1}';

/// A letter that no font has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Uncovered(pub char);

/// A sheet whose every letter can be drawn, and the letters that were replaced.
pub(super) struct Covered<'a> {
    pub(super) sheet: Cow<'a, Sheet>,
    pub(super) missing: Vec<Uncovered>,
}

/// Replaces what cannot be drawn, in the data and in the drawings; nearly always there is nothing to replace, and no copy
/// is made.
pub(super) fn cover<'a>(base: &Base, mut sheet: Cow<'a, Sheet>) -> Covered<'a> {
    let mut missing = BTreeSet::new();
    let figures = sheet.figures.iter().all(|(_, svg)| all_printable(base, svg));
    if !(figures && all_values_printable(base, &sheet.data)) {
        let sheet = sheet.to_mut();
        cover_value(base, &mut sheet.data, &mut missing);
        for (_, svg) in &mut sheet.figures {
            cover_text(base, svg, &mut missing);
        }
    }
    Covered { sheet, missing: missing.into_iter().collect() }
}

fn all_values_printable(base: &Base, value: &Value) -> bool {
    match value {
        Value::String(text) => all_printable(base, text),
        Value::Array(items) => items.iter().all(|item| all_values_printable(base, item)),
        Value::Object(fields) => fields.values().all(|field| all_values_printable(base, field)),
        Value::Null | Value::Bool(_) | Value::Number(_) => true,
    }
}

fn cover_value(base: &Base, value: &mut Value, missing: &mut BTreeSet<Uncovered>) {
    match value {
        Value::String(text) => cover_text(base, text, missing),
        Value::Array(items) => items.iter_mut().for_each(|item| cover_value(base, item, missing)),
        Value::Object(fields) => fields.values_mut().for_each(|field| cover_value(base, field, missing)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// Whether a whole text can be printed; of plain letters every font has all.
fn all_printable(base: &Base, text: &str) -> bool {
    let plain = text.is_ascii() && !text.bytes().any(|byte| byte.is_ascii_control() && byte != b'\n');
    plain || text.chars().all(|letter| printable(base, letter))
}

fn cover_text(base: &Base, text: &mut String, missing: &mut BTreeSet<Uncovered>) {
    if all_printable(base, text) {
        return;
    }
    *text = text
        .chars()
        .map(|letter| {
            if printable(base, letter) {
                return letter;
            }
            missing.insert(Uncovered(letter));
            REPLACEMENT
        })
        .collect();
}

/// Whether a letter can be printed: some font draws it, or it is one that is never drawn.
#[must_use]
pub fn printable(base: &Base, letter: char) -> bool {
    match letter {
        '\n' | '\u{00AD}' | '\u{200B}'..='\u{200D}' | '\u{2060}' => true,
        '\u{E000}'..='\u{F8FF}' | '\u{FEFF}' => false,
        _ if letter.is_control() => false,
        _ => base.draws(letter),
    }
}
