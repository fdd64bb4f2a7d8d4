//! The key, for the instructor alone: register, faults, best orders with what they show, and the scoring rule.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use serde_json::{Value, json};

use super::{Practice, check_text, check_words, showing_text, symptom};
use crate::drill::{self, Exercise, Stage, Weights};
use crate::faults::order::CheckKind;
use crate::faults::search::Mode;
use crate::sheets::{check_order, common};

/// Data of the key.
pub(super) fn body(practice: &Practice<'_>) -> Value {
    let exercises = &practice.set.exercises;
    let (off, on) = changes(practice);
    json!({
        "set": practice.request(),
        "register": exercises.iter().enumerate().map(|(index, one)| register(practice, index, one)).collect::<Vec<_>>(),
        "exercises": exercises.iter().map(|one| exercise(practice, one)).collect::<Vec<_>>(),
        "weights": weights(practice),
        "off": off,
        "on": on,
        "log": log(practice),
    })
}

fn register(practice: &Practice<'_>, index: usize, exercise: &Exercise) -> Value {
    let machine = practice.material.machine;
    let sequences: Vec<String> =
        exercise.stages.iter().map(|stage| machine.sequences[stage.sequence.0].number.to_string()).collect();
    json!({
        "number": exercise.number.to_string(),
        "learner": practice.names.get(index),
        "level": practice.material.options.words.get(&format!("practice.level-{}", exercise.level.name())),
        "sequences": sequences.join(", "),
    })
}

fn exercise(practice: &Practice<'_>, exercise: &Exercise) -> Value {
    json!({
        "number": exercise.number.to_string(),
        "level": practice.material.options.words.get(&format!("practice.level-{}", exercise.level.name())),
        "stages": exercise.stages.iter().map(|stage| stage_data(practice, stage)).collect::<Vec<_>>(),
    })
}

fn stage_data(practice: &Practice<'_>, stage: &Stage) -> Value {
    let material = &practice.material;
    let numerals = material.options.words.numerals;
    let fault = &practice.findings.dictionary.faults[stage.fault];
    let minutes = |value: f64| numerals.fixed(value, 1);
    json!({
        "symptom": symptom(material, stage),
        "fault": check_order::said(material, &fault.label(material.machine)),
        "location": material.machine.part(fault.part).location,
        "right": check_order::places(material, &stage.places),
        "alike": stage.places.len() > 1,
        "steps": steps(practice, stage),
        "best": minutes(stage.best_minutes),
        "expected": minutes(stage.expected_minutes),
        "proved": stage.proved,
        "along": minutes(stage.baselines.along_the_path),
        "from-supply": minutes(stage.baselines.from_the_supply),
        "from-load": minutes(stage.baselines.from_the_load),
        "half-split": minutes(stage.baselines.half_split),
        "lost": lost(practice, stage),
        "dead": numbers(stage, |check| stage.problem.checks[check].mode == Mode::Dead),
        "idle": numbers(stage, |check| is_idle(stage, check)),
        "settles": numbers(stage, |check| drill::settles(stage, &[check])),
        "covers": covers(practice, stage),
    })
}

/// The best order for this fault: each check, what it shows, the minutes so far.
fn steps(practice: &Practice<'_>, stage: &Stage) -> Vec<Value> {
    let numerals = practice.material.options.words.numerals;
    (0..stage.best.len())
        .map(|place| {
            let check = stage.best[place];
            let mut step = check_text(&practice.material, stage, check);
            step["shows"] = json!(showing_text(&practice.material, stage.checks[check].showing));
            step["so-far"] = json!(numerals.fixed(stage.problem.minutes_of(&stage.best[..=place]), 1));
            step
        })
        .collect()
}

/// Where somebody who reads one test point after another first makes a check that can tell nothing any more.
fn lost(practice: &Practice<'_>, stage: &Stage) -> Option<String> {
    let mut left: BTreeSet<usize> = (0..stage.suspects.len()).collect();
    for check in 0..stage.checks.len() {
        if !matches!(stage.checks[check].kind, CheckKind::Volts(_)) {
            continue;
        }
        let made = &stage.problem.checks[check];
        let result = made.results[stage.culprit];
        let tells = left.iter().any(|&suspect| !made.may(suspect, result));
        if !tells {
            return Some(check_words(&practice.material, stage, check));
        }
        left.retain(|&suspect| made.may(suspect, result));
    }
    None
}

/// Numbers of checks on the sheet, runs drawn together.
fn numbers(stage: &Stage, wanted: impl Fn(usize) -> bool) -> String {
    let wanted = (0..stage.checks.len()).filter(|&check| wanted(check));
    common::number_ranges(&wanted.filter_map(|check| i64::try_from(check + 1).ok()).collect::<Vec<_>>())
}

/// Whether a check can tell nothing, whatever was done before it.
fn is_idle(stage: &Stage, check: usize) -> bool {
    stage.problem.checks[check].is_idle(&(0..stage.suspects.len()).collect::<Vec<_>>())
}

/// Covers with their minutes and the checks behind them.
fn covers(practice: &Practice<'_>, stage: &Stage) -> Vec<String> {
    let words = &practice.material.options.words;
    let names = practice.findings.sequences[stage.sequence.0].order.as_ref().map(|order| &order.doors);
    let covers = stage.problem.doors.iter().zip(names.into_iter().flatten()).enumerate();
    covers
        .filter_map(|(door, (&minutes, name))| {
            let minutes = words.numerals.three_figures(minutes);
            let checks = numbers(stage, |check| stage.problem.checks[check].door == Some(door));
            let values = [("cover", name.as_str()), ("minutes", &minutes), ("checks", &checks)];
            (!checks.is_empty()).then(|| words.fill("practice.cover", &values))
        })
        .collect()
}

/// Minutes that changes of power cost, for the sum by hand; they are the same in all exercises of a set.
fn changes(practice: &Practice<'_>) -> (String, String) {
    let numerals = practice.material.options.words.numerals;
    let first = practice.set.exercises.iter().flat_map(|exercise| &exercise.stages).next();
    let (off, on) = first.map_or((0.0, 0.0), |stage| stage.problem.mode_change);
    (numerals.three_figures(off), numerals.three_figures(on))
}

fn weights(practice: &Practice<'_>) -> Value {
    let numerals = practice.material.options.words.numerals;
    let Weights { named, speed, wrong_swap, idle_check, unsafe_step } = Weights::default();
    let points = |value: f64| numerals.fixed(value, 0);
    json!({
        "named": points(named), "speed": points(speed), "wrong-swap": points(wrong_swap),
        "idle-check": points(idle_check), "unsafe-step": points(unsafe_step),
    })
}

/// How a learner's log begins, ready to be typed on.
fn log(practice: &Practice<'_>) -> String {
    let request = &practice.set.request;
    let mut set = format!("count = {}, seed = {}, faults = {}", request.count, request.seed, request.faults);
    if let Some(level) = request.level {
        let _ = write!(set, ", level = \"{}\"", level.name());
    }
    if let Some(sequence) = request.sequence {
        let _ = write!(set, ", sequence = {sequence}");
    }
    let id = &practice.material.machine.identity.id;
    format!("spec = \"{id}.toml\"\nset = {{ {set} }}\nexercise = 1\nchecks = [4, 12, 9]\nanswer = \"K1:5-6\"")
}
