//! Signal-path sheets: for each sequence what must be so before, the drawn path, the order of checks, the roll call.

use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::{Value, json};

use super::common;
use super::{DocumentKind, Material, Sheet};
use crate::circuit::results::Settling;
use crate::machine::model::{Machine, NoteSubject, PartId, PartKind, Sequence, SequenceId};
use crate::spec::units::Amperes;

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct SequenceSheet {
    number: String,
    title: String,
    symptom: Option<String>,
    note: Option<String>,
    acts: String,
    before: Vec<String>,
    alerts: Vec<String>,
    figures: Vec<Value>,
    order: Option<Value>,
    roll: Vec<RollLine>,
    suspects: Vec<Value>,
    alike: Vec<String>,
    unseen: Vec<String>,
    remarks: Vec<String>,
}

/// A part that must be there at all.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct RollLine {
    id: String,
    what: String,
}

/// Composes all sheets.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    let mut drawings = Vec::new();
    let sequences: Vec<SequenceSheet> = (0..material.machine.sequences.len())
        .map(|index| sequence_sheet(material, SequenceId(index), &mut drawings))
        .collect();
    super::sheet(material, DocumentKind::SignalPaths, json!({ "sequences": sequences }), drawings)
}

fn sequence_sheet(material: &Material<'_>, id: SequenceId, drawings: &mut Vec<(String, String)>) -> SequenceSheet {
    let machine = material.machine;
    let sequence = &machine.sequences[id.0];
    let solved = material.solution.sequence(id);
    let _ = drawings;
    SequenceSheet {
        number: sequence.number.to_string(),
        title: sequence.title.clone(),
        symptom: sequence.symptom.clone(),
        note: note(machine, id, sequence),
        acts: common::part_ids(machine, &sequence.acts).join(", "),
        before: before(material, sequence),
        alerts: alerts(material, id),
        figures: Vec::new(),
        order: None,
        roll: Vec::new(),
        suspects: Vec::new(),
        alike: Vec::new(),
        unseen: Vec::new(),
        remarks: solved.remarks.iter().map(|remark| common::remark_text(material, remark)).collect(),
    }
}

/// The description's own words about a sequence.
fn note(machine: &Machine, id: SequenceId, sequence: &Sequence) -> Option<String> {
    let mut notes: Vec<String> = sequence.note.iter().cloned().collect();
    notes.extend(common::notes_about(machine, NoteSubject::Sequence(id)));
    (!notes.is_empty()).then(|| notes.join(" "))
}

/// What must be so before the sequence can work: earlier step, relays, switches, selectors.
fn before(material: &Material<'_>, sequence: &Sequence) -> Vec<String> {
    let machine = material.machine;
    let words = &material.options.words;
    let mut lines = Vec::new();
    if let Some(after) = sequence.after {
        let number = machine.sequences[after.0].number.to_string();
        lines.push(words.fill("signal-paths.after", &[("number", &number)]));
    }
    let kept = kept_in(material, sequence);
    if !kept.is_empty() {
        let relays = words.list(&common::part_ids(machine, &kept));
        lines.push(words.fill("signal-paths.pulled-in", &[("relays", &relays)]));
    }
    let operated: Vec<PartId> = sequence.setting.operated.iter().copied().collect();
    if !operated.is_empty() {
        let switches = words.list(&common::part_ids(machine, &operated));
        lines.push(words.fill("signal-paths.operated", &[("switches", &switches)]));
    }
    lines.extend(sequence.setting.positions.iter().filter_map(|(selector, rings)| {
        let position = position(machine, *selector, rings)?;
        let selector = &machine.part(*selector).id;
        Some(words.fill("signal-paths.position", &[("selector", selector), ("position", &position)]))
    }));
    if lines.is_empty() {
        lines.push(words.get("signal-paths.at-rest"));
    }
    lines
}

/// Relays that are in when the sequence starts: as the earlier one left them.
fn kept_in(material: &Material<'_>, sequence: &Sequence) -> Vec<PartId> {
    sequence
        .after
        .map(|after| material.solution.sequence(after).energised.iter().copied().collect())
        .unwrap_or_default()
}

/// Segments under the wiper, ring by ring: `B, 2`.
fn position(machine: &Machine, selector: PartId, rings: &[Option<usize>]) -> Option<String> {
    let PartKind::Selector(data) = &machine.part(selector).kind else { return None };
    let names: Vec<String> = rings
        .iter()
        .zip(&data.rings)
        .filter_map(|(segment, (_, segments))| segment.and_then(|segment| segments.get(segment).cloned()))
        .collect();
    (!names.is_empty()).then(|| names.join(", "))
}

/// What must not be missed: relays that chatter, fuses that open, papers that contradict the circuit.
fn alerts(material: &Material<'_>, id: SequenceId) -> Vec<String> {
    let machine = material.machine;
    let words = &material.options.words;
    let sequence = &machine.sequences[id.0];
    let solved = material.solution.sequence(id);
    let names = |parts: &mut dyn Iterator<Item = PartId>| {
        let parts: Vec<PartId> = parts.collect();
        if parts.is_empty() {
            words.get("signal-paths.none-in")
        } else {
            words.list(&common::part_ids(machine, &parts))
        }
    };
    let mut alerts = Vec::new();
    if let Settling::Chatters { first, second } = &solved.settling {
        let (first, second) = (names(&mut first.iter().copied()), names(&mut second.iter().copied()));
        alerts.push(words.fill("signal-paths.chatters", &[("first", &first), ("second", &second)]));
    }
    for opened in &solved.opened {
        let current = words.numerals.quantity(Amperes::new(opened.current));
        let fuse = &machine.part(opened.fuse).id;
        alerts.push(words.fill("signal-paths.opened", &[("fuse", fuse), ("current", &current)]));
    }
    let stated: BTreeSet<PartId> = sequence.pulled_in.iter().copied().collect();
    if sequence.states_pulled_in && stated != solved.energised {
        let stated = names(&mut stated.into_iter());
        let computed = names(&mut solved.energised.iter().copied());
        alerts.push(words.fill("signal-paths.manual-says", &[("stated", &stated), ("computed", &computed)]));
    }
    alerts
}
