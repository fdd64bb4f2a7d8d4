//! The optimal tree by dynamic programming over the sets of suspects that some checks can leave.

use std::collections::HashMap;

use super::bits::Group;
use super::greedy::{Greedy, Rule};
use super::problem::{Prepared, Stand};
use super::tree::Tree;

/// Solves sets once each; gives up past a number of sets.
pub(super) struct Dynamic<'a, 'p, const WORDS: usize> {
    prepared: &'a Prepared<'p, WORDS>,
    /// Cheapest minutes (unnormalised) and first check of each set.
    solved: HashMap<(Group<WORDS>, Stand), (f64, Option<usize>), super::solve::Hashing>,
    most_sets: usize,
}

impl<'a, 'p, const WORDS: usize> Dynamic<'a, 'p, WORDS> {
    pub(super) fn new(prepared: &'a Prepared<'p, WORDS>, most_sets: usize) -> Self {
        Self { prepared, solved: HashMap::default(), most_sets }
    }

    /// The optimal tree, or nothing where too many sets can be reached.
    pub(super) fn tree(&mut self) -> Option<Tree> {
        let (all, start) = (self.prepared.all(), self.prepared.problem.start());
        self.solve(all, start)?;
        Some(self.build(all, start))
    }

    /// How many sets were reached.
    pub(super) fn reached(&self) -> usize {
        self.solved.len()
    }

    fn solve(&mut self, set: Group<WORDS>, stand: Stand) -> Option<f64> {
        if let Some(&(cost, _)) = self.solved.get(&(set, stand)) {
            return Some(cost);
        }
        // Where only tolerances lead costs nothing on average.
        let free = set.real.is_empty() || self.prepared.is_settled(&set.all);
        let mut best = (if free { 0.0 } else { f64::INFINITY }, None);
        if best.0 > 0.0 {
            let weight = self.prepared.weight(&set.real);
            for &check in &self.prepared.useful {
                if self.prepared.tells(check, &set) {
                    let cost = self.cost_of(check, &set, stand, weight)?;
                    if cost < best.0 - 1e-12 {
                        best = (cost, Some(check));
                    }
                }
            }
        }
        if best.0.is_infinite() {
            best = (0.0, None);
        }
        if self.solved.len() >= self.most_sets {
            return None;
        }
        self.solved.insert((set, stand), best);
        Some(best.0)
    }

    /// Minutes when a check comes first.
    fn cost_of(&mut self, check: usize, set: &Group<WORDS>, stand: Stand, weight: f64) -> Option<f64> {
        let (minutes, after) = self.prepared.problem.step(check, stand);
        let mut cost = minutes * weight;
        let prepared = self.prepared;
        for (_, part) in prepared.split(check, set) {
            cost += self.solve(part, after)?;
        }
        Some(cost)
    }

    fn build(&self, set: Group<WORDS>, stand: Stand) -> Tree {
        match self.solved.get(&(set, stand)) {
            Some(&(_, Some(check))) => {
                let (_, after) = self.prepared.problem.step(check, stand);
                let branches = self.prepared.split(check, &set).map(|(result, part)| (result, self.build(part, after)));
                Tree::Check { check, branches: branches.collect() }
            }
            _ => Greedy::new(self.prepared).tree(Rule::GainPerMinute, set, stand),
        }
    }
}
