//! What stands at a supply, where the black lead goes, and what nobody knows, as the papers say it.

use benchleaf::sheets::{self, DocumentKind, Paper};
use serde_json::Value;

use super::sheets as desk;

/// A rectified control supply, and a floating winding with a motor of which only the running amps are known.
const MACHINE: &str = r#"
[machine]
id = "floats"
name = "Floating winding"
kind = "trial"
revision = 1
revised = 2026-01-05
reference = "COM"
mains = "230 V ac 50 Hz"

[[supply]]
id = "PS1"
voltage = "18 V ac ±10 %"
rating = "40 VA"
regulation = "10 %"
rectifier = "bridge"
reservoir = "2200 uF"
terminals = { "+" = "P24", "-" = "COM" }

[[supply]]
id = "PS2"
voltage = "24 V ac ±10 %"
rating = "60 VA"
regulation = "12 %"
terminals = { "a" = "AC24", "b" = "ACC" }

[[fuse]]
id = "F1"
rated = "1 A"
speed = "T"
fitted = "1 A T"

[[fuse]]
id = "F2"
rated = "2.5 A"
speed = "T"
fitted = "5 A T"

[[relay]]
id = "K1"
coil = "220 ohm ±10 %"
nominal = "24 V dc"
contacts = { "5-6" = "make" }

[[motor]]
id = "M1"
nominal = "24 V ac 50 Hz"
current = "0.9 A"
power-factor = 0.7

[[plug]]
id = "J1"

[[test-point]]
id = "TP1"

[[test-point]]
id = "TP2"
reference = "ACC"

[[run]]
route = "P24 > F1 > TP1 > K1 > COM"

[[run]]
route = "AC24 > F2 > TP2 > K1:5-6 > J1:1 > M1 > J1:2 > ACC"

[[sequence]]
number = 1
title = "runs"
pulled-in = ["K1"]
acts = ["K1", "M1"]
"#;

/// The data of a document.
fn data(kind: DocumentKind) -> Value {
    let opened = desk::from_text(MACHINE);
    let options = desk::options("en", Paper::A4);
    desk::with_figures(&opened, &options, |material| {
        sheets::one(material, kind).expect("a document").data["body"].clone()
    })
}

fn row<'a>(rows: &'a Value, id: &str) -> &'a Value {
    rows.as_array().expect("rows").iter().find(|row| row["id"] == id).unwrap_or_else(|| panic!("{id}"))
}

/// 19.8 V without load behind a bridge and a reservoir: no more than 19.8 × √2 − 1.4 = 26.6 V, and near it under 0.1 A.
#[test]
fn a_rectified_supply_is_dc_at_its_terminals() {
    let card = data(DocumentKind::BenchCard);
    let supply = row(&card["supplies"], "PS1");
    assert_eq!(supply["unit"], "V dc");
    assert_eq!(supply["mark"], "computed");
    let volts: f64 = supply["reads"].as_str().expect("text").parse().expect("a number");
    assert!((24.5..26.61).contains(&volts), "{volts}");
    // What the winding gives without load follows from its rating; the papers say 24 V.
    assert_eq!(row(&card["supplies"], "PS2")["mark"], "computed");
    let pack = data(DocumentKind::Pack).to_string();
    assert!(pack.contains("winding 18 V ac 50 Hz"), "{pack}");
    assert!(pack.contains("24 V ac 50 Hz"));
}

/// Two windings that nothing joins: a reading of one against the reference of the other shows nothing.
#[test]
fn the_black_lead_is_named_where_it_is_another() {
    let card = data(DocumentKind::BenchCard);
    assert_eq!(card["other-leads"], true);
    assert_eq!(row(&card["points"], "TP2")["black"], "against ACC");
    assert_eq!(row(&card["points"], "TP1")["black"], Value::Null);
    let plugs = data(DocumentKind::PlugTable);
    let pin = &plugs["plugs"][0]["pins"][0];
    assert_eq!(pin["readings"][0]["black"], "ACC");
    let volts: f64 = pin["readings"][0]["reads"].as_str().expect("text").parse().expect("a number");
    // 26.88 V without load, 0.9 A through a winding of 0.12 × 24² / 60 Ω.
    assert!((25.0..26.9).contains(&volts), "{volts}");
}

/// Running amps hold the mechanical work: an ohmmeter shows something else on a motor, and nothing tells what.
#[test]
fn ohms_of_a_motor_are_not_invented() {
    let card = data(DocumentKind::BenchCard);
    assert_eq!(row(&card["coils"], "M1")["ohms"], "\u{2013}");
    assert_eq!(row(&card["coils"], "M1")["mark"], Value::Null);
    assert_eq!(row(&card["coils"], "K1")["ohms"], "220 Ω");
    let table = data(DocumentKind::CoilTable);
    let motor = row(&table["windings"], "M1");
    assert_eq!(motor["cold"], "\u{2013}");
    assert_eq!(motor["warm"], "\u{2013}");
    assert!(motor["notes"].to_string().contains("Measure a good one"), "{motor}");
}

/// A fuse that was found as called for is no cause for a sign.
#[test]
fn only_a_wrong_fuse_bears_a_sign() {
    for kind in [DocumentKind::JobSheet, DocumentKind::Pack] {
        let sheet = data(kind);
        assert_eq!(row(&sheet["fuses"], "F1")["wrong"], false);
        assert_eq!(row(&sheet["fuses"], "F2")["wrong"], true);
    }
}
