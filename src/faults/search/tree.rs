//! A check order as a tree, and what it costs.

use super::problem::{Problem, Stand};

/// What to check next, or who is left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tree {
    /// Those who are left: one repair, or look-alikes.
    Answer(Vec<usize>),
    /// Make a check and go on by its result.
    Check {
        /// The check.
        check: usize,
        /// Each result that can occur, with what to do then.
        branches: Vec<(usize, Tree)>,
    },
}

impl Tree {
    /// All answers, in the order of the branches.
    #[must_use]
    pub fn answers(&self) -> Vec<&[usize]> {
        match self {
            Tree::Answer(suspects) => vec![suspects],
            Tree::Check { branches, .. } => branches.iter().flat_map(|(_, branch)| branch.answers()).collect(),
        }
    }

    /// How many checks the tree holds.
    #[must_use]
    pub fn size(&self) -> usize {
        match self {
            Tree::Answer(_) => 0,
            Tree::Check { branches, .. } => 1 + branches.iter().map(|(_, branch)| branch.size()).sum::<usize>(),
        }
    }
}

impl Problem {
    /// Expected minutes of a tree.
    #[must_use]
    pub fn expected_minutes(&self, tree: &Tree) -> f64 {
        let total: f64 = self.weights.iter().sum();
        let minutes: f64 =
            self.minutes_by_suspect(tree).into_iter().map(|(suspect, minutes)| self.weights[suspect] * minutes).sum();
        if total > 0.0 { minutes / total } else { 0.0 }
    }

    /// Minutes until a tree has found each suspect with every value nominal.
    #[must_use]
    pub fn minutes_by_suspect(&self, tree: &Tree) -> Vec<(usize, f64)> {
        let mut minutes = Vec::new();
        self.add_minutes(tree, &(0..self.weights.len()).collect::<Vec<_>>(), (self.start(), 0.0), &mut minutes);
        minutes.sort_by_key(|&(suspect, _)| suspect);
        minutes
    }

    /// Minutes of some checks, made one after another from where the search begins: covers and power changes included.
    #[must_use]
    pub fn minutes_of(&self, checks: &[usize]) -> f64 {
        let mut stand = self.start();
        checks.iter().fold(0.0, |spent, &check| {
            let (minutes, after) = self.step(check, stand);
            stand = after;
            spent + minutes
        })
    }

    fn add_minutes(&self, tree: &Tree, here: &[usize], (stand, spent): (Stand, f64), minutes: &mut Vec<(usize, f64)>) {
        match tree {
            Tree::Answer(_) => minutes.extend(here.iter().map(|&suspect| (suspect, spent))),
            Tree::Check { check, branches } => {
                let (cost, after) = self.step(*check, stand);
                for (result, branch) in branches {
                    let results = &self.checks[*check].results;
                    let part: Vec<usize> = here.iter().copied().filter(|&one| results[one] == *result).collect();
                    if !part.is_empty() {
                        self.add_minutes(branch, &part, (after, spent + cost), minutes);
                    }
                }
            }
        }
    }

    /// The tree of making checks in a fixed order and leaving out those that tell nothing any more.
    #[must_use]
    pub fn in_fixed_order(&self, order: &[usize]) -> Tree {
        self.fixed(order, (0..self.weights.len()).collect())
    }

    fn fixed(&self, order: &[usize], suspects: Vec<usize>) -> Tree {
        let settled = suspects.iter().all(|&one| self.repairs[one] == self.repairs[suspects[0]]);
        let parts = |place: usize| self.checks[order[place]].parts(&suspects);
        let next = if settled { None } else { (0..order.len()).find_map(|place| Some((place, parts(place)?))) };
        let Some((place, parts)) = next else {
            return Tree::Answer(suspects);
        };
        let branches =
            parts.into_iter().map(|(result, part)| (result, self.fixed(&order[place + 1..], part))).collect();
        Tree::Check { check: order[place], branches }
    }
}
