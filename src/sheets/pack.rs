//! The pack: cover, contents, cautions, the machine at a glance, every other document, glossary, sources, revisions.
//!
//! Each bound document brings its own data and drawings; the drawings are numbered anew so that their files stay apart.

use serde::Serialize;
use serde_json::{Value, json};

use super::cautions::cautions;
use super::common;
use super::sources;
use super::{DocumentKind, Material, Sheet};
use crate::machine::model::{Current, Machine, PartId, PartKind, RectifierForm, Supply};
use crate::words::figures;

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct SupplyLine {
    id: String,
    label: Option<String>,
    gives: String,
    span: String,
    mark: &'static str,
    terminals: String,
    internal: String,
    internal_mark: &'static str,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct FuseLine {
    id: String,
    rating: String,
    carries: String,
    protects: Option<String>,
    location: Option<String>,
    fitted: Option<String>,
    /// Whether what was found is other than what is called for.
    wrong: bool,
}

/// Binds documents that are already composed.
#[must_use]
pub fn compose(material: &Material<'_>, bound: Vec<Sheet>) -> Sheet {
    let mut drawings = Vec::new();
    let mut documents = Vec::new();
    for sheet in bound {
        let mut data = sheet.data;
        if sheet.kind == DocumentKind::PartsList {
            // The pack lists the sources itself, with the same numbers.
            data["body"]["sources"] = json!([]);
        }
        for (path, svg) in sheet.figures {
            let renamed = format!("/fig/{}-{}", sheet.kind.name(), path.trim_start_matches("/fig/"));
            rename_paths(&mut data, &path, &renamed);
            drawings.push((renamed, svg));
        }
        documents.push(data);
    }
    let mut body = body(material);
    let (cards, documents): (Vec<Value>, Vec<Value>) = documents.into_iter().partition(is_cut_out);
    body["documents"] = Value::Array(documents);
    // Cards and labels come last: they leave the pack when they are cut out.
    body["cards"] = Value::Array(cards);
    super::sheet(material, DocumentKind::Pack, body, drawings)
}

/// Whether a document is one that is cut out.
fn is_cut_out(data: &Value) -> bool {
    let kind = data["page"]["kind"].as_str().and_then(DocumentKind::named);
    matches!(kind, Some(DocumentKind::BenchCard | DocumentKind::FuseLabel))
}

/// Whether a pack binds documents of this kind.
#[must_use]
pub fn binds(kind: DocumentKind) -> bool {
    kind != DocumentKind::Pack && DocumentKind::ALL.contains(&kind)
}

/// Replaces a path wherever the data names it.
fn rename_paths(data: &mut Value, from: &str, to: &str) {
    match data {
        Value::String(text) if text == from => *text = to.to_string(),
        Value::Array(items) => items.iter_mut().for_each(|item| rename_paths(item, from, to)),
        Value::Object(fields) => fields.values_mut().for_each(|field| rename_paths(field, from, to)),
        _ => {}
    }
}

fn body(material: &Material<'_>) -> Value {
    let machine = material.machine;
    let words = &material.options.words;
    let count = |wanted: fn(&PartKind) -> bool| machine.parts.iter().filter(|part| wanted(&part.kind)).count();
    json!({
        "facts": words.fill("pack.facts", &[
            ("sequences", &machine.sequences.len().to_string()),
            ("parts", &count(|kind| !matches!(kind, PartKind::Wire(_))).to_string()),
            ("points", &machine.test_points.len().to_string()),
            ("fuses", &count(|kind| matches!(kind, PartKind::Fuse(_))).to_string()),
        ]),
        "meter": common::meter_text(&machine.meter, words),
        "cautions": cautions(material),
        "supplies": supplies(material),
        "fuses": fuses(material),
        "sequences": machine.sequences.iter().map(|sequence| json!({
            "number": sequence.number.to_string(),
            "title": sequence.title,
            "symptom": sequence.symptom,
        })).collect::<Vec<_>>(),
        "notes": machine.notes.iter().filter(|note| note.about.is_none()).map(|note| &note.text).collect::<Vec<_>>(),
        "findings": findings(material),
        "sources": sources::all(machine),
        "revisions": revisions(material),
    })
}

fn supplies(material: &Material<'_>) -> Vec<SupplyLine> {
    material
        .machine
        .parts
        .iter()
        .filter_map(|part| match &part.kind {
            PartKind::Supply(supply) => Some((part, supply)),
            _ => None,
        })
        .map(|(part, supply)| {
            let words = &material.options.words;
            let numerals = words.numerals;
            let (gives, span, mark) = gives(material, supply);
            SupplyLine {
                id: part.id.clone(),
                label: part.label.clone(),
                gives,
                span,
                mark,
                terminals: terminals(material.machine, supply),
                internal: numerals.quantity(supply.internal.nominal),
                internal_mark: common::mark(supply.internal.origin),
                notes: supply_notes(material, supply),
            }
        })
        .collect()
}

/// What a supply gives at its terminals, its healthy span, and where the value comes from: DC as solved behind a rectifier,
/// else what the papers say.
fn gives(material: &Material<'_>, supply: &Supply) -> (String, String, &'static str) {
    let words = &material.options.words;
    let numerals = words.numerals;
    if let Some(found) = common::at_terminals(material, supply) {
        let volts = format!("{} V {}", numerals.volts(found.nominal), common::current(words, Current::Direct));
        let span = figures::span(&numerals.volts(found.low), &format!("{} V", numerals.volts(found.high)));
        return (volts, span, "computed");
    }
    let span = numerals.tolerance_span(supply.rated.low, supply.rated.high);
    (winding(material, supply), span, common::mark(supply.rated.origin))
}

/// The stated volts of a source with their kind and frequency.
fn winding(material: &Material<'_>, supply: &Supply) -> String {
    let words = &material.options.words;
    let volts = words.numerals.quantity(supply.rated.nominal);
    let frequency = supply.frequency.map(|frequency| format!(" {}", words.numerals.quantity(frequency)));
    format!("{volts} {}{}", common::current(words, supply.current), frequency.unwrap_or_default())
}

/// Terminals with the joints they lead to: `+ COM, − N28`.
fn terminals(machine: &Machine, supply: &Supply) -> String {
    supply
        .terminals
        .iter()
        .map(|(name, joint)| {
            let name = if name == "-" { "−" } else { name };
            format!("{name} {}", common::joint_name(machine, *joint))
        })
        .collect::<Vec<_>>()
        .join(", ")
}

fn supply_notes(material: &Material<'_>, supply: &Supply) -> Vec<String> {
    let words = &material.options.words;
    let numerals = words.numerals;
    let mut notes = Vec::new();
    if let Some(rectifier) = &supply.rectifier {
        let form = match rectifier.form {
            RectifierForm::Bridge => "pack.bridge",
            RectifierForm::FullWave => "pack.full-wave",
            RectifierForm::HalfWave => "pack.half-wave",
        };
        let reservoir = rectifier.reservoir.as_ref().map_or_else(
            || words.get("pack.without-reservoir"),
            |own| words.fill("pack.with-reservoir", &[("farads", &numerals.quantity(own.nominal))]),
        );
        notes.push(words.fill(
            "pack.rectified",
            &[("winding", &winding(material, supply)), ("form", &words.get(form)), ("reservoir", &reservoir)],
        ));
    }
    if supply.voltage.nominal > supply.rated.nominal {
        let volts = [supply.voltage.nominal, supply.rated.nominal].map(|volts| numerals.quantity(volts));
        notes.push(words.fill("pack.no-load", &[("open", &volts[0]), ("rated", &volts[1])]));
    }
    if let Some(rating) = supply.rating {
        notes.push(words.fill("pack.rating", &[("rating", &numerals.quantity(rating))]));
    }
    if let Some(maximum) = supply.maximum {
        notes.push(words.fill("pack.at-most", &[("amps", &numerals.quantity(maximum))]));
    }
    notes
}

fn fuses(material: &Material<'_>) -> Vec<FuseLine> {
    let numerals = material.options.words.numerals;
    let machine = material.machine;
    (0..machine.parts.len())
        .map(PartId)
        .filter_map(|id| match &machine.part(id).kind {
            PartKind::Fuse(fuse) => Some(FuseLine {
                id: machine.part(id).id.clone(),
                rating: common::fuse_text(material, fuse),
                carries: greatest_current(material, id)
                    .map_or_else(|| figures::UNKNOWN.into(), |amps| numerals.milliamps(amps)),
                protects: fuse.protects.clone(),
                location: machine.part(id).location.clone(),
                fitted: fuse.fitted.as_ref().map(|fitted| common::fitted_text(material, fitted)),
                wrong: fuse.fitted.as_ref().is_some_and(|fitted| common::is_wrong(fuse, fitted)),
            }),
            _ => None,
        })
        .collect()
}

/// The largest current through a part in any sequence, in amperes; none if it carries nothing that is known.
#[must_use]
pub fn greatest_current(material: &Material<'_>, id: PartId) -> Option<f64> {
    let element = *material.machine.part(id).elements.first()?;
    let currents = material.solution.sequences.iter().map(|solved| solved.currents[element.0].abs());
    currents.filter(|amps| amps.is_finite()).reduce(f64::max)
}

/// What the audit found, the gravest first, each once.
fn findings(material: &Material<'_>) -> Vec<Value> {
    let words = &material.options.words;
    let mut findings: Vec<_> = material.audit.iter().collect();
    findings.sort_by_key(|finding| finding.severity);
    findings
        .into_iter()
        .map(|finding| {
            json!({
                "severity": finding.severity.name(),
                "message": common::sentence(&words.say(&finding.message)),
                "advice": common::sentence(&words.say(&finding.advice)),
                "source": words.say(&finding.source),
            })
        })
        .collect()
}

fn revisions(material: &Material<'_>) -> Vec<Value> {
    let identity = &material.machine.identity;
    let mut lines = Vec::new();
    if !identity.revisions.iter().any(|(number, ..)| *number == identity.revision) {
        lines.push(json!({
            "number": identity.revision.to_string(),
            "date": identity.revised,
            "change": material.options.words.get("pack.this-revision"),
        }));
    }
    lines.extend(
        identity
            .revisions
            .iter()
            .map(|(number, date, change)| json!({ "number": number.to_string(), "date": date, "change": change })),
    );
    lines
}
