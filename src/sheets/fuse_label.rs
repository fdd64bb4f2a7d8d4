//! Fuse label: goes beside the fuse panel, so that the next hand puts in what is called for.
//!
//! The size of a bank card; as many labels as the fuses need, several to a sheet, printed on one side.

use serde::Serialize;
use serde_json::{Value, json};

use super::bench_card::{breakable, called_for};
use super::cards::{self, CardOptions, CardSize};
use super::common::mark;
use super::{DocumentKind, Material, Sheet};
use crate::machine::model::{Part, PartKind};

/// Letters of a machine's name that leave room for fuses on a label.
const LONGEST_NAME: usize = 60;
/// Letters of a row: four lines of a label.
const LONGEST_ROW: usize = 90;

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    id: String,
    called_for: String,
    protects: String,
    /// Body, breaking capacity, voltage and place, as far as they are known.
    more: String,
    mark: &'static str,
}

/// Composes the label.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::FuseLabel, body(material), Vec::new())
}

/// Data of the label.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let options = CardOptions { hole: false, ..material.options.card };
    let sheet = cards::impose(CardSize::Id1, material.options.paper, &options)
        .unwrap_or_else(|_| cards::bare(CardSize::Id1, &options));
    json!({
        "sheet": sheet,
        "name": short_name(material),
        "fuses": material.machine.parts.iter().flat_map(|part| rows(material, part)).collect::<Vec<_>>(),
    })
}

/// The machine's name, or its short one where the name would fill the label.
fn short_name(material: &Material<'_>) -> String {
    let identity = &material.machine.identity;
    breakable(if identity.name.chars().count() > LONGEST_NAME { &identity.id } else { &identity.name })
}

/// A fuse in one row; long words go on in further rows, so that each row fits a label.
fn rows(material: &Material<'_>, part: &Part) -> Vec<Row> {
    let PartKind::Fuse(fuse) = &part.kind else { return Vec::new() };
    let form: Vec<String> = [
        fuse.body.as_ref().map(|body| body.replace('x', "\u{d7}")),
        fuse.breaking.clone(),
        fuse.voltage.map(|volts| material.options.words.numerals.quantity(volts).replace(' ', "\u{a0}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    let protects = fuse.protects.as_deref().or(part.label.as_deref()).unwrap_or_default();
    let more: Vec<String> = [form.join(" "), part.location.clone().unwrap_or_default()]
        .into_iter()
        .filter(|text| !text.is_empty())
        .collect();
    let row = |protects: &str, more: &str| Row {
        id: breakable(&part.id),
        called_for: called_for(material, fuse),
        protects: breakable(protects),
        more: breakable(more),
        mark: mark(part.origin),
    };
    split(protects, &more.join(" · ")).iter().map(|(protects, more)| row(protects, more)).collect()
}

/// Words that stand in the same row; where they are too long for one, first what is protected, then the rest.
fn split(protects: &str, more: &str) -> Vec<(String, String)> {
    if protects.chars().count() + more.chars().count() <= LONGEST_ROW {
        return vec![(protects.to_string(), more.to_string())];
    }
    let first = pieces(protects).into_iter().map(|piece| (piece, String::new()));
    first.chain(pieces(more).into_iter().map(|piece| (String::new(), piece))).collect()
}

/// A text in pieces that fit a row, broken between words where there are any.
fn pieces(text: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let letters: Vec<char> = word.chars().collect();
        for part in letters.chunks(LONGEST_ROW) {
            let part: String = part.iter().collect();
            match pieces.last_mut() {
                Some(last) if last.chars().count() + 1 + part.chars().count() <= LONGEST_ROW => {
                    last.push(' ');
                    last.push_str(&part);
                }
                _ => pieces.push(part),
            }
        }
    }
    pieces
}
