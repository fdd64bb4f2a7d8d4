//! What a fault does: the same sequence, from the same healthy start, with something changed.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::machine::model::{Current, PartId, SequenceId};

use super::change::Change;
use super::error::CircuitError;
use super::meter::{Islands, MeterReading, Scratch, read};
use super::network::{Circuit, Inner, Situation};
use super::point::{Point, flagged};
use super::results::{JointVoltage, OpenedFuse, SequenceSolution, Settling, Solution};
use super::settle::Rest;
use super::solver::{Solver, bridges};

/// A sequence with faults, solved.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// How the relays came to rest.
    pub settling: Settling,
    /// Relays whose contacts are in the energised position.
    pub energised: BTreeSet<PartId>,
    /// Fuses that opened in consequence, with the current that opened them.
    pub opened: Vec<OpenedFuse>,
    /// One for each test point, same index; a point that shows nothing keeps the range of its healthy reading.
    pub readings: Vec<MeterReading>,
    /// For each part whether it does its work (coils, motors, lamps, speakers); none for all others.
    pub operates: Vec<Option<bool>>,
    /// Current of every element, as in [`SequenceSolution::currents`].
    pub currents: Vec<f64>,
    /// Voltage of every joint, as in [`SequenceSolution::joints`].
    pub joints: Vec<JointVoltage>,
    /// Set where the changed circuit cannot be answered rightly; all numbers above are then those of the healthy machine.
    pub refused: Option<CircuitError>,
}

impl Solver<'_> {
    /// A sequence with changes to the machine, from the relay state of the healthy earlier sequence.
    #[must_use]
    pub fn faulted(&self, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Outcome {
        self.updated(solution, sequence, changes).unwrap_or_else(|| self.faulted_outright(solution, sequence, changes))
    }

    /// The same without use of the healthy factors: slower, and the measure of [`Solver::faulted`].
    #[must_use]
    pub fn faulted_outright(&self, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Outcome {
        let extras = bridges(changes);
        let situation = Situation { changes, extras: &extras, ..self.nominal(sequence) };
        let start = self.healthy_start(solution, sequence);
        let guess = self.healthy_guess(&situation, sequence);
        match self.circuit.rest_from(&situation, start, guess, &self.rests[sequence.0].trace) {
            Ok(rest) if self.is_as_healthy(&rest, sequence) => self.healthy_outcome(solution, sequence),
            Ok(rest) => self.outcome(&situation, &rest, solution.sequence(sequence)),
            Err(error) => {
                let mut outcome = self.healthy_outcome(solution, sequence);
                outcome.refused = Some(error.within(sequence));
                outcome
            }
        }
    }

    /// Whether nothing came out otherwise than on the healthy machine.
    fn is_as_healthy(&self, rest: &Rest, sequence: SequenceId) -> bool {
        let healthy = &self.rests[sequence.0];
        Arc::ptr_eq(&rest.point, &healthy.point)
            && rest.positions == healthy.positions
            && rest.settling == healthy.settling
            && rest.opened == healthy.opened
    }

    fn healthy_outcome(&self, solution: &Solution, sequence: SequenceId) -> Outcome {
        let healthy = &self.rests[sequence.0];
        let make = || self.outcome(&self.nominal(sequence), healthy, solution.sequence(sequence));
        self.healthy[sequence.0].get_or_init(make).clone()
    }

    /// What is inside the healthy machine, as far as the changes leave its rectifiers alone: most of it stays.
    fn healthy_guess(&self, situation: &Situation<'_>, sequence: SequenceId) -> Inner {
        let (circuit, healthy) = (&self.circuit, &self.rests[sequence.0].point.inner);
        let mut guess = circuit.first_guess(situation);
        guess.diodes.clone_from(&healthy.diodes);
        guess.filaments.clone_from(&healthy.filaments);
        let nominal = self.nominal(sequence);
        for &element in &circuit.rectified {
            if circuit.feed(element, situation) == circuit.feed(element, &nominal) {
                guess.feeds[element] = healthy.feeds[element];
            }
        }
        guess
    }

    fn outcome(&self, situation: &Situation<'_>, rest: &Rest, healthy: &SequenceSolution) -> Outcome {
        let circuit = &self.circuit;
        let islands = Islands::of(&rest.point);
        let mut scratch = Scratch::default();
        let usual = usual_quantities(healthy, circuit.machine.test_points.len());
        let state = (situation, &rest.positions);
        let meter = &circuit.machine.meter;
        let readings = circuit
            .machine
            .test_points
            .iter()
            .zip(usual)
            .map(|(at, usual)| {
                let leads = (at.joint, at.reference);
                circuit
                    .read_exactly(&rest.point, &islands, leads, meter, state, &mut scratch)
                    .unwrap_or_else(|_| read(&rest.point, &islands, leads, meter, &mut scratch))
                    .main(usual)
            })
            .collect();
        Outcome {
            settling: rest.settling.clone(),
            energised: flagged(&rest.positions.energised),
            opened: rest.opened.clone(),
            readings,
            operates: operating(circuit, &rest.point, &rest.positions.energised),
            currents: circuit.currents(&rest.point),
            joints: circuit.joint_voltages(&rest.point, &islands, &circuit.held(&rest.point)),
            refused: None,
        }
    }
}

/// For each part whether it does its work; of two coils one is enough.
pub(crate) fn operating(circuit: &Circuit<'_>, point: &Point, energised: &[bool]) -> Vec<Option<bool>> {
    let mut operates = vec![None; circuit.machine.parts.len()];
    for device in circuit.devices(point, energised) {
        let slot: &mut Option<bool> = &mut operates[device.part.0];
        *slot = match (*slot, device.operates) {
            (Some(a), Some(b)) => Some(a || b),
            (a, b) => a.or(b),
        };
    }
    operates
}

/// The range on which each test point is read on a healthy machine.
pub(crate) fn usual_quantities(healthy: &SequenceSolution, points: usize) -> Vec<Current> {
    let mut usual = vec![None; points];
    for reading in &healthy.readings {
        usual[reading.at.0].get_or_insert(reading.quantity);
    }
    usual.into_iter().map(|quantity| quantity.unwrap_or(Current::Direct)).collect()
}
