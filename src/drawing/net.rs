//! Networks that are not series-parallel, such as a bridge: joints as upright bars, branches as rungs between them.
//!
//! Joints stand in columns by their distance from the start; each branch is a level line between its two bars. A rung
//! that passes a bar of another joint crosses it only where that bar spans the rung's row, so rows are chosen to keep
//! such crossings few: every order is tried for small nets, neighbours are swapped while that helps in larger ones.

use std::collections::{BTreeMap, VecDeque};

use super::marks::Rung;
use crate::circuit::path::NetLink;
use crate::machine::model::JointId;

/// Most branches for which every order is tried (5040 orders).
const TRY_ALL: usize = 7;

/// The joints of a net from start to end, by distance from the start.
pub(super) fn ordered_joints(from: JointId, to: JointId, links: &[NetLink]) -> Vec<JointId> {
    let mut distance: BTreeMap<JointId, usize> = BTreeMap::from([(from, 0)]);
    let mut waiting = VecDeque::from([from]);
    while let Some(joint) = waiting.pop_front() {
        let next = distance[&joint] + 1;
        for link in links {
            let other = match joint {
                _ if link.from == joint => link.to,
                _ if link.to == joint => link.from,
                _ => continue,
            };
            distance.entry(other).or_insert_with(|| {
                waiting.push_back(other);
                next
            });
        }
    }
    let mut joints: Vec<JointId> = distance.keys().copied().filter(|joint| *joint != from && *joint != to).collect();
    joints.sort_by_key(|joint| (distance[joint], *joint));
    std::iter::once(from).chain(joints).chain([to]).collect()
}

/// Gives every rung a row.
pub(super) fn with_rows(mut rungs: Vec<Rung>, joints: usize) -> Vec<Rung> {
    let start: Vec<usize> = (0..rungs.len()).collect();
    let order =
        if rungs.len() <= TRY_ALL { best_of_all(&rungs, joints, start) } else { improved(&rungs, joints, start) };
    let spans: Vec<(usize, usize)> = order.iter().map(|index| (rungs[*index].from, rungs[*index].to)).collect();
    let rows = rows_of(&spans);
    for (place, index) in order.iter().enumerate() {
        rungs[*index].row = rows[place];
    }
    rungs
}

/// Rows for rungs in an order: a rung shares the row of the one before where their columns do not overlap.
fn rows_of(spans: &[(usize, usize)]) -> Vec<usize> {
    let mut rows = Vec::with_capacity(spans.len());
    let mut row = 0;
    let mut filled: Vec<(usize, usize)> = Vec::new();
    for &(from, to) in spans {
        if filled.iter().any(|&(a, b)| from < b && a < to) {
            row += 1;
            filled.clear();
        }
        filled.push((from, to));
        rows.push(row);
    }
    rows
}

/// Crossings first, then rows, then the main path on top: what an order costs.
fn cost(rungs: &[Rung], joints: usize, order: &[usize]) -> usize {
    let spans: Vec<(usize, usize)> = order.iter().map(|index| (rungs[*index].from, rungs[*index].to)).collect();
    let rows = rows_of(&spans);
    let mut bars = vec![(usize::MAX, 0); joints];
    for (&(from, to), &row) in spans.iter().zip(&rows) {
        for joint in [from, to] {
            bars[joint] = (bars[joint].0.min(row), bars[joint].1.max(row));
        }
    }
    let crossings: usize = spans
        .iter()
        .zip(&rows)
        .map(|(&(from, to), &row)| {
            (from + 1..to).filter(|joint| bars[*joint].0 <= row && row <= bars[*joint].1).count()
        })
        .sum();
    // The main path's rungs come first among the links, and belong in the first row.
    let main_below = order.first().is_none_or(|first| *first != 0);
    crossings * 100 + rows.last().map_or(0, |row| row + 1) * 2 + usize::from(main_below)
}

/// Heap's method over all orders.
fn best_of_all(rungs: &[Rung], joints: usize, mut order: Vec<usize>) -> Vec<usize> {
    let mut best = (cost(rungs, joints, &order), order.clone());
    let mut counters = vec![0; order.len()];
    let mut index = 0;
    while index < order.len() {
        if counters[index] < index {
            order.swap(if index % 2 == 0 { 0 } else { counters[index] }, index);
            let found = cost(rungs, joints, &order);
            if found < best.0 {
                best = (found, order.clone());
            }
            counters[index] += 1;
            index = 0;
        } else {
            counters[index] = 0;
            index += 1;
        }
    }
    best.1
}

/// Swaps any two rungs while that helps.
fn improved(rungs: &[Rung], joints: usize, mut order: Vec<usize>) -> Vec<usize> {
    let mut best = cost(rungs, joints, &order);
    for _ in 0..rungs.len() {
        let before = best;
        for first in 0..order.len() {
            for second in first + 1..order.len() {
                order.swap(first, second);
                let found = cost(rungs, joints, &order);
                if found < best {
                    best = found;
                } else {
                    order.swap(first, second);
                }
            }
        }
        if best == before {
            break;
        }
    }
    order
}
