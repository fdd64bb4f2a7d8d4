//! Rules about coils, relays and contacts.

use super::*;

/// The coil with a resistor in its way.
fn through(ohms: &str) -> String {
    let text = with("S1 > K1 > COM", "S1 > R1 > K1 > COM");
    format!("{text}\n[[resistor]]\nid = \"R1\"\nvalue = \"{ohms}\"\n")
}

#[test]
fn too_little() {
    // 24 V through 100 Ω: about 13 V at 120 Ω, 18 V are needed.
    let low = trips("coil-volts", &through("100 ohm"));
    assert_eq!(low.severity, Severity::Defect);
    says(&low, &["`K1`", "13", "18 V"]);
    // 33 Ω leave 18.7 V at nominal volts and 16.8 V at 21.6 V.
    let worst = trips("coil-volts", &through("33 ohm"));
    assert_eq!(worst.severity, Severity::Remark);
    says(&worst, &["may get as little as", "18 V"]);
    is_silent("coil-volts", &through("4.7 ohm"));
}

/// Tolerances in the path count, not only those of the supply: 24 V through 100 Ω ±20 % and a coil of 100 Ω ±10 % leave
/// 24 × 90 / (120 + 90) = 10.286 V at the worst (divider law, L1 of the open textbook *Lessons In Electric Circuits*).
#[test]
fn a_loose_resistor_may_starve_a_coil() {
    let dropped = |operate: &str| {
        let coil = SOUND
            .replace(
                "voltage = \"24 V dc ±10 %\"\ninternal = \"0.5 ohm\"",
                "voltage = \"24 V dc ±0 %\"\ninternal = \"0.01 ohm ±0 %\"",
            )
            .replace(
                "coil = \"120 ohm ±10 %\"\nnominal = \"24 V dc\"\noperate = \"18 V\"",
                &format!("coil = \"100 ohm ±10 %\"\nnominal = \"12 V dc\"\noperate = \"{operate}\""),
            );
        let text = replaced(&coil, "S1 > K1 > COM", "S1 > R7 > K1 > COM");
        format!("{text}\n[[resistor]]\nid = \"R7\"\nvalue = \"100 ohm ±20 %\"\npower = \"5 W\"\n")
    };
    says(&trips("coil-volts", &dropped("10.4 V")), &["as little as 10.3 V", "10.4 V"]);
    is_silent("coil-volts", &dropped("10.0 V"));
}

/// A DC coil on AC is one finding, not two: its volts against its operate level mean nothing.
#[test]
fn volts_of_the_wrong_kind_are_not_judged() {
    let text = replaced(SOUND, "voltage = \"24 V dc ±10 %\"", "voltage = \"24 V ac 50 Hz ±10 %\"");
    let text = replaced(&text, "[[diode]]\nid = \"D1\"\nacross = \"K1\"\nreverse = \"200 V\"\nforward = \"1 A\"\n", "");
    trips("wrong-current", &text);
    is_silent("coil-volts", &text);
}

/// Twins are swapped to find a fault: they must be alike. 150 and 220 Ω are not, nor is a latching relay like a plain one.
#[test]
fn twins_must_be_alike() {
    let second = |coil: &str, more: &str| {
        and(&format!(
            "[[relay]]\nid = \"K2\"\ncoil = \"{coil}\"\nnominal = \"24 V dc\"\ncontacts = {{ \"5-6\" = \"make\" }}\ntwins = [\"K1\"]\n{more}\n[[run]]\nroute = \"TP1 > K2 > COM\"\n"
        ))
    };
    says(&trips("twins-differ", &second("220 ohm", "")), &["`K1`", "`K2`", "coils differ"]);
    is_silent("twins-differ", &second("120 ohm", ""));
    let latching =
        format!("{}\n[[run]]\nroute = \"TP1 > K2:B1-B2 > COM\"\n", second("120 ohm", "reset-coil = \"120 ohm\"\n"));
    says(&trips("twins-differ", &latching), &["reset coils differ"]);
    let contacts = replaced(
        &second("120 ohm", ""),
        "contacts = { \"5-6\" = \"make\" }\ntwins",
        "contacts = { \"5-6\" = \"break\" }\ntwins",
    );
    says(&trips("twins-differ", &contacts), &["contacts of different forms"]);
}

#[test]
fn too_little_when_warm() {
    // Copper from 20 to 70 °C: 304.5/254.5 = 1.196 times the ohms, 21.5 V instead of 18 V.
    let warm = trips("coil-warm", &through("22 ohm"));
    assert_eq!(warm.severity, Severity::Remark);
    says(&warm, &["`K1`", "21.5 V", "70 °C"]);
    is_silent("coil-warm", &through("4.7 ohm"));
    // A warm coil takes a larger share: behind 18 Ω 20.8 V become 21.2 V, behind 14 Ω 21.4 V become 21.8 V, enough.
    says(&trips("coil-warm", &through("18 ohm")), &["gets 21.2 V"]);
    is_silent("coil-warm", &through("14 ohm"));
}

#[test]
fn too_much() {
    says(&trips("coil-volts", &with("nominal = \"24 V dc\"", "nominal = \"18 V dc\"")), &["times the heat"]);
    is_silent("coil-volts", &with("nominal = \"24 V dc\"", "nominal = \"22 V dc\""));
    let brief = with("nominal = \"24 V dc\"", "nominal = \"18 V dc\"\nduty = \"1 s in 10 s\"");
    is_silent("coil-volts", &brief);
}

#[test]
fn stated_but_not_in() {
    let out = trips("pulled-in", &with("set = [\"S1\"]", "set = []"));
    says(&out, &["`K1` is said to be in", "sequence 1"]);
    is_silent("pulled-in", SOUND);
}

#[test]
fn sneak_path() {
    // A second relay hangs behind the same switch; nobody says so.
    let second = r#"
[[relay]]
id = "K2"
coil = "120 ohm"
nominal = "24 V dc"

[[joint]]
id = "J"

[[run]]
route = "J > K2 > COM"
"#;
    let sneak = replaced(&and(second), "S1 > K1", "S1 > J > K1");
    says(&trips("pulled-in", &sneak), &["`K2` is in", "`pulled-in` does not name it"]);
    is_silent("pulled-in", &replaced(&sneak, "pulled-in = [\"K1\"]", "pulled-in = [\"K1\", \"K2\"]"));
}

#[test]
fn acts_without_current() {
    let lamp = |set: &str| {
        let text = and(
            "[[lamp]]\nid = \"L1\"\nnominal = \"24 V\"\ncurrent = \"0.1 A\"\n\n[[switch]]\nid = \"S2\"\nrest = \"open\"\n\n[[run]]\nroute = \"TP1 > S2 > L1 > COM\"\n",
        );
        let text = replaced(&text, "acts = [\"K1\"]", "acts = [\"K1\", \"L1\"]");
        replaced(&text, "set = [\"S1\"]", set)
    };
    says(&trips("acts", &lamp("set = [\"S1\"]")), &["`L1` must act", "no current"]);
    is_silent("acts", &lamp("set = [\"S1\", \"S2\"]"));
}

/// Worked example: 24 V behind 8 Ω, a 120 Ω coil, its own contact adds 12 Ω; 22.5 V alternates with 13.85 V.
fn holding(release: &str) -> String {
    format!(
        r#"
[machine]
id = "rig"
name = "Chatter rig"
kind = "test rig"
revision = 1
revised = 2026-01-05
reference = "COM"

[[supply]]
id = "PS1"
voltage = "24 V dc"
internal = "8 ohm"
terminals = {{ "+" = "P24", "-" = "COM" }}

[[relay]]
id = "K1"
coil = "120 ohm"
nominal = "24 V dc"
operate = "18 V"
release = "{release}"
contacts = {{ "5-6" = "make" }}

[[solenoid]]
id = "L1"
coil = "12 ohm"
nominal = "24 V dc"

[[run]]
route = "P24 > K1 > COM"

[[run]]
route = "P24 > K1:5-6 > L1 > COM"

[[sequence]]
number = 1
title = "power on"
"#
    )
}

#[test]
fn chatter() {
    says(&trips("chatter", &holding("14.5 V")), &["chatter in sequence 1", "none in", "`K1` in"]);
    is_silent("chatter", &holding("6 V"));
}

const IDLE: &str = "[[relay]]\nid = \"K9\"\ncoil = \"120 ohm\"\nnominal = \"24 V dc\"\ncontacts = { \"5-6\" = \"make\" }\n\n[[switch]]\nid = \"S9\"\nrest = \"open\"\n\n[[run]]\nroute = \"TP1 > S9 > K9 > COM\"\n";

#[test]
fn relay_that_never_moves() {
    says(&trips("relay-never-moves", &and(IDLE)), &["`K9`", "5-6"]);
    is_silent("relay-never-moves", SOUND);
}

#[test]
fn contact_current() {
    let rated = |amps: &str| with("rest = \"open\"", &format!("rest = \"open\"\ncontact-rating = \"{amps}\""));
    // The coil draws 0.2 A less a little through S1.
    says(&trips("contact-current", &rated("0.1 A")), &["`S1` carries 199 mA", "100 mA"]);
    is_silent("contact-current", &rated("1 A"));
}

/// The sound machine on AC.
fn alternating(coil: &str) -> String {
    let text = replaced(SOUND, "voltage = \"24 V dc ±10 %\"", "voltage = \"24 V ac 50 Hz ±10 %\"");
    let text = replaced(&text, "[[diode]]\nid = \"D1\"\nacross = \"K1\"\nreverse = \"200 V\"\nforward = \"1 A\"\n", "");
    replaced(&text, "nominal = \"24 V dc\"", coil)
}

#[test]
fn wrong_current() {
    says(&trips("wrong-current", &alternating("nominal = \"24 V dc\"")), &["made for DC", "fed with AC"]);
    is_silent("wrong-current", &alternating("nominal = \"24 V ac\"\nimpedance = \"200 ohm\""));
}

#[test]
fn ohms_alone_under_ac() {
    trips("impedance-estimated", &alternating("nominal = \"24 V ac\""));
    is_silent("impedance-estimated", &alternating("nominal = \"24 V ac\"\nimpedance = \"200 ohm\""));
}

#[test]
fn diode_across_an_ac_coil() {
    let ac = alternating("nominal = \"24 V ac\"\nimpedance = \"200 ohm\"");
    let text =
        format!("{ac}\n[[joint]]\nid = \"J\"\n\n[[diode]]\nid = \"D2\"\n\n[[run]]\nroute = \"COM > D2:A-K > J\"\n");
    let machine = open(&replaced(&text, "S1 > K1", "S1 > J > K1"));
    // Such a circuit is not solved; the description alone is enough for this rule.
    let found = audit::audit_description(&machine);
    assert!(found.iter().any(|finding| finding.rule == "diode-across-ac-coil"), "{found:#?}");
    let without = audit::audit_description(&open(&ac));
    assert!(without.iter().all(|finding| finding.rule != "diode-across-ac-coil"), "{without:#?}");
}
