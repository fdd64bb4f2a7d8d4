//! Signal-path sheets: for each sequence what must be so before, the drawn path, the order of checks, the roll call.

use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::{Value, json};

use super::check_order::{self, OrderText};
use super::common;
use super::{DocumentKind, Material, Paper, Sheet};
use crate::circuit::path;
use crate::circuit::results::Settling;
use crate::drawing::{self, Drawing, FaultProfile, Style, SymbolStyle};
use crate::faults::describe;
use crate::faults::findings::{SequenceFindings, Suspect};
use crate::machine::model::{Machine, NoteSubject, PartId, PartKind, Sequence, SequenceId};
use crate::spec::units::Amperes;
use crate::words::Fact;

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct SequenceSheet {
    number: String,
    title: String,
    /// The title in one line, for the head of further pages.
    short_title: String,
    symptom: Option<String>,
    note: Option<String>,
    acts: String,
    before: Vec<String>,
    alerts: Vec<String>,
    figures: Vec<Value>,
    order: Option<OrderText>,
    roll: Vec<RollLine>,
    suspects: Option<Suspects>,
    alike: Vec<String>,
    cleared: Vec<String>,
    remarks: Vec<String>,
    findings: Vec<String>,
}

/// Who is suspected when this sequence fails and earlier ones work.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Suspects {
    works: String,
    faults: String,
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
    let all: Vec<SequenceId> = (0..material.machine.sequences.len()).map(SequenceId).collect();
    let sequences = sheets(material, &all, &mut drawings);
    let legend = legend(material, &mut drawings);
    let body =
        json!({ "sequences": sequences, "legend": legend, "cases": cases(material), "unseen": unseen(material) });
    super::sheet(material, DocumentKind::SignalPaths, body, drawings)
}

/// The sheets of some sequences as data; their drawings are put with the others.
#[must_use]
pub(super) fn sheets(
    material: &Material<'_>,
    sequences: &[SequenceId],
    drawings: &mut Vec<(String, String)>,
) -> Vec<Value> {
    sequences.iter().map(|&id| json!(sequence_sheet(material, id, drawings))).collect()
}

/// The symbols that the paths use, if they need an explanation.
#[must_use]
pub(super) fn legend(material: &Material<'_>, drawings: &mut Vec<(String, String)>) -> Option<Value> {
    drawing::legend(material.machine, &style(material)).map(|drawn| figure(drawn, drawings))
}

/// Patterns of sequences that fail together, likeliest first.
fn cases(material: &Material<'_>) -> Vec<Value> {
    /// Least share that is worth a line.
    const LEAST: f64 = 0.005;
    let numerals = material.options.words.numerals;
    let cases = material.findings.map(|findings| findings.cases.iter()).into_iter().flatten();
    cases
        .filter(|case| case.share >= LEAST)
        .map(|case| {
            json!({
                "fails": common::number_ranges(&case.fails),
                "works": common::number_ranges(&case.works),
                "share": numerals.fixed(case.share * 100.0, 0),
                "suspects": suspect_list(material, &case.suspects),
            })
        })
        .collect()
}

/// Faults that neither a reading nor a sequence shows, alike ones together, with what finds them.
fn unseen(material: &Material<'_>) -> Vec<String> {
    let words = &material.options.words;
    let Some(findings) = material.findings else { return Vec::new() };
    let mut groups: Vec<((Fact, Fact), Vec<String>)> = Vec::new();
    for unseen in &findings.unseen {
        let fault = &findings.dictionary.faults[unseen.fault];
        let key = (fault.kind.said(), describe::usual_alone(unseen.check));
        let part = material.machine.part(fault.part);
        let name = match fault.element {
            Some(element) if part.group.is_none() && !fault.kind.is_mechanical() => {
                material.machine.element(element).name.clone()
            }
            _ => common::group_name(part),
        };
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, names)) if names.contains(&name) => {}
            Some((_, names)) => names.push(name),
            None => groups.push((key, vec![name])),
        }
    }
    groups
        .into_iter()
        .map(|((fault, check), names)| {
            let (fault, check) = (common::sentence(&words.say(&fault)), words.say(&check));
            let parts = names.join(", ");
            words.fill("signal-paths.unseen-by", &[("fault", &fault), ("check", &check), ("parts", &parts)])
        })
        .collect()
}

/// The likeliest suspects with their shares; what is left over is counted.
fn suspect_list(material: &Material<'_>, suspects: &[Suspect]) -> String {
    /// More names than this are not read at a bench.
    const MOST: usize = 8;
    let named: Vec<String> =
        suspects.iter().take(MOST).map(|suspect| check_order::suspect(material, suspect)).collect();
    let rest = suspects.len().saturating_sub(MOST);
    if rest == 0 {
        named.join(", ")
    } else {
        let more = material.options.words.fill("signal-paths.more-suspects", &[("count", &rest.to_string())]);
        format!("{}, {more}", named.join(", "))
    }
}

fn suspects(material: &Material<'_>, found: &SequenceFindings) -> Option<Suspects> {
    (!found.suspects.is_empty()).then(|| Suspects {
        works: if found.earlier.is_empty() {
            material.options.words.get("signal-paths.none-in")
        } else {
            common::number_ranges(&found.earlier)
        },
        faults: suspect_list(material, &found.suspects),
    })
}

/// Groups of places that no voltage tells apart, each with the check that parts them.
fn look_alikes(material: &Material<'_>, found: &SequenceFindings) -> Vec<String> {
    let words = &material.options.words;
    found
        .look_alikes
        .iter()
        .map(|group| {
            let places: Vec<String> = group.places.iter().map(|place| check_order::said(material, place)).collect();
            let faults = words.list(&places);
            match &group.parted_by {
                Some(parted) => {
                    let check = check_order::check(material, found.sequence, parted.kind);
                    let minutes = words.numerals.three_figures(parted.minutes);
                    words.fill(
                        "signal-paths.alike-parted",
                        &[("faults", &faults), ("check", &check), ("minutes", &minutes)],
                    )
                }
                None => words.fill("signal-paths.alike-one", &[("faults", &faults)]),
            }
        })
        .collect()
}

/// Places on the drawn path that working sequences clear.
fn cleared(material: &Material<'_>, found: &SequenceFindings) -> Vec<String> {
    let words = &material.options.words;
    let machine = material.machine;
    let needed = path::needed_parts(machine, material.solution, found.sequence);
    let on_path = |part: PartId| machine.declared_with(part).iter().any(|other| needed.contains(other));
    let mut by: Vec<(String, Vec<String>)> = Vec::new();
    for cleared in &found.cleared {
        if !on_path(cleared.part) {
            continue;
        }
        let numbers = common::number_ranges(&cleared.by);
        let place = check_order::said(material, &cleared.place);
        match by.iter_mut().find(|(known, _)| *known == numbers) {
            Some((_, places)) => places.push(place),
            None => by.push((numbers, vec![place])),
        }
    }
    by.iter()
        .map(|(numbers, places)| {
            words.fill("signal-paths.cleared-one", &[("place", &places.join(", ")), ("numbers", numbers)])
        })
        .collect()
}

fn sequence_sheet(material: &Material<'_>, id: SequenceId, drawings: &mut Vec<(String, String)>) -> SequenceSheet {
    let machine = material.machine;
    let sequence = &machine.sequences[id.0];
    let solved = material.solution.sequence(id);
    let found = material.findings.and_then(|findings| findings.sequences.get(id.0));
    let figures = figures(material, id, found, drawings);
    let mut alerts = alerts(material, id);
    if figures.is_empty() {
        alerts.push(material.options.words.get("signal-paths.no-path"));
    }
    SequenceSheet {
        number: sequence.number.to_string(),
        title: sequence.title.clone(),
        short_title: super::shortened(&sequence.title, 90),
        symptom: sequence.symptom.clone(),
        note: note(machine, id, sequence),
        acts: common::part_ids(machine, &sequence.acts).join(", "),
        before: before(material, sequence),
        alerts,
        figures,
        order: found.and_then(|found| check_order::order_text(material, found)),
        roll: roll(material, id),
        suspects: found.and_then(|found| suspects(material, found)),
        alike: found.map(|found| look_alikes(material, found)).unwrap_or_default(),
        cleared: found.map(|found| cleared(material, found)).unwrap_or_default(),
        findings: common::findings_of_sequence(material, id),
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
    if let Settling::Races { outcomes } = &solved.settling {
        let outcomes: Vec<String> = outcomes.iter().map(|parts| names(&mut parts.iter().copied())).collect();
        let first = outcomes.first().cloned().unwrap_or_default();
        alerts.push(words.fill("signal-paths.races", &[("outcomes", &outcomes.join(" / ")), ("first", &first)]));
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

/// Width of the drawings on a sheet across, in millimetres.
fn drawing_width(paper: Paper) -> f64 {
    /// Margins left and right.
    const MARGINS: f64 = 34.0;
    paper.size().1 - MARGINS
}

/// Draws the paths of a sequence; the drawings get names of their own in the order of the document.
fn figures(
    material: &Material<'_>,
    id: SequenceId,
    found: Option<&SequenceFindings>,
    drawings: &mut Vec<(String, String)>,
) -> Vec<Value> {
    let profiles: Vec<FaultProfile> = found
        .map(|found| found.profiles.iter())
        .into_iter()
        .flatten()
        .map(|profile| FaultProfile {
            label: check_order::said(material, &profile.label),
            volts: profile.volts.iter().map(|volts| Some(*volts).filter(|volts| volts.is_finite())).collect(),
        })
        .collect();
    drawing::path_sheets(material.machine, material.solution, id, &style(material), &profiles)
        .into_iter()
        .map(|drawn| figure(drawn, drawings))
        .collect()
}

/// How the paths are drawn.
fn style<'a>(material: &Material<'a>) -> Style<'a> {
    /// Height that leaves room for the head of a sheet, in millimetres.
    const HEIGHT: f64 = 145.0;
    Style {
        symbols: if material.options.north_american { SymbolStyle::NorthAmerican } else { SymbolStyle::Iec },
        width: drawing_width(material.options.paper),
        height: HEIGHT,
        shelf: false,
        words: &material.options.words,
    }
}

/// Puts a drawing with the others of its document; the data names its file, its size, and what it shows.
pub(super) fn figure(drawn: Drawing, drawings: &mut Vec<(String, String)>) -> Value {
    let path = format!("/fig/{}.svg", drawings.len() + 1);
    drawings.push((path.clone(), drawn.svg));
    json!({ "path": path, "alt": drawn.alt, "width": drawn.width, "height": drawn.height, "labels": drawn.labels })
}

/// The roll call of a sequence: every part of its paths once, a series group in one line.
fn roll(material: &Material<'_>, id: SequenceId) -> Vec<RollLine> {
    let mut lines: Vec<RollLine> = Vec::new();
    let parts = path::needed_parts(material.machine, material.solution, id);
    for &part in &parts {
        let together = material.machine.declared_with(part).iter().all(|other| parts.contains(other));
        let line = roll_line(material, part, together);
        if !lines.iter().any(|known| known.id == line.id) {
            lines.push(line);
        }
    }
    lines
}

/// A part of the roll call: what it is, where it sits, between which wires.
fn roll_line(material: &Material<'_>, id: PartId, together: bool) -> RollLine {
    let machine = material.machine;
    let part = machine.part(id);
    let mut what: Vec<String> = Vec::new();
    what.extend(common::rating(material, part));
    what.extend(part.label.clone());
    what.extend(part.location.clone());
    what.extend(between_wires(material, id));
    let id = if together { common::group_name(part) } else { part.id.clone() };
    RollLine { id, what: what.join(", ") }
}

/// The wires between which a small part with two ends is soldered.
fn between_wires(material: &Material<'_>, id: PartId) -> Option<String> {
    let machine = material.machine;
    let part = machine.part(id);
    let &[element] = part.elements.as_slice() else { return None };
    let element = machine.element(element);
    let end = |joint| {
        let wires = common::wires_at(machine, joint);
        if wires.is_empty() {
            Some(&machine.joint(joint)).filter(|joint| joint.named).map(|joint| joint.name.clone())
        } else {
            Some(wires.join(" "))
        }
    };
    let values = (end(element.from)?, end(element.to)?);
    Some(material.options.words.fill("signal-paths.between", &[("from", &values.0), ("to", &values.1)]))
}
