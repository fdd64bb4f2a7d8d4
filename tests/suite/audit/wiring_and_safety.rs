//! Rules about wire colours, touch voltages and stored charge.

use benchleaf::hazards::{self, StoredCharge, limits};
use benchleaf::words::figures::Numerals;

use super::*;

#[test]
fn wire_colour() {
    let changed = with("S1 > K1 > COM", "S1 > wire RD > wire WH/RD > K1 > COM");
    says(&trips("wire-colour-changes", &changed), &["RD to WH/RD"]);
    is_silent("wire-colour-changes", &with("S1 > K1 > COM", "S1 > wire RD > wire RD > K1 > COM"));
    // A named joint, or a part, may change the colour.
    let joint = format!("{}\n[[joint]]\nid = \"J\"\n", with("S1 > K1 > COM", "S1 > wire RD > J > wire BU > K1 > COM"));
    is_silent("wire-colour-changes", &joint);
    is_silent("wire-colour-changes", &with("S1 > K1 > COM", "wire RD > S1 > wire BU > K1 > COM"));
}

#[test]
fn touch_voltage() {
    // IEC 60335-1 cl. 8.1.4, quoted at second hand: 42.4 V peak or DC.
    let supplied = |volts: &str| with("voltage = \"24 V dc ±10 %\"", &format!("voltage = \"{volts}\""));
    says(&trips("touch-voltage", &supplied("48 V dc")), &["`PS1` has 48 V DC", "42.4 V"]);
    says(&trips("touch-voltage", &supplied("40 V dc ±10 %")), &["can reach 44 V DC at its terminals"]);
    is_silent("touch-voltage", &supplied("42 V dc ±0 %"));
}

#[test]
fn touch_voltage_of_windings() {
    // 50 V AC behind a bridge and a reservoir is 69.3 V DC; 28 V AC peaks at 39.6 V, 30 V AC at 42.4 V.
    let wound = |volts: &str, more: &str| {
        let text = replaced(SOUND, "voltage = \"24 V dc ±10 %\"", &format!("voltage = \"{volts}\"\n{more}"));
        replaced(&text, "[[diode]]\nid = \"D1\"\nacross = \"K1\"\nreverse = \"200 V\"\nforward = \"1 A\"\n", "")
    };
    assert_eq!(
        trips("touch-voltage", &wound("50 V ac 50 Hz ±0 %", "rectifier = \"bridge\"\nreservoir = \"2200 uF\""))
            .severity,
        Severity::Hazard
    );
    let bridge = wound("50 V ac 50 Hz ±0 %", "rectifier = \"bridge\"\nreservoir = \"2200 uF\"");
    says(&trips("touch-voltage", &bridge), &["69.3 V DC"]);
    for volts in ["28 V ac 50 Hz ±0 %", "30 V ac 50 Hz ±0 %"] {
        is_silent("touch-voltage", &wound(volts, ""));
    }
}

#[test]
fn stored_charge() {
    let charged = |value: &str, more: &str| {
        and(&format!(
            "[[capacitor]]\nid = \"C1\"\nvalue = \"{value}\"\nvoltage = \"50 V\"\n{more}\n\n[[run]]\nroute = \"TP1 > C1 > COM\"\n"
        ))
    };
    // 10 000 µF at 26.3 V hold 3.5 J; the supply itself is not sure to take them: it may have a rectifier inside.
    says(&trips("stored-charge", &charged("10000 uF ±0 %", "")), &["`C1`", "3.5 J", "nothing is sure to discharge it"]);
    is_silent("stored-charge", &charged("47 uF", ""));
    let bled = format!(
        "{}\n[[resistor]]\nid = \"R1\"\nvalue = \"1 kohm ±0 %\"\nacross = \"C1\"\n",
        charged("10000 uF ±0 %", "bleeder = \"R1\"")
    );
    // t = R C ln(V0/5) with V0 at most 26.2 V: 16.6 s, rounded up to what a person waits.
    says(&trips("stored-charge", &bled), &["up to 20 s", "5 V"]);
}

/// A rectified 24 V winding with a reservoir, a resistor across it, and more.
fn smoothed(reservoir: &str, resistor: &str, more: &str) -> String {
    format!(
        r#"
[machine]
id = "t"
name = "T"
revision = 1
revised = 2026-03-01
reference = "COM"
mains = "230 V ac 50 Hz"

[[supply]]
id = "PS1"
voltage = "24 V ac ±10 %"
internal = "0.5 ohm"
rectifier = "bridge"
reservoir = "{reservoir}"
terminals = {{ "+" = "P", "-" = "COM" }}

[[resistor]]
id = "R1"
value = "{resistor}"

[[test-point]]
id = "TP1"

[[run]]
route = "P > TP1 > R1 > COM"

[[sequence]]
number = 1
title = "on"
{more}"#
    )
}

fn charges(text: &str) -> Vec<StoredCharge> {
    let machine = open(text);
    let solver = Solver::new(&machine).expect("it solves");
    hazards::stored_charges(&solver, &solver.solve(Effort::Nominal))
}

/// t = R C ln(V0/5) with every value at its worst; the audit says the same seconds as the law (`OpenStax` College Physics 2e,
/// section 21.6), rounded up.
#[test]
fn waiting_time_of_a_reservoir_takes_the_worst_parts() {
    let highest = 24.0 * 1.1 * std::f64::consts::SQRT_2 - 1.4;
    for (reservoir, farads, resistor, ohms) in [
        ("1600 uF ±0 %", 1600e-6, "1 kohm ±0 %", 1000.0),
        ("1600 uF +100/-20 %", 3200e-6, "1 kohm ±10 %", 1100.0),
        // Where no tolerance is stated: +50 % for the reservoir, 10 % for the resistor.
        ("1600 uF", 2400e-6, "1 kohm", 1100.0),
    ] {
        let text = smoothed(reservoir, resistor, "");
        let [charge] = &charges(&text)[..] else { panic!("one charge") };
        let seconds = ohms * farads * (highest / 5.0_f64).ln();
        let wait = charge.wait.expect("R1 discharges it").to_meter.value();
        assert!((wait / seconds - 1.0).abs() < 1e-3, "{reservoir}: {wait} s, expected {seconds} s");
        assert!((charge.joules - farads * highest.powi(2) / 2.0).abs() < 1e-6);
        let said = Numerals::default().duration(seconds);
        says(&trips("stored-charge", &text), &[&format!("up to {said} ")]);
    }
}

/// Two capacitors across the same joints leave together: the time constant is that of their sum.
#[test]
fn capacitors_side_by_side_discharge_together() {
    let beside = "\n[[capacitor]]\nid = \"C1\"\nvalue = \"4700 uF ±0 %\"\nacross = \"R1\"\n";
    let charges = charges(&smoothed("2200 uF ±0 %", "1 kohm ±0 %", beside));
    assert_eq!(charges.len(), 2);
    for charge in charges {
        let seconds = 1000.0 * 6900e-6 * (charge.volts.value() / 5.0).ln();
        let wait = charge.wait.expect("R1 discharges both").to_meter.value();
        assert!((wait / seconds - 1.0).abs() < 1e-3, "{wait} s, expected {seconds} s");
    }
}

/// 30 V RMS is the limit of touch in IEC 62368-1 table 4, with 42.4 V as its peak: paper and audit agree on both sides of it.
#[test]
fn paper_and_audit_agree_on_what_is_live() {
    for (volts, live) in [("30 V ac 50 Hz ±0 %\"", false), ("30.1 V ac 50 Hz ±0 %\"", true), ("42.5 V dc ±0 %\"", true)]
    {
        let text = replaced(&smoothed("100 uF", "1 kohm", ""), "24 V ac ±10 %\"", volts)
            .replace("rectifier = \"bridge\"\nreservoir = \"100 uF\"\n", "");
        let machine = open(&text);
        let (_, supply) = limits::supplies(&machine).next().expect("a supply");
        assert_eq!(limits::live(supply, limits::highest(supply)).is_some(), live, "{volts}");
        let found = audit::audit_description(&machine);
        assert_eq!(found.iter().any(|finding| finding.rule == "touch-voltage"), live, "{volts}");
    }
}
