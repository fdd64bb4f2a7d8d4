//! Suspects that nothing that was read or seen could tell apart: they count as one answer.

use super::super::search::ranking::Observation;
use super::super::search::symptom::Effect;

/// What a suspect predicts for the evidence.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Expected {
    /// One for each observation.
    pub(super) values: Vec<f64>,
    /// What it does to each sequence that was tried; none where that is not known.
    pub(super) effects: Vec<Option<Effect>>,
}

/// The number of each suspect's group, from 1 in the order in which groups first appear.
///
/// A suspect belongs to the first group whose first member predicts the same within twice the meter's error.
pub(super) fn groups(expected: &[Expected], observations: &[Observation]) -> Vec<usize> {
    let mut firsts: Vec<&Expected> = Vec::new();
    let number = |one| {
        let known = firsts.iter().position(|first| are_alike(first, one, observations));
        known.unwrap_or_else(|| {
            firsts.push(one);
            firsts.len() - 1
        }) + 1
    };
    expected.iter().map(number).collect()
}

fn are_alike(a: &Expected, b: &Expected, observations: &[Observation]) -> bool {
    let close =
        |((a, b), one): ((&f64, &f64), &Observation)| (a - b).abs() <= 2.0 * (one.relative * a.abs() + one.fixed);
    a.effects == b.effects && a.values.iter().zip(&b.values).zip(observations).all(close)
}
