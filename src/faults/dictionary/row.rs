//! One fault in one sequence.

use crate::machine::model::{ElementId, Machine, PartId, PartKind};

use super::super::sample::Sample;
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
    /// Keeps of a state what checks can see.
    #[must_use]
    pub(super) fn of(machine: &Machine, sample: &Sample, watched: &[ElementId], effect: Effect) -> Self {
        Self {
            effect,
            readings: sample.readings.clone(),
            drops: watched.iter().map(|&element| sample.across(machine, element)).collect(),
            amps: fuses(machine).into_iter().map(|(_, element)| sample.currents[element.0].abs()).collect(),
            opened: sample.opened.clone(),
            operates: sample.operates.clone(),
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
