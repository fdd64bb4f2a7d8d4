//! Bands.
use crate::machine::model::SequenceId;

use super::results::SequenceSolution;
use super::solver::Solver;

impl Solver<'_> {
    pub(crate) fn add_bands(&self, _sequence: SequenceId, _solution: &mut SequenceSolution) {}
}
