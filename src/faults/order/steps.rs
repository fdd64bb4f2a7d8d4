//! The order as numbered steps with answers and "go to": people make fewer errors with them than with a matrix.
//!
//! Where each of several checks in a row either convicts or goes on, they become one step with a list. What is to be done in
//! several branches alike stands once, and all of them lead to it.

use serde::Serialize;

use crate::fact;
use crate::machine::model::Machine;
use crate::words::Fact;

use super::super::dictionary::Dictionary;
use super::super::kinds::Site;
use super::bins::{Bin, Bins};
use super::checks::CheckKind;
use super::good::good;
use super::graph::{Edge, Graph, Node};
use super::plan::Order;

/// One numbered step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Step {
    /// Its number, from 1.
    pub number: usize,
    /// The check; for a list the first of it.
    pub check: usize,
    /// What it is.
    pub kind: CheckKind,
    /// What a good part measures, for a check that is told to be good or bad by a meter.
    pub good: Option<Bin>,
    /// What can be seen, as healthy first, and what to do then. For a list: only what to do when none is found.
    pub answers: Vec<Answer>,
    /// Places to look at one after another, where nothing else is left.
    pub list: Vec<ListItem>,
}

/// What can be seen at a step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Answer {
    /// What is seen.
    pub seen: Seen,
    /// What to do.
    pub next: Next,
}

/// What is seen at a step.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seen {
    /// A reading in this span.
    Reads(Bin),
    /// The place is as it should be.
    Good,
    /// It is not.
    Bad,
    /// The sequence works.
    Works,
    /// It fails.
    Fails,
    /// None of the places of a list is bad.
    NoneFound,
    /// Anything that no other answer names: no single fault that was looked for shows it.
    AnythingElse,
}

/// What to do after a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Next {
    /// Go to this step.
    Step(usize),
    /// It is one of these places.
    Found(Vec<Fact>),
    /// These checks do not find it.
    NotFound,
}

/// One place of a list.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ListItem {
    /// The check.
    pub check: usize,
    /// What it is.
    pub kind: CheckKind,
    /// What convicts it.
    pub seen: Seen,
    /// What a good part measures, as in a step.
    pub good: Option<Bin>,
    /// The places that it convicts.
    pub convicts: Vec<Fact>,
}

/// Turns an order into steps.
#[must_use]
pub(super) fn steps(machine: &Machine, dictionary: &Dictionary, order: &Order, graph: &Graph) -> Vec<Step> {
    let written = vec![None; graph.nodes.len()];
    let mut writer = Writer { machine, dictionary, order, graph, entries: graph.entries(), steps: Vec::new(), written };
    writer.next(&graph.root);
    forward(writer.steps)
}

/// Steps numbered anew, so that each leads to later ones only, though several may lead to the same: reverse postorder.
fn forward(steps: Vec<Step>) -> Vec<Step> {
    let mut order = Vec::with_capacity(steps.len());
    if !steps.is_empty() {
        visit(&steps, 0, &mut vec![false; steps.len()], &mut order);
    }
    order.reverse();
    let mut numbers = vec![0; steps.len()];
    for (place, &old) in order.iter().enumerate() {
        numbers[old] = place + 1;
    }
    let mut steps: Vec<Step> = steps.into_iter().map(|step| renumbered(step, &numbers)).collect();
    steps.sort_by_key(|step| step.number);
    steps
}

/// Adds a step to an order after all that it leads to; the first answer's come last, as the order is turned around.
fn visit(steps: &[Step], place: usize, seen: &mut [bool], order: &mut Vec<usize>) {
    if std::mem::replace(&mut seen[place], true) {
        return;
    }
    for answer in steps[place].answers.iter().rev() {
        if let Next::Step(number) = answer.next {
            visit(steps, number - 1, seen, order);
        }
    }
    order.push(place);
}

fn renumbered(mut step: Step, numbers: &[usize]) -> Step {
    step.number = numbers[step.number - 1];
    for answer in &mut step.answers {
        if let Next::Step(number) = &mut answer.next {
            *number = numbers[*number - 1];
        }
    }
    step
}

struct Writer<'a> {
    machine: &'a Machine,
    dictionary: &'a Dictionary,
    order: &'a Order,
    graph: &'a Graph<'a>,
    /// How many results lead to each node.
    entries: Vec<usize>,
    steps: Vec<Step>,
    /// The number of the step of each node that stands already.
    written: Vec<Option<usize>>,
}

impl Writer<'_> {
    /// What to do at the end of an edge.
    fn next(&mut self, edge: &Edge) -> Next {
        let node = match edge {
            Edge::Answer(suspects) => return Next::Found(self.places(suspects)),
            Edge::Node(node) => *node,
        };
        if let Some(number) = self.written[node] {
            return Next::Step(number);
        }
        let place = self.steps.len();
        self.written[node] = Some(place + 1);
        let check = self.graph.nodes[node].check;
        let kind = self.order.offers[check].kind;
        let good = good(self.machine, kind);
        let (answers, list) = (Vec::new(), Vec::new());
        self.steps.push(Step { number: place + 1, check, kind, good, answers, list });
        if let Some((list, rest)) = self.list(node) {
            self.steps[place].list = list;
            let next = self.next(&rest);
            self.steps[place].answers = vec![Answer { seen: Seen::NoneFound, next }];
        } else {
            self.answer(place, node);
        }
        Next::Step(place + 1)
    }

    /// What a person sees where a check has a result.
    fn seen(&self, check: usize, result: usize) -> Seen {
        let offer = &self.order.offers[check];
        match (&offer.bins, offer.kind) {
            (Some(bins), _) => Seen::Reads(bins.get(result)),
            // Swapped with a good one it works again if it was bad.
            (None, CheckKind::Swap(..)) => [Seen::Fails, Seen::Works][result.min(1)],
            (None, CheckKind::Try(_)) => [Seen::Works, Seen::Fails][result.min(1)],
            (None, _) => [Seen::Good, Seen::Bad][result.min(1)],
        }
    }

    fn answer(&mut self, place: usize, node: usize) {
        let Node { check, branches, .. } = &self.graph.nodes[node];
        let mut sorted: Vec<(Seen, usize, &Edge)> =
            branches.iter().map(|(result, edge)| (self.seen(*check, *result), *result, edge)).collect();
        let level = |seen: Seen| if let Seen::Reads(bin) = seen { Some(bin.level) } else { None };
        sorted.sort_by_key(|(seen, result, _)| (level(*seen), *result));
        let mut told: Vec<(usize, Next)> = Vec::new();
        for (seen, result, edge) in sorted {
            let next = match edge {
                Edge::Answer(suspects) => Next::Found(self.convicted(*check, result, suspects)),
                Edge::Node(_) => self.next(edge),
            };
            told.push((result, next.clone()));
            self.steps[place].answers.push(Answer { seen, next });
        }
        self.answer_rest(place, node, &told);
    }

    /// What to do with results that have no branch: those who may show them are in some branch beside, or nobody does.
    fn answer_rest(&mut self, place: usize, node: usize, told: &[(usize, Next)]) {
        let check = self.graph.nodes[node].check;
        let bins = self.order.offers[check].bins.as_ref();
        let mut nobody = false;
        let count = bins.map_or(2, Bins::count);
        for result in (0..count).filter(|result| told.iter().all(|(other, _)| other != result)) {
            let beside = self.graph.beside(node, result);
            let Some((other, next)) = told.iter().find(|(other, _)| Some(*other) == beside) else {
                nobody = true;
                continue;
            };
            let (seen, own) = (self.seen(check, result), self.seen(check, *other));
            let answers = &mut self.steps[place].answers;
            let joined = answers.iter_mut().find_map(|answer| match (&mut answer.seen, seen, own) {
                (Seen::Reads(bin), Seen::Reads(seen), Seen::Reads(own)) if bin.holds(&own) && bin.touches(&seen) => {
                    *bin = bin.with(&seen);
                    Some(())
                }
                _ => None,
            });
            if joined.is_none() {
                answers.push(Answer { seen, next: next.clone() });
            }
        }
        if nobody && bins.is_some() {
            self.steps[place].answers.push(Answer { seen: Seen::AnythingElse, next: Next::NotFound });
        }
    }

    /// Whom a result convicts: an element of a series bank where a drop finds it, else the places of the suspects.
    fn convicted(&self, check: usize, result: usize, suspects: &[usize]) -> Vec<Fact> {
        if let (CheckKind::Drop(element), true) = (self.order.offers[check].kind, result > 0) {
            let own = |&one: &usize| {
                let fault = &self.dictionary.faults[self.order.suspects[one]];
                matches!(fault.site, Site::Group(_)) && fault.element == Some(element)
            };
            if suspects.iter().all(own) {
                return vec![fact!("faults.place.name", name = &self.machine.element(element).name)];
            }
        }
        self.places(suspects)
    }

    /// A run of at least two checks, each of which convicts or goes on, and what comes after it.
    fn list(&self, first: usize) -> Option<(Vec<ListItem>, Edge)> {
        let mut list = Vec::new();
        let mut rest = Edge::Node(first);
        while let Edge::Node(node) = rest
            && (node == first || self.entries[node] == 1)
            && let Some((item, on)) = self.convicting(node)
        {
            list.push(item);
            rest = on;
        }
        (list.len() > 1).then_some((list, rest))
    }

    /// A check one of whose two results convicts, and what else to do.
    fn convicting(&self, node: usize) -> Option<(ListItem, Edge)> {
        let Node { check, branches, .. } = &self.graph.nodes[node];
        let offer = &self.order.offers[*check];
        let [(low, below), (high, above)] = &branches[..] else { return None };
        if offer.bins.as_ref().is_some_and(|bins| bins.count() > 2) {
            return None;
        }
        let (result, guilty, on) = match (below, above) {
            (on, Edge::Answer(guilty)) => (*high, guilty, on),
            // A place that is looked at is not convicted by being good.
            (Edge::Answer(guilty), on) if !offer.kind.is_direct() => (*low, guilty, on),
            _ => return None,
        };
        let item = ListItem {
            check: *check,
            kind: offer.kind,
            seen: self.seen(*check, result),
            good: good(self.machine, offer.kind),
            convicts: self.convicted(*check, result, guilty),
        };
        Some((item, on.clone()))
    }

    /// The places of some suspects, in the order of the parts, without repetition; of two the likelier first.
    fn places(&self, suspects: &[usize]) -> Vec<Fact> {
        let fault = |&one: &usize| &self.dictionary.faults[self.order.suspects[one]];
        let mut sites: Vec<Site> = suspects.iter().map(|one| fault(one).site).collect();
        sites.dedup();
        if let [one, other] = sites[..] {
            let weight = |site: Site| -> f64 {
                let own = suspects.iter().filter(|suspect| fault(suspect).site == site);
                own.map(|&suspect| self.order.problem.weights[suspect]).sum()
            };
            if weight(other) > weight(one) {
                sites.reverse();
            }
        }
        let mut places: Vec<Fact> = Vec::new();
        for site in sites {
            let label = site.label(self.machine);
            if !places.contains(&label) {
                places.push(label);
            }
        }
        places
    }
}
