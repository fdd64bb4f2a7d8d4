//! Currents of all branches, such that they sum to zero at every joint.
//!
//! A branch of next to no ohms has next to no volts across it, and the difference of two voltages near to each other
//! loses digits. Its current is therefore taken from the other branches at one of its ends wherever these suffice.

use super::field::Field;
use super::network::STIFF;
use super::scalar::Scalar;

/// The current of each branch of a solved network, from its first to its second joint.
pub(crate) fn currents<T: Scalar>(field: &Field<T>) -> Vec<T> {
    let edges = field.structure.edges();
    let mut currents: Vec<T> = (0..edges.len()).map(|element| field.current(element)).collect();
    let mut stiff: Vec<usize> = (0..edges.len()).filter(|&element| is_stiff(field, element)).collect();
    if stiff.is_empty() {
        return currents;
    }
    let mut unknown = vec![0_usize; field.structure.joints()];
    let mut leaving = vec![T::ZERO; field.structure.joints()];
    for (element, &(from, to)) in edges.iter().enumerate() {
        if is_stiff(field, element) {
            unknown[from] += 1;
            unknown[to] += 1;
        } else {
            leaving[from] += currents[element];
            leaving[to] -= currents[element];
        }
    }
    loop {
        let before = stiff.len();
        stiff.retain(|&element| {
            let (from, to) = edges[element];
            let current = match (unknown[from], unknown[to]) {
                (1, _) => -leaving[from],
                (_, 1) => leaving[to],
                _ => return true,
            };
            currents[element] = current;
            leaving[from] += current;
            leaving[to] -= current;
            unknown[from] -= 1;
            unknown[to] -= 1;
            false
        });
        if stiff.is_empty() || stiff.len() == before {
            return currents;
        }
    }
}

/// Whether a branch has next to no ohms.
pub(crate) fn is_stiff<T: Scalar>(field: &Field<T>, element: usize) -> bool {
    let (from, to) = field.structure.edges()[element];
    from != to && field.admittance(element).size() > STIFF
}
