//! Circuits that must be answered rightly or refused with the reason, never with nonsense.

use benchleaf::circuit::results::Remark;
use benchleaf::circuit::{Change, CircuitError, Effort, Reason, Solver};
use benchleaf::machine::model::{Current, ElementId, PartKind, SequenceId};

use super::build::{Bench, exactly};
use super::near;

fn refusal(bench: &Bench) -> CircuitError {
    Solver::new(&bench.machine).expect_err("this circuit must be refused")
}

#[test]
fn a_diode_that_alternating_current_switches_is_refused_by_name() {
    let mut bench = Bench::new("COM");
    bench.ac("T1", (24.0, 50.0, 0.0), 0.5, "A", "COM");
    bench.dc("PS1", exactly(12.0), exactly(0.5), "B", "A");
    bench.diode("D1", 0.7, 0.05, None, "B", "L");
    bench.resistor("R1", exactly(100.0), "L", "COM");
    bench.sequence(&[], None);
    let error = refusal(&bench);
    let text = error.describe(&bench.machine);
    assert!(text.contains("D1") && text.contains("T1") && text.contains("sequence 1"), "{text}");
    let ids: Vec<&str> = error.parts().iter().map(|&part| bench.machine.part(part).id.as_str()).collect();
    assert_eq!(ids, ["D1", "T1"]);
}

#[test]
fn a_fault_that_puts_alternating_current_on_a_diode_is_refused_and_not_answered() {
    let mut bench = Bench::new("COM");
    bench.ac("T1", (24.0, 50.0, 0.0), 0.5, "A", "COM");
    bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "COM");
    bench.resistor("R1", exactly(100.0), "P", "K");
    bench.diode("D1", 0.7, 0.05, None, "COM", "K");
    bench.resistor("R2", exactly(50.0), "K", "COM");
    bench.point("K");
    bench.sequence(&[], None);
    let (a, k) = (bench.joint("A"), bench.joint("K"));
    let solver = Solver::new(&bench.machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let outcome = solver.faulted(&solution, SequenceId(0), &[Change::Bridge(a, k, 1.0)]);
    assert!(matches!(outcome.refused.map(|error| error.reason), Some(Reason::DiodeUnderAlternating { .. })));
}

#[test]
fn ideal_supplies_against_each_other_are_refused() {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.0), "P", "COM");
    bench.dc("PS2", exactly(18.0), exactly(0.0), "P", "COM");
    bench.sequence(&[], None);
    let error = refusal(&bench);
    assert!(matches!(error.reason, Reason::SourcesConflict { .. }));
    let text = error.describe(&bench.machine);
    assert!(text.contains("PS1") && text.contains("PS2"), "{text}");
}

#[test]
fn values_that_no_part_has_are_refused() {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "COM");
    bench.resistor("R1", (-1.0, -1.0, -1.0), "P", "COM");
    bench.sequence(&[], None);
    assert!(matches!(refusal(&bench).reason, Reason::Impossible { .. }));
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "COM");
    bench.lamp("LP1", 6.3, exactly(0.0), "P", "COM");
    bench.sequence(&[], None);
    assert!(matches!(refusal(&bench).reason, Reason::Impossible { .. }));
}

#[test]
fn a_supply_shorted_by_a_switch_opens_its_fuse() {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "COM");
    bench.fuse("F1", 2.0, exactly(0.05), "P", "A");
    let short = bench.switch("S1", exactly(0.05), "A", "COM");
    bench.point("P");
    bench.point("A");
    bench.sequence(&[short], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Bands);
    let sequence = &solution.sequences[0];
    assert_eq!(sequence.opened.len(), 1);
    near(sequence.opened[0].current, 24.0 / 0.6, 1e-9);
    near(sequence.readings[0].nominal, 24.0, 1e-6);
    near(sequence.readings[1].nominal, 0.0, 0.0);
}

#[test]
fn values_from_a_picoohm_to_a_teraohm_keep_their_digits() {
    // 24 V over 1 TΩ and 1 TΩ: 12 V at the middle, 12 pA; through a picoohm nothing is lost.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(1e-12), "P", "COM");
    bench.resistor("R1", exactly(1e-12), "P", "Q");
    let upper = bench.resistor("R2", exactly(1e12), "Q", "M");
    bench.resistor("R3", exactly(1e12), "M", "COM");
    let load = bench.resistor("R4", exactly(12.0), "Q", "COM");
    bench.sequence(&[], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Bands);
    let sequence = &solution.sequences[0];
    let middle = bench.machine.joint_named("M").unwrap();
    near(sequence.joints[middle.0].direct, 12.0, 1e-7);
    near(sequence.currents[upper.0] * 1e12, 12.0, 1e-6);
    near(sequence.currents[load.0], 2.0, 1e-7);
    near(sequence.currents[1], 2.0, 1e-7);
}

#[test]
fn an_alternating_coil_with_ohms_alone_is_remarked_on() {
    let mut bench = Bench::new("COM");
    bench.ac("T1", (24.0, 50.0, 0.0), 0.5, "P", "COM");
    let mut coil = Bench::winding(exactly(40.0), 24.0, 18.0, 3.6);
    coil.current = Current::Alternating;
    bench.solenoid("L1", coil, "P", "COM");
    bench.sequence(&[], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    let part = bench.machine.part_named("L1").unwrap();
    assert!(solution.sequences[0].remarks.contains(&Remark::ImpedanceEstimated(part)));
}

#[test]
fn an_island_reads_what_the_meter_makes_of_it() {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "N");
    bench.resistor("R1", exactly(100.0), "P", "N");
    bench.point("P");
    bench.sequence(&[], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Bands);
    let reading = &solution.sequences[0].readings[0];
    assert!(reading.floating);
    near(reading.nominal, 0.0, 0.0);
    assert!((reading.band.low, reading.band.high) == (0.0, 0.0));
}

#[test]
fn a_relay_holds_itself_and_lets_go_below_its_release() {
    // K1 pulls in by S1, holds through its own contact when S1 opens, and drops when the holding path opens.
    let mut bench = Bench::new("COM");
    bench.dc("PS1", exactly(24.0), exactly(0.5), "P", "COM");
    let start = bench.switch("S1", exactly(0.05), "P", "A");
    let hold = bench.switch("S2", exactly(0.05), "P", "H");
    let relay = bench.relay("K1", Bench::winding(exactly(120.0), 24.0, 18.0, 2.4), "A", "COM");
    bench.contact(relay, true, 0.05, "H", "A");
    let first = bench.sequence(&[start, hold], None);
    let second = bench.sequence(&[hold], Some(first));
    bench.sequence(&[], Some(second));
    let alone = bench.sequence(&[hold], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    let energised: Vec<bool> = solution.sequences.iter().map(|s| s.energised.contains(&relay)).collect();
    assert_eq!(energised, [true, true, false, false]);
    assert_eq!(alone.0, 3);
}

#[test]
fn low_rank_answers_equal_full_ones_to_a_billionth() {
    for machine in crate::spice::demos::machines() {
        let solver = Solver::new(&machine).unwrap();
        let solution = solver.solve(Effort::Nominal);
        // A second change that changes nothing takes the way of solving outright.
        let idle =
            machine.elements.iter().position(|element| matches!(machine.part(element.part).kind, PartKind::Fuse(_)));
        let idle = Change::Added(ElementId(idle.unwrap()), 0.0);
        let mut compared = 0;
        for sequence in (0..machine.sequences.len()).map(SequenceId) {
            for element in (0..machine.elements.len()).step_by(3).map(ElementId) {
                for change in [Change::Open(element), Change::Added(element, 10.0), Change::StuckClosed(element)] {
                    let low_rank = solver.faulted(&solution, sequence, &[change]);
                    let full = solver.faulted(&solution, sequence, &[change, idle]);
                    assert_eq!(low_rank.energised, full.energised, "{change:?}");
                    assert_eq!(low_rank.refused.is_some(), full.refused.is_some(), "{change:?}");
                    let largest = full.readings.iter().fold(1.0_f64, |most, reading| most.max(reading.volts.abs()));
                    for (one, other) in low_rank.readings.iter().zip(&full.readings) {
                        let off = (one.volts - other.volts).abs();
                        assert!(off <= 1e-9 * largest, "{} {change:?}: {one:?} {other:?}", machine.identity.id);
                    }
                    compared += low_rank.readings.len();
                }
            }
        }
        assert!(compared > 500);
    }
}
