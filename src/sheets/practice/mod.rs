//! Practice fault sheets: for learners a sheet each, the booklet of readings and the paths, for the instructor the key.
//!
//! What a learner is given holds nothing of the answer: sheets and booklet are made from what is told and offered only.

use serde_json::{Value, json};

use super::check_order;
use super::{DocumentKind, Material, Sheet};
use crate::drill::{Booklet, Set, Showing, Stage};
use crate::faults::Findings;
use crate::words::figures::LEAST_METER_OHMS;

mod booklet;
mod key;
mod learner;
mod paths;

pub use crate::drill::LOG_LINES;

/// What practice documents are made from.
#[derive(Clone, Copy)]
pub struct Practice<'a> {
    /// The machine and its options.
    pub material: Material<'a>,
    /// Its faults.
    pub findings: &'a Findings,
    /// The exercises.
    pub set: &'a Set,
    /// Names of the learners, in the order of the exercises; fewer names leave sheets without one.
    pub names: &'a [String],
    /// One booklet for the whole set, or one an exercise.
    pub booklets: &'a [Booklet],
}

impl Practice<'_> {
    /// Cells of an exercise: by stage and check, and that of the second symptom.
    fn cells(&self, index: usize) -> (&[Vec<usize>], Option<usize>) {
        let (booklet, place) = match self.booklets {
            [whole] => (whole, index),
            each => (&each[index], 0),
        };
        (&booklet.numbers[place], booklet.second[place])
    }

    /// How the set was asked for, as it stands on every page and in a log.
    fn request(&self) -> String {
        let request = &self.set.request;
        let words = &self.material.options.words;
        words.fill("practice.set", &[("count", &request.count.to_string()), ("seed", &request.seed.to_string())])
    }
}

/// What a check shows, as it stands in a cell.
#[must_use]
pub fn showing_text(material: &Material<'_>, showing: Showing) -> String {
    let words = &material.options.words;
    let numerals = words.numerals;
    match showing {
        Showing::Volts(current, volts) => {
            format!("{} V {}", numerals.volts(volts), super::common::current(words, current))
        }
        Showing::Amps(amps) => format!("{} mA", numerals.milliamps(amps)),
        Showing::Ohms(ohms) => match numerals.meter_ohms(ohms) {
            Some(ohms) => format!("{ohms} Ω"),
            None => words.fill("practice.under-ohms", &[("least", &numerals.fixed(LEAST_METER_OHMS, 1))]),
        },
        Showing::NoContinuity => words.get("practice.no-continuity"),
        Showing::Sound => words.get("practice.sound"),
        Showing::Wrong(kind) => words.get(&format!("practice.seen.{}", kind.name())),
        Showing::Works => words.get("practice.works"),
        Showing::Fails => words.get("practice.fails"),
        Showing::NotHere => words.get("practice.not-here"),
    }
}

/// What the second fault of an exercise does once the first is repaired.
#[must_use]
pub fn second_symptom(material: &Material<'_>, set: &Set, exercise: usize) -> String {
    set.exercises[exercise].stages.get(1).map(|stage| symptom(material, stage)).unwrap_or_default()
}

/// What a person says when the sequence of a stage fails.
fn symptom(material: &Material<'_>, stage: &Stage) -> String {
    let sequence = &material.machine.sequences[stage.sequence.0];
    let number = sequence.number.to_string();
    let words = &material.options.words;
    match &sequence.symptom {
        Some(symptom) => words.fill("practice.symptom", &[("number", &number), ("symptom", symptom)]),
        None => words.fill("practice.no-symptom", &[("number", &number), ("title", &sequence.title)]),
    }
}

/// A check in a few words.
fn check_words(material: &Material<'_>, stage: &Stage, check: usize) -> String {
    check_order::check(material, stage.sequence, stage.checks[check].kind)
}

/// A check with its number and minutes.
fn check_text(material: &Material<'_>, stage: &Stage, check: usize) -> Value {
    let words = &material.options.words;
    let minutes = stage.problem.checks[check].minutes;
    json!({
        "number": (check + 1).to_string(),
        "check": check_words(material, stage, check),
        "minutes": words.numerals.fixed(minutes, usize::from(minutes.fract().abs() > 0.05)),
    })
}

/// Sheets, booklets, paths and key of a set.
#[must_use]
pub fn compose(practice: &Practice<'_>) -> Vec<Sheet> {
    let sheet = |kind, body, suffix: &str| {
        let mut sheet = super::sheet(&practice.material, kind, body, Vec::new());
        sheet.file_stem = format!("{}-{}{suffix}", sheet.file_stem, practice.set.request.seed);
        sheet
    };
    let mut sheets = vec![sheet(DocumentKind::PracticeSheets, learner::body(practice), "")];
    for (index, one) in practice.booklets.iter().enumerate() {
        let single = practice.booklets.len() > 1;
        let suffix = if single { format!("-exercise-{}", index + 1) } else { String::new() };
        let body = booklet::body(practice, one, single.then_some(index + 1));
        sheets.push(sheet(DocumentKind::PracticeBooklet, body, &suffix));
    }
    let mut paths = paths::compose(practice);
    paths.file_stem = format!("{}-{}", paths.file_stem, practice.set.request.seed);
    sheets.push(paths);
    sheets.push(sheet(DocumentKind::PracticeKey, key::body(practice), ""));
    sheets
}
