//! One fault in one sequence.

use crate::circuit::{Across, Glance};
use crate::machine::model::{ElementId, Machine, PartId, PartKind};

use super::super::search::symptom::Effect;

/// What a fault does and reads in a sequence.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it does to the sequence.
    pub effect: Effect,
    /// Volts at each test point.
    pub readings: Vec<f64>,
    /// Volts across each watched element.
    pub drops: Vec<f64>,
    /// Amps through each fuse of the machine.
    pub amps: Vec<f64>,
    /// Fuses that it opens.
    pub opened: Vec<PartId>,
    /// What each lamp and other device that a person sees or hears does, with each relay.
    pub operates: Vec<Option<bool>>,
}

impl Row {
    /// Keeps of a state what checks can see; the first volts of the glance are those of the watched elements, its amps
    /// those of the fuses.
    #[must_use]
    pub(super) fn of(glance: &Glance, watched: usize, effect: Effect) -> Self {
        Self {
            effect,
            readings: glance.readings.clone(),
            drops: glance.volts[..watched].iter().copied().map(Across::main).collect(),
            amps: glance.amps.iter().map(|amps| amps.abs()).collect(),
            opened: glance.opened.clone(),
            operates: glance.operates.clone(),
        }
    }
}

/// All fuses with their elements, in the order of the file.
#[must_use]
pub fn fuses(machine: &Machine) -> Vec<(PartId, ElementId)> {
    machine
        .parts
        .iter()
        .enumerate()
        .filter(|(_, part)| matches!(part.kind, PartKind::Fuse(_)))
        .filter_map(|(index, part)| part.elements.first().map(|&element| (PartId(index), element)))
        .collect()
}
