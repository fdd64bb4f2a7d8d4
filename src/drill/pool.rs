//! Every exercise that a machine can give: each fault that stops a sequence while all before it work.

use crate::circuit::{Solution, Solver};
use crate::faults::Findings;
use crate::faults::kinds::Site;
use crate::faults::order::Order;
use crate::faults::search::Tree;
use crate::faults::search::symptom::Effect;
use crate::machine::model::{Machine, SequenceId};
use crate::words::Fact;

use super::level::{LOG_LINES, Level, MOST_ALIKE};

/// What exercises are made from.
#[derive(Clone, Copy)]
pub(super) struct Material<'a> {
    pub(super) machine: &'a Machine,
    pub(super) solver: &'a Solver<'a>,
    pub(super) solution: &'a Solution,
    pub(super) findings: &'a Findings,
}

impl<'a> Material<'a> {
    /// The order of checks of a sequence, where there is one.
    pub(super) fn order(&self, sequence: SequenceId) -> Option<&'a Order> {
        self.findings.sequences[sequence.0].order.as_ref()
    }
}

/// A fault that makes an exercise.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Candidate {
    /// The sequence that fails.
    pub(super) sequence: SequenceId,
    /// Place of the fault among the suspects of the sequence's order.
    pub(super) suspect: usize,
    /// The fault, as an index of the dictionary.
    pub(super) fault: usize,
    /// Where it sits.
    pub(super) site: Site,
    /// How hard it is.
    pub(super) level: Level,
}

/// All candidates, in the order of sequences and faults.
pub(super) fn candidates(material: &Material<'_>) -> Vec<Candidate> {
    (0..material.machine.sequences.len()).flat_map(|index| of_sequence(material, SequenceId(index))).collect()
}

fn of_sequence(material: &Material<'_>, sequence: SequenceId) -> Vec<Candidate> {
    let Some(order) = material.order(sequence) else { return Vec::new() };
    let dictionary = &material.findings.dictionary;
    let table = &dictionary.sequences[sequence.0];
    let earlier_work =
        |fault: usize| (0..sequence.0).all(|earlier| dictionary.sequences[earlier].effect(fault) == Effect::Works);
    (0..order.suspects.len())
        .filter(|&suspect| {
            let fault = order.suspects[suspect];
            table.effect(fault) == Effect::Fails && !table.refused.contains(&fault) && earlier_work(fault)
        })
        .filter_map(|suspect| {
            let fault = order.suspects[suspect];
            let places = places(&alike(order, suspect), order, material);
            let checks = branch(&order.tree, order, suspect).len();
            // With nothing to check there is nothing to learn; a longer search than a leaf has lines for is none for a class.
            ((1..=LOG_LINES).contains(&checks) && places.len() <= MOST_ALIKE).then(|| Candidate {
                sequence,
                suspect,
                fault,
                site: dictionary.faults[fault].site,
                level: Level::of(&dictionary.faults[fault], checks, places.len()),
            })
        })
        .collect()
}

/// Suspects that may show whatever this one shows in all checks on offer, itself among them.
pub(super) fn alike(order: &Order, suspect: usize) -> Vec<usize> {
    let checks = &order.problem.checks;
    let same = |&other: &usize| checks.iter().all(|check| check.may(other, check.results[suspect]));
    (0..order.suspects.len()).filter(same).collect()
}

/// The places of suspects, each once.
pub(super) fn places(suspects: &[usize], order: &Order, material: &Material<'_>) -> Vec<Fact> {
    let mut places: Vec<Fact> = Vec::new();
    for &suspect in suspects {
        let label = material.findings.dictionary.faults[order.suspects[suspect]].site.label(material.machine);
        if !places.contains(&label) {
            places.push(label);
        }
    }
    places
}

/// The checks that the best order makes for a suspect.
pub(super) fn branch(tree: &Tree, order: &Order, suspect: usize) -> Vec<usize> {
    let mut checks = Vec::new();
    let mut at = tree;
    while let Tree::Check { check, branches } = at {
        checks.push(*check);
        let result = order.problem.checks[*check].results[suspect];
        match branches.iter().find(|(seen, _)| *seen == result) {
            Some((_, next)) => at = next,
            None => break,
        }
    }
    checks
}
