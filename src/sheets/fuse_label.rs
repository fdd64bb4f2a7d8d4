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

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    id: String,
    called_for: String,
    /// Body, breaking capacity and voltage, as far as they are known.
    form: String,
    protects: Option<String>,
    location: Option<String>,
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
        "name": breakable(&material.machine.identity.name),
        "fuses": material.machine.parts.iter().filter_map(|part| row(material, part)).collect::<Vec<_>>(),
    })
}

fn row(material: &Material<'_>, part: &Part) -> Option<Row> {
    let PartKind::Fuse(fuse) = &part.kind else { return None };
    let form: Vec<String> = [
        fuse.body.as_ref().map(|body| breakable(&body.replace('x', "\u{d7}"))),
        fuse.breaking.as_deref().map(breakable),
        fuse.voltage.map(|volts| material.options.words.numerals.quantity(volts).replace(' ', "\u{a0}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    Some(Row {
        id: breakable(&part.id),
        called_for: called_for(material, fuse),
        form: form.join(" "),
        protects: fuse.protects.as_deref().or(part.label.as_deref()).map(breakable),
        location: part.location.as_deref().map(breakable),
        mark: mark(part.origin),
    })
}
