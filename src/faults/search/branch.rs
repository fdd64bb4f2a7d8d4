//! The optimal tree by AND/OR branch and bound with the Huffman bound (Pattipati and Alexandridis 1990).
//!
//! A second bound counts what no other check can spare: suspects that only checks of a single repair part must be looked
//! at one by one, and the ratio rule says what that costs at least. The larger of the two holds.
//!
//! A third bound stands on this: whoever finds his way through all suspects finds it through any few of them, for no more
//! than these few pay. So the suspects are dealt into small groups, each solved exactly with its doors and changes of power,
//! and the minutes of all groups add up.
//!
//! Each set of suspects is an OR over checks, each check an AND over its results. The bound of a set is what the
//! cheapest checks that tell anything about it must cost for as many questions as its Huffman code has letters on
//! average; it never exceeds the true cost, so a check whose bound reaches the best known cost can be left out.

use std::collections::HashMap;

use super::bits::{Bits, Group};
use super::bounds::{huffman, minutes_for};
use super::greedy::{Greedy, Rule};
use super::problem::{Prepared, Stand};
use super::tree::Tree;

/// What is known of a set.
#[derive(Clone, Copy)]
enum Known {
    /// Its cheapest minutes (unnormalised) and first check.
    Exactly(f64, usize),
    /// At least so many.
    AtLeast(f64),
}

/// Most classes of a set that is to be solved exactly within a larger search.
const FEW: usize = 10;

/// Where a search stands.
pub(super) struct Branch<'a, 'p, const WORDS: usize> {
    prepared: &'a Prepared<'p, WORDS>,
    known: HashMap<(Group<WORDS>, Stand), Known, super::solve::Hashing>,
    bounds: HashMap<Bits<WORDS>, f64, super::solve::Hashing>,
    expanded: usize,
    most_nodes: usize,
}

impl<'a, 'p, const WORDS: usize> Branch<'a, 'p, WORDS> {
    pub(super) fn new(prepared: &'a Prepared<'p, WORDS>, most_nodes: usize) -> Self {
        Self { prepared, known: HashMap::default(), bounds: HashMap::default(), expanded: 0, most_nodes }
    }

    /// The optimal tree, or nothing where the search grew too large. `enough` is the cost of some known tree.
    pub(super) fn tree(&mut self, enough: f64) -> Option<Tree> {
        let (all, start) = (self.prepared.all(), self.prepared.problem.start());
        // A little room above the known cost, so that a tree of that very cost is found too.
        self.search(all, start, enough * (1.0 + 1e-9) + 1e-9)?;
        Some(self.build(all, start))
    }

    /// A tree with its small branches replaced by optimal ones, as far as `nodes` suffice for each.
    pub(super) fn improved(&mut self, tree: Tree, nodes: usize) -> Tree {
        self.improved_from(tree, self.prepared.all(), self.prepared.problem.start(), nodes).0
    }

    /// The same of a branch, with its unnormalised minutes.
    fn improved_from(&mut self, tree: Tree, set: Group<WORDS>, stand: Stand, nodes: usize) -> (Tree, f64) {
        let Tree::Check { check, branches } = tree else { return (tree, 0.0) };
        let (minutes, after) = self.prepared.problem.step(check, stand);
        let mut cost = minutes * self.prepared.weight(&set.real);
        let mut better = Vec::with_capacity(branches.len());
        let parts: Vec<(usize, Group<WORDS>)> = self.prepared.split(check, &set).collect();
        for (result, branch) in branches {
            let nobody = Group::of(Bits::EMPTY);
            let part = parts.iter().find(|(other, _)| *other == result).map_or(nobody, |(_, part)| *part);
            let (branch, more) = self.improved_from(branch, part, after, nodes);
            cost += more;
            better.push((result, branch));
        }
        if !set.real.is_empty()
            && set.all.count() <= FEW
            && self.exact(set, stand, cost * (1.0 + 1e-9) + 1e-9, nodes).is_some()
            && let Some(&Known::Exactly(least, _)) = self.known.get(&(set, stand))
        {
            return (self.build(set, stand), least);
        }
        (Tree::Check { check, branches: better }, cost)
    }

    /// What [`Self::search`] finds with so many nodes more.
    fn exact(&mut self, set: Group<WORDS>, stand: Stand, limit: f64, nodes: usize) -> Option<f64> {
        self.allow(nodes);
        self.search(set, stand, limit)
    }

    /// A lower bound of the whole problem: the sum of what small groups cost, each for itself.
    pub(super) fn bound_of_groups(&mut self, nodes: usize) -> f64 {
        self.prepared.groups(FEW).into_iter().map(|group| self.bound_of_group(group, nodes)).sum()
    }

    /// What a group costs for itself, or its halves where that is too much work.
    fn bound_of_group(&mut self, group: Bits<WORDS>, nodes: usize) -> f64 {
        if let Some(least) = self.exact(Group::of(group), self.prepared.problem.start(), f64::INFINITY, nodes) {
            return least;
        }
        let mut halves = [Bits::EMPTY; 2];
        for (place, class) in group.iter().enumerate() {
            halves[usize::from(2 * place >= group.count())].insert(class);
        }
        let whole = self.bound(&group);
        whole.max(halves.into_iter().map(|half| self.bound_of_group(half, nodes)).sum())
    }

    /// Lets so many sets more be opened.
    pub(super) fn allow(&mut self, nodes: usize) {
        self.most_nodes = self.expanded + nodes;
    }

    /// How many sets were opened.
    pub(super) fn expanded(&self) -> usize {
        self.expanded
    }

    /// A lower bound of the whole problem: the better of the plain bound and that after one check.
    pub(super) fn bound_of_all(&mut self) -> f64 {
        let all = self.prepared.all();
        let plain = self.bound(&all.real);
        let after_one =
            self.candidates(&all, self.prepared.problem.start()).first().map_or(0.0, |candidate| candidate.bound);
        plain.max(after_one)
    }

    /// The exact cost where it is below `limit`, else some lower bound that is not; nothing when the search is given up.
    fn search(&mut self, set: Group<WORDS>, stand: Stand, limit: f64) -> Option<f64> {
        if set.real.is_empty() || self.prepared.is_settled(&set.all) {
            return Some(0.0);
        }
        match self.known.get(&(set, stand)) {
            Some(&Known::Exactly(cost, _)) => return Some(cost),
            Some(&Known::AtLeast(bound)) if bound >= limit => return Some(bound),
            _ => {}
        }
        self.expanded += 1;
        if self.expanded > self.most_nodes {
            return None;
        }
        let candidates = self.candidates(&set, stand);
        // Where tolerances leave no check that surely tells, those who are left stay together.
        if candidates.is_empty() {
            return Some(0.0);
        }
        let mut best: Option<(f64, usize)> = None;
        let mut least_left_out = f64::INFINITY;
        for candidate in candidates {
            let cap = best.map_or(limit, |(cost, _)| limit.min(cost));
            // Candidates are sorted, so all that follow are left out too.
            if candidate.bound >= cap - 1e-12 {
                least_left_out = least_left_out.min(candidate.bound);
                break;
            }
            let cost = self.cost_of(&candidate, &set, cap)?;
            if cost < cap - 1e-12 {
                best = Some((cost, candidate.check));
            } else {
                least_left_out = least_left_out.min(cost);
            }
        }
        let (known, answer) = match best {
            Some((cost, check)) => (Known::Exactly(cost, check), cost),
            None => (Known::AtLeast(least_left_out), least_left_out),
        };
        self.known.insert((set, stand), known);
        Some(answer)
    }

    /// Cost with a check first: exact where below `cap`, else a lower bound that is not.
    fn cost_of(&mut self, candidate: &Candidate, set: &Group<WORDS>, cap: f64) -> Option<f64> {
        let mut total = candidate.bound;
        let prepared = self.prepared;
        for (_, part) in prepared.split(candidate.check, set) {
            let assumed = self.bound(&part.real);
            total -= assumed;
            total += self.search(part, candidate.after, cap - total)?;
            if total >= cap {
                break;
            }
        }
        Some(total)
    }

    /// The checks that tell something, by ascending bound, then index.
    fn candidates(&mut self, set: &Group<WORDS>, stand: Stand) -> Vec<Candidate> {
        let weight = self.prepared.weight(&set.real);
        let prepared = self.prepared;
        let mut candidates = Vec::new();
        for &check in &prepared.useful {
            if !prepared.tells(check, set) {
                continue;
            }
            let (minutes, after) = prepared.problem.step(check, stand);
            let rest: f64 = prepared.split(check, set).map(|(_, part)| self.bound(&part.real)).sum();
            candidates.push(Candidate { check, after, bound: minutes * weight + rest });
        }
        candidates.sort_by(|a, b| a.bound.total_cmp(&b.bound).then(a.check.cmp(&b.check)));
        candidates
    }

    /// Lower bound of the unnormalised minutes of a set.
    fn bound(&mut self, set: &Bits<WORDS>) -> f64 {
        if self.prepared.is_settled(set) {
            return 0.0;
        }
        if let Some(&known) = self.bounds.get(set) {
            return known;
        }
        let bound = self.compute_bound(set);
        self.bounds.insert(*set, bound);
        bound
    }

    fn compute_bound(&self, set: &Bits<WORDS>) -> f64 {
        let prepared = self.prepared;
        let mut repairs: Vec<(usize, f64)> =
            set.iter().map(|class| (prepared.repairs[class], prepared.weights[class])).collect();
        repairs.sort_unstable_by_key(|&(repair, _)| repair);
        let weights: Vec<f64> =
            repairs.chunk_by(|a, b| a.0 == b.0).map(|same| same.iter().map(|(_, weight)| weight).sum()).collect();
        let mut minutes = Vec::new();
        let mut results = 2;
        for &check in &prepared.cheapest_first {
            let count = prepared.results(check, set);
            if count > 1 {
                minutes.push(prepared.problem.checks[check].minutes);
                results = results.max(count);
            }
        }
        let coded = prepared.weight(set) * minutes_for(huffman(&weights, results), &minutes);
        coded.max(prepared.blocks.iter().map(|block| prepared.block_bound(block, set)).sum())
    }

    fn build(&self, set: Group<WORDS>, stand: Stand) -> Tree {
        match self.known.get(&(set, stand)) {
            Some(&Known::Exactly(_, check)) => {
                let (_, after) = self.prepared.problem.step(check, stand);
                let branches = self.prepared.split(check, &set).map(|(result, part)| (result, self.build(part, after)));
                Tree::Check { check, branches: branches.collect() }
            }
            _ => Greedy::new(self.prepared).tree(Rule::GainPerMinute, set, stand),
        }
    }
}

/// A check that may come next.
struct Candidate {
    check: usize,
    after: Stand,
    bound: f64,
}
