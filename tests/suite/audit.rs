//! Each rule of the audit with a description that trips it and one that does not.
//!
//! A small sound machine stands at the start; each test changes one thing in it. Where a rule has a figure from outside,
//! the source stands beside the check.

use benchleaf::audit::{self, Finding, Severity};
use benchleaf::circuit::{Effort, Solver};
use benchleaf::machine::{self, model::Machine};

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
    for part in parts {
        assert!(finding.message.contains(part), "`{part}` is missing in: {}", finding.message);
    }
    assert!(!finding.advice.is_empty() && !finding.source.is_empty());
}

#[test]
fn a_sound_machine_has_no_findings() {
    let all = findings(SOUND);
    assert!(all.is_empty(), "{all:#?}");
}

#[test]
fn every_rule_has_a_name_a_summary_and_a_source() {
    let mut names: Vec<_> = audit::rules::ALL.iter().map(|rule| rule.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), audit::rules::ALL.len());
    assert!(audit::rules::ALL.iter().all(|rule| !rule.summary.is_empty() && !rule.source.is_empty()));
}

#[test]
fn findings_are_written_as_json() {
    let text = with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"20 A T\"");
    let machine = open(&text);
    let json = trips("wrong-fuse-fitted", &text).to_json(&machine);
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

mod fuses {
    use super::*;

    #[test]
    fn wrong_fuse_fitted() {
        // Common practice, no source: 10 A or 20 A found where 1.6 A or 3 A is called for.
        for (called, found, times) in [
            ("1.6 A", "10 A", "6.25 times"),
            ("3 A", "20 A", "6.67 times"),
            ("1.6 A", "20 A", "12.5 times"),
            ("3 A", "10 A", "3.33 times"),
        ] {
            let text = with("rated = \"2 A\"", &format!("rated = \"{called}\"\nfitted = \"{found} T\""));
            let finding = trips("wrong-fuse-fitted", &text);
            says(&finding, &["`F1`", called, found, times]);
            assert_eq!(finding.severity, Severity::Hazard);
        }
        is_silent("wrong-fuse-fitted", &with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"2 A T\""));
        let lower = trips("wrong-fuse-fitted", &with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"1 A T\""));
        assert_eq!(lower.severity, Severity::Remark);
        let slower = trips("wrong-fuse-fitted", &with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"2 A TT\""));
        assert_eq!(slower.severity, Severity::Hazard);
    }

    #[test]
    fn fuse_above_wire() {
        // FAA AC 43.13-1B table 11-9: AWG 24 of 105 °C in a bundle carries 2.5 A, AWG 20 4 A.
        let wired = with("S1 > K1 > COM", "S1 > wire RD AWG 24 1 m > K1 > COM");
        is_silent("fuse-above-wire", &wired);
        let finding = trips("fuse-above-wire", &replaced(&wired, "rated = \"2 A\"", "rated = \"3.15 A\""));
        says(&finding, &["`F1`", "AWG 24", "2.5 A"]);
        let thicker = replaced(&wired, "AWG 24", "AWG 20");
        is_silent("fuse-above-wire", &replaced(&thicker, "rated = \"2 A\"", "rated = \"3.15 A\""));
        // What is found in the clips counts too.
        trips("fuse-above-wire", &replaced(&thicker, "rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"10 A T\""));
    }

    #[test]
    fn a_wire_before_the_fuse_is_not_its_affair() {
        let before = with("P24 > F1", "P24 > wire RD AWG 24 1 m > F1");
        is_silent("fuse-above-wire", &replaced(&before, "rated = \"2 A\"", "rated = \"5 A\""));
    }

    #[test]
    fn fuse_above_supply() {
        let rated = |va: &str| with("internal = \"0.5 ohm\"", &format!("internal = \"0.5 ohm\"\nrating = \"{va}\""));
        says(&trips("fuse-above-supply", &rated("24 VA")), &["`F1`", "`PS1`", "1 A"]);
        is_silent("fuse-above-supply", &rated("60 VA"));
    }

    #[test]
    fn breaking_capacity_and_voltage() {
        // Makers' data sheets: L breaks the greater of 35 A and ten times the rating. 26.4 V behind 0.5 Ω can draw more.
        says(&trips("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"L\"")), &["35 A", "52.8 A"]);
        is_silent("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"E\""));
        says(
            &trips("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"H\"\nvoltage = \"12 V\"")),
            &["12 V", "26.4 V"],
        );
        is_silent("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"H\"\nvoltage = \"32 V\""));
    }

    const LAMP: &str = r#"
[[lamp]]
id = "L1"
nominal = "24 V"
current = "1 A"

[[run]]
route = "TP1 > L1 > COM"
"#;

    #[test]
    fn quick_fuse_before_a_lamp() {
        is_silent("fuse-speed", &and(LAMP));
        let quick = replaced(&and(LAMP), "speed = \"T\"", "speed = \"F\"");
        says(&trips("fuse-speed", &quick), &["`F1`", "quick"]);
        is_silent("fuse-speed", &with("speed = \"T\"", "speed = \"F\""));
    }

    #[test]
    fn fuse_below_load() {
        // 24 V over 120 Ω: 0.2 A less a little.
        let over = trips("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.16 A\""));
        assert_eq!(over.severity, Severity::Defect);
        is_silent("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.2 A\""));
        // UL 248-14 links: three quarters of the rating.
        let ul = trips("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.25 A\"\nstandard = \"UL\""));
        assert_eq!(ul.severity, Severity::Remark);
        is_silent("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.3 A\"\nstandard = \"UL\""));
    }

    fn shunted(ohms: &str) -> String {
        and(&format!("[[resistor]]\nid = \"R1\"\nvalue = \"{ohms}\"\n\n[[run]]\nroute = \"TP1 > R1 > COM\"\n"))
    }

    #[test]
    fn fuse_opens() {
        // 24 V over 2.5 Ω is 9.6 A; a 2 A IEC link is sure to open from 4.2 A.
        says(&trips("fuse-opens", &shunted("2 ohm")), &["`F1`", "sequence 1"]);
        is_silent("fuse-opens", &shunted("20 ohm"));
    }

    #[test]
    fn supply_overloaded() {
        let short = "[[switch]]\nid = \"S2\"\nrest = \"open\"\n\n[[run]]\nroute = \"P24 > S2 > COM\"\n";
        let shorted = replaced(&and(short), "set = [\"S1\"]", "set = [\"S1\", \"S2\"]");
        says(&trips("supply-overloaded", &shorted), &["`PS1` is shorted"]);
        is_silent("supply-overloaded", &and(short));
        let limited =
            |amps: &str| with("internal = \"0.5 ohm\"", &format!("internal = \"0.5 ohm\"\nmaximum = \"{amps}\""));
        says(&trips("supply-overloaded", &limited("100 mA")), &["`PS1` delivers", "100 mA"]);
        is_silent("supply-overloaded", &limited("3 A"));
    }
}

mod coils {
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
        let text =
            replaced(&text, "[[diode]]\nid = \"D1\"\nacross = \"K1\"\nreverse = \"200 V\"\nforward = \"1 A\"\n", "");
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
}

mod suppressors {
    use super::*;

    const DIODE: &str = "[[diode]]\nid = \"D1\"\nacross = \"K1\"\nreverse = \"200 V\"\nforward = \"1 A\"\n";

    #[test]
    fn missing() {
        says(&trips("suppressor-missing", &with(DIODE, "")), &["`K1`"]);
        is_silent("suppressor-missing", SOUND);
        // A resistor with a capacitor serves as well.
        let snubber = "[[joint]]\nid = \"J\"\n\n[[resistor]]\nid = \"R1\"\nvalue = \"100 ohm\"\n\n[[capacitor]]\nid = \"C1\"\nvalue = \"0.1 uF\"\n\n[[run]]\nroute = \"J > R1 > C1 > COM\"\n";
        let text = format!("{}\n{snubber}", replaced(&with(DIODE, ""), "S1 > K1", "S1 > J > K1"));
        is_silent("suppressor-missing", &text);
    }

    #[test]
    fn a_plug_away_is_still_across() {
        let text = replaced(
            &with(DIODE, "[[diode]]\nid = \"D1\"\n\n[[plug]]\nid = \"J3\"\n\n[[joint]]\nid = \"J\"\n"),
            "S1 > K1",
            "S1 > J > K1",
        );
        let text = format!("{text}\n[[run]]\nroute = \"COM > D1:A-K > J3:6 > wire RD > J\"\n");
        is_silent("suppressor-missing", &text);
    }

    fn by_hand(route: &str) -> String {
        let text =
            replaced(&with(DIODE, "[[diode]]\nid = \"D1\"\n\n[[joint]]\nid = \"J\"\n"), "S1 > K1", "S1 > J > K1");
        format!("{text}\n[[run]]\nroute = \"{route}\"\n")
    }

    #[test]
    fn reversed() {
        let wrong = trips("suppressor-reversed", &by_hand("J > D1:A-K > COM"));
        assert_eq!(wrong.severity, Severity::Hazard);
        says(&wrong, &["`D1`", "`K1`"]);
        is_silent("suppressor-reversed", &by_hand("COM > D1:A-K > J"));
    }

    #[test]
    fn reversed_behind_a_large_fuse() {
        // With nothing to open, the diode simply holds the coil down.
        let text = replaced(&by_hand("J > D1:A-K > COM"), "rated = \"2 A\"", "rated = \"100 A\"");
        trips("suppressor-reversed", &text);
    }

    #[test]
    fn too_small() {
        let current = trips("suppressor-too-small", &with("forward = \"1 A\"", "forward = \"0.1 A\""));
        says(&current, &["`D1` may carry 100 mA"]);
        let volts = trips("suppressor-too-small", &with("reverse = \"200 V\"", "reverse = \"40 V\""));
        assert_eq!(volts.severity, Severity::Remark);
        assert_eq!(
            trips("suppressor-too-small", &with("reverse = \"200 V\"", "reverse = \"20 V\"")).severity,
            Severity::Defect
        );
        is_silent("suppressor-too-small", &with("reverse = \"200 V\"", "reverse = \"50 V\""));
    }
}

mod ratings {
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
}

mod wiring_and_safety {
    use super::*;

    #[test]
    fn wire_colour() {
        let changed = with("S1 > K1 > COM", "S1 > wire RD > wire WH/RD > K1 > COM");
        says(&trips("wire-colour-changes", &changed), &["RD to WH/RD"]);
        is_silent("wire-colour-changes", &with("S1 > K1 > COM", "S1 > wire RD > wire RD > K1 > COM"));
        // A named joint, or a part, may change the colour.
        let joint =
            format!("{}\n[[joint]]\nid = \"J\"\n", with("S1 > K1 > COM", "S1 > wire RD > J > wire BU > K1 > COM"));
        is_silent("wire-colour-changes", &joint);
        is_silent("wire-colour-changes", &with("S1 > K1 > COM", "wire RD > S1 > wire BU > K1 > COM"));
    }

    #[test]
    fn touch_voltage() {
        // IEC 60335-1 cl. 8.1.4, quoted at second hand: 42.4 V peak or DC.
        let supplied = |volts: &str| with("voltage = \"24 V dc ±10 %\"", &format!("voltage = \"{volts}\""));
        says(&trips("touch-voltage", &supplied("48 V dc")), &["`PS1` has 48 V DC", "42.4 V"]);
        says(&trips("touch-voltage", &supplied("40 V dc ±10 %")), &["can reach 44 V DC at its highest"]);
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
        // 10 000 µF at 23.9 V hold 2.9 J.
        says(&trips("stored-charge", &charged("10000 uF ±0 %", "")), &["`C1`", "2.9 J", "no bleeder"]);
        is_silent("stored-charge", &charged("100 uF", ""));
        let bled = format!(
            "{}\n[[resistor]]\nid = \"R1\"\nvalue = \"1 kohm ±0 %\"\nacross = \"C1\"\n",
            charged("10000 uF ±0 %", "bleeder = \"R1\"")
        );
        // t = R C ln(23.8/5): 15.6 s.
        says(&trips("stored-charge", &bled), &["bleeder takes 15.6 s", "5 V"]);
    }
}

mod readings {
    use super::*;

    fn expecting(reads: &str) -> String {
        and(&format!("[[expect]]\nat = \"TP1\"\nsequence = 1\nreads = \"{reads}\"\nsource = \"manual p. 31\"\n"))
    }

    #[test]
    fn manual_disagrees() {
        // 21.6 to 26.4 V behind half an ohm.
        says(
            &trips("manual-disagrees", &expecting("12 V dc")),
            &["`TP1`", "12 V DC", "manual p. 31", "on a healthy machine"],
        );
        says(&trips("manual-disagrees", &expecting("-23.9 V dc")), &["the sign differs"]);
        says(&trips("manual-disagrees", &expecting("24 V ac")), &["the circuit makes 23.9 V DC there"]);
        for reads in ["23.9 V dc", "21.6 V dc", "26.2 V dc", "20 V dc ±10 %"] {
            is_silent("manual-disagrees", &expecting(reads));
        }
    }

    #[test]
    fn floating_test_point() {
        let hanging = and(
            "[[test-point]]\nid = \"TP9\"\n\n[[switch]]\nid = \"S8..S9\"\nrest = \"open\"\n\n[[run]]\nroute = \"P24 > S8 > TP9 > S9 > COM\"\n",
        );
        says(&trips("test-point-floats", &hanging), &["`TP9`"]);
        is_silent("test-point-floats", &replaced(&hanging, "set = [\"S1\"]", "set = [\"S1\", \"S8\"]"));
    }

    #[test]
    fn silent_test_point() {
        let silent = and("[[test-point]]\nid = \"TP9\"\nat = \"COM\"\n");
        says(&trips("test-point-silent", &silent), &["`TP9` reads nothing against `COM`"]);
        is_silent("test-point-silent", SOUND);
    }

    #[test]
    fn unused_part() {
        let idle = and(
            "[[lamp]]\nid = \"L9\"\nnominal = \"24 V\"\ncurrent = \"0.1 A\"\n\n[[switch]]\nid = \"S9\"\nrest = \"open\"\n\n[[run]]\nroute = \"TP1 > S9 > L9 > COM\"\n",
        );
        let found: Vec<_> = findings(&idle)
            .into_iter()
            .filter(|finding| finding.rule == "part-unused")
            .map(|finding| finding.message)
            .collect();
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(
            found.iter().any(|message| message.contains("`L9`"))
                && found.iter().any(|message| message.contains("`S9`"))
        );
        is_silent("part-unused", &replaced(&idle, "set = [\"S1\"]", "set = [\"S1\", \"S9\"]"));
    }
}
