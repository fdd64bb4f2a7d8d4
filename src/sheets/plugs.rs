//! Plug and pin table: for each pin the wires on both sides, where they come from and go to, and what a probe reads there.
//!
//! A pin is read as the run through it is walked: backwards to the nearest part for `from`, forwards for `to`. Readings are
//! those of the test point at the pin where there is one, else the voltage of its joint, in sequences in which it carries
//! current.

use serde::Serialize;
use serde_json::{Value, json};

use super::common;
use super::{DocumentKind, Material, Sheet};
use crate::machine::model::{
    Current, ElementId, JointId, Machine, NoteSubject, PartId, PartKind, Plug, RunStep, SequenceId, TestPointId,
};

/// More readings than this are not printed beside a pin: the test-point table has them all.
const MOST_READINGS: usize = 3;

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct PlugData {
    id: String,
    label: Option<String>,
    location: Option<String>,
    pattern: Option<String>,
    ways: Option<String>,
    pins: Vec<Pin>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Pin {
    name: String,
    wire_in: Option<String>,
    wire_out: Option<String>,
    from: String,
    to: String,
    test_point: Option<String>,
    readings: Vec<PinReading>,
    more: bool,
    serves: String,
}

#[derive(Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
struct PinReading {
    reads: String,
    current: String,
    /// Where the black lead goes, where it is not the machine's reference.
    black: Option<String>,
    sequences: String,
}

/// Composes the table.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::PlugTable, body(material), Vec::new())
}

/// Data of the table.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let machine = material.machine;
    let islands: Vec<Vec<usize>> =
        (0..machine.sequences.len()).map(|index| common::islands(material, SequenceId(index))).collect();
    let plugs: Vec<PlugData> = (0..machine.parts.len())
        .map(PartId)
        .filter_map(|id| match &machine.part(id).kind {
            PartKind::Plug(plug) => Some(plug_data(material, &islands, id, plug)),
            _ => None,
        })
        .collect();
    json!({
        "reference": common::joint_name(machine, machine.reference),
        "plugs": plugs,
        "colours": colours(material),
    })
}

fn plug_data(material: &Material<'_>, islands: &[Vec<usize>], id: PartId, plug: &Plug) -> PlugData {
    let part = material.machine.part(id);
    let mut pins: Vec<&(String, ElementId)> = plug.pins.iter().collect();
    pins.sort_by_key(|pin| pin_order(&pin.0));
    PlugData {
        id: part.id.clone(),
        label: part.label.clone(),
        location: part.location.clone(),
        pattern: plug.pattern.clone(),
        ways: plug.ways.map(|ways| ways.to_string()),
        pins: pins.into_iter().map(|(name, element)| pin(material, islands, name, *element)).collect(),
        notes: common::notes_about(material.machine, NoteSubject::Part(id)),
    }
}

/// Pins with numbers in the order of their numbers, the others by name behind them.
fn pin_order(name: &str) -> (u8, u64, String) {
    name.parse().map_or_else(|_| (1, 0, name.to_string()), |number| (0, number, String::new()))
}

fn pin(material: &Material<'_>, islands: &[Vec<usize>], name: &str, id: ElementId) -> Pin {
    let machine = material.machine;
    let element = machine.element(id);
    let (before, after) = surroundings(machine, id);
    let point = test_point_at(machine, element.from).or_else(|| test_point_at(machine, element.to));
    let serves = common::carrying(material, id);
    let mut readings = pin_readings(material, islands, (element.from, point), &serves);
    let more = readings.len() > MOST_READINGS;
    readings.truncate(MOST_READINGS);
    Pin {
        name: name.to_string(),
        wire_in: before.wire,
        wire_out: after.wire,
        from: before.thing,
        to: after.thing,
        test_point: point.map(|point| machine.test_points[point.0].id.clone()),
        readings,
        more,
        serves: common::sequence_numbers(machine, &serves),
    }
}

fn test_point_at(machine: &Machine, joint: JointId) -> Option<TestPointId> {
    machine.test_points.iter().position(|point| point.joint == joint).map(TestPointId)
}

/// What lies on one side of a pin: its wire, and the first thing beyond that is not a wire.
#[derive(Debug, Default)]
struct Side {
    /// Its number, with its colour where that is known.
    wire: Option<String>,
    thing: String,
}

/// Both sides of a pin in the run through it.
fn surroundings(machine: &Machine, pin: ElementId) -> (Side, Side) {
    for run in &machine.runs {
        let at = run.steps.iter().position(|step| matches!(step, RunStep::Element { element, .. } if *element == pin));
        if let Some(at) = at {
            return (side(machine, run.steps[..at].iter().rev()), side(machine, run.steps[at + 1..].iter()));
        }
    }
    (Side::default(), Side::default())
}

/// Walks away from a pin: over joints that nobody named and over wires, to a named joint or another part.
fn side<'a>(machine: &Machine, steps: impl Iterator<Item = &'a RunStep>) -> Side {
    let mut side = Side::default();
    for step in steps {
        match step {
            RunStep::Joint(joint) if machine.joint(*joint).named => {
                side.thing.clone_from(&machine.joint(*joint).name);
                break;
            }
            RunStep::Joint(_) => {}
            RunStep::Element { element, .. } => {
                let element = machine.element(*element);
                let part = machine.part(element.part);
                if let PartKind::Wire(wire) = &part.kind {
                    let colour = common::wire_colour(wire);
                    let said = || colour.map_or_else(|| part.id.clone(), |colour| format!("{} {colour}", part.id));
                    side.wire = Some(side.wire.unwrap_or_else(said));
                } else {
                    side.thing.clone_from(&element.name);
                    break;
                }
            }
        }
    }
    side
}

/// Readings at a pin in the sequences that it serves, equal ones put together.
fn pin_readings(
    material: &Material<'_>,
    islands: &[Vec<usize>],
    at: (JointId, Option<TestPointId>),
    serves: &[SequenceId],
) -> Vec<PinReading> {
    let mut rows: Vec<(Row, Vec<SequenceId>)> = Vec::new();
    for &sequence in serves {
        for row in reads(material, &islands[sequence.0], at, sequence) {
            match rows.iter_mut().find(|(known, _)| *known == row) {
                Some((_, sequences)) => sequences.push(sequence),
                None => rows.push((row, vec![sequence])),
            }
        }
    }
    let machine = material.machine;
    rows.into_iter()
        .map(|((reads, current, black), sequences)| PinReading {
            reads,
            current: common::current(&material.options.words, current),
            black: (black != machine.reference).then(|| common::joint_name(machine, black)),
            sequences: common::sequence_numbers(machine, &sequences),
        })
        .collect()
}

/// A reading: volts, kind of current, and where the black lead goes.
type Row = (String, Current, JointId);

fn reads(
    material: &Material<'_>,
    islands: &[usize],
    (joint, point): (JointId, Option<TestPointId>),
    sequence: SequenceId,
) -> Vec<Row> {
    let numerals = material.options.words.numerals;
    let solved = material.solution.sequence(sequence);
    if let Some(point) = point {
        let readings = solved.readings.iter().filter(|reading| reading.at == point);
        return readings.map(|reading| (numerals.volts(reading.nominal), reading.quantity, reading.against)).collect();
    }
    let black = common::black_lead(material.machine, joint, islands);
    let (red, other) = (solved.joints[joint.0], solved.joints[black.0]);
    let alternating = (red.real - other.real).hypot(red.imaginary - other.imaginary);
    let direct = red.direct - other.direct;
    // A joint carries one kind of current; a trace of the other is rounding.
    if alternating > direct.abs() {
        vec![(numerals.volts(alternating), Current::Alternating, black)]
    } else {
        vec![(numerals.volts(direct), Current::Direct, black)]
    }
}

/// Wire colours in use with their meaning in words: the maker's own name where the description gives one.
fn colours(material: &Material<'_>) -> Vec<(String, String)> {
    let machine = material.machine;
    let mut codes: Vec<String> = Vec::new();
    for part in &machine.parts {
        let PartKind::Wire(wire) = &part.kind else { continue };
        let whole = common::wire_colour(wire);
        let own = |code: &String| machine.identity.wire_colours.iter().any(|(known, _)| known == code);
        if let Some(code) = whole.filter(own) {
            codes.push(code);
        } else if let Some((base, tracer)) = &wire.colour {
            codes.push(base.clone());
            codes.extend(tracer.clone());
        }
    }
    codes.sort();
    codes.dedup();
    codes
        .into_iter()
        .map(|code| {
            let own = machine.identity.wire_colours.iter().find(|(known, _)| *known == code);
            let meaning = own
                .map_or_else(|| material.options.words.get(&format!("wire-colours.{code}")), |(_, name)| name.clone());
            (code, meaning)
        })
        .collect()
}
