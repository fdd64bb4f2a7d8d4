//! `solve`: what every test point reads and every device gets, as a table or as JSON.
//!
//! With faults, the readings are those of the faulty machine, and there are no bands: a band is a promise about healthy
//! machines only. Numbers in the JSON are those that the pages print, rounded by the same rule.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use serde_json::{Value, json};

use super::answer::{Answer, Complaint, Ending};
use super::args::{Format, SolveArguments};
use super::table::{self, Side};
use super::terminal::Terminal;
use super::{faults, source};
use crate::circuit::results::{Band, Certainty, DeviceReading, Reading, Remark, SequenceSolution, Settling};
use crate::circuit::{Change, Effort, Outcome, Solution, Solver};
use crate::fact;
use crate::machine::model::{Current, Law, Machine, PartId, PartKind, SequenceId};
use crate::spec::units::significant;
use crate::words::figures::{rounded_amps, rounded_volts};
use crate::words::{Value as Said, Words};

/// One sequence as it is reported.
struct Report {
    sequence: SequenceId,
    /// How the relays came to rest, and the states between which they go or in one of which they end.
    settling: (&'static str, Vec<Vec<String>>),
    /// Limits of the numbers, each with its part; none for a machine with a fault.
    remarks: Vec<(&'static str, String)>,
    /// Fuses that opened, with the current that opened them.
    opened: Vec<(String, f64)>,
    readings: Vec<ReadingRow>,
    devices: Vec<DeviceRow>,
}

impl Report {
    fn is_settled(&self) -> bool {
        self.settling.1.is_empty()
    }
}

fn settling(machine: &Machine, settling: &Settling) -> (&'static str, Vec<Vec<String>>) {
    let ids = |state: &BTreeSet<PartId>| state.iter().map(|part| machine.part(*part).id.clone()).collect();
    (settling.name(), settling.states().into_iter().map(ids).collect())
}

struct ReadingRow {
    at: String,
    against: String,
    current: Current,
    nominal: f64,
    /// In each state in which restless relays may be found, where that matters.
    outcomes: Vec<f64>,
    band: Option<Band>,
    ripple: Option<f64>,
    rms: Option<f64>,
    /// Whether nothing but the meter holds the point.
    floating: bool,
}

impl ReadingRow {
    /// Volts for a report; none where the point floats.
    fn held(&self, volts: f64) -> Option<f64> {
        (!self.floating).then(|| rounded_volts(volts))
    }
}

struct DeviceRow {
    id: String,
    volts: f64,
    amps: f64,
    /// Lowest and highest volts of healthy machines.
    span: Option<[f64; 2]>,
    operates: Option<bool>,
    operates_at_worst: Option<bool>,
}

/// Solves a machine and reports.
#[must_use]
pub fn run(arguments: &SolveArguments, terminal: Terminal) -> Answer {
    let words = match arguments.language.words(&arguments.spec) {
        Ok(words) => words,
        Err(complaint) => return complaint.into(),
    };
    let source = match source::open(&arguments.spec, terminal) {
        Ok(source) => source,
        Err(answer) => return *answer,
    };
    match reports(&source.opened.machine, arguments) {
        Ok(reports) => {
            let machine = &source.opened.machine;
            let output = match arguments.format.format {
                Format::Text => text(machine, &reports, !arguments.fault.is_empty(), &words),
                Format::Json => table::json(&to_json(machine, &reports)),
            };
            let messages = source.opened.warnings.render(&source.opened.sources, terminal.colour);
            let ending = if reports.iter().all(Report::is_settled) { Ending::Fine } else { Ending::Findings };
            Answer { output, messages, ending }
        }
        Err(complaint) => complaint.into(),
    }
}

fn reports(machine: &Machine, arguments: &SolveArguments) -> Result<Vec<Report>, Complaint> {
    let wanted = sequences(machine, arguments.sequence)?;
    let changes = faults::read(machine, &arguments.fault)?;
    let solver = Solver::new(machine).map_err(|error| Complaint::new(error.describe(machine)))?;
    if changes.is_empty() {
        let solution = solver.solve(Effort::Bands);
        return Ok(wanted.into_iter().map(|id| healthy(machine, solution.sequence(id))).collect());
    }
    let solution = solver.solve(Effort::Nominal);
    wanted.into_iter().map(|id| faulty(machine, &solver, &solution, id, &changes)).collect()
}

/// The sequence that was asked for, else all.
fn sequences(machine: &Machine, number: Option<i64>) -> Result<Vec<SequenceId>, Complaint> {
    let Some(number) = number else { return Ok((0..machine.sequences.len()).map(SequenceId).collect()) };
    if let Some(id) = machine.sequence_numbered(number) {
        return Ok(vec![id]);
    }
    let known: Vec<String> = machine.sequences.iter().map(|sequence| sequence.number.to_string()).collect();
    Err(Complaint::new(format!("there is no sequence {number}")).hint(format!("sequences: {}", known.join(", "))))
}

fn healthy(machine: &Machine, solved: &SequenceSolution) -> Report {
    Report {
        sequence: solved.sequence,
        settling: settling(machine, &solved.settling),
        remarks: solved
            .remarks
            .iter()
            .map(Remark::name)
            .map(|(name, part)| (name, machine.part(part).id.clone()))
            .collect(),
        opened: solved.opened.iter().map(|fuse| (machine.part(fuse.fuse).id.clone(), fuse.current)).collect(),
        readings: solved.readings.iter().map(|reading| reading_row(machine, reading)).collect(),
        devices: solved.devices.iter().map(|device| device_row(machine, device)).collect(),
    }
}

fn reading_row(machine: &Machine, reading: &Reading) -> ReadingRow {
    ReadingRow {
        at: machine.test_points[reading.at.0].id.clone(),
        against: machine.joint(reading.against).name.clone(),
        current: reading.quantity,
        nominal: reading.nominal,
        outcomes: reading.outcomes.clone(),
        band: Some(reading.band),
        ripple: reading.ripple,
        rms: reading.rms,
        floating: reading.floating,
    }
}

fn device_row(machine: &Machine, device: &DeviceReading) -> DeviceRow {
    let part = machine.part(device.part);
    let reset = matches!(machine.element(device.element).law, Law::ResetWinding);
    DeviceRow {
        id: if reset { format!("{}:B1-B2", part.id) } else { part.id.clone() },
        volts: device.volts,
        amps: device.amps,
        span: device.band.map(|band| [band.low, band.high]),
        operates: device.operates,
        operates_at_worst: device.operates_at_worst,
    }
}

fn faulty(
    machine: &Machine,
    solver: &Solver<'_>,
    solution: &Solution,
    id: SequenceId,
    changes: &[Change],
) -> Result<Report, Complaint> {
    let outcome = solver.faulted(solution, id, changes);
    if let Some(error) = &outcome.refused {
        return Err(Complaint::new(error.describe(machine)));
    }
    Ok(Report {
        sequence: id,
        settling: settling(machine, &outcome.settling),
        remarks: Vec::new(),
        opened: outcome.opened.iter().map(|fuse| (machine.part(fuse.fuse).id.clone(), fuse.current)).collect(),
        readings: machine
            .test_points
            .iter()
            .zip(&outcome.readings)
            .map(|(point, reading)| ReadingRow {
                at: point.id.clone(),
                against: machine.joint(point.reference).name.clone(),
                current: reading.quantity,
                nominal: reading.volts,
                outcomes: Vec::new(),
                band: None,
                ripple: None,
                rms: None,
                floating: outcome.joints[point.joint.0].floating != outcome.joints[point.reference.0].floating,
            })
            .collect(),
        devices: faulty_devices(machine, solution.sequence(id), &outcome),
    })
}

/// Devices of the faulty machine: volts from the joints at both ends, amps from the elements.
fn faulty_devices(machine: &Machine, solved: &SequenceSolution, outcome: &Outcome) -> Vec<DeviceRow> {
    solved
        .devices
        .iter()
        .map(|device| {
            let element = machine.element(device.element);
            let (from, to) = (outcome.joints[element.from.0], outcome.joints[element.to.0]);
            let alternating = (from.real - to.real).hypot(from.imaginary - to.imaginary);
            let direct = from.direct - to.direct;
            let volts = if alternating > direct.abs() { alternating } else { direct };
            let operates = match machine.part(device.part).kind {
                PartKind::Relay(_)
                | PartKind::Solenoid(_)
                | PartKind::Motor(_)
                | PartKind::Lamp(_)
                | PartKind::Speaker(_) => outcome.operates[device.part.0],
                _ => None,
            };
            let amps = outcome.currents[device.element.0];
            DeviceRow { operates, operates_at_worst: None, span: None, volts, amps, ..device_row(machine, device) }
        })
        .collect()
}

/// The documented report; its shape is stable.
fn to_json(machine: &Machine, reports: &[Report]) -> Value {
    json!({
        "machine": machine.identity.id,
        "sequences": reports.iter().map(|report| sequence_json(machine, report)).collect::<Vec<_>>(),
    })
}

fn sequence_json(machine: &Machine, report: &Report) -> Value {
    let sequence = &machine.sequences[report.sequence.0];
    json!({
        "number": sequence.number,
        "title": sequence.title,
        "settled": report.is_settled(),
        "relays": json!({ "how": report.settling.0, "states": report.settling.1 }),
        "remarks": report.remarks.iter().map(|(name, part)| json!({ "what": name, "part": part })).collect::<Vec<_>>(),
        "opened": report.opened.iter().map(|(id, amps)| json!({ "id": id, "amps": rounded_amps(*amps) })).collect::<Vec<_>>(),
        "readings": report.readings.iter().map(|row| json!({
            "at": row.at,
            "against": row.against,
            "quantity": quantity(row.current),
            "nominal": row.held(row.nominal),
            "outcomes": row.outcomes.iter().map(|volts| rounded_volts(*volts)).collect::<Vec<_>>(),
            "min": row.band.and_then(|band| row.held(band.low)),
            "max": row.band.and_then(|band| row.held(band.high)),
            "certainty": row.band.map(|band| band.certainty.name()),
            "floats": row.floating,
            "ripple": row.ripple.map(rounded_volts),
            "rms": row.rms.map(rounded_volts),
            "unit": "V",
        })).collect::<Vec<_>>(),
        "devices": report.devices.iter().map(|row| json!({
            "id": row.id,
            "volts": rounded_volts(row.volts),
            "amps": rounded_amps(row.amps),
            "min": row.span.map(|span| rounded_volts(span[0])),
            "max": row.span.map(|span| rounded_volts(span[1])),
            "operates": row.operates,
            "operates-at-worst": row.operates_at_worst,
        })).collect::<Vec<_>>(),
    })
}

fn quantity(current: Current) -> &'static str {
    match current {
        Current::Direct => "dc",
        Current::Alternating => "ac",
    }
}

fn text(machine: &Machine, reports: &[Report], faulty: bool, words: &Words) -> String {
    let identity = &machine.identity;
    let head = fact!("solve.head", machine = &identity.name, revision = identity.revision);
    let sequences = reports.iter().map(|report| sequence_text(machine, report, faulty, words));
    std::iter::once(words.say(&head) + "\n").chain(sequences).collect()
}

fn sequence_text(machine: &Machine, report: &Report, faulty: bool, words: &Words) -> String {
    let sequence = &machine.sequences[report.sequence.0];
    let head = fact!("solve.sequence", number = sequence.number, title = &sequence.title);
    let mut text = format!("\n{}\n", words.say(&head));
    let (how, states) = &report.settling;
    if !report.is_settled() {
        let stand = |state: &Vec<String>| if state.is_empty() { "-".into() } else { state.join(" + ") };
        let states: Vec<String> = states.iter().map(stand).collect();
        let key = if *how == "races" { "solve.races" } else { "solve.restless" };
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {}: {}", words.get(key), states.join(" / "));
    }
    for (id, amps) in &report.opened {
        let current = Said::figure(format!("{} A", significant(*amps, 3)));
        let _ = writeln!(text, "  {}", words.say(&fact!("solve.opens", fuse = id, current = current)));
    }
    text.push_str(&readings_text(&report.readings, faulty, words));
    text.push_str(&limits_text(report, words));
    text.push('\n');
    text.push_str(&devices_text(&report.devices, words));
    text
}

/// Heads of a table from the last parts of their keys.
fn render(head: &[(&str, Side)], rows: &[Vec<String>], words: &Words) -> String {
    let said = |name: &str| if name.is_empty() { String::new() } else { words.get(&format!("solve.{name}")) };
    let names: Vec<String> = head.iter().map(|(name, _)| said(name)).collect();
    let head: Vec<(&str, Side)> = names.iter().map(String::as_str).zip(head.iter().map(|(_, side)| *side)).collect();
    table::render(&head, rows)
}

/// What `~` means where it stands, and the limits of the numbers.
fn limits_text(report: &Report, words: &Words) -> String {
    let mut text = String::new();
    let searched = |row: &ReadingRow| row.band.is_some_and(|band| band.certainty == Certainty::Searched);
    if report.readings.iter().any(|row| searched(row) && !row.floating) {
        let _ = writeln!(text, "  {}", words.get("test-points.searched"));
    }
    for (name, part) in &report.remarks {
        let _ = writeln!(text, "  {}", words.fill(&format!("remarks.{name}"), &[("part", part)]));
    }
    text
}

fn readings_text(rows: &[ReadingRow], faulty: bool, words: &Words) -> String {
    let numerals = words.numerals;
    let mut head =
        vec![("red-lead", Side::Left), ("black-lead", Side::Left), ("reads", Side::Right), ("unit", Side::Left)];
    if !faulty {
        head.extend([("lowest", Side::Right), ("highest", Side::Right)]);
    }
    let cells = rows
        .iter()
        .map(|row| {
            let unit = words.get(&format!("solve.volts-{}", quantity(row.current)));
            let mut cells = vec![row.at.clone(), row.against.clone(), String::new(), unit];
            cells[2] = if row.floating {
                words.get("test-points.floats")
            } else {
                numerals.either_volts(row.nominal, &row.outcomes)
            };
            if row.band.is_some() && row.floating {
                cells.extend([String::new(), String::new()]);
            } else if let Some(band) = row.band {
                let sign = if band.certainty == Certainty::Searched { "~" } else { "" };
                cells.extend([numerals.volts(band.low), format!("{}{sign}", numerals.volts(band.high))]);
            }
            cells
        })
        .collect::<Vec<_>>();
    render(&head, &cells, words)
}

fn devices_text(rows: &[DeviceRow], words: &Words) -> String {
    let numerals = words.numerals;
    let cells = rows
        .iter()
        .map(|row| {
            let does = match row.operates {
                Some(true) => words.get("solve.operates"),
                Some(false) => words.get("solve.rests"),
                None => String::new(),
            };
            vec![row.id.clone(), numerals.volts(row.volts), numerals.milliamps(row.amps), does]
        })
        .collect::<Vec<_>>();
    let head = [("device", Side::Left), ("volts", Side::Right), ("milliamps", Side::Right), ("", Side::Left)];
    render(&head, &cells, words)
}
