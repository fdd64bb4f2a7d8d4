//! Descriptions with values that no bench has: each is answered rightly or refused with the reason.

use benchleaf::circuit::{Effort, Reason, Solver};
use benchleaf::machine;
use benchleaf::machine::model::Machine;

use super::near;

/// 24 V, a fuse, a switch and a load; each test puts another text in place of one of them.
const RIG: &str = r#"
[machine]
id = "rig"
name = "Rig"
reference = "COM"
mains = "230 V ac 50 Hz"
[[supply]]
id = "PS1"
voltage = "24 V dc"
internal = "0.5 ohm"
terminals = { "+" = "P24", "-" = "COM" }
[[fuse]]
id = "F1"
rated = "2 A"
cold = "0.05 ohm"
[[switch]]
id = "S1"
rest = "open"
[[resistor]]
id = "R1"
value = "100 ohm"
[[test-point]]
id = "TP1"
[[run]]
route = "P24 > F1 > S1 > TP1 > R1 > COM"
[[sequence]]
number = 1
title = "on"
set = ["S1"]
"#;

fn with(from: &str, to: &str) -> String {
    assert!(RIG.contains(from), "{from}");
    RIG.replace(from, to)
}

/// Everything that is wrong with a text, as sentences; none where it can be opened.
fn messages(text: &str) -> Vec<String> {
    match machine::from_text("rig.toml", text) {
        Ok(_) => Vec::new(),
        Err(refused) => refused.report.iter().map(benchleaf::spec::Diagnostic::message).collect(),
    }
}

fn open(text: &str) -> Machine {
    match machine::from_text("rig.toml", text) {
        Ok(opened) => opened.machine,
        Err(refused) => panic!("{}", refused.report.render(&refused.sources, false)),
    }
}

fn says(text: &str, part: &str) {
    let all = messages(text);
    assert!(all.iter().any(|message| message.contains(part)), "`{part}` in {all:?}");
}

/// Reading, lowest and highest at TP1; all must be numbers.
fn reading(text: &str) -> [f64; 3] {
    let machine = open(text);
    let solver = Solver::new(&machine).unwrap_or_else(|error| panic!("{}\n{text}", error.describe(&machine)));
    let solution = solver.solve(Effort::Bands);
    let reading = &solution.sequences[0].readings[0];
    let shown = [reading.nominal, reading.band.low, reading.band.high];
    assert!(shown.iter().all(|value| value.is_finite()), "{shown:?}\n{text}");
    for device in &solution.sequences[0].devices {
        assert!(device.volts.is_finite() && device.amps.is_finite() && device.watts.is_finite(), "{device:?}\n{text}");
    }
    shown
}

fn refused(text: &str) -> (Reason, String) {
    let machine = open(text);
    let error = Solver::new(&machine).expect_err("this circuit must be refused");
    (error.reason.clone(), error.describe(&machine))
}

#[test]
fn zero_ohms() {
    // A link across: all of the fuse's 2 A and more; the fuse opens and says so.
    let machine = open(&with("value = \"100 ohm\"", "value = \"0 ohm\""));
    let solution = Solver::new(&machine).unwrap().solve(Effort::Bands);
    let sequence = &solution.sequences[0];
    assert_eq!(sequence.opened.len(), 1);
    // 24 V over 0.5 Ω of supply, 0.05 Ω of fuse, 0.05 Ω of contact.
    near(sequence.opened[0].current, 24.0 / 0.6, 1e-6);
    // A contact or an internal resistance of zero is an ideal one.
    near(reading(&with("internal = \"0.5 ohm\"", "internal = \"0 ohm\""))[0], 24.0 * 100.0 / 100.1, 1e-4);
}

#[test]
fn negative_ohms() {
    for (from, to) in [
        ("value = \"100 ohm\"", "value = \"-100 ohm\""),
        ("internal = \"0.5 ohm\"", "internal = \"-0.5 ohm\""),
        ("cold = \"0.05 ohm\"", "cold = \"-0.05 ohm\""),
    ] {
        says(&with(from, to), "must not be negative");
    }
}

#[test]
fn a_tolerance_of_a_hundred_per_cent() {
    // From nothing to twice: the reading spans from a dead short (which opens the fuse on that machine) to the double.
    let [nominal, low, high] = reading(&with("value = \"100 ohm\"", "value = \"100 ohm ±100 %\""));
    assert!(low.abs() < 1e-6, "{low}");
    assert!(nominal < high && high <= 26.4, "{high}");
    for percent in [100, 150] {
        let text = with("voltage = \"24 V dc\"", &format!("voltage = \"24 V dc ±{percent} %\""));
        if messages(&text).is_empty() {
            let [_, low, high] = reading(&text);
            assert!(low <= high);
        }
    }
    says(&with("value = \"100 ohm\"", "value = \"100 ohm ±150 %\""), "below zero");
}

#[test]
fn a_supply_shorted_by_a_closed_switch() {
    // Without a fuse in the way it carries what its own ohms let through, and the reading is that of the short.
    let shorted =
        with("[[run]]", "[[switch]]\nid = \"S2\"\nrest = \"closed\"\n[[run]]\nroute = \"P24 > S2 > COM\"\n[[run]]");
    let [nominal, ..] = reading(&shorted);
    near(nominal, 24.0 * 0.05 / 0.55 * 100.0 / 100.1, 1e-3);
    // Ideal, and shorted by an ideal contact: there is no answer.
    let ideal = shorted
        .replace("internal = \"0.5 ohm\"", "internal = \"0 ohm\"")
        .replace("id = \"S2\"\n", "id = \"S2\"\nclosed = \"0 ohm\"\n");
    let (reason, text) = refused(&ideal);
    assert!(matches!(reason, Reason::SourcesConflict { .. }), "{text}");
    assert!(text.contains("PS1") && text.contains("internal resistance"), "{text}");
}

const SECOND: &str = "[[supply]]\nid = \"PS2\"\nvoltage = \"18 V dc\"\ninternal = \"0 ohm\"\nterminals = { \"+\" = \"P18\", \"-\" = \"COM\" }\n";

#[test]
fn two_ideal_supplies_in_parallel() {
    // A link of no ohms between them.
    let text = with("internal = \"0.5 ohm\"", "internal = \"0 ohm\"").replace(
        "[[fuse]]",
        &format!("{SECOND}[[resistor]]\nid = \"R2\"\nvalue = \"0 ohm\"\n[[run]]\nroute = \"P24 > R2 > P18\"\n[[fuse]]"),
    );
    let (reason, said) = refused(&text);
    assert!(matches!(reason, Reason::SourcesConflict { .. }));
    assert!(said.contains("PS1") && said.contains("PS2") && said.contains("sequence 1"), "{said}");
    // With an ohm between them there is an answer: 6 A flow, and both keep their volts.
    let apart = text.replace("id = \"R2\"\nvalue = \"0 ohm\"", "id = \"R2\"\nvalue = \"1 ohm\"");
    near(reading(&apart)[0], 24.0 * 100.0 / 100.1, 1e-4);
}

#[test]
fn a_diode_fed_by_both_currents_at_once() {
    let text = with(
        "[[fuse]]",
        "[[supply]]\nid = \"T1\"\nvoltage = \"20 V ac 50 Hz\"\ninternal = \"1 ohm\"\nterminals = { \"1\" = \"AC1\", \"2\" = \"COM\" }\n\
         [[diode]]\nid = \"D1\"\n[[resistor]]\nid = \"R2\"\nvalue = \"100 ohm\"\n[[joint]]\nid = \"J\"\n\
         [[run]]\nroute = \"P24 > R2 > J > D1:A-K > COM\"\n[[resistor]]\nid = \"R3\"\nvalue = \"100 ohm\"\n\
         [[run]]\nroute = \"AC1 > R3 > J\"\n[[fuse]]",
    );
    let (reason, said) = refused(&text);
    assert!(matches!(reason, Reason::DiodeUnderAlternating { .. }));
    assert!(said.contains("D1") && said.contains("T1"), "{said}");
}

#[test]
fn a_lamp_without_a_rating() {
    let lamp = |rating: &str| {
        with("[[run]]", &format!("[[lamp]]\nid = \"H1\"\n{rating}\n[[run]]\nroute = \"TP1 > H1 > COM\"\n[[run]]"))
    };
    says(&lamp("nominal = \"24 V\""), "lacks its key `current`");
    says(&lamp("current = \"0.1 A\""), "lacks its key `nominal`");
    says(&lamp("nominal = \"24 V\"\ncurrent = \"0 A\""), "must be more than zero");
    assert!(reading(&lamp("nominal = \"24 V\"\ncurrent = \"0.1 A\""))[0] > 20.0);
}

#[test]
fn an_ac_coil_with_ohms_alone() {
    let text = with(
        "[[run]]",
        "[[supply]]\nid = \"T1\"\nvoltage = \"24 V ac\"\nterminals = { \"1\" = \"AC1\", \"2\" = \"COM\" }\n\
         [[solenoid]]\nid = \"Y1\"\ncoil = \"10 ohm\"\nnominal = \"24 V ac\"\n[[run]]\nroute = \"AC1 > Y1 > COM\"\n[[run]]",
    );
    let machine = open(&text);
    let solution = Solver::new(&machine).unwrap().solve(Effort::Bands);
    let part = machine.part_named("Y1").unwrap();
    let remark = benchleaf::circuit::results::Remark::ImpedanceEstimated(part);
    assert!(solution.sequences[0].remarks.contains(&remark), "{:?}", solution.sequences[0].remarks);
}

#[test]
fn values_from_a_million_millionth_to_a_million_million() {
    let sizes = ["1e-12", "1e-9", "1e-6", "1e-3", "1", "1e3", "1e6", "1e9", "1e12"];
    let parts = "[[capacitor]]\nid = \"C1\"\nvalue = \"1 uF\"\n[[inductor]]\nid = \"L1\"\nvalue = \"1 H\"\n\
        [[relay]]\nid = \"K1\"\ncoil = \"120 ohm\"\nnominal = \"24 V dc\"\n[[lamp]]\nid = \"H1\"\nnominal = \"24 V\"\ncurrent = \"0.1 A\"\n\
        [[diode]]\nid = \"D1\"\nacross = \"K1\"\n\
        [[run]]\nroute = \"TP1 > C1 > COM\"\n[[run]]\nroute = \"TP1 > L1 > H1 > COM\"\n[[run]]\nroute = \"TP1 > K1 > COM\"\n[[run]]";
    let places = [
        ("voltage = \"24 V dc\"", "voltage = \"@ V dc\""),
        ("internal = \"0.5 ohm\"", "internal = \"@ ohm\""),
        ("cold = \"0.05 ohm\"", "cold = \"@ ohm\""),
        ("value = \"100 ohm\"", "value = \"@ ohm\""),
        ("value = \"1 uF\"", "value = \"@ F\""),
        ("value = \"1 H\"", "value = \"@ H\""),
        ("coil = \"120 ohm\"", "coil = \"@ ohm\""),
        ("current = \"0.1 A\"", "current = \"@ A\""),
        ("nominal = \"24 V\"", "nominal = \"@ V\""),
    ];
    let (mut answered, mut refused) = (0, 0);
    for alternating in [false, true] {
        for (from, to) in places {
            for size in sizes {
                let mut text = with("[[run]]", parts);
                if alternating {
                    text = text.replace("24 V dc", "24 V ac").replace("[[diode]]\nid = \"D1\"\nacross = \"K1\"\n", "");
                }
                let (from, to) = if alternating {
                    (from.replace("dc", "ac"), to.replace("dc", "ac"))
                } else {
                    (from.into(), to.into())
                };
                assert!(text.contains(&from), "{from}");
                let text = text.replace(&from, &to.replace('@', size));
                let Ok(opened) = machine::from_text("rig.toml", &text) else {
                    refused += 1;
                    continue;
                };
                match Solver::new(&opened.machine) {
                    Ok(_) => {
                        reading(&text);
                        answered += 1;
                    }
                    Err(error) => {
                        assert!(!error.describe(&opened.machine).is_empty());
                        refused += 1;
                    }
                }
            }
        }
    }
    assert!(answered > 120, "{answered} answered, {refused} refused");
}
