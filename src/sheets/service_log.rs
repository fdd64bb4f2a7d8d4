//! Service log: a blank form for years of use. Who did what, and what the machine's own points and its mains side read each
//! year, beside what they should read.

use serde::Serialize;
use serde_json::{Value, json};

use super::common;
use super::{DocumentKind, Material, Sheet};
use crate::machine::model::{PartKind, SequenceId, TestPointId};

/// Lines for services on the form.
const SERVICES: usize = 24;
/// Years on the form.
const YEARS: usize = 6;

/// A point of the machine with the reading that a healthy one shows.
#[derive(Debug, Serialize)]
struct PointLine {
    point: String,
    sequence: String,
    reads: String,
    current: String,
    low: String,
    high: String,
}

/// Composes the form.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::ServiceLog, body(material), Vec::new())
}

/// Data of the form.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let machine = material.machine;
    let points = (0..machine.test_points.len()).map(TestPointId);
    let fuses = machine.parts.iter().filter(|part| matches!(part.kind, PartKind::Fuse(_)));
    json!({
        "services": SERVICES,
        "years": YEARS,
        "mains": machine.identity.mains,
        "reference": common::joint_name(machine, machine.reference),
        "fuses": fuses.map(|part| json!({ "id": part.id, "rating": common::rating(material, part) })).collect::<Vec<_>>(),
        "points": points.filter_map(|id| point(material, id)).collect::<Vec<_>>(),
    })
}

/// A point in the first sequence in which its reading says something: there is one, and current flows.
fn point(material: &Material<'_>, id: TestPointId) -> Option<PointLine> {
    let machine = material.machine;
    let point = &machine.test_points[id.0];
    let tells = |sequence: SequenceId| common::carries_current(material, point.joint, sequence);
    let mut readings = material.solution.sequences.iter().flat_map(|solved| {
        solved
            .readings
            .iter()
            .filter(|reading| reading.at == id && !reading.floating)
            .map(|reading| (solved.sequence, reading))
    });
    let (sequence, reading) = readings.find(|(sequence, _)| tells(*sequence))?;
    let figures = common::reading_figures(machine, reading, &material.options.words);
    Some(PointLine {
        point: point.id.clone(),
        sequence: machine.sequences[sequence.0].number.to_string(),
        reads: figures.reads,
        current: figures.current.clone(),
        low: figures.low,
        high: figures.high,
    })
}
