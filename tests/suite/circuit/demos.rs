//! Every demo machine: bands against random healthy machines, currents against Kirchhoff, faults against the healthy state.

use benchleaf::circuit::results::{Certainty, Reading};
use benchleaf::circuit::{Change, Effort, Solver};
use benchleaf::machine::model::{Current, ElementId, JointId, SequenceId};

use super::Random;
use crate::spice::demos::machines;

/// Draws for each machine, spread over its sequences.
const DRAWS: usize = 10_000;

#[test]
fn no_random_healthy_machine_leaves_a_band_called_exact() {
    for machine in machines() {
        let solver = Solver::new(&machine).unwrap();
        let solution = solver.solve(Effort::Bands);
        let mut random = Random::new(20);
        let mut proved = 0_usize;
        for draw in 0..DRAWS {
            let sequence = SequenceId(draw % machine.sequences.len());
            // Every other draw is a corner of the box, where the extremes lie.
            let pick = |share: f64| if draw / machine.sequences.len() % 2 == 0 { share } else { share.round() };
            let shares: Vec<f64> = (0..solver.parameters()).map(|_| pick(random.share())).collect();
            let sample = solver.readings_with(sequence, &shares).unwrap();
            for reading in &solution.sequence(sequence).readings {
                if reading.band.certainty != Certainty::Exact {
                    continue;
                }
                let value = match reading.quantity {
                    Current::Direct => sample[reading.at.0].direct,
                    Current::Alternating => sample[reading.at.0].alternating,
                };
                let slack = 1e-9 * value.abs() + 1e-9;
                let name = &machine.test_points[reading.at.0].id;
                assert!(
                    value >= reading.band.low - slack && value <= reading.band.high + slack,
                    "{} {name} sequence {}: {value} outside {:?}",
                    machine.identity.id,
                    machine.sequences[sequence.0].number,
                    reading.band
                );
                proved += usize::from(value != 0.0);
            }
        }
        assert!(proved > DRAWS / 2, "{}: only {proved} values had a proved band", machine.identity.id);
    }
}

/// The audit asks for few bands; paper shows all. Both must say the same.
#[test]
fn bands_of_a_few_things_are_those_among_all() {
    for machine in machines() {
        let solver = Solver::new(&machine).unwrap();
        let all = solver.solve(Effort::Bands);
        let nominal = solver.solve(Effort::Nominal);
        for kept in 0..4 {
            let some = solver.banded(&nominal, |_, reading| reading.at.0 % 4 == kept, |_, at| at.element.0 % 4 == kept);
            let mut compared = 0;
            for (few, all) in some.sequences.iter().zip(&all.sequences) {
                for device in &few.devices {
                    let twin = all.devices.iter().find(|other| other.element == device.element).unwrap();
                    assert_eq!(device.operates_at_worst, twin.operates_at_worst, "{device:?}");
                    let Some((one, other)) = device.band.zip(twin.band) else { continue };
                    assert!((one.low - other.low).abs() < 1e-9 && (one.high - other.high).abs() < 1e-9, "{device:?}");
                    compared += 1;
                }
                for reading in &few.readings {
                    let is_twin = |other: &&Reading| (other.at, other.quantity) == (reading.at, reading.quantity);
                    let (one, other) = (reading.band, all.readings.iter().find(is_twin).unwrap().band);
                    assert!((one.low - other.low).abs() < 1e-9 && (one.high - other.high).abs() < 1e-9, "{reading:?}");
                    compared += 1;
                }
            }
            assert!(compared > machine.sequences.len(), "{}", machine.identity.id);
        }
    }
}

/// A search may miss an end of a band, but not by much.
#[test]
fn random_healthy_machines_hardly_leave_a_band_that_was_searched() {
    for machine in machines() {
        let solver = Solver::new(&machine).unwrap();
        let solution = solver.solve(Effort::Bands);
        let mut random = Random::new(21);
        for draw in 0..1_000 {
            let sequence = SequenceId(draw % machine.sequences.len());
            let shares: Vec<f64> = (0..solver.parameters()).map(|_| random.share()).collect();
            let sample = solver.readings_with(sequence, &shares).unwrap();
            for reading in &solution.sequence(sequence).readings {
                let value = match reading.quantity {
                    Current::Direct => sample[reading.at.0].direct,
                    Current::Alternating => sample[reading.at.0].alternating,
                };
                let slack = 0.02 * (reading.band.high - reading.band.low) + 1e-6;
                assert!(
                    value >= reading.band.low - slack && value <= reading.band.high + slack,
                    "{} {} sequence {}: {value} outside {:?}",
                    machine.identity.id,
                    machine.test_points[reading.at.0].id,
                    machine.sequences[sequence.0].number,
                    reading.band
                );
            }
        }
    }
}

#[test]
fn readings_lie_in_their_own_bands() {
    for machine in machines() {
        let solution = Solver::new(&machine).unwrap().solve(Effort::Bands);
        for reading in solution.sequences.iter().flat_map(|sequence| &sequence.readings) {
            assert!(reading.band.low <= reading.nominal && reading.nominal <= reading.band.high, "{reading:?}");
            assert!([reading.band.low, reading.nominal, reading.band.high].iter().all(|value| value.is_finite()));
            if let Some(drop) = &reading.drop {
                assert!(drop.band.low <= drop.nominal && drop.nominal <= drop.band.high, "{reading:?}");
            }
        }
    }
}

#[test]
fn currents_sum_to_zero_at_every_joint_without_alternating_current() {
    for machine in machines() {
        let solution = Solver::new(&machine).unwrap().solve(Effort::Nominal);
        for sequence in &solution.sequences {
            let mut sums = vec![0.0; machine.joints.len()];
            let mut quiet: Vec<bool> = sequence.joints.iter().map(|at| at.real.hypot(at.imaginary) == 0.0).collect();
            quiet[machine.reference.0] = false;
            let largest = sequence.currents.iter().fold(0.0_f64, |most, current| most.max(current.abs()));
            for (element, current) in machine.elements.iter().zip(&sequence.currents) {
                sums[element.from.0] += current;
                sums[element.to.0] -= current;
            }
            for (joint, sum) in sums.iter().enumerate().filter(|(joint, _)| quiet[*joint]) {
                assert!(
                    sum.abs() <= 1e-9 * largest,
                    "{}: {sum} A at {}",
                    machine.identity.id,
                    machine.joints[joint].name
                );
            }
        }
    }
}

#[test]
fn a_fault_that_changes_nothing_reads_as_healthy_and_no_fault_reads_as_nonsense() {
    for machine in machines() {
        let solver = Solver::new(&machine).unwrap();
        let solution = solver.solve(Effort::Nominal);
        for sequence in (0..machine.sequences.len()).map(SequenceId) {
            let healthy = solver.faulted(&solution, sequence, &[]);
            for reading in &solution.sequence(sequence).readings {
                let same = healthy.readings[reading.at.0];
                if same.quantity == reading.quantity {
                    assert!((same.volts - reading.nominal).abs() <= 1e-9 * reading.nominal.abs() + 1e-9);
                }
            }
            for element in (0..machine.elements.len()).step_by(7).map(ElementId) {
                let outcome = solver.faulted(&solution, sequence, &[Change::Open(element)]);
                assert!(outcome.readings.iter().all(|reading| reading.volts.is_finite()));
                assert!(outcome.currents[element.0] == 0.0, "current through an open element");
            }
        }
    }
}

#[test]
fn an_ohmmeter_sees_each_resistor_alone_when_one_lead_is_lifted() {
    for machine in machines() {
        let solver = Solver::new(&machine).unwrap();
        let setting = benchleaf::machine::model::Setting::default();
        for (index, element) in machine.elements.iter().enumerate() {
            let benchleaf::machine::model::PartKind::Resistor(resistor) = &machine.part(element.part).kind else {
                continue;
            };
            let none = std::collections::BTreeSet::new();
            let leads: (JointId, JointId) = (element.from, element.to);
            let lifted = solver.dead_ohms(&setting, &none, leads, Some(ElementId(index)), &[]).unwrap();
            super::near(lifted, resistor.resistance.nominal.value(), 1e-9);
            let in_circuit = solver.dead_ohms(&setting, &none, leads, None, &[]).unwrap();
            assert!(in_circuit <= lifted * (1.0 + 1e-9), "{}: {in_circuit} in circuit, {lifted} lifted", element.name);
        }
    }
}
