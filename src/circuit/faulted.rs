//! What a fault does: the same sequence, from the same healthy start, with something changed.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::machine::model::{Current, ElementId, JointId, PartId, SequenceId};

use super::change::Change;
use super::error::CircuitError;
use super::inside::Inner;
use super::meter::{Islands, MeterReading, Scratch, read};
use super::network::{Circuit, Positions, Situation};
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

/// What a glance keeps beside readings and what operates.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Kept {
    /// Elements whose volts are wanted.
    pub volts: Vec<ElementId>,
    /// Elements whose amps are wanted.
    pub amps: Vec<ElementId>,
    /// Joints whose voltage is wanted.
    pub joints: Vec<JointId>,
}

/// Volts across an element.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Across {
    /// DC, first joint against second.
    pub direct: f64,
    /// AC, RMS.
    pub alternating: f64,
}

impl Across {
    /// DC where there is any to speak of, with its sign, else the AC magnitude.
    #[must_use]
    pub fn main(self) -> f64 {
        if self.alternating > self.direct.abs() { self.alternating } else { self.direct }
    }
}

/// A sequence with faults, as far as somebody wants to know: much quicker than an [`Outcome`].
#[derive(Debug, Clone)]
pub struct Glance {
    /// Whether the relays came to rest.
    pub settled: bool,
    /// Relays whose contacts are in the energised position.
    pub energised: BTreeSet<PartId>,
    /// Whether a relay moved, or nearly did, while a fuse carried more than its rating: which is quicker decides all else.
    pub raced: bool,
    /// Fuses that opened in consequence.
    pub opened: Vec<PartId>,
    /// Volts at each test point, same index.
    pub readings: Vec<f64>,
    /// For each part whether it does its work, as in [`Outcome::operates`].
    pub operates: Vec<Option<bool>>,
    /// Volts across the elements that were asked for.
    pub volts: Vec<Across>,
    /// Amps of the elements that were asked for, as in [`SequenceSolution::currents`].
    pub amps: Vec<f64>,
    /// Voltages of the joints that were asked for.
    pub joints: Vec<JointVoltage>,
    /// How it compares with the healthy machine.
    pub compared: Compared,
}

/// How a sequence with faults compares with the healthy machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compared {
    /// Nothing differs.
    AsHealthy,
    /// Something may differ.
    Otherwise,
    /// The changed circuit cannot be answered rightly; all numbers are those of the healthy machine.
    Refused,
}

/// A sequence with faults at rest, with what the meter shows.
#[derive(Debug, Clone)]
pub(crate) struct Found {
    pub(crate) settling: Settling,
    pub(crate) positions: Positions,
    pub(crate) opened: Vec<OpenedFuse>,
    /// As in [`Glance::raced`].
    pub(crate) raced: bool,
    pub(crate) readings: Vec<MeterReading>,
    pub(crate) point: Arc<Point>,
    pub(crate) islands: Islands,
}

/// What came of solving a sequence with changes.
enum Solved<'a> {
    /// Nothing differs.
    AsHealthy(&'a Found),
    Otherwise(Found),
    /// No right answer; the healthy machine stands in.
    Refused(CircuitError, &'a Found),
}

impl Solver<'_> {
    /// A sequence with changes to the machine, from the relay state of the healthy earlier sequence.
    #[must_use]
    pub fn faulted(&self, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Outcome {
        let updated = self.updated(solution, sequence, changes).map(Solved::Otherwise);
        self.outcome(updated.unwrap_or_else(|| self.solved(solution, sequence, changes)))
    }

    /// The same without use of the healthy factors: slower, and the measure of [`Solver::faulted`].
    #[must_use]
    pub fn faulted_outright(&self, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Outcome {
        self.outcome(self.solved(solution, sequence, changes))
    }

    /// The same as [`Solver::faulted`], as far as `kept` asks.
    #[must_use]
    pub fn glance(&self, solution: &Solution, sequence: SequenceId, changes: &[Change], kept: &Kept) -> Glance {
        let updated = self.updated(solution, sequence, changes).map(Solved::Otherwise);
        match updated.unwrap_or_else(|| self.solved(solution, sequence, changes)) {
            Solved::AsHealthy(found) => Glance { compared: Compared::AsHealthy, ..self.glance_of(found, kept) },
            Solved::Otherwise(found) => self.glance_of(&found, kept),
            Solved::Refused(_, found) => Glance { compared: Compared::Refused, ..self.glance_of(found, kept) },
        }
    }

    fn solved(&self, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Solved<'_> {
        let extras = bridges(changes);
        let situation = Situation { changes, extras: &extras, ..self.nominal(sequence) };
        let start = self.healthy_start(solution, sequence);
        let guess = self.healthy_guess(&situation, sequence);
        match self.circuit.rest_from(&situation, start, guess, &self.rests[sequence.0].trace) {
            Ok(rest) if self.is_as_healthy(&rest, sequence) => Solved::AsHealthy(self.healthy(solution, sequence)),
            Ok(rest) => Solved::Otherwise(self.read_all(&situation, &rest, solution.sequence(sequence))),
            Err(error) => Solved::Refused(error.within(sequence), self.healthy(solution, sequence)),
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

    fn healthy(&self, solution: &Solution, sequence: SequenceId) -> &Found {
        let make = || self.read_all(&self.nominal(sequence), &self.rests[sequence.0], solution.sequence(sequence));
        self.healthy[sequence.0].get_or_init(make)
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

    /// A state at rest with all readings of the meter.
    fn read_all(&self, situation: &Situation<'_>, rest: &Rest, healthy: &SequenceSolution) -> Found {
        let circuit = &self.circuit;
        let islands = Islands::of(&rest.point);
        let mut scratch = Scratch::default();
        let usual = usual_quantities(healthy, circuit.machine.test_points.len());
        let state = (situation, &rest.positions);
        let meter = &circuit.machine.meter;
        let points = circuit.machine.test_points.iter().zip(usual);
        let readings = points.map(|(at, usual)| {
            let leads = (at.joint, at.reference);
            circuit
                .read_exactly(&rest.point, &islands, leads, meter, state, &mut scratch)
                .unwrap_or_else(|_| read(&rest.point, &islands, leads, meter, &mut scratch))
                .main(usual)
        });
        Found {
            readings: readings.collect(),
            settling: rest.settling.clone(),
            positions: rest.positions.clone(),
            opened: rest.opened.clone(),
            raced: circuit.raced(rest),
            point: Arc::clone(&rest.point),
            islands,
        }
    }

    fn outcome(&self, solved: Solved<'_>) -> Outcome {
        let own;
        let (found, refused) = match solved {
            Solved::AsHealthy(found) => (found, None),
            Solved::Otherwise(found) => {
                own = found;
                (&own, None)
            }
            Solved::Refused(error, found) => (found, Some(error)),
        };
        let circuit = &self.circuit;
        let held = circuit.held(&found.point);
        Outcome {
            settling: found.settling.clone(),
            energised: flagged(&found.positions.energised),
            opened: found.opened.clone(),
            readings: found.readings.clone(),
            operates: circuit.operating(&found.point, &found.positions.energised),
            currents: circuit.currents(&found.point),
            joints: circuit.joint_voltages(&found.point, &found.islands, &held),
            refused,
        }
    }

    fn glance_of(&self, found: &Found, kept: &Kept) -> Glance {
        let circuit = &self.circuit;
        let volts = circuit.volts_across(&found.point, &found.islands, &kept.volts);
        let amps = circuit.currents_of(&found.point, &kept.amps);
        let joints = if kept.joints.is_empty() {
            Vec::new()
        } else {
            let held = circuit.held(&found.point);
            let all = circuit.joint_voltages(&found.point, &found.islands, &held);
            kept.joints.iter().map(|joint| all[joint.0]).collect()
        };
        Glance {
            settled: found.settling.is_settled(),
            energised: flagged(&found.positions.energised),
            raced: found.raced,
            opened: found.opened.iter().map(|opened| opened.fuse).collect(),
            readings: found.readings.iter().map(|reading| reading.volts).collect(),
            operates: circuit.operating(&found.point, &found.positions.energised),
            volts,
            amps,
            joints,
            compared: Compared::Otherwise,
        }
    }
}

impl Circuit<'_> {
    /// For each part whether it does its work; of two coils one is enough.
    pub(crate) fn operating(&self, point: &Point, energised: &[bool]) -> Vec<Option<bool>> {
        let mut operates = vec![None; self.machine.parts.len()];
        for &(part, element) in &self.operators {
            let slot: &mut Option<bool> = &mut operates[part.0];
            *slot = match (*slot, self.operates(point, energised, part, element)) {
                (Some(a), Some(b)) => Some(a || b),
                (a, b) => a.or(b),
            };
        }
        operates
    }
}

/// The range on which each test point is read on a healthy machine.
pub(crate) fn usual_quantities(healthy: &SequenceSolution, points: usize) -> Vec<Current> {
    let mut usual = vec![None; points];
    for reading in &healthy.readings {
        usual[reading.at.0].get_or_insert(reading.quantity);
    }
    usual.into_iter().map(|quantity| quantity.unwrap_or(Current::Direct)).collect()
}
