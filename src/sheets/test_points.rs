//! Test-point table: every point, where it is and how to probe it, and what it reads in every sequence.
//!
//! Points are grouped by the supply point from which their drop is measured, since a drop has by far the narrower band.
//! Sequences in which a point reads the same share a row; a row is set strong where current flows at the point, for only
//! there does its voltage say something about the wiring before it.

use serde::Serialize;
use serde_json::{Value, json};

use super::common::{self, ReadingFigures};
use super::{DocumentKind, Material, Sheet};
use crate::circuit::results::Certainty;
use crate::machine::model::{NoteSubject, TestPointId};

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Group {
    /// The supply point, its reading comes first.
    from: Option<String>,
    label: Option<String>,
    points: Vec<Point>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Point {
    id: String,
    location: Option<String>,
    probe: Option<String>,
    door: Option<String>,
    black: String,
    wires: Vec<String>,
    rows: Vec<Row>,
    stated: Vec<Stated>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    sequences: String,
    /// Whether current flows here in these sequences.
    tells: bool,
    #[serde(flatten)]
    figures: ReadingFigures,
}

/// What a paper says that the point reads.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Stated {
    sequence: String,
    reads: String,
    current: String,
    source: Option<String>,
    mark: &'static str,
    inside: bool,
}

/// Composes the table.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::TestPointTable, body(material), Vec::new())
}

/// Data of the table.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let words = &material.options.words;
    json!({
        "meter": common::meter_text(&material.machine.meter, words),
        "reference": common::joint_name(material.machine, material.machine.reference),
        "groups": groups(material),
        "remarks": common::remarks(material),
        "searched": material.solution.sequences.iter().flat_map(|solved| &solved.readings)
            .any(|reading| reading.band.certainty == Certainty::Searched),
    })
}

fn groups(material: &Material<'_>) -> Vec<Group> {
    let machine = material.machine;
    let mut groups: Vec<(Option<TestPointId>, Vec<TestPointId>)> = Vec::new();
    for index in 0..machine.test_points.len() {
        let point = TestPointId(index);
        let key = common::supply_point(material, point);
        match groups.iter_mut().find(|(from, _)| *from == key) {
            Some((_, points)) => points.push(point),
            None => groups.push((key, vec![point])),
        }
    }
    // Points without a supply point of their own come last.
    groups.sort_by_key(|(from, _)| from.map_or((1, 0), |point| (0, point.0)));
    groups.into_iter().map(|(from, points)| group(material, from, points)).collect()
}

fn group(material: &Material<'_>, from: Option<TestPointId>, mut points: Vec<TestPointId>) -> Group {
    points.sort_by_key(|point| (Some(*point) != from, point.0));
    Group {
        from: from.map(|point| material.machine.test_points[point.0].id.clone()),
        label: from.and_then(|point| common::supply_label(material, point)),
        points: points.into_iter().map(|id| point(material, id)).collect(),
    }
}

fn point(material: &Material<'_>, id: TestPointId) -> Point {
    let machine = material.machine;
    let point = &machine.test_points[id.0];
    let rows = common::grouped_readings(material, id)
        .into_iter()
        .map(|(mut figures, sequences)| {
            let tells = sequences.iter().any(|&sequence| common::carries_current(material, point.joint, sequence));
            if !tells {
                // Without current a drop is only the voltage of whatever stands open in between.
                figures.drop = None;
            }
            Row { tells, sequences: common::sequence_numbers(machine, &sequences), figures }
        })
        .collect();
    Point {
        id: point.id.clone(),
        location: point.location.clone(),
        probe: point.probe.clone(),
        door: point.door.clone(),
        black: common::joint_name(machine, point.reference),
        wires: common::wires_at(machine, point.joint),
        rows,
        stated: stated(material, id),
        notes: common::notes_about(machine, NoteSubject::TestPoint(id))
            .into_iter()
            .chain(common::findings_of_point(material, id).into_iter().map(|finding| format!("▲ {finding}")))
            .collect(),
    }
}

/// What papers say of this point, each held against the computed band.
fn stated(material: &Material<'_>, id: TestPointId) -> Vec<Stated> {
    let words = &material.options.words;
    material
        .machine
        .expectations
        .iter()
        .filter(|expectation| expectation.at == id)
        .map(|expectation| Stated {
            sequence: material.machine.sequences[expectation.sequence.0].number.to_string(),
            reads: words.numerals.volts(expectation.reads.nominal.value()),
            current: common::current(&material.options.words, expectation.current),
            source: expectation.source.clone(),
            mark: common::mark(expectation.reads.origin),
            inside: material.solution.sequence(expectation.sequence).readings.iter().any(|reading| {
                reading.at == id
                    && reading.quantity == expectation.current
                    && overlaps(
                        (reading.band.low, reading.band.high),
                        (expectation.reads.low.value(), expectation.reads.high.value()),
                    )
            }),
        })
        .collect()
}

/// Whether two spans share a value, at the fineness with which volts are shown.
fn overlaps(one: (f64, f64), other: (f64, f64)) -> bool {
    const FINENESS: f64 = 0.05;
    one.0 <= other.1 + FINENESS && other.0 <= one.1 + FINENESS
}
