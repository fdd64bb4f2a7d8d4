//! Rules about ratings of parts, and loudspeakers.

use super::*;

#[test]
fn resistor_power() {
    // (23.8 V)² over 1 kΩ is 0.57 W.
    let heated = |watts: &str| {
        and(&format!(
            "[[resistor]]\nid = \"R1\"\nvalue = \"1 kohm\"\npower = \"{watts}\"\n\n[[run]]\nroute = \"TP1 > R1 > COM\"\n"
        ))
    };
    says(&trips("resistor-power", &heated("0.25 W")), &["`R1`", "250 mW"]);
    is_silent("resistor-power", &heated("2 W"));
}

#[test]
fn capacitor_volts() {
    let charged = |volts: &str| {
        and(&format!(
            "[[capacitor]]\nid = \"C1\"\nvalue = \"100 uF\"\nvoltage = \"{volts}\"\n\n[[run]]\nroute = \"TP1 > C1 > COM\"\n"
        ))
    };
    says(&trips("capacitor-volts", &charged("16 V")), &["`C1`", "16 V"]);
    is_silent("capacitor-volts", &charged("35 V"));
}

#[test]
fn lamp_over_run() {
    let lit = |volts: &str| {
        and(&format!(
            "[[lamp]]\nid = \"L1\"\nnominal = \"{volts}\"\ncurrent = \"0.1 A\"\n\n[[run]]\nroute = \"TP1 > L1 > COM\"\n"
        ))
    };
    says(&trips("lamp-over-run", &lit("18 V")), &["`L1`", "18 V"]);
    is_silent("lamp-over-run", &lit("24 V"));
    assert_eq!(trips("lamp-over-run", &lit("12 V")).severity, Severity::Defect);
}

/// An amplifier output with loudspeakers.
fn amplifier(runs: &str) -> String {
    format!(
        r#"
[machine]
id = "rig"
name = "Sound rig"
kind = "test rig"
revision = 1
revised = 2026-01-05
reference = "COM"

[[supply]]
id = "AMP"
voltage = "8 V ac 1000 Hz"
internal = "0.1 ohm"
minimum-load = "8 ohm"
terminals = {{ "hot" = "HOT", "cold" = "COM" }}

[[speaker]]
id = "LS1"
impedance = "8 ohm"
range = "woofer"

[[speaker]]
id = "LS2"
impedance = "8 ohm"
range = "tweeter"

[[capacitor]]
id = "C1"
value = "4.7 uF"

{runs}

[[sequence]]
number = 1
title = "music plays"
acts = ["LS1"]
"#
    )
}

#[test]
fn speaker_load() {
    let parallel = amplifier(
        "[[run]]\nroute = \"HOT > LS1 > COM\"\n\n[[run]]\nroute = \"HOT > LS2 > C1 > COM\"\n\n[[speaker]]\nid = \"LS3\"\nimpedance = \"8 ohm\"\n\n[[run]]\nroute = \"HOT > LS3 > COM\"\n",
    );
    says(&trips("speaker-load", &parallel), &["`AMP` drives", "8 Ω"]);
    let series = amplifier(
        "[[run]]\nroute = \"HOT > LS1 > LS3 > COM\"\n\n[[run]]\nroute = \"HOT > LS2 > C1 > COM\"\n\n[[speaker]]\nid = \"LS3\"\nimpedance = \"8 ohm\"\n",
    );
    is_silent("speaker-load", &series);
}

#[test]
fn crossover_missing() {
    let bare = amplifier("[[run]]\nroute = \"HOT > LS1 > C1 > COM\"\n\n[[run]]\nroute = \"HOT > LS2 > COM\"\n");
    says(&trips("crossover-missing", &bare), &["`LS2`"]);
    is_silent(
        "crossover-missing",
        &amplifier("[[run]]\nroute = \"HOT > LS1 > COM\"\n\n[[run]]\nroute = \"HOT > LS2 > C1 > COM\"\n"),
    );
    // Second order: the capacitor stands before, an inductor beside the tweeter.
    let second = amplifier(
        "[[joint]]\nid = \"J\"\n\n[[inductor]]\nid = \"L1\"\nvalue = \"0.4 mH\"\nresistance = \"0.2 ohm\"\n\n[[run]]\nroute = \"HOT > LS1 > COM\"\n\n[[run]]\nroute = \"HOT > C1 > J > LS2 > COM\"\n\n[[run]]\nroute = \"J > L1 > COM\"\n",
    );
    is_silent("crossover-missing", &second);
}
