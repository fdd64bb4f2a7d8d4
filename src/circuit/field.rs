//! Solves one network and keeps what it takes to ask it more.

use std::sync::Arc;

use super::elimination::{Factor, Structure};
use super::network::{Circuit, Extra, STIFF};
use super::scalar::Scalar;

/// Branches of one network: admittance (zero: does not conduct) and source voltage of each element.
#[derive(Debug, Clone)]
pub(crate) struct Branches<T> {
    pub(crate) admittances: Vec<T>,
    pub(crate) sources: Vec<T>,
}

/// A solved network.
#[derive(Debug, Clone)]
pub(crate) struct Field<T> {
    pub(crate) structure: Arc<Structure>,
    pub(crate) branches: Branches<T>,
    pub(crate) factor: Factor<T>,
    /// Voltage of each joint beyond its shift, against the last joint of its island.
    beyond: Vec<T>,
    /// Source voltages along the supplies: taken out before solving, so that stiff supplies lose no digits.
    shift: Vec<T>,
}

impl<T: Scalar> Field<T> {
    /// Voltage from one joint to another of the same island.
    pub(crate) fn between(&self, from: usize, to: usize) -> T {
        (self.beyond[from] - self.beyond[to]) + (self.shift[from] - self.shift[to])
    }

    /// Voltage across an element.
    pub(crate) fn across(&self, element: usize) -> T {
        let (from, to) = self.structure.edges()[element];
        self.between(from, to)
    }

    /// What drives current through an element beside the voltages beyond the shift: with these, its current over its
    /// admittance, turned round.
    pub(crate) fn undriven(&self, element: usize) -> T {
        let (from, to) = self.structure.edges()[element];
        let driven = self.branches.sources[element] - (self.shift[from] - self.shift[to]);
        driven - (self.beyond[from] - self.beyond[to])
    }

    /// Moves all voltages along a response.
    pub(crate) fn move_along(&mut self, response: &[T], step: T) {
        for (volts, response) in self.beyond.iter_mut().zip(response) {
            *volts += step * *response;
        }
    }

    /// Current through an element, `from` to `to`, from the difference of its ends.
    pub(crate) fn current(&self, element: usize) -> T {
        let (from, to) = self.structure.edges()[element];
        let driven = self.shift[from] - self.shift[to] - self.branches.sources[element];
        ((self.beyond[from] - self.beyond[to]) + driven) * self.branches.admittances[element]
    }
}

impl Circuit<'_> {
    /// Solves a network.
    pub(crate) fn field<T: Scalar>(&self, branches: Branches<T>, extras: &[Extra]) -> Field<T> {
        let structure = self.structure_with(extras);
        let factor = structure.factor(&branches.admittances);
        self.driven(structure, factor, branches)
    }

    /// The same network with one of its sources alone.
    pub(crate) fn alone(&self, field: &Field<f64>, element: usize) -> Field<f64> {
        let mut branches = field.branches.clone();
        let volts = branches.sources[element];
        branches.sources.fill(0.0);
        branches.sources[element] = volts;
        self.driven(Arc::clone(&field.structure), field.factor.clone(), branches)
    }

    fn driven<T: Scalar>(&self, structure: Arc<Structure>, factor: Factor<T>, branches: Branches<T>) -> Field<T> {
        let shift = self.shift(&branches);
        let mut beyond = vec![T::ZERO; structure.joints()];
        for (element, &(from, to)) in structure.edges().iter().enumerate() {
            let admittance = branches.admittances[element];
            if admittance == T::ZERO {
                continue;
            }
            let driven = branches.sources[element] - (shift[from] - shift[to]);
            if driven != T::ZERO {
                beyond[from] += driven * admittance;
                beyond[to] -= driven * admittance;
            }
        }
        structure.solve(&factor, &mut beyond);
        Field { structure, branches, factor, beyond, shift }
    }

    /// A first guess of voltages in which each live supply stands at its full source voltage and next to no volts are
    /// across branches of next to no ohms, as far as they do not contradict each other.
    fn shift<T: Scalar>(&self, branches: &Branches<T>) -> Vec<T> {
        let mut shift = vec![T::ZERO; self.structure.joints()];
        let mut fixed = vec![false; shift.len()];
        fixed[self.machine.reference.0] = true;
        let live = |&source: &usize| branches.sources[source] != T::ZERO;
        let stiff = |&element: &usize| branches.admittances[element].size() > STIFF;
        let supplies = self.sources.iter().copied().filter(live);
        let mut waiting: Vec<usize> = supplies.chain((0..self.elements.models.len()).filter(stiff)).collect();
        while !waiting.is_empty() {
            let before = waiting.len();
            waiting.retain(|&source| {
                let (from, to) = self.structure.edges()[source];
                match (fixed[from], fixed[to]) {
                    (false, true) => shift[from] = shift[to] + branches.sources[source],
                    (true, false) => shift[to] = shift[from] - branches.sources[source],
                    (true, true) => return false,
                    (false, false) => return true,
                }
                fixed[from] = true;
                fixed[to] = true;
                false
            });
            if waiting.len() == before {
                let (_, to) = self.structure.edges()[waiting[0]];
                fixed[to] = true;
            }
        }
        shift
    }
}
