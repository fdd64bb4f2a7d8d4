//! One machine state as the fault room looks at it: taken from the circuit room, healthy or with a fault.

use std::collections::BTreeSet;

use crate::circuit::results::JointVoltage;
use crate::circuit::{Change, Outcome, Solution, Solver};
use crate::machine::model::{ElementId, JointId, Machine, PartId, SequenceId};

/// What a machine does with some changes in one sequence.
#[derive(Debug, Clone)]
pub(super) struct Sample {
    /// Whether the relays came to rest.
    pub(super) settled: bool,
    /// Relays that are in.
    pub(super) energised: BTreeSet<PartId>,
    /// Fuses that opened.
    pub(super) opened: Vec<PartId>,
    /// What the stated meter shows at each test point, in volts.
    pub(super) readings: Vec<f64>,
    /// Whether each part operates; none where it has nothing to operate.
    pub(super) operates: Vec<Option<bool>>,
    /// Amps of every element.
    pub(super) currents: Vec<f64>,
    /// Voltage of every joint.
    pub(super) joints: Vec<JointVoltage>,
    /// Whether the changed circuit could not be answered rightly; all numbers are then those of the healthy machine.
    pub(super) refused: bool,
}

impl Sample {
    /// Solves one sequence with changes.
    #[must_use]
    pub(super) fn take(solver: &Solver, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Self {
        Self::from(solver.faulted(solution, sequence, changes))
    }

    /// Volts between two joints: DC where there is any to speak of, with its sign, else the AC magnitude.
    #[must_use]
    pub(super) fn volts_between(&self, red: JointId, black: JointId) -> f64 {
        let (red, black) = (&self.joints[red.0], &self.joints[black.0]);
        let direct = red.direct - black.direct;
        let alternating = (red.real - black.real).hypot(red.imaginary - black.imaginary);
        if alternating > direct.abs() { alternating } else { direct }
    }

    /// Volts across an element.
    #[must_use]
    pub(super) fn across(&self, machine: &Machine, element: ElementId) -> f64 {
        let element = machine.element(element);
        self.volts_between(element.from, element.to)
    }
}

impl From<Outcome> for Sample {
    fn from(outcome: Outcome) -> Self {
        Self {
            settled: outcome.settling.is_settled(),
            energised: outcome.energised,
            opened: outcome.opened.iter().map(|opened| opened.fuse).collect(),
            readings: outcome.readings.iter().map(|reading| reading.volts).collect(),
            operates: outcome.operates,
            currents: outcome.currents,
            joints: outcome.joints,
            refused: outcome.refused.is_some(),
        }
    }
}
