//! Each rule of the audit with a description that trips it and one that does not.
//!
//! A small sound machine stands at the start; each test changes one thing in it. Where a rule has a figure from outside,
//! the source stands beside the check.

mod coils;
mod fuses;
mod ratings;
mod readings;
mod suppressors;
mod wiring_and_safety;

use benchleaf::audit::{self, Finding, Severity};
use benchleaf::circuit::{Effort, Solver};
use benchleaf::machine::{self, model::Machine};
use benchleaf::words::Words;

use super::support;

/// A relay behind a fuse and a switch, with its diode, and nothing to complain about.
const SOUND: &str = r#"
[machine]
id = "rig"
name = "Audit rig"
kind = "test rig"
revision = 1
revised = 2026-01-05
reference = "COM"

[[supply]]
id = "PS1"
voltage = "24 V dc ±10 %"
internal = "0.5 ohm"
terminals = { "+" = "P24", "-" = "COM" }

[[fuse]]
id = "F1"
rated = "2 A"
speed = "T"
breaking = "H"
cold = "0.05 ohm"

[[relay]]
id = "K1"
coil = "120 ohm ±10 %"
nominal = "24 V dc"
operate = "18 V"
release = "3 V"
contacts = { "5-6" = "make" }

[[diode]]
id = "D1"
across = "K1"
reverse = "200 V"
forward = "1 A"

[[switch]]
id = "S1"
rest = "open"

[[test-point]]
id = "TP1"

[[run]]
route = "P24 > F1 > TP1 > S1 > K1 > COM"

[[sequence]]
number = 1
title = "the relay pulls in"
set = ["S1"]
pulled-in = ["K1"]
acts = ["K1"]
"#;

fn open(text: &str) -> Machine {
    match machine::from_text("rig.toml", text) {
        Ok(opened) => opened.machine,
        Err(refused) => panic!("{}\n{text}", refused.report.render(&refused.sources, false)),
    }
}

/// All findings about a description.
fn findings(text: &str) -> Vec<Finding> {
    let machine = open(text);
    let solver = Solver::new(&machine).unwrap_or_else(|error| panic!("{}\n{text}", error.describe(&machine)));
    let solution = solver.solve(Effort::Nominal);
    audit::audit(&machine, &solver, &solution)
}

/// The one finding of a rule.
fn trips(rule: &str, text: &str) -> Finding {
    let all = findings(text);
    let of_rule: Vec<_> = all.iter().filter(|finding| finding.rule == rule).collect();
    match of_rule.as_slice() {
        [only] => (*only).clone(),
        other => panic!("expected one `{rule}`, found {}: {all:#?}\n{text}", other.len()),
    }
}

fn is_silent(rule: &str, text: &str) {
    let all = findings(text);
    assert!(all.iter().all(|finding| finding.rule != rule), "`{rule}` should not trip: {all:#?}\n{text}");
}

/// The sound machine with one text in place of another, which must be there.
fn with(from: &str, to: &str) -> String {
    replaced(SOUND, from, to)
}

fn replaced(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "`{from}` is not in the description");
    text.replace(from, to)
}

/// The sound machine with more behind it.
fn and(more: &str) -> String {
    format!("{SOUND}\n{more}")
}

fn says(finding: &Finding, parts: &[&str]) {
    let message = support::english(&finding.message);
    for part in parts {
        assert!(message.contains(part), "`{part}` is missing in: {message}");
    }
    assert!(!support::english(&finding.advice).is_empty() && !support::english(&finding.source).is_empty());
}

#[test]
fn a_sound_machine_has_no_findings() {
    let all = findings(SOUND);
    assert!(all.is_empty(), "{all:#?}");
}

#[test]
fn every_rule_has_a_name_a_summary_and_a_source_in_every_language() {
    let mut names: Vec<_> = audit::rules::ALL.iter().map(|rule| rule.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), audit::rules::ALL.len());
    for (code, _) in benchleaf::assets::languages() {
        let words = Words::of(code).expect("built in");
        assert!(
            audit::rules::ALL.iter().all(|rule| words.has(&rule.source().key)),
            "{code} lacks the source of a rule"
        );
    }
    assert!(audit::rules::ALL.iter().all(|rule| !rule.summary.is_empty()));
}

#[test]
fn findings_are_written_as_json() {
    let text = with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"20 A T\"");
    let machine = open(&text);
    let json = trips("wrong-fuse-fitted", &text).to_json(&machine, &Words::of("en").expect("built in"));
    assert_eq!(json["rule"], "wrong-fuse-fitted");
    assert_eq!(json["severity"], "hazard");
    assert_eq!(json["part"], "F1");
    let (start, end) = (json["at"]["start"].as_u64().unwrap(), json["at"]["end"].as_u64().unwrap());
    assert!(start < end && end <= text.len() as u64);
}

/// The demonstration machines: what was found in one's clips is found, and nothing in any of them cannot work.
#[test]
fn demonstration_machines() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("specs");
    for name in ["gull-gallery", "lesson-board-12", "old-barnabas", "tern-48"] {
        let path = folder.join(name).with_extension("toml");
        let text = std::fs::read_to_string(&path).unwrap();
        let all = findings(&text);
        let defects: Vec<_> = all.iter().filter(|finding| finding.severity == Severity::Defect).collect();
        assert!(defects.is_empty(), "{name}: {defects:#?}");
        let overfused =
            all.iter().any(|finding| finding.rule == "wrong-fuse-fitted" && finding.severity == Severity::Hazard);
        assert_eq!(overfused, name == "gull-gallery", "{name}: {all:#?}");
    }
}

/// Nothing that cannot be printed stands in a finding.
fn is_printable(all: &[Finding], about: &str) {
    for finding in all {
        for text in [&finding.message, &finding.advice] {
            let text = support::english(text);
            assert!(!["NaN", "inf ", "– ", "``", "{", "["].iter().any(|bad| text.contains(bad)), "{about}: {text}");
        }
    }
}

#[test]
fn every_description_of_the_project_can_be_audited() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut count = 0;
    for folder in ["specs", "tests/examples"] {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_none_or(|ending| ending != "toml") {
                continue;
            }
            let opened = machine::open(&path)
                .unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
            let machine = opened.machine;
            let solver = Solver::new(&machine).unwrap_or_else(|error| panic!("{}", error.describe(&machine)));
            let all = audit::audit(&machine, &solver, &solver.solve(Effort::Nominal));
            is_printable(&all, &path.display().to_string());
            count += 1;
        }
    }
    assert!(count >= 4, "{count} descriptions");
}

#[test]
fn wild_values_are_audited_or_refused() {
    let sizes = ["1e-12", "1e-6", "0.01", "1", "1e3", "1e6", "1e12"];
    let lamp = and(
        "[[lamp]]\nid = \"L1\"\nnominal = \"24 V\"\ncurrent = \"0.1 A\"\n\n[[capacitor]]\nid = \"C1\"\nvalue = \"100 uF\"\nvoltage = \"50 V\"\n\n[[run]]\nroute = \"TP1 > L1 > COM\"\n\n[[run]]\nroute = \"TP1 > C1 > COM\"\n",
    );
    let places = [
        ("voltage = \"24 V dc ±10 %\"", "voltage = \"@ V dc ±10 %\""),
        ("internal = \"0.5 ohm\"", "internal = \"@ ohm\"\nrating = \"@ VA\""),
        ("rated = \"2 A\"", "rated = \"@ A\"\nfitted = \"2 A T\""),
        ("coil = \"120 ohm ±10 %\"", "coil = \"@ ohm ±10 %\""),
        ("forward = \"1 A\"", "forward = \"@ A\""),
        ("current = \"0.1 A\"", "current = \"@ A\""),
        ("value = \"100 uF\"", "value = \"@ F\""),
    ];
    let mut audited = 0;
    for (from, to) in places {
        for size in sizes {
            let text = replaced(&lamp, from, &to.replace('@', size));
            let Ok(opened) = machine::from_text("wild.toml", &text) else { continue };
            let all = match Solver::new(&opened.machine) {
                Ok(solver) => audit::audit(&opened.machine, &solver, &solver.solve(Effort::Nominal)),
                Err(_) => audit::audit_description(&opened.machine),
            };
            is_printable(&all, &format!("{to} with {size}"));
            audited += 1;
        }
    }
    assert!(audited > 30, "only {audited} were audited");
}
