//! Rules that look one step ahead, and rollout, which looks one step ahead of a rule.

use std::collections::HashMap;

use super::bits::Group;
use super::bounds::entropy;
use super::problem::{Prepared, Stand};
use super::tree::Tree;

/// How to choose the next check where no optimum is sought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Most information for each minute.
    GainPerMinute,
    /// Most information.
    Gain,
    /// The check after which the first rule finishes soonest.
    Rollout,
}

/// What whoever is suspected only by tolerance counts beside those to whom plain readings lead.
const SHADOW: f64 = 0.1;

/// Builds trees by a rule; remembers what the first rule costs from each set.
pub(super) struct Greedy<'a, 'p, const WORDS: usize> {
    prepared: &'a Prepared<'p, WORDS>,
    costs: HashMap<(Group<WORDS>, Stand), f64, super::solve::Hashing>,
}

impl<'a, 'p, const WORDS: usize> Greedy<'a, 'p, WORDS> {
    pub(super) fn new(prepared: &'a Prepared<'p, WORDS>) -> Self {
        Self { prepared, costs: HashMap::default() }
    }

    /// The tree of a rule.
    pub(super) fn tree(&mut self, rule: Rule, set: Group<WORDS>, stand: Stand) -> Tree {
        let set = set.weighted();
        let Some(check) = self.choose(rule, &set, stand) else {
            return Tree::Answer(self.prepared.suspects(&set.all));
        };
        let (_, after) = self.prepared.problem.step(check, stand);
        let prepared = self.prepared;
        let branches =
            prepared.split(check, &set).map(|(result, part)| (result, self.tree(rule, part, after))).collect();
        Tree::Check { check, branches }
    }

    fn choose(&mut self, rule: Rule, set: &Group<WORDS>, stand: Stand) -> Option<usize> {
        if self.prepared.is_settled(&set.all) {
            return None;
        }
        let mut best: Option<(f64, usize)> = None;
        for &check in &self.prepared.useful {
            if !self.prepared.tells(check, set) {
                continue;
            }
            let figure = self.figure(rule, check, set, stand);
            if best.is_none_or(|(least, _)| figure < least - 1e-12) {
                best = Some((figure, check));
            }
        }
        best.map(|(_, check)| check)
    }

    /// What the rule wants small.
    fn figure(&mut self, rule: Rule, check: usize, set: &Group<WORDS>, stand: Stand) -> f64 {
        let (minutes, after) = self.prepared.problem.step(check, stand);
        match rule {
            Rule::Gain => -self.gain(check, set),
            // A free check that tells something always comes first.
            Rule::GainPerMinute => -self.gain(check, set) / minutes.max(1e-9),
            Rule::Rollout => {
                let parts: Vec<Group<WORDS>> = self.prepared.split(check, set).map(|(_, part)| part).collect();
                minutes * self.prepared.weight(&set.real)
                    + parts.into_iter().map(|part| self.cost(part, after)).sum::<f64>()
            }
        }
    }

    fn gain(&self, check: usize, set: &Group<WORDS>) -> f64 {
        let parts: Vec<f64> = self.prepared.split(check, set).map(|(_, part)| self.worth(&part)).collect();
        entropy(&parts)
    }

    /// Weight of a group for the gain: whom only tolerances bring counts little, but counts.
    fn worth(&self, group: &Group<WORDS>) -> f64 {
        let real = self.prepared.weight(&group.real);
        real + SHADOW * (self.prepared.weight(&group.all) - real)
    }

    /// Unnormalised minutes of the first rule from a set on.
    fn cost(&mut self, set: Group<WORDS>, stand: Stand) -> f64 {
        if set.real.is_empty() {
            return 0.0;
        }
        if let Some(&known) = self.costs.get(&(set, stand)) {
            return known;
        }
        let cost = self.choose(Rule::GainPerMinute, &set, stand).map_or(0.0, |check| {
            let (minutes, after) = self.prepared.problem.step(check, stand);
            let parts: Vec<Group<WORDS>> = self.prepared.split(check, &set).map(|(_, part)| part).collect();
            minutes * self.prepared.weight(&set.real)
                + parts.into_iter().map(|part| self.cost(part, after)).sum::<f64>()
        });
        self.costs.insert((set, stand), cost);
        cost
    }
}
