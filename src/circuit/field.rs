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

/// A solved network. Copies share what was found, and may differ in one branch.
#[derive(Debug, Clone)]
pub(crate) struct Field<T> {
    pub(crate) structure: Arc<Structure>,
    /// That of the network without the different branch.
    pub(crate) factor: Arc<Factor<T>>,
    branches: Arc<Branches<T>>,
    /// Voltage of each joint beyond its shift, against the last joint of its island.
    beyond: Arc<[T]>,
    /// Source voltages along the supplies: taken out before solving, so that stiff supplies lose no digits.
    shift: Arc<[T]>,
    other: Option<OtherBranch<T>>,
}

/// A branch that differs from the network that was solved, with what that does to all voltages.
#[derive(Debug, Clone)]
pub(crate) struct OtherBranch<T> {
    pub(crate) element: usize,
    pub(crate) admittance: T,
    pub(crate) source: T,
    /// All voltages move along this.
    pub(crate) response: Arc<[T]>,
    /// So far.
    pub(crate) step: T,
}

impl<T: Scalar> Field<T> {
    /// Admittance of an element; zero where it does not conduct.
    pub(crate) fn admittance(&self, element: usize) -> T {
        match &self.other {
            Some(other) if other.element == element => other.admittance,
            _ => self.branches.admittances[element],
        }
    }

    /// Source voltage of an element.
    pub(crate) fn source(&self, element: usize) -> T {
        match &self.other {
            Some(other) if other.element == element => other.source,
            _ => self.branches.sources[element],
        }
    }

    /// The branches that were solved.
    pub(crate) fn branches(&self) -> Branches<T> {
        Branches::clone(&self.branches)
    }

    /// Whether this is the network of these branches.
    pub(crate) fn is_of(&self, branches: &Branches<T>) -> bool {
        self.other.is_none()
            && self.branches.admittances == branches.admittances
            && self.branches.sources == branches.sources
    }

    /// The same network with another branch.
    pub(crate) fn with(&self, other: OtherBranch<T>) -> Self {
        Self { other: Some(other), ..self.clone() }
    }

    /// Voltage from one joint to another of the same island.
    pub(crate) fn between(&self, from: usize, to: usize) -> T {
        self.beyond(from, to) + (self.shift[from] - self.shift[to])
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
        let driven = self.source(element) - (self.shift[from] - self.shift[to]);
        driven - self.beyond(from, to)
    }

    /// Current through an element, `from` to `to`, from the difference of its ends.
    pub(crate) fn current(&self, element: usize) -> T {
        let (from, to) = self.structure.edges()[element];
        let driven = self.shift[from] - self.shift[to] - self.source(element);
        (self.beyond(from, to) + driven) * self.admittance(element)
    }

    fn beyond(&self, from: usize, to: usize) -> T {
        let solved = self.beyond[from] - self.beyond[to];
        match &self.other {
            Some(other) => solved + other.step * (other.response[from] - other.response[to]),
            None => solved,
        }
    }
}

impl Circuit<'_> {
    /// Solves a network.
    pub(crate) fn field<T: Scalar>(&self, branches: Branches<T>, extras: &[Extra]) -> Field<T> {
        let structure = self.structure_with(extras);
        let factor = Arc::new(structure.factor(&branches.admittances));
        self.driven(structure, factor, branches)
    }

    /// The same network with one of its sources alone.
    pub(crate) fn alone(&self, field: &Field<f64>, element: usize) -> Field<f64> {
        let mut sources = vec![0.0; field.branches.sources.len()];
        sources[element] = field.branches.sources[element];
        let branches = Branches { admittances: field.branches.admittances.clone(), sources };
        self.driven(Arc::clone(&field.structure), Arc::clone(&field.factor), branches)
    }

    fn driven<T: Scalar>(&self, structure: Arc<Structure>, factor: Arc<Factor<T>>, branches: Branches<T>) -> Field<T> {
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
        Field {
            structure,
            factor,
            branches: Arc::new(branches),
            beyond: beyond.into(),
            shift: shift.into(),
            other: None,
        }
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
