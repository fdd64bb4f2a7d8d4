//! Job sheet: a blank form for one job on this machine, with the figures that belong beside what is written in.
//!
//! Fuses called for, sequences, healthy bands and waiting times come from the machine; everything else is room to write.

use serde::Serialize;
use serde_json::{Value, json};

use super::cautions::{Cause, cautions};
use super::common;
use super::discharge::{self, stored_charges};
use super::{DocumentKind, Material, Sheet};
use crate::circuit::results::Reading;
use crate::machine::model::{PartKind, SequenceId, TestPointId};

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct FuseLine {
    id: String,
    called_for: String,
    location: Option<String>,
    protects: Option<String>,
    /// Found before this description was written.
    fitted: Option<String>,
    /// Whether what was found is other than what is called for.
    wrong: bool,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Charge {
    name: String,
    volts: String,
    to_touch: Option<String>,
    to_meter: Option<String>,
    through: Option<String>,
    tool: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct ReadingLine {
    point: String,
    black: String,
    sequence: String,
    current: String,
    reads: String,
    low: String,
    high: String,
}

/// Composes the form.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::JobSheet, body(material), Vec::new())
}

/// Data of the form.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let machine = material.machine;
    let sequences: Vec<Value> = machine
        .sequences
        .iter()
        .map(|sequence| json!({ "number": sequence.number.to_string(), "title": sequence.title }))
        .collect();
    let cautions = cautions(material);
    json!({
        "machine": machine.identity.name,
        "serial": machine.identity.serial,
        "mains": machine.identity.mains,
        "cautions": cautions,
        "lifting": cautions.iter().any(|caution| caution.cause == Cause::Lifting),
        "sequences": sequences,
        "fuses": fuses(material),
        "charges": charges(material),
        "readings": readings(material),
        "meter": common::meter_text(&machine.meter, &material.options.words),
    })
}

fn fuses(material: &Material<'_>) -> Vec<FuseLine> {
    material
        .machine
        .parts
        .iter()
        .filter_map(|part| match &part.kind {
            PartKind::Fuse(fuse) => Some(FuseLine {
                id: part.id.clone(),
                called_for: common::fuse_text(material, fuse),
                location: part.location.clone(),
                protects: fuse.protects.clone(),
                fitted: fuse.fitted.as_ref().map(|fitted| common::fitted_text(material, fitted)),
                wrong: fuse.fitted.as_ref().is_some_and(|fitted| common::is_wrong(fuse, fitted)),
            }),
            _ => None,
        })
        .collect()
}

fn charges(material: &Material<'_>) -> Vec<Charge> {
    let words = &material.options.words;
    let numerals = words.numerals;
    stored_charges(material)
        .into_iter()
        .map(|charge| Charge {
            volts: numerals.quantity(charge.volts),
            to_touch: charge.wait.and_then(|wait| wait.to_touch).map(|time| numerals.duration(time.value())),
            to_meter: charge.wait.map(|wait| numerals.duration(wait.to_meter.value())),
            through: charge.through.map(|ohms| numerals.quantity(ohms)),
            tool: discharge::tool_text(material, &charge),
            name: discharge::name(material, &charge),
        })
        .collect()
}

/// For each test point the reading of the first sequence in which current flows there, else of the first of all.
fn readings(material: &Material<'_>) -> Vec<ReadingLine> {
    (0..material.machine.test_points.len())
        .map(TestPointId)
        .filter_map(|point| telling_reading(material, point))
        .map(|(sequence, reading)| reading_line(material, sequence, reading))
        .collect()
}

/// The reading that tells most about a point: current flows there, and it is the farthest from zero.
#[must_use]
pub fn telling_reading<'a>(material: &Material<'a>, point: TestPointId) -> Option<(SequenceId, &'a Reading)> {
    let joint = material.machine.test_points[point.0].joint;
    let mut best: Option<(bool, f64, SequenceId, &Reading)> = None;
    for solved in &material.solution.sequences {
        for reading in solved.readings.iter().filter(|reading| reading.at == point) {
            let flows = common::carries_current(material, joint, solved.sequence);
            let size = reading.nominal.abs();
            let better = best.is_none_or(|(known_flows, known, ..)| {
                (flows && !known_flows) || (flows == known_flows && size > known * 1.02 + 0.01)
            });
            if better {
                best = Some((flows, size, solved.sequence, reading));
            }
        }
    }
    best.map(|(_, _, sequence, reading)| (sequence, reading))
}

fn reading_line(material: &Material<'_>, sequence: SequenceId, reading: &Reading) -> ReadingLine {
    let machine = material.machine;
    let numerals = material.options.words.numerals;
    ReadingLine {
        point: machine.test_points[reading.at.0].id.clone(),
        black: common::joint_name(machine, reading.against),
        sequence: machine.sequences[sequence.0].number.to_string(),
        current: common::current(&material.options.words, reading.quantity),
        reads: numerals.volts(reading.nominal),
        low: numerals.volts(reading.band.low),
        high: numerals.volts(reading.band.high),
    }
}
