//! The learner's sheet: what is told, the checks on offer with their cells, room to log the search and to answer.

use serde_json::{Value, json};

use super::{Practice, check_text, symptom};
use crate::drill::{Exercise, Outlook, Stage};
use crate::sheets::cautions;

/// Data of all learners' sheets.
pub(super) fn body(practice: &Practice<'_>) -> Value {
    let exercises: Vec<Value> =
        practice.set.exercises.iter().enumerate().map(|(index, exercise)| one(practice, index, exercise)).collect();
    json!({
        "set": practice.request(),
        "cautions": cautions::cautions(&practice.material),
        "exercises": exercises,
    })
}

fn one(practice: &Practice<'_>, index: usize, exercise: &Exercise) -> Value {
    let material = &practice.material;
    let (cells, second) = practice.cells(index);
    let first = &exercise.stages[0];
    let number = material.machine.sequences[first.sequence.0].number.to_string();
    let stages: Vec<Vec<Value>> =
        exercise.stages.iter().zip(cells).map(|(stage, cells)| checks(practice, stage, cells)).collect();
    json!({
        "number": exercise.number.to_string(),
        "learner": practice.names.get(index),
        "level": material.options.words.get(&format!("practice.level-{}", exercise.level.name())),
        "symptom": symptom(material, first),
        "sequences": told(practice, first),
        "path": material.options.words.fill("practice.need-path", &[("number", &number)]),
        "lines": super::LOG_LINES,
        "second-cell": second.map(|cell| cell.to_string()),
        "changes": changes(practice, first),
        "stages": stages,
    })
}

/// Minutes that a change of power costs.
fn changes(practice: &Practice<'_>, stage: &Stage) -> String {
    let words = &practice.material.options.words;
    let (off, on) = stage.problem.mode_change;
    let minutes = |value: f64| words.numerals.three_figures(value);
    words.fill("practice.offers-note", &[("off", &minutes(off)), ("on", &minutes(on))])
}

fn told(practice: &Practice<'_>, stage: &Stage) -> Vec<Value> {
    let machine = practice.material.machine;
    stage
        .told
        .iter()
        .map(|told| {
            let sequence = &machine.sequences[told.sequence.0];
            let outlook = match told.outlook {
                Outlook::Works => "works",
                Outlook::Fails => "fails",
                Outlook::Ask => "ask",
                Outlook::NotReached => "not-reached",
            };
            json!({ "number": sequence.number.to_string(), "title": sequence.title, "outlook": outlook })
        })
        .collect()
}

fn checks(practice: &Practice<'_>, stage: &Stage, cells: &[usize]) -> Vec<Value> {
    let with_cell = |(check, cell): (usize, &usize)| {
        let mut value = check_text(&practice.material, stage, check);
        value["cell"] = json!(cell.to_string());
        value
    };
    cells.iter().enumerate().map(with_cell).collect()
}
