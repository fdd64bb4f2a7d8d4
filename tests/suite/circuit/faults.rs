//! One series circuit with a lamp across its feed, healthy and with twelve faults.
//!
//! 24 V behind 0.5 Ω - TP1 - fuse 0.08 Ω - TP2 - S1 0.05 Ω - TP3 - S2 0.05 Ω - TP4 - coil 120 Ω - TP5 - pin 0.03 Ω - common;
//! 96 Ω from TP2 to common. The expected readings were found outside this project by nodal analysis with each meter
//! of 10 MΩ to common on its own.

use benchleaf::circuit::{Change, Effort, Outcome, Solution, Solver};
use benchleaf::machine::model::{ElementId, PartId, SequenceId};

use super::build::{Bench, exactly};
use super::near;

struct Training {
    bench: Bench,
    supply: PartId,
    fuse: ElementId,
    first: ElementId,
    second: ElementId,
    coil: ElementId,
    pin: ElementId,
    lamp: ElementId,
}

fn training() -> Training {
    let mut bench = Bench::new("COM");
    let source = bench.dc("PS1", exactly(24.0), exactly(0.5), "TP1", "COM");
    let fuse = bench.fuse("F1", 5.0, exactly(0.08), "TP1", "TP2");
    let s1 = bench.switch("S1", exactly(0.05), "TP2", "TP3");
    let s2 = bench.switch("S2", exactly(0.05), "TP3", "TP4");
    bench.relay("K1", Bench::winding(exactly(120.0), 24.0, 18.0, 2.4), "TP4", "TP5");
    let pin = bench.resistor("P1", exactly(0.03), "TP5", "COM");
    let lamp = bench.resistor("LP1", exactly(96.0), "TP2", "COM");
    for point in ["TP1", "TP2", "TP3", "TP4", "TP5"] {
        bench.point(point);
    }
    bench.sequence(&[s1, s2], None);
    let element = |part: PartId| bench.machine.part(part).elements[0];
    let coil = element(bench.machine.part_named("K1").unwrap());
    let (first, second) = (element(s1), element(s2));
    let supply = bench.machine.element(source).part;
    Training { bench, supply, fuse, first, second, coil, pin, lamp }
}

fn fault(solver: &Solver<'_>, solution: &Solution, changes: &[Change]) -> Outcome {
    solver.faulted(solution, SequenceId(0), changes)
}

#[test]
fn readings_of_thirteen_states_agree_with_nodal_analysis() {
    let t = training();
    let solver = Solver::new(&t.bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let cases: Vec<(Vec<Change>, [f64; 5], f64)> = vec![
        (vec![], [23.7775, 23.7419, 23.7320, 23.7222, 0.0059], 0.4449),
        (vec![Change::SupplyScaled(t.supply, 0.75)], [17.8331, 17.8064, 17.7990, 17.7916, 0.0044], 0.3337),
        (vec![Change::Open(t.fuse)], [24.0, 0.0, 0.0, 0.0, 0.0], 0.0),
        (vec![Change::Added(t.fuse, 10.0)], [23.8123, 20.0287, 20.0204, 20.0120, 0.0050], 0.3754),
        (vec![Change::Open(t.first)], [23.8757, 23.8559, 0.0, 0.0, 0.0], 0.2485),
        (vec![Change::Added(t.first, 20.0)], [23.7915, 23.7581, 20.3587, 20.3503, 0.0051], 0.4170),
        (vec![Change::Open(t.second)], [23.8757, 23.8559, 23.8559, 0.0, 0.0], 0.2485),
        (vec![Change::Added(t.second, 20.0)], [23.7915, 23.7581, 23.7496, 20.3503, 0.0051], 0.4170),
        (vec![Change::Open(t.coil)], [23.8757, 23.8559, 23.8559, 23.8559, 0.0], 0.2485),
        (vec![Change::Open(t.pin)], [23.8757, 23.8559, 23.8559, 23.8559, 23.8556], 0.2485),
        (vec![Change::Added(t.pin, 20.0)], [23.7915, 23.7581, 23.7496, 23.7412, 3.3959], 0.4170),
        (vec![Change::Value(t.coil, 60.0)], [23.6804, 23.6293, 23.6097, 23.5900, 0.0118], 0.6391),
        (vec![Change::Open(t.lamp)], [23.9006, 23.8847, 23.8747, 23.8648, 0.0060], 0.1988),
    ];
    for (changes, readings, fuse) in cases {
        let outcome = fault(&solver, &solution, &changes);
        for (reading, expected) in outcome.readings.iter().zip(readings) {
            assert!((reading.volts - expected).abs() <= 6e-5, "{changes:?}: {} for {expected}", reading.volts);
        }
        assert!((outcome.currents[t.fuse.0] - fuse).abs() <= 6e-5, "{changes:?}: fuse {}", outcome.currents[t.fuse.0]);
    }
}

#[test]
fn a_shorted_coil_opens_the_fuse_and_then_reads_as_an_open_fuse() {
    let t = training();
    let solver = Solver::new(&t.bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let outcome = fault(&solver, &solution, &[Change::Value(t.coil, 1.0)]);
    // 14.14 A through a 5 A fuse: 2.8 times rated, above the 2.1 times of IEC 60127-2.
    assert_eq!(outcome.opened.len(), 1);
    assert!((outcome.opened[0].current - 14.14).abs() < 0.005, "{}", outcome.opened[0].current);
    near(outcome.readings[0].volts, 24.0, 1e-6);
    near(outcome.readings[3].volts, 0.0, 0.0);
    assert_eq!(outcome.operates[t.bench.machine.element(t.coil).part.0], Some(false));
}

#[test]
fn rank_one_values_of_single_changes_come_out_to_all_printed_digits() {
    // Sherman-Morrison by hand: clip +10 Ω gives TP4 = 20.012042, a 60 Ω coil gives 23.590020, without meters.
    let t = training();
    let solver = Solver::new(&t.bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let tp4 = t.bench.machine.joint_named("TP4").unwrap();
    let clip = fault(&solver, &solution, &[Change::Added(t.fuse, 10.0)]);
    near(clip.joints[tp4.0].direct, 20.012_042, 5e-8);
    let coil = fault(&solver, &solution, &[Change::Value(t.coil, 60.0)]);
    near(coil.joints[tp4.0].direct, 23.590_020, 5e-8);
    let open = fault(&solver, &solution, &[Change::Open(t.first)]);
    near(open.joints[tp4.0].direct, 0.0, 0.0);
}

/// As printed, to half a unit of the last digit given (and a little for its own rounding).
fn printed(found: f64, expected: f64, half: f64) {
    assert!((found - expected).abs() <= half, "got {found}, expected {expected} within {half}");
}

/// Voltages of the five points without a meter, with changes.
fn unloaded(t: &Training, solver: &Solver<'_>, solution: &Solution, changes: &[Change]) -> [f64; 5] {
    let joints = fault(solver, solution, changes).joints;
    ["TP1", "TP2", "TP3", "TP4", "TP5"].map(|name| joints[t.bench.machine.joint_named(name).unwrap().0].direct)
}

/// Sherman-Morrison by hand on this circuit: s = eᵀA⁻¹e of each element, and the denominators 1 + ΔG·s.
///
/// The voltage across the changed element falls by just this denominator, so both are seen from outside.
#[test]
fn denominators_of_rank_one_changes_come_out_to_all_printed_digits() {
    let t = training();
    let solver = Solver::new(&t.bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let healthy = unloaded(&t, &solver, &solution, &[]);
    // Element, its ohms, its ohms then, s, the places before and after it.
    let cases = [
        (t.fuse, 0.08, 10.08, 0.079_881_3, (0, 1)),
        (t.first, 0.05, 20.05, 0.049_979_3, (1, 2)),
        (t.coil, 120.0, 60.0, 0.702_381_5, (3, 4)),
        (t.pin, 0.03, 20.03, 0.029_992_5, (4, 5)),
    ];
    for (element, before, after, expected, (from, to)) in cases {
        let changed = unloaded(&t, &solver, &solution, &[Change::Value(element, after)]);
        let across = |volts: &[f64; 5]| volts[from] - volts.get(to).copied().unwrap_or(0.0);
        let denominator = across(&healthy) / across(&changed);
        printed((denominator - 1.0) / (1.0 / after - 1.0 / before), expected, 6e-8);
        match element {
            at if at == t.fuse => printed(denominator, 0.009_407_89, 6e-9),
            at if at == t.coil => printed(denominator, 1.005_853_18, 6e-9),
            _ => {}
        }
    }
    let open = unloaded(&t, &solver, &solution, &[Change::Open(t.first)]);
    printed((healthy[1] - healthy[2]) / (open[1] - open[2]), 4.142e-4, 6e-8);
}

/// Whatever ohms a place adds, all points move along one direction: by hand, per volt at TP4, or at TP5 for the pin.
#[test]
fn the_direction_of_readings_names_the_place_and_their_length_the_ohms() {
    let t = training();
    let solver = Solver::new(&t.bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let healthy = unloaded(&t, &solver, &solution, &[]);
    let cases = [
        (t.fuse, 3, [-0.009_38, 1.000_83, 1.000_42, 1.0, 0.000_25]),
        (t.first, 3, [-0.004_14, -0.004_80, 1.000_42, 1.0, 0.000_25]),
        (t.pin, 4, [0.004_12, 0.004_78, 0.005_19, 0.005_61, 1.0]),
    ];
    for (element, per, expected) in cases {
        for ohms in [1.0, 5.0, 60.0] {
            let changed = unloaded(&t, &solver, &solution, &[Change::Added(element, ohms)]);
            for point in 0..5 {
                let direction = (changed[point] - healthy[point]) / (changed[per] - healthy[per]);
                printed(direction, expected[point], 6e-6);
            }
        }
    }
    // 20.6 V at TP4 come of 8.1751 Ω at the fuse, TP2 then at 20.617, or of 18.2945 Ω at the first contact, TP2 at 23.757.
    for (element, ohms, tp2) in [(t.fuse, 8.1751, 20.617), (t.first, 18.2945, 23.757)] {
        let changed = unloaded(&t, &solver, &solution, &[Change::Added(element, ohms)]);
        printed(changed[3], 20.6, 2e-5);
        printed(changed[1], tp2, 6e-4);
    }
}

#[test]
fn a_shorted_diode_keeps_no_knee() {
    // 24 V over 100 Ω and nothing else: 0.24 A, worked by hand.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(1.0), "A", "COM");
    let ohms = bench.resistor("R1", exactly(99.0), "A", "K");
    let diode = bench.diode("D1", 0.7, 0.05, None, "K", "COM");
    bench.point("K");
    bench.sequence(&[], None);
    let solver = Solver::new(&bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let healthy = fault(&solver, &solution, &[]);
    assert!(healthy.readings[0].volts > 0.7);
    for changed in [
        solver.faulted(&solution, SequenceId(0), &[Change::Short(diode)]),
        solver.faulted_outright(&solution, SequenceId(0), &[Change::Short(diode)]),
    ] {
        printed(changed.readings[0].volts, 0.0, 1e-6);
        printed(changed.currents[ohms.0], 0.24, 1e-8);
    }
}

#[test]
fn a_blown_fuse_beside_a_blocked_diode_leaves_what_the_diode_lets_through() {
    // 24 V through 1 GΩ onto 10 MΩ beside a meter of 10 MΩ: 0.1194 V, however few ohms the fuse had.
    for cold in [0.0, 1e-4, 0.1] {
        let mut bench = Bench::new("COM");
        bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "COM");
        let fuse = bench.fuse("F1", 1.0, exactly(cold), "P", "TP1");
        bench.diode("D1", 0.7, 0.05, None, "TP1", "P");
        bench.resistor("R1", exactly(1e7), "TP1", "COM");
        bench.point("TP1");
        bench.sequence(&[], None);
        let solver = Solver::new(&bench.machine).unwrap();
        let solution = solver.solve(Effort::Nominal);
        let changes = [Change::Open(fuse)];
        for outcome in [
            solver.faulted(&solution, SequenceId(0), &changes),
            solver.faulted_outright(&solution, SequenceId(0), &changes),
        ] {
            near(outcome.readings[0].volts, 24.0 * 5e6 / (1e9 + 5e6), 1e-4);
        }
    }
}
