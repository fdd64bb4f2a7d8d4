//! An order of checks as branches that meet again: what several answers lead to alike is there once.
//!
//! A branch is good for everybody whom it can end at, so it may stand in for another that holds only some of them. That
//! makes an order shorter to read for a little more time; how much is bounded.

use super::super::search::{Problem, Tree};

/// Share of the expected minutes that may be spent for a shorter order: half a minute in a quarter of an hour is less
/// than a person loses by turning a page. Common practice, no source.
const ALLOWANCE: f64 = 0.03;
/// Minutes that one more place in an answer counts for: those of a usual check of one place.
const ONE_MORE_PLACE: f64 = 3.0;
/// Minutes that it costs to be led to a sound place first: to work on it, and to try again. Common practice, no source.
const ASTRAY: f64 = 15.0;

/// Where a result leads.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Edge {
    /// It is one of these suspects.
    Answer(Vec<usize>),
    /// The check of another node comes next.
    Node(usize),
}

/// A check with what its results lead to.
#[derive(Debug, Clone)]
pub(super) struct Node {
    /// The check.
    pub(super) check: usize,
    /// Results that have a branch of their own.
    pub(super) branches: Vec<(usize, Edge)>,
    /// Who can be at fault here.
    pub(super) here: Vec<usize>,
}

/// All checks of an order.
#[derive(Debug, Clone)]
pub(super) struct Graph<'p> {
    problem: &'p Problem,
    /// The checks.
    pub(super) nodes: Vec<Node>,
    /// Where the search begins.
    pub(super) root: Edge,
}

impl<'p> Graph<'p> {
    /// A tree with equal branches written once.
    pub(super) fn of(problem: &'p Problem, tree: &Tree) -> Self {
        let mut graph = Self { problem, nodes: Vec::new(), root: Edge::Answer(Vec::new()) };
        let mut known: Vec<(&Tree, usize)> = Vec::new();
        graph.root = graph.add(tree, (0..problem.weights.len()).collect(), &mut known);
        graph
    }

    fn add<'t>(&mut self, tree: &'t Tree, here: Vec<usize>, known: &mut Vec<(&'t Tree, usize)>) -> Edge {
        let (check, branches) = match tree {
            Tree::Answer(suspects) => return Edge::Answer(suspects.clone()),
            Tree::Check { check, branches } => (check, branches),
        };
        if let Some((_, node)) = known.iter().find(|(other, node)| self.nodes[*node].here == here && *other == tree) {
            return Edge::Node(*node);
        }
        let node = self.nodes.len();
        known.push((tree, node));
        self.nodes.push(Node { check: *check, branches: Vec::new(), here });
        for (result, branch) in branches {
            let left = self.left(node, *result);
            let edge = self.add(branch, left, known);
            self.nodes[node].branches.push((*result, edge));
        }
        Edge::Node(node)
    }

    /// Who may show a result at a node.
    pub(super) fn left(&self, node: usize, result: usize) -> Vec<usize> {
        let Node { check, here, .. } = &self.nodes[node];
        here.iter().copied().filter(|&one| self.problem.checks[*check].may(one, result)).collect()
    }

    /// The branch for a result that has none of its own: one that holds all who may show it; none where nobody does.
    pub(super) fn beside(&self, node: usize, result: usize) -> Option<usize> {
        let members = self.left(node, result);
        let check = &self.problem.checks[self.nodes[node].check];
        let holds = |other: &&(usize, Edge)| members.iter().all(|&one| check.may(one, other.0));
        let branches = self.nodes[node].branches.iter().filter(holds);
        let nearest = branches.map(|(other, _)| *other).min_by_key(|other| other.abs_diff(result));
        nearest.filter(|_| !members.is_empty())
    }

    /// How many results lead to each node.
    pub(super) fn entries(&self) -> Vec<usize> {
        let mut entries = vec![0; self.nodes.len()];
        let reached = self.reached(&self.root, None);
        let nodes = self.nodes.iter().zip(reached).filter(|(_, reached)| *reached).map(|(node, _)| node);
        for edge in nodes.flat_map(|node| &node.branches).map(|(_, edge)| edge).chain([&self.root]) {
            if let Edge::Node(to) = edge {
                entries[*to] += 1;
            }
        }
        entries
    }

    /// Which nodes an edge leads to, with one node standing in for another.
    fn reached(&self, from: &Edge, instead: Option<(usize, usize)>) -> Vec<bool> {
        let mut reached = vec![false; self.nodes.len()];
        let mut open = vec![from];
        while let Some(edge) = open.pop() {
            if let Edge::Node(node) = edge {
                let node = standing_in(*node, instead);
                if !std::mem::replace(&mut reached[node], true) {
                    open.extend(self.nodes[node].branches.iter().map(|(_, edge)| edge));
                }
            }
        }
        reached
    }

    /// Expected minutes until everybody is found.
    pub(super) fn minutes(&self) -> f64 {
        self.mean((0..self.problem.weights.len()).map(|suspect| (suspect, self.way(&self.root, suspect, None).0)))
    }

    /// The part of some suspects in a mean over all.
    fn mean(&self, values: impl Iterator<Item = (usize, f64)>) -> f64 {
        let weights = &self.problem.weights;
        let total: f64 = weights.iter().sum();
        let sum: f64 = values.map(|(suspect, value)| weights[suspect] * value).sum();
        if total > 0.0 { sum / total } else { 0.0 }
    }

    /// Minutes from an edge until a suspect is found with every value nominal, and how many places the answer names; the
    /// machine powered and shut when they begin.
    fn way(&self, from: &Edge, suspect: usize, instead: Option<(usize, usize)>) -> (f64, usize) {
        let mut stand = self.problem.start();
        let mut minutes = 0.0;
        let mut edge = from;
        while let Edge::Node(node) = edge {
            let node = standing_in(*node, instead);
            let Node { check, branches, .. } = &self.nodes[node];
            let (spent, after) = self.problem.step(*check, stand);
            (minutes, stand) = (minutes + spent, after);
            let find = |result: usize| branches.iter().find(|(other, _)| *other == result).map(|(_, edge)| edge);
            let result = self.problem.checks[*check].results[suspect];
            match find(result).or_else(|| self.beside(node, result).and_then(find)) {
                Some(next) => edge = next,
                None => return (minutes, 0),
            }
        }
        let Edge::Answer(suspects) = edge else { return (minutes, 0) };
        (minutes, self.places(suspects).len())
    }

    /// Minutes of some suspects in the mean over all, with what longer answers cost.
    fn burden(&self, suspects: &[usize], instead: Option<(usize, usize)>) -> f64 {
        self.mean(suspects.iter().map(|&suspect| {
            let (minutes, places) = self.way(&self.root, suspect, instead);
            #[expect(clippy::cast_precision_loss, reason = "a few places")]
            let more = places.saturating_sub(1) as f64;
            (suspect, minutes + ONE_MORE_PLACE * more)
        }))
    }

    /// Ends branches where all that is left to part is one likely place and another that hardly is it: the answer then
    /// names both, likelier first. Worth it where parting them takes everybody longer than the few lose who are led to
    /// the wrong one first.
    pub(super) fn end_early(&mut self) {
        for node in 0..self.nodes.len() {
            let here = self.nodes[node].here.clone();
            let [likely, _] = self.places(&here)[..] else { continue };
            let parting = self.sum(&here, |suspect| self.way(&Edge::Node(node), suspect, None).0);
            let astray = self.sum(&here, |suspect| if self.problem.repairs[suspect] == likely { 0.0 } else { ASTRAY });
            if astray < parting {
                self.lead_to(node, &Edge::Answer(here));
            }
        }
    }

    /// The repairs of some suspects, likeliest first.
    fn places(&self, suspects: &[usize]) -> Vec<usize> {
        let mut places: Vec<(usize, f64)> = Vec::new();
        for &one in suspects {
            let (repair, weight) = (self.problem.repairs[one], self.problem.weights[one]);
            match places.iter_mut().find(|(known, _)| *known == repair) {
                Some((_, sum)) => *sum += weight,
                None => places.push((repair, weight)),
            }
        }
        places.sort_by(|a, b| b.1.total_cmp(&a.1));
        places.into_iter().map(|(repair, _)| repair).collect()
    }

    fn sum(&self, suspects: &[usize], value: impl Fn(usize) -> f64) -> f64 {
        suspects.iter().map(|&one| self.problem.weights[one] * value(one)).sum()
    }

    /// Lets branches stand in for others, cheapest for each step that goes first, within the allowance; in an order that
    /// is proved best only where nothing is lost.
    pub(super) fn shorten(&mut self, proved: bool) {
        let mut left = if proved { 0.0 } else { ALLOWANCE * self.minutes() } + 1e-9;
        loop {
            let mut offers = self.offers(left);
            offers.sort_by(|a, b| a.price.total_cmp(&b.price).then(a.pair.cmp(&b.pair)));
            let before = left;
            let mut changed = false;
            for offer in offers {
                // What was changed since may have changed what this costs.
                if let Some(now) = self.offer(offer.pair).filter(|now| now.minutes <= left) {
                    self.lead_to(offer.pair.0, &Edge::Node(offer.pair.1));
                    left -= now.minutes.max(0.0);
                    changed = true;
                }
            }
            if !changed || left > before {
                return;
            }
        }
    }

    fn offers(&self, most: f64) -> Vec<Offer> {
        let nodes = 0..self.nodes.len();
        let pairs = nodes.clone().flat_map(|gone| nodes.clone().map(move |instead| (gone, instead)));
        pairs.filter_map(|pair| self.offer(pair)).filter(|offer| offer.minutes <= most).collect()
    }

    /// What it costs to let one node stand in for another; none where it must not, or spares nothing.
    fn offer(&self, (gone, instead): (usize, usize)) -> Option<Offer> {
        let here = &self.nodes[gone].here;
        let holds = gone != instead && here.iter().all(|one| self.nodes[instead].here.contains(one));
        if !holds {
            return None;
        }
        let before = self.reached(&self.root, None);
        if !before[gone] || !before[instead] || self.reached(&Edge::Node(instead), None)[gone] {
            return None;
        }
        let after = self.reached(&self.root, Some((gone, instead)));
        let spared = before.iter().zip(after).filter(|(before, after)| **before && !after).count();
        let minutes = self.burden(here, Some((gone, instead))) - self.burden(here, None);
        #[expect(clippy::cast_precision_loss, reason = "fewer than a thousand steps")]
        let price = minutes.max(0.0) / spared as f64;
        Some(Offer { pair: (gone, instead), minutes, price })
    }

    /// Lets all that leads to a node lead elsewhere.
    fn lead_to(&mut self, gone: usize, instead: &Edge) {
        let edges = self.nodes.iter_mut().flat_map(|node| &mut node.branches).map(|(_, edge)| edge);
        for edge in edges.filter(|edge| **edge == Edge::Node(gone)) {
            *edge = instead.clone();
        }
    }
}

/// A node that may stand in for another.
struct Offer {
    /// The one that goes, and the one instead.
    pair: (usize, usize),
    /// Minutes that it costs on average.
    minutes: f64,
    /// The same for each step that goes.
    price: f64,
}

fn standing_in(node: usize, instead: Option<(usize, usize)>) -> usize {
    match instead {
        Some((gone, instead)) if gone == node => instead,
        _ => node,
    }
}
