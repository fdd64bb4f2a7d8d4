//! How a solved network answers to one changed branch, without solving it again.
//!
//! One branch changes its admittance from y to y + d and its source from E to E'. With e the difference of its ends and A
//! the healthy matrix, z = A⁻¹e gives everything (Sherman and Morrison): voltages move along z by
//! (d(E − eᵀv) + (y + d)(E' − E)) / (1 + d·eᵀz), and the impedance between two leads falls by d·r²/(1 + d·eᵀz), r being
//! the difference of z between them. Opening a branch that alone holds two halves together makes the denominator zero: no
//! current flowed, so the voltages stay, and one half floats. A branch between two islands makes one of them: again no
//! current flows, and one island takes the level of the other.

use std::sync::Arc;

use crate::machine::model::JointId;

use super::field::{Field, OtherBranch};
use super::groups::Groups;
use super::scalar::Scalar;

/// Denominators below this lose more digits than the answer may.
const LEAST_SAFE: f64 = 1e-6;

/// The branch that changes, as it is then.
#[derive(Debug, Clone, Copy)]
pub(crate) struct NewBranch<T> {
    pub(crate) element: usize,
    pub(crate) admittance: T,
    pub(crate) source: T,
}

/// How a network answers to a changed branch.
#[derive(Debug)]
pub(crate) enum Turn<T> {
    /// Not at all.
    Same,
    /// Voltages move along `response`, impedances by its square times `gain`.
    Moved { response: Arc<[T]>, gain: T, denominator: T, ends: (usize, usize) },
    /// One half floats: the joints for which this holds.
    Cut(Vec<bool>),
    /// The island of the second joint becomes one with that of the first; ones on the former, zeros elsewhere.
    Joined { side: Arc<[T]>, ends: (usize, usize), ohms: T },
}

/// All joints' voltages for one ampere into an element's first joint and out of its second.
pub(crate) fn response<T: Scalar>(field: &Field<T>, element: usize) -> Arc<[T]> {
    let (from, to) = field.structure.edges()[element];
    let mut response = vec![T::ZERO; field.structure.joints()];
    if from != to {
        response[from] = T::ONE;
        response[to] = -T::ONE;
        field.structure.solve(&field.factor, &mut response);
    }
    response.into()
}

impl<T: Scalar> Turn<T> {
    /// The answer to a branch; `islands` names each joint's island, `known` is the response if it was found before. None
    /// where digits would be lost.
    pub(crate) fn of(
        field: &Field<T>,
        branch: NewBranch<T>,
        island: impl Fn(usize) -> usize,
        known: &mut Option<Arc<[T]>>,
    ) -> Option<Self> {
        let before = field.admittance(branch.element);
        let change = branch.admittance - before;
        let stays_open = branch.admittance == T::ZERO && before == T::ZERO;
        if stays_open || change == T::ZERO && branch.source == field.source(branch.element) {
            return Some(Turn::Same);
        }
        let ends = field.structure.edges()[branch.element];
        let (of_from, of_to) = (island(ends.0), island(ends.1));
        if of_from != of_to {
            let on = |joint| if island(joint) == of_to { T::ONE } else { T::ZERO };
            let side = (0..field.structure.joints()).map(on).collect();
            return Some(Turn::Joined { side, ends, ohms: T::ONE / branch.admittance });
        }
        let response = Arc::clone(known.get_or_insert_with(|| response(field, branch.element)));
        let denominator = T::ONE + change * (response[ends.0] - response[ends.1]);
        if denominator.size() < LEAST_SAFE {
            let alone = branch.admittance == T::ZERO && is_bridge(field, branch.element);
            return alone.then(|| Turn::Cut(half(&response, ends, island)));
        }
        Some(Turn::Moved { response, gain: change / denominator, denominator, ends })
    }

    /// The network with the changed branch.
    pub(crate) fn applied(&self, field: &Field<T>, branch: NewBranch<T>) -> Field<T> {
        let NewBranch { element, admittance, source } = branch;
        let (response, step) = match self {
            Turn::Same => return field.clone(),
            Turn::Moved { response, gain, denominator, .. } => {
                let by_source = admittance * (source - field.source(element)) / *denominator;
                (Arc::clone(response), *gain * field.undriven(element) + by_source)
            }
            Turn::Cut(_) => (vec![T::ZERO; field.structure.joints()].into(), T::ZERO),
            Turn::Joined { side, .. } => (Arc::clone(side), field.across(element) - source),
        };
        field.with(OtherBranch { element, admittance, source, response, step })
    }

    /// How islands change.
    pub(crate) fn islands(&self) -> IslandChange<'_> {
        match self {
            Turn::Same | Turn::Moved { .. } => IslandChange::None,
            Turn::Cut(half) => IslandChange::Cut(half),
            Turn::Joined { ends, .. } => IslandChange::Joined(ends.0, ends.1),
        }
    }

    /// Impedance between two leads that are on one island, from that of the healthy network.
    pub(crate) fn impedance(&self, healthy: T, red: JointId, black: JointId) -> T {
        match self {
            Turn::Moved { response, gain, .. } => {
                let seen = response[red.0] - response[black.0];
                healthy - *gain * seen * seen
            }
            _ => healthy,
        }
    }

    /// Where the changed branch alone joins two leads: the voltages for one ampere from the one through it to the other,
    /// and the impedance between them.
    pub(crate) fn across_bridge(&self, field: &Field<T>, (red, black): (usize, usize)) -> Option<(Vec<T>, T)> {
        let Turn::Joined { side, ends, ohms } = self else { return None };
        if side[red] == side[black] {
            return None;
        }
        let (near, far) = if side[red] == T::ZERO { *ends } else { (ends.1, ends.0) };
        let mut volts = vec![T::ZERO; field.structure.joints()];
        for (joint, amperes) in [(red, T::ONE), (near, -T::ONE), (far, T::ONE), (black, -T::ONE)] {
            volts[joint] += amperes;
        }
        field.structure.solve(&field.factor, &mut volts);
        let impedance = (volts[red] - volts[near]) + (volts[far] - volts[black]) + *ohms;
        Some((volts, impedance))
    }

    /// What one ampere between two leads does to the voltage between two joints, from what it does in the healthy network.
    pub(crate) fn transfer(&self, healthy: &[T], (a, b): (usize, usize)) -> T {
        let seen = healthy[a] - healthy[b];
        match self {
            Turn::Moved { response, gain, ends, .. } => {
                seen - (response[a] - response[b]) * *gain * (healthy[ends.0] - healthy[ends.1])
            }
            _ => seen,
        }
    }
}

/// How a changed branch changes which joints hang together.
#[derive(Debug, Clone, Copy)]
pub(crate) enum IslandChange<'a> {
    None,
    /// These joints come off.
    Cut(&'a [bool]),
    /// The islands of these two joints become one.
    Joined(usize, usize),
}

/// Whether no way is left between the ends of an element when it opens: a blocked diode beside it is one, however small.
fn is_bridge<T: Scalar>(field: &Field<T>, element: usize) -> bool {
    let edges = field.structure.edges();
    let mut groups = Groups::new(field.structure.joints());
    for (other, &(from, to)) in edges.iter().enumerate() {
        if other != element && field.admittance(other) != T::ZERO {
            groups.join(from, to);
        }
    }
    groups.name(edges[element].0) != groups.name(edges[element].1)
}

/// The half that floats when the branch opens that alone joins it to the other: that without the last joint of the island.
fn half<T: Scalar>(response: &[T], (from, to): (usize, usize), island: impl Fn(usize) -> usize) -> Vec<bool> {
    let near_from = |joint: usize| (response[joint] - response[from]).size() < (response[joint] - response[to]).size();
    let last = island(from);
    let floats = !near_from(last);
    (0..response.len()).map(|joint| island(joint) == last && near_from(joint) == floats).collect()
}
