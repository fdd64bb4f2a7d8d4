//! The same figure is the same wherever it stands: worst cases of coils in the coil table, in `solve --format json`, on the
//! bench card and in the audit.

use std::path::{Path, PathBuf};
use std::process::Command;

use benchleaf::machine::Opened;
use benchleaf::sheets::{self, DocumentKind, Material, Paper};
use serde_json::Value;

use crate::sheets as desk;

/// A coil that gets most volts in the sequence in which the spread of its supply is the worse: nominal and worst case choose
/// different sequences.
const CROSSED: &str = r#"
[machine]
id = "crossed"
name = "Crossed rig"
kind = "test rig"
revision = 1
revised = 2026-01-05
reference = "COM"

[[supply]]
id = "PS1"
voltage = "24 V dc ±25 %"
internal = "0.5 ohm"
terminals = { "+" = "P24", "-" = "COM" }

[[supply]]
id = "PS2"
voltage = "22 V dc ±2 %"
internal = "0.5 ohm"
terminals = { "+" = "P22", "-" = "COM" }

[[relay]]
id = "K1"
coil = "120 ohm ±10 %"
nominal = "24 V dc"
operate = "19 V"
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

[[switch]]
id = "S2"
rest = "open"

[[run]]
route = "P24 > S1 > TP1 > K1 > COM"

[[run]]
route = "P22 > S2 > TP1"

[[test-point]]
id = "TP1"

[[sequence]]
number = 1
title = "On the loose supply"
set = ["S1"]
pulled-in = ["K1"]

[[sequence]]
number = 2
title = "On the firm supply"
set = ["S2"]
pulled-in = ["K1"]
"#;

fn solved(spec: &Path) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .arg("solve")
        .arg(spec)
        .args(["--format", "json"])
        .output()
        .expect("the program starts");
    serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&output.stderr)))
}

fn number(value: &Value) -> Option<f64> {
    value.as_str()?.replace('\u{2212}', "-").parse().ok()
}

/// What the report says of a device in all sequences in which it works.
fn working<'a>(report: &'a Value, id: &str) -> Vec<(i64, &'a Value)> {
    let mut found = Vec::new();
    for sequence in report["sequences"].as_array().expect("sequences") {
        let devices = sequence["devices"].as_array().expect("devices").iter();
        let number = sequence["number"].as_i64().expect("a number");
        found.extend(devices.filter(|device| device["id"] == id && device["operates"] == true).map(|at| (number, at)));
    }
    found
}

fn least(device: &Value) -> f64 {
    let [low, high] = ["min", "max"].map(|end| device[end].as_f64().expect("a working coil has a band"));
    if low <= 0.0 && high >= 0.0 { 0.0 } else { low.abs().min(high.abs()) }
}

/// Compares the coil table, row by row, with the report; how many windings were compared.
fn compare_table(material: &Material<'_>, report: &Value) -> usize {
    let body = &sheets::one(material, DocumentKind::CoilTable).expect("a table").data["body"];
    let mut compared = 0;
    for row in body["windings"].as_array().expect("windings") {
        let id = row["id"].as_str().expect("text");
        let name = if row["kind"] == "reset" { format!("{id}:B1-B2") } else { id.to_string() };
        let working = working(report, &name);
        let worst = working.iter().map(|(_, device)| *device).min_by(|one, other| least(one).total_cmp(&least(other)));
        let Some(worst) = worst else {
            assert!(number(&row["gets-low"]).is_none(), "{name} works nowhere");
            continue;
        };
        let (low, gets) = (number(&row["gets-low"]).expect("volts"), number(&row["gets"]).expect("volts"));
        assert!((low - least(worst)).abs() < 1e-9, "{name}: {low} in the table, {worst} in the report");
        assert!(
            working.iter().any(|(_, at)| at["volts"].as_f64().is_some_and(|volts| (volts.abs() - gets).abs() < 1e-9))
        );
        let fails = working.iter().any(|(_, device)| device["operates-at-worst"] == false);
        assert_eq!(row["short-of-volts"], fails, "{name}");
        let found = |finding: &&benchleaf::audit::Finding| {
            let of_it = finding.part.is_some_and(|part| material.machine.part(part).id == id);
            finding.rule == "coil-volts" && of_it
        };
        assert!(fails || row["kind"] == "reset" || !material.audit.iter().any(|finding| found(&finding)), "{name}");
        compared += 1;
    }
    compared
}

/// Compares the volts of what acts on the bench card with the report.
fn compare_card(material: &Material<'_>, report: &Value) {
    let body = &sheets::one(material, DocumentKind::BenchCard).expect("a card").data["body"];
    for row in body["sequences"].as_array().expect("sequences") {
        for act in row["acts"].as_array().expect("acts") {
            let id = act["id"].as_str().expect("text").replace('\u{200b}', "");
            let volts = act["volts"].as_str().expect("text").trim_end_matches(" V").parse::<f64>();
            let Ok(volts) = volts else { continue };
            let sequence = report["sequences"].as_array().expect("sequences").iter();
            let sequence = sequence
                .filter(|at| at["number"].as_i64() == row["number"].as_str().and_then(|text| text.parse().ok()));
            let device = sequence.flat_map(|at| at["devices"].as_array().expect("devices")).find(|at| at["id"] == id);
            let there = device.and_then(|device| device["volts"].as_f64()).expect("the device is in the report");
            assert!((there.abs() - volts).abs() < 1e-9, "{id}: {volts} on the card, {there} in the report");
        }
    }
}

fn compare(opened: &Opened, spec: &Path) -> usize {
    let report = solved(spec);
    desk::with_figures(opened, &desk::options("en", Paper::A4), |material| {
        compare_card(material, &report);
        compare_table(material, &report)
    })
}

#[test]
fn worst_cases_of_coils_are_alike_in_table_report_card_and_audit() {
    for name in desk::MACHINES {
        let spec: PathBuf = desk::demo(name);
        assert!(compare(&desk::open(&spec), &spec) > 1, "{name}");
    }
}

#[test]
fn the_worst_case_is_that_of_the_worst_sequence() {
    // 24 V − 25 % behind 0.5 Ω into 108 Ω: 18.0 × 108/108.5 = 17.9 V. Nominally the other supply gives less: 21.9 V.
    let folder = tempfile::tempdir().expect("a folder");
    let spec = folder.path().join("crossed.toml");
    std::fs::write(&spec, CROSSED).expect("written");
    let opened = desk::open(&spec);
    assert_eq!(compare(&opened, &spec), 1);
    desk::with_figures(&opened, &desk::options("en", Paper::A4), |material| {
        let body = &sheets::one(material, DocumentKind::CoilTable).expect("a table").data["body"];
        let row = &body["windings"][0];
        assert_eq!((number(&row["gets-low"]), &row["short-of-volts"]), (Some(17.9), &Value::Bool(true)));
        // Cold and warm: 120 Ω at 20 °C are 120 × 304.5/254.5 = 143.6 Ω at 70 °C (copper, IACS).
        let ambient = material.machine.identity.ambient.value();
        let warm = 120.0 * (234.5 + 70.0) / (234.5 + ambient);
        let printed = row["warm"].as_str().expect("text").split(' ').next().and_then(|ohms| ohms.parse::<f64>().ok());
        assert!(printed.is_some_and(|printed| (printed - warm).abs() < 0.6), "{row}");
        let coil = material.audit.iter().find(|finding| finding.rule == "coil-volts").expect("a finding");
        let said = crate::support::english(&coil.message);
        assert!(said.contains("17.9 V"), "{said}");
    });
}
