//! One machine state as the fault room looks at it: taken from the circuit room, healthy or with a fault.

use std::collections::BTreeSet;

use crate::circuit::results::JointVoltage;
use crate::circuit::{Change, Outcome, Solution, Solver};
use crate::machine::model::{ElementId, JointId, Machine, PartId, SequenceId};

/// What a machine does with some changes in one sequence.
#[derive(Debug, Clone)]
pub struct Sample {
    /// Whether the relays came to rest.
    pub settled: bool,
    /// Relays that are in.
    pub energised: BTreeSet<PartId>,
    /// Fuses that opened.
    pub opened: Vec<PartId>,
    /// What the stated meter shows at each test point, in volts.
    pub readings: Vec<f64>,
    /// Whether each part operates; none where it has nothing to operate.
    pub operates: Vec<Option<bool>>,
    /// Amps of every element.
    pub currents: Vec<f64>,
    /// Voltage of every joint.
    pub joints: Vec<JointVoltage>,
}

impl Sample {
    /// Solves one sequence with changes.
    #[must_use]
    pub fn take(solver: &Solver, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Self {
        Self::from(solver.faulted(solution, sequence, changes))
    }

    /// Volts between two joints: DC where there is any to speak of, with its sign, else the AC magnitude.
    #[must_use]
    pub fn volts_between(&self, red: JointId, black: JointId) -> f64 {
        let (red, black) = (&self.joints[red.0], &self.joints[black.0]);
        let direct = red.direct - black.direct;
        let alternating = (red.real - black.real).hypot(red.imaginary - black.imaginary);
        if alternating > direct.abs() { alternating } else { direct }
    }

    /// Volts across an element.
    #[must_use]
    pub fn across(&self, machine: &Machine, element: ElementId) -> f64 {
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
        }
    }
}
