//! Diodes, lamps, relays and meters, each in a circuit small enough to work by hand.

use benchleaf::circuit::results::Settling;
use benchleaf::circuit::{Effort, Solver};
use benchleaf::machine::model::{JointId, Meter, SequenceId};
use benchleaf::spec::units::{Ohms, Volts};

use super::build::{Bench, exactly};
use super::near;

fn joint_volts(bench: &Bench, name: &str) -> f64 {
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    solution.sequences[0].joints[bench.machine.joint_named(name).unwrap().0].direct
}

#[test]
fn a_piecewise_linear_diode_in_series() {
    // (24 − 0.7)/(100 + 0.05) = 0.232884 A, 0.711644 V across the diode: worked by hand.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.0), "P", "COM");
    bench.resistor("R1", exactly(100.0), "P", "A");
    let diode = bench.diode("D1", 0.7, 0.05, None, "A", "COM");
    bench.sequence(&[], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    near(solution.sequences[0].currents[diode.0], 0.232_884, 3e-6);
    near(joint_volts(&bench, "A"), 0.711_644, 1e-6);
    assert!(solution.sequences[0].conducting.contains(&diode));
}

#[test]
fn two_supplies_through_diodes_let_only_the_higher_one_conduct() {
    // 24 V behind 2 Ω or 18 V behind 1 Ω into 47 Ω; drops 0.7 V and 0.05 Ω: 22.3262 V, worked by hand.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(2.0), "P", "COM");
    bench.dc("PS2", exactly(18.0), exactly(1.0), "Q", "COM");
    let one = bench.diode("D1", 0.7, 0.05, None, "P", "N");
    let two = bench.diode("D2", 0.7, 0.05, None, "Q", "N");
    bench.resistor("R1", exactly(47.0), "N", "COM");
    bench.sequence(&[], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    near(joint_volts(&bench, "N"), 22.3262, 3e-6);
    assert!(solution.sequences[0].conducting.contains(&one));
    assert!(!solution.sequences[0].conducting.contains(&two));
}

#[test]
fn a_lamp_follows_its_power_law() {
    // 6.3 V 0.15 A at 5.0 V: 0.15·(5/6.3)^0.55 = 0.1321 A, 37.85 Ω (law of Fink and Beaty).
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(5.0), exactly(0.0), "P", "COM");
    let lamp = bench.lamp("LP1", 6.3, exactly(0.15), "P", "COM");
    bench.sequence(&[], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    near(solution.sequences[0].currents[lamp.0], 0.15 * (5.0_f64 / 6.3).powf(0.55), 1e-9);
    assert!((solution.sequences[0].currents[lamp.0] - 0.1321).abs() < 5e-5);
    assert!((5.0 / solution.sequences[0].currents[lamp.0] - 37.85).abs() < 5e-3);
}

fn buzzing(release: f64) -> (Bench, JointId) {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(8.0), "P", "COM");
    let relay = bench.relay("K1", Bench::winding(exactly(120.0), 24.0, 18.0, release), "P", "COM");
    bench.contact(relay, true, 1e-9, "P", "L");
    bench.resistor("L1", exactly(12.0), "L", "COM");
    bench.sequence(&[], None);
    let joint = bench.joint("P");
    (bench, joint)
}

#[test]
fn a_relay_that_loads_its_own_supply_chatters_or_holds() {
    // 24 V behind 8 Ω: 22.5 V with the coil alone, 13.846 V with the load; pull-in 18 V. Worked by hand.
    let (bench, joint) = buzzing(14.5);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    let Settling::Chatters { first, second } = &solution.sequences[0].settling else { panic!("should chatter") };
    assert_ne!(first, second);
    let (bench, _) = buzzing(6.0);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    assert!(solution.sequences[0].settling.is_settled());
    near(solution.sequences[0].joints[joint.0].direct, 180.0 / 13.0, 1e-7);
}

#[test]
fn meters_load_what_they_measure() {
    // 24 V behind 100 kΩ: 23.76 V on 10 MΩ, 21.82 V on 1 MΩ (20 kΩ/V, 50 V range); worked by hand.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.0), "P", "COM");
    bench.resistor("R1", exactly(100e3), "P", "A");
    bench.point("A");
    bench.sequence(&[], None);
    let analogue = Meter::Analogue {
        ohms_per_volt: Ohms::new(20e3),
        ohms_per_volt_ac: Ohms::new(5e3),
        ranges: [2.5, 10.0, 50.0, 250.0].map(Volts::new).to_vec(),
    };
    let solver = Solver::new(&bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    near(solution.sequences[0].readings[0].nominal, 24.0 * 10.0 / 10.1, 1e-9);
    let leads = (bench.machine.joint_named("A").unwrap(), bench.machine.reference);
    let reading = solver.reading_between(&solution, SequenceId(0), leads, &analogue, &[]).unwrap();
    near(reading.volts, 24.0 / 1.1, 1e-9);
}

#[test]
fn an_open_contact_with_a_suppressor_shows_a_ghost_voltage() {
    // 24 V 50 Hz through 100 Ω and 0.1 µF across an open contact, coil missing: 24.0 V on 10 MΩ, 2.25 V on 3 kΩ.
    let mut bench = Bench::new("COM");
    bench.ac("PS1", (24.0, 50.0, 0.0), 0.0, "P", "COM");
    bench.switch("S1", exactly(0.05), "P", "A");
    bench.resistor("R1", exactly(100.0), "P", "M");
    bench.capacitor("C1", 0.1e-6, "M", "A");
    bench.point("A");
    bench.sequence(&[], None);
    let solver = Solver::new(&bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    assert!((solution.sequences[0].readings[0].nominal - 24.0).abs() < 0.05);
    let leads = (bench.machine.joint_named("A").unwrap(), bench.machine.reference);
    let low = Meter::Digital(Ohms::new(3e3));
    let reading = solver.reading_between(&solution, SequenceId(0), leads, &low, &[]).unwrap();
    assert!((reading.volts - 2.25).abs() < 0.01, "{}", reading.volts);
}
