//! The lower bound for suspects that must be looked at one by one.
//!
//! Take the suspects of a block: no check but those of a single repair parts them. Whatever tree is used, what it spends
//! on telling them apart is at least the best order of single looks, the last suspect inferred. Looks at one block part no
//! other, so the bounds of all blocks add up.

use super::bits::Bits;
use super::problem::Prepared;
use super::series::{DirectCheck, expected_confirm_all, expected_skip_last, ratio_order, skip_last_order};

/// Most suspects for which every choice of the last one is tried.
const MOST: usize = 12;

impl<const WORDS: usize> Prepared<'_, WORDS> {
    /// All classes in groups of at most so many: blocks, divided evenly where they are larger, and the classes of no block,
    /// the heaviest together.
    pub(super) fn groups(&self, most: usize) -> Vec<Bits<WORDS>> {
        let mut apart = self.apart.clone();
        apart.sort_by(|&a, &b| self.weights[b].total_cmp(&self.weights[a]).then(a.cmp(&b)));
        let mut groups = Vec::new();
        for classes in self.blocks.iter().chain([&apart]).filter(|classes| !classes.is_empty()) {
            let each = classes.len().div_ceil(classes.len().div_ceil(most));
            for part in classes.chunks(each) {
                let mut group = Bits::EMPTY;
                for &class in part {
                    group.insert(class);
                }
                groups.push(group);
            }
        }
        groups
    }

    /// Unnormalised minutes that a set must spend on parting one block.
    pub(super) fn block_bound(&self, block: &[usize], set: &Bits<WORDS>) -> f64 {
        let mut members: Vec<(usize, f64)> = block
            .iter()
            .filter(|&&class| set.contains(class))
            .map(|&class| (self.repairs[class], self.weights[class]))
            .collect();
        members.sort_unstable_by_key(|&(repair, _)| repair);
        let mut checks = Vec::new();
        let mut unchecked = 0.0;
        let mut all_checked = true;
        let mut total = 0.0;
        for same in members.chunk_by(|a, b| a.0 == b.0) {
            let weight: f64 = same.iter().map(|(_, weight)| weight).sum();
            total += weight;
            if let Some(minutes) = self.own_check[same[0].0] {
                checks.push(DirectCheck { minutes, weight });
            } else {
                unchecked += weight;
                all_checked = false;
            }
        }
        if !all_checked {
            // Whoever has no look of his own pays for all looks at the others.
            checks.push(DirectCheck { minutes: 0.0, weight: unchecked });
            let last = checks.len() - 1;
            let mut order = ratio_order(&checks[..last]);
            order.push(last);
            return expected_skip_last(&checks, &order) * total;
        }
        looks(&checks) * total
    }
}

/// Expected minutes of the best order of looks with the last suspect inferred, or a little less.
fn looks(checks: &[DirectCheck]) -> f64 {
    if checks.len() < 2 {
        return 0.0;
    }
    if checks.len() <= MOST {
        return expected_skip_last(checks, &skip_last_order(checks));
    }
    let total: f64 = checks.iter().map(|check| check.weight).sum();
    let spared = checks.iter().map(|check| check.minutes * check.weight / total).fold(0.0, f64::max);
    expected_confirm_all(checks, &ratio_order(checks)) - spared
}
