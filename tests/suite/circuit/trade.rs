//! Facts that every bench knows, from a description to its readings. Common practice, no source.

use benchleaf::circuit::results::SequenceSolution;
use benchleaf::circuit::{Effort, Solver};
use benchleaf::machine::{self, model::Machine};

/// A machine of 33 V with what stands in `sections`.
pub(super) fn open(sections: &str) -> Machine {
    let text = format!(
        r#"
[machine]
id = "rig"
name = "Rig"
reference = "COM"
[[supply]]
id = "PS1"
voltage = "33 V dc"
internal = "0.1 ohm"
terminals = {{ "+" = "P33", "-" = "COM" }}
{sections}
"#
    );
    match machine::from_text("rig.toml", &text) {
        Ok(opened) => opened.machine,
        Err(refused) => panic!("{}", refused.report.render(&refused.sources, false)),
    }
}

fn solve<T>(machine: &Machine, look: impl FnOnce(&Solver<'_>, &[SequenceSolution]) -> T) -> T {
    let solver = Solver::new(machine).unwrap_or_else(|error| panic!("{}", error.describe(machine)));
    let solution = solver.solve(Effort::Bands);
    look(&solver, &solution.sequences)
}

fn reads(machine: &Machine, sequence: &SequenceSolution, point: &str) -> f64 {
    let at = machine.test_point_named(point).unwrap();
    sequence.readings.iter().find(|reading| reading.at == at).unwrap().nominal
}

fn operates(machine: &Machine, sequence: &SequenceSolution, part: &str) -> Option<bool> {
    let part = machine.part_named(part).unwrap();
    sequence.devices.iter().find(|device| device.part == part).unwrap().operates
}

const COIL: &str = r#"
[[relay]]
id = "K1"
coil = "145 ohm"
nominal = "33 V dc"
operate = "70 %"
[[test-point]]
id = "TP1"
"#;

#[test]
fn seventeen_volts_at_a_coil_of_145_ohm_are_136_ohm_too_many_and_not_enough_to_pull_in() {
    let bad = open(&format!(
        "{COIL}[[resistor]]\nid = \"R1\"\nvalue = \"136 ohm\"\n[[run]]\nroute = \"P33 > R1 > TP1 > K1 > COM\"\n\
         [[sequence]]\nnumber = 1\ntitle = \"on\"\n"
    ));
    solve(&bad, |_, sequences| {
        let volts = reads(&bad, &sequences[0], "TP1");
        assert!((volts - 17.0).abs() < 0.05, "{volts}");
        assert_eq!(operates(&bad, &sequences[0], "K1"), Some(false));
    });
}

#[test]
fn a_coil_for_33_volts_pulls_in_on_24_volts_of_the_bench() {
    let bench = open(&format!(
        "[[supply]]\nid = \"PS2\"\nvoltage = \"24 V dc\"\nterminals = {{ \"+\" = \"P24\", \"-\" = \"COM\" }}\n{COIL}\
         [[switch]]\nid = \"S1\"\nrest = \"open\"\n[[run]]\nroute = \"P33 > S1 > TP1\"\n\
         [[run]]\nroute = \"P24 > TP1 > K1 > COM\"\n[[sequence]]\nnumber = 1\ntitle = \"on\"\n"
    ));
    solve(&bench, |_, sequences| assert_eq!(operates(&bench, &sequences[0], "K1"), Some(true)));
}

#[test]
fn a_switch_bank_in_series_is_dead_with_any_one_open() {
    let bank = |open_one: &str| {
        open(&format!(
            "{COIL}[[switch]]\nid = \"S1..S8\"\nrest = \"closed\"\n[[test-point]]\nid = \"TP2\"\n\
             [[run]]\nroute = \"P33 > TP1 > S1..S8 > TP2 > K1 > COM\"\n\
             [[sequence]]\nnumber = 1\ntitle = \"rest\"\nset = [{open_one}]\n"
        ))
    };
    let whole = bank("");
    solve(&whole, |_, sequences| {
        assert!(reads(&whole, &sequences[0], "TP2") > 32.0);
        assert_eq!(operates(&whole, &sequences[0], "K1"), Some(true));
    });
    for number in 1..=8 {
        let dead = bank(&format!("\"S{number}\""));
        solve(&dead, |_, sequences| {
            assert!(reads(&dead, &sequences[0], "TP2").abs() < 1e-9, "S{number}");
            assert!(reads(&dead, &sequences[0], "TP1") > 32.9, "S{number}");
            assert_eq!(operates(&dead, &sequences[0], "K1"), Some(false));
        });
    }
}

#[test]
fn a_segment_that_the_wiper_has_not_reached_reads_the_full_supply_and_near_zero_once_reached() {
    // The coil feeds the segments; the wiper takes what it stands on to common.
    let machine = open(&format!(
        "{COIL}[[selector]]\nid = \"SEL\"\nrings = {{ only = [\"A\", \"B\"] }}\n[[switch]]\nid = \"S1\"\nrest = \"open\"\n\
         [[run]]\nroute = \"P33 > K1 > TP1 > SEL:B\"\n[[run]]\nroute = \"SEL:W > COM\"\n\
         [[run]]\nroute = \"P33 > S1 > SEL:A\"\n\
         [[sequence]]\nnumber = 1\ntitle = \"on its way\"\nset = [\"SEL=A\"]\n\
         [[sequence]]\nnumber = 2\ntitle = \"there\"\nset = [\"SEL=B\"]\n"
    ));
    solve(&machine, |_, sequences| {
        assert!((reads(&machine, &sequences[0], "TP1") - 33.0).abs() < 0.01);
        assert_eq!(operates(&machine, &sequences[0], "K1"), Some(false));
        assert!(reads(&machine, &sequences[1], "TP1").abs() < 0.05);
        assert_eq!(operates(&machine, &sequences[1], "K1"), Some(true));
    });
}

#[test]
fn a_current_limiting_lamp_has_about_two_ohms_cold() {
    // 6.3 V, 0.25 A: 25 Ω lit; an ohmmeter shows the cold filament.
    let machine = open(
        "[[lamp]]\nid = \"H1\"\nnominal = \"6.3 V\"\ncurrent = \"0.25 A\"\n[[resistor]]\nid = \"R1\"\nvalue = \"100 ohm\"\n\
         [[test-point]]\nid = \"TP1\"\n[[run]]\nroute = \"P33 > R1 > TP1 > H1 > COM\"\n[[sequence]]\nnumber = 1\ntitle = \"on\"\n",
    );
    solve(&machine, |solver, sequences| {
        let lamp = machine.part(machine.part_named("H1").unwrap()).elements[0];
        let ends = machine.element(lamp);
        let setting = benchleaf::machine::model::Setting::default();
        let none = std::collections::BTreeSet::new();
        let cold = solver.dead_ohms(&setting, &none, (ends.from, ends.to), Some(lamp), &[]).unwrap();
        assert!((1.7..=2.5).contains(&cold), "{cold}");
        let lit = sequences[0].devices.iter().find(|device| device.element == lamp).unwrap();
        assert!((20.0..30.0).contains(&(lit.volts / lit.amps)), "{lit:?}");
    });
}
