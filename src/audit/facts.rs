//! What rules look at: the machine with its wiring worked out once, and the solved circuit sorted by part.

use std::cell::OnceCell;

use crate::circuit::Solver;
use crate::circuit::results::{DeviceReading, Reading, SequenceSolution, Solution};
use crate::machine::model::{Element, ElementId, JointId, Law, Machine, Part, PartId, PartKind, SequenceId, Supply};
use crate::spec::units::Amperes;

use super::wiring::Wiring;

/// The description with its wiring.
#[derive(Debug)]
pub struct Description<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// What its wires and pins join.
    pub wiring: Wiring,
}

impl<'a> Description<'a> {
    /// Works out the wiring of a machine.
    #[must_use]
    pub fn new(machine: &'a Machine) -> Self {
        Self { machine, wiring: Wiring::new(machine) }
    }

    /// All parts with their indices.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, &'a Part)> {
        self.machine.parts.iter().enumerate().map(|(index, part)| (PartId(index), part))
    }

    /// All elements with their indices.
    pub fn elements(&self) -> impl Iterator<Item = (ElementId, &'a Element)> {
        self.machine.elements.iter().enumerate().map(|(index, element)| (ElementId(index), element))
    }

    /// The elements of a part.
    pub fn elements_of(&self, part: PartId) -> impl Iterator<Item = (ElementId, &'a Element)> {
        let machine = self.machine;
        machine.part(part).elements.iter().map(move |id| (*id, machine.element(*id)))
    }
}

/// The solved circuit with its devices sorted by part.
pub struct Circuit<'a> {
    /// The description.
    pub description: &'a Description<'a>,
    /// What solved it; asked again where a rule needs the worst case.
    pub solver: &'a Solver<'a>,
    /// All sequences, solved.
    pub solution: &'a Solution,
    devices: Vec<Vec<(SequenceId, &'a DeviceReading)>>,
    banded: OnceCell<Solution>,
}

impl std::fmt::Debug for Circuit<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Circuit").field("solution", &self.solution).finish_non_exhaustive()
    }
}

impl<'a> Circuit<'a> {
    /// Sorts a solution by part.
    #[must_use]
    pub fn new(description: &'a Description<'a>, solver: &'a Solver<'a>, solution: &'a Solution) -> Self {
        let mut devices = vec![Vec::new(); description.machine.parts.len()];
        for sequence in &solution.sequences {
            for device in &sequence.devices {
                devices[device.part.0].push((sequence.sequence, device));
            }
        }
        Self { description, solver, solution, devices, banded: OnceCell::new() }
    }

    /// A sequence with the bands, over all healthy machines, of what it is to do by the description: readings where a paper
    /// states some, coils that must operate and do.
    #[must_use]
    pub fn banded(&self, sequence: SequenceId) -> &SequenceSolution {
        let has_bands = self.solution.sequences.iter().any(|solved| solved.devices.iter().any(|at| at.band.is_some()));
        let banded = if has_bands { self.solution } else { self.banded.get_or_init(|| self.find_bands()) };
        banded.sequence(sequence)
    }

    fn find_bands(&self) -> Solution {
        let machine = self.machine();
        let stated = |sequence: SequenceId, reading: &Reading| {
            machine.expectations.iter().any(|stated| (stated.sequence, stated.at) == (sequence, reading.at))
        };
        let coil = |sequence: SequenceId, device: &DeviceReading| {
            device.operates == Some(true)
                && machine.coil(device.part).is_some()
                && must_operate(machine, device.part, sequence)
        };
        self.solver.banded(self.solution, stated, coil)
    }

    /// The machine.
    #[must_use]
    pub fn machine(&self) -> &'a Machine {
        self.description.machine
    }

    /// What a part gets, sequence by sequence.
    #[must_use]
    pub fn devices(&self, part: PartId) -> &[(SequenceId, &'a DeviceReading)] {
        &self.devices[part.0]
    }

    /// What a part gets in a sequence; the main winding of a latching relay.
    #[must_use]
    pub fn device(&self, part: PartId, sequence: SequenceId) -> Option<&'a DeviceReading> {
        self.devices[part.0].iter().find(|(id, _)| *id == sequence).map(|(_, device)| *device)
    }

    /// The reading of largest `amount` of a part, with the sequences in which `amount` is above `limit`.
    pub fn above(
        &self,
        part: PartId,
        limit: f64,
        amount: impl Fn(&DeviceReading) -> f64,
    ) -> Option<(f64, Vec<SequenceId>)> {
        let over: Vec<_> = self.devices[part.0].iter().filter(|(_, device)| amount(device) > limit).collect();
        let most = over.iter().map(|(_, device)| amount(device)).max_by(f64::total_cmp)?;
        let mut sequences: Vec<_> = over.iter().map(|(id, _)| *id).collect();
        sequences.dedup();
        Some((most, sequences))
    }

    /// Volts between two joints in a sequence: the DC part and the AC part (RMS).
    #[must_use]
    pub fn between(&self, sequence: SequenceId, from: JointId, to: JointId) -> (f64, f64) {
        let joints = &self.solution.sequence(sequence).joints;
        let (one, other) = (&joints[from.0], &joints[to.0]);
        let alternating = (one.real - other.real).hypot(one.imaginary - other.imaginary);
        (one.direct - other.direct, alternating)
    }
}

/// Whether the description wants a part energised in a sequence.
pub(super) fn must_operate(machine: &Machine, part: PartId, sequence: SequenceId) -> bool {
    let step = &machine.sequences[sequence.0];
    step.acts.contains(&part) || step.pulled_in.contains(&part)
}

/// The supply of a part, if it is one.
pub(super) fn supply(part: &Part) -> Option<&Supply> {
    if let PartKind::Supply(supply) = &part.kind { Some(supply) } else { None }
}

/// What a supply may deliver for long: its stated maximum, or its volt-amperes over its volts at rated load.
pub(super) fn supply_limit(supply: &Supply) -> Option<Amperes> {
    let by_rating = supply.rating.map(|rating| Amperes::new(rating.value() / supply.rated.nominal.value().abs()));
    supply.maximum.or(by_rating).filter(|limit| limit.value().is_finite() && limit.value() > 0.0)
}

/// Whether an element is a mere conductor: wire, pin, fuse, or a contact that can close.
pub(super) fn is_conductor(machine: &Machine, element: &Element) -> bool {
    match element.law {
        Law::Contact { .. } => true,
        Law::Resistance(_) => !matches!(machine.part(element.part).kind, PartKind::Resistor(_)),
        _ => false,
    }
}
