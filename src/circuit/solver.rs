//! The solver of one machine: prepared once, then asked for all sequences, for faults, for single readings.

use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use crate::machine::model::{JointId, Machine, Meter, SequenceId, TestPoint};

use super::change::Change;
use super::error::CircuitError;
use super::faulted::Found;
use super::meter::{Islands, MeterReading, Scratch, read};
use super::network::{Circuit, Extra, Positions, Situation};
use super::results::{SequenceSolution, Solution};
use super::settle::Rest;
use super::update::Trail;

/// How much is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effort {
    /// Nominal values only: each band is just its nominal value.
    Nominal,
    /// Bands over all healthy machines as well.
    Bands,
}

/// Both ranges of a meter at one test point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SampleReading {
    /// Volts on the DC range.
    pub direct: f64,
    /// Volts on the AC range.
    pub alternating: f64,
}

/// A machine made ready to be solved: order of elimination, nominal state of every sequence, caches.
#[derive(Debug)]
pub struct Solver<'m> {
    pub(crate) circuit: Circuit<'m>,
    /// For each sequence what hands, cams and wipers let conduct.
    pub(crate) sets: Vec<Vec<bool>>,
    /// Each sequence at rest, at nominal values.
    pub(crate) rests: Vec<Rest>,
    /// Each sequence without faults, as faults are told; made when first asked for.
    pub(crate) healthy: Vec<OnceLock<Found>>,
    /// The states that each sequence passes, found when a fault first asks for them.
    pub(crate) trails: Vec<OnceLock<Option<Trail>>>,
}

impl<'m> Solver<'m> {
    /// Prepares a machine and solves all its sequences at nominal values.
    ///
    /// # Errors
    /// A circuit that cannot be answered rightly: impossible values, a diode under AC outside a rectified supply, ideal
    /// supplies against each other.
    pub fn new(machine: &'m Machine) -> Result<Self, CircuitError> {
        Self::prepared(Circuit::new(machine)?)
    }

    /// Prepares one healthy machine of this kind, whose values lie so far between their lowest (0) and highest (1) as the
    /// shares say, two for each element: what is nominal elsewhere is here what this machine has.
    ///
    /// # Errors
    /// As for [`Solver::new`], of that machine.
    pub fn of_one(machine: &'m Machine, shares: &[f64]) -> Result<Self, CircuitError> {
        let mut circuit = Circuit::new(machine)?;
        circuit.elements.nominal = circuit.elements.at(shares);
        Self::prepared(circuit)
    }

    /// Prepares the same machine with all its supplies so many times their voltage.
    ///
    /// # Errors
    /// As for [`Solver::new`], of that machine.
    pub fn with_supplies(&self, factor: f64) -> Result<Self, CircuitError> {
        let mut circuit = Circuit::new(self.circuit.machine)?;
        circuit.elements.nominal = self.circuit.elements.nominal.clone();
        for &source in &circuit.sources {
            circuit.elements.nominal.0[source][0] *= factor;
        }
        Self::prepared(circuit)
    }

    fn prepared(circuit: Circuit<'m>) -> Result<Self, CircuitError> {
        let machine = circuit.machine;
        let sets = machine.sequences.iter().map(|sequence| circuit.set(&sequence.setting)).collect();
        let healthy = machine.sequences.iter().map(|_| OnceLock::new()).collect();
        let mut solver = Self { circuit, sets, rests: Vec::new(), healthy, trails: Vec::new() };
        let mut rests: Vec<Option<Rest>> = vec![None; machine.sequences.len()];
        for index in solver.in_order() {
            let start = solver.start(SequenceId(index), &rests);
            let rest = solver
                .circuit
                .rest(&solver.nominal(SequenceId(index)), start)
                .map_err(|error| error.within(SequenceId(index)))?;
            rests[index] = Some(rest);
        }
        solver.rests = rests.into_iter().flatten().collect();
        solver.trails = machine.sequences.iter().map(|_| OnceLock::new()).collect();
        Ok(solver)
    }

    /// The machine.
    #[must_use]
    pub fn machine(&self) -> &'m Machine {
        self.circuit.machine
    }

    /// Solves all sequences in the order of their numbers.
    #[must_use]
    pub fn solve(&self, effort: Effort) -> Solution {
        let all = 0..self.rests.len();
        let describe = |index| self.describe(SequenceId(index), effort);
        let sequences = match effort {
            Effort::Nominal => all.map(describe).collect(),
            Effort::Bands => {
                let mut sequences: Vec<SequenceSolution> = all.into_par_iter().map(describe).collect();
                self.join_stands(&mut sequences);
                sequences
            }
        };
        Solution { sequences }
    }

    /// How many shares [`Solver::readings_with`] takes: two for each element, of which many have no effect, and one for each
    /// reservoir.
    #[must_use]
    pub fn parameters(&self) -> usize {
        2 * self.circuit.elements.models.len() + self.circuit.elements.reservoirs.len()
    }

    /// Readings of all test points on one healthy machine, whose values lie so far between their lowest (0) and highest
    /// (1), with relays where they come to rest on this one after it went through all earlier sequences.
    ///
    /// # Errors
    /// As for [`Solver::new`], of that machine.
    pub fn readings_with(&self, sequence: SequenceId, shares: &[f64]) -> Result<Vec<SampleReading>, CircuitError> {
        let values = self.circuit.elements.at(shares);
        let mut positions = self.circuit.at_rest();
        let mut point = Arc::clone(&self.rests[sequence.0].point);
        for passed in self.up_to(sequence) {
            let situation = Situation { values: &values, ..self.nominal(passed) };
            let start = Positions { energised: positions.energised, ..self.circuit.at_rest() };
            let inner = (*self.rests[passed.0].point.inner).clone();
            let rest = self.circuit.rest_from(&situation, start, inner, &[])?;
            (positions, point) = (rest.positions, rest.point);
        }
        let islands = Islands::of(&point);
        let mut scratch = Scratch::default();
        let machine = self.circuit.machine;
        let read = |at: &TestPoint| {
            let leads = (at.joint, at.reference);
            let both = read(&point, &islands, leads, &machine.meter, &mut scratch);
            SampleReading { direct: both.direct, alternating: both.alternating }
        };
        Ok(machine.test_points.iter().map(read).collect())
    }

    /// What a meter shows between any two joints in a sequence, on the range that shows most, with changes to the machine.
    ///
    /// # Errors
    /// As for [`Solver::new`], of the changed machine.
    pub fn reading_between(
        &self,
        solution: &Solution,
        sequence: SequenceId,
        (red, black): (JointId, JointId),
        meter: &Meter,
        changes: &[Change],
    ) -> Result<MeterReading, CircuitError> {
        let usual = self.circuit.reach.usual(self.circuit.machine.reference, (red, black));
        let extras = bridges(changes);
        let situation = Situation { changes, extras: &extras, ..self.nominal(sequence) };
        let otherwise;
        let rest = if changes.is_empty() {
            &self.rests[sequence.0]
        } else {
            let start = self.healthy_start(solution, sequence);
            otherwise = self.circuit.rest(&situation, start).map_err(|error| error.within(sequence))?;
            &otherwise
        };
        let islands = Islands::of(&rest.point);
        let state = (&situation, &rest.positions);
        let both =
            self.circuit.read_exactly(&rest.point, &islands, (red, black), meter, state, &mut Scratch::default())?;
        Ok(both.main(usual))
    }

    /// The sequences that a machine goes through to one, that one last.
    fn up_to(&self, sequence: SequenceId) -> Vec<SequenceId> {
        let sequences = &self.circuit.machine.sequences;
        let mut way = vec![sequence];
        while let Some(before) = sequences[way[way.len() - 1].0].after.filter(|before| !way.contains(before)) {
            way.push(before);
        }
        way.reverse();
        way
    }

    /// A sequence at nominal values without faults.
    pub(crate) fn nominal(&self, sequence: SequenceId) -> Situation<'_> {
        Situation { set: &self.sets[sequence.0], values: &self.circuit.elements.nominal, changes: &[], extras: &[] }
    }

    /// The relays as the healthy earlier sequence left them.
    pub(crate) fn healthy_start(&self, solution: &Solution, sequence: SequenceId) -> Positions {
        let mut positions = self.circuit.at_rest();
        if let Some(after) = self.circuit.machine.sequences[sequence.0].after {
            for part in &solution.sequence(after).energised {
                positions.energised[part.0] = true;
            }
        }
        positions
    }

    /// The relays as the earlier sequence, at rest, left them.
    pub(crate) fn start_of(&self, sequence: SequenceId) -> Positions {
        let mut start = self.circuit.at_rest();
        if let Some(after) = self.circuit.machine.sequences[sequence.0].after {
            start.energised.clone_from(&self.rests[after.0].positions.energised);
        }
        start
    }

    fn start(&self, sequence: SequenceId, rests: &[Option<Rest>]) -> Positions {
        let after = self.circuit.machine.sequences[sequence.0].after;
        let mut start = self.circuit.at_rest();
        if let Some(rest) = after.and_then(|after| rests[after.0].as_ref()) {
            start.energised.clone_from(&rest.positions.energised);
        }
        start
    }

    /// Sequences such that each comes after the one it starts from.
    pub(crate) fn in_order(&self) -> Vec<usize> {
        let sequences = &self.circuit.machine.sequences;
        let mut done = vec![false; sequences.len()];
        let mut order = Vec::with_capacity(sequences.len());
        while order.len() < sequences.len() {
            let ready = |index: &usize| !done[*index] && sequences[*index].after.is_none_or(|after| done[after.0]);
            // A circle of `after` is the parser's to refuse; here it starts at rest.
            let next = (0..sequences.len()).find(ready).or_else(|| done.iter().position(|done| !done));
            let Some(next) = next else { break };
            done[next] = true;
            order.push(next);
        }
        order
    }
}

/// Paths between joints that should have none, as branches.
pub(crate) fn bridges(changes: &[Change]) -> Vec<Extra> {
    let bridge = |change: &Change| match *change {
        Change::Bridge(a, b, ohms) => Some((a, b, ohms.max(1e-6))),
        _ => None,
    };
    changes.iter().filter_map(bridge).collect()
}
