//! Narrowing against published troubleshooting questions: the possible faults must share what is left, and nobody else.

use crate::support::english;
use std::path::Path;

use benchleaf::circuit::{Effort, Solver};
use benchleaf::faults::narrow::{Evidence, Narrowing, narrow};
use benchleaf::machine;

/// Share that the possible faults must have together.
const NEARLY_ALL: f64 = 0.9;

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/worksheets")
}

fn texts<'t>(question: &'t toml::Table, key: &str) -> Vec<&'t str> {
    let list = question.get(key).and_then(toml::Value::as_array);
    list.map(|list| list.iter().filter_map(toml::Value::as_str).collect()).unwrap_or_default()
}

fn answer(question: &toml::Table) -> Narrowing {
    let path = folder().join(format!("{}.toml", question["spec"].as_str().unwrap()));
    let opened =
        machine::open(&path).unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
    let machine = &opened.machine;
    let mut evidence = Evidence::none(machine);
    if let Some(number) = question.get("sequence").and_then(toml::Value::as_integer) {
        evidence.in_sequence(machine, &number.to_string()).unwrap();
    }
    for text in texts(question, "read") {
        evidence.read_volts(machine, text).unwrap();
    }
    for text in texts(question, "ohms") {
        evidence.read_ohms(machine, text).unwrap();
    }
    let solver = Solver::new(machine).unwrap();
    narrow(machine, &solver, &solver.solve(Effort::Bands), &evidence.finish(machine).unwrap()).unwrap()
}

#[test]
fn published_questions_are_answered_as_published() {
    let text = std::fs::read_to_string(folder().join("questions.toml")).unwrap();
    let document: toml::Table = text.parse().unwrap();
    let questions = document["question"].as_array().unwrap();
    assert!(questions.len() >= 15);
    let wrong: Vec<String> = questions.iter().filter_map(|question| complaint(question.as_table().unwrap())).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

/// What is wrong with an answer, if anything.
fn complaint(question: &toml::Table) -> Option<String> {
    assert!(!question["source"].as_str().unwrap().is_empty());
    let found = answer(question);
    let possible = texts(question, "possible");
    let share: f64 =
        found.suspects.iter().filter(|one| possible.contains(&english(&one.place).as_str())).map(|one| one.share).sum();
    let missing: Vec<&&str> =
        possible.iter().filter(|place| !found.suspects.iter().any(|one| english(&one.place) == **place)).collect();
    let kind = question.get("kind").and_then(toml::Value::as_str);
    let right_kind = kind.is_none_or(|kind| {
        found
            .suspects
            .iter()
            .filter(|one| possible.contains(&english(&one.place).as_str()))
            .all(|one| one.kind.name() == kind)
    });
    let right = share >= NEARLY_ALL && missing.is_empty() && right_kind && found.doubts.is_empty();
    let list: Vec<String> = found
        .suspects
        .iter()
        .map(|one| format!("{:.3} {} ({})", one.share, english(&one.place), english(&one.fault)))
        .collect();
    (!right).then(|| {
        format!(
            "{}: wanted {possible:?}, found no fault {:.3}, doubts {:?},\n  {}",
            question["name"],
            found.no_fault,
            found.doubts,
            list.join("\n  ")
        )
    })
}
