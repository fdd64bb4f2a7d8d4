//! What no order of checks can beat: entropy and Huffman bounds (Pattipati and Alexandridis 1990).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Entropy in bits of weights of any scale.
#[must_use]
pub fn entropy(weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    if total <= 0.0 {
        return 0.0;
    }
    weights.iter().filter(|&&weight| weight > 0.0).map(|weight| weight / total).map(|share| -share * share.log2()).sum()
}

/// Mean length of the best code of these weights with an alphabet of `results` letters: no tree of checks with so many
/// results each asks fewer questions on average. Weights of any scale.
#[must_use]
pub fn huffman(weights: &[f64], results: usize) -> f64 {
    let total: f64 = weights.iter().sum();
    if weights.len() < 2 || total <= 0.0 || results < 2 {
        return 0.0;
    }
    // Letters of no weight fill the last merge; without them the root would have too few branches to be optimal.
    let missing = (results - 1 - (weights.len() - 1) % (results - 1)) % (results - 1);
    let mut heap: BinaryHeap<Reverse<Ordered>> = weights
        .iter()
        .copied()
        .chain(std::iter::repeat_n(0.0, missing))
        .map(|weight| Reverse(Ordered(weight)))
        .collect();
    let mut length = 0.0;
    while heap.len() > 1 {
        let merged: f64 = (0..results).filter_map(|_| heap.pop()).map(|Reverse(Ordered(weight))| weight).sum();
        length += merged;
        heap.push(Reverse(Ordered(merged)));
    }
    length / total
}

/// Minutes that any tree needs whose mean number of checks is `length`: it pays at least the cheapest distinct checks.
///
/// `ascending` holds the minutes of the useful checks, cheapest first. The sum of the cheapest so many is convex in
/// their number, so it may be taken at the mean (Jensen).
#[must_use]
pub fn minutes_for(length: f64, ascending: &[f64]) -> f64 {
    let mut minutes = 0.0;
    let mut left = length;
    for cost in ascending {
        let part = left.min(1.0);
        minutes += part * cost;
        left -= part;
        if left <= 0.0 {
            break;
        }
    }
    minutes
}

/// A finite number that can be ordered.
#[derive(PartialEq)]
struct Ordered(f64);

impl Eq for Ordered {}

impl PartialOrd for Ordered {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Ordered {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}
