//! The order as numbered steps with answers and "go to": people make fewer errors with them than with a matrix.
//!
//! Where nothing but looking at one place after another is left, these looks become one step with a list.

use serde::Serialize;

use crate::machine::model::Machine;
use crate::words::Fact;

use super::super::dictionary::Dictionary;
use super::super::kinds::Site;
use super::super::search::{Problem, Tree};
use super::bins::{Bin, Level};
use super::checks::{CheckKind, Offer};

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
    /// The span to ask for where there are two answers: "is it within?"; none where the check needs no number.
    pub asks: Option<Bin>,
    /// What can be seen, likeliest healthy first, and what to do then. For a list: only what to do when none is found.
    pub answers: Vec<Answer>,
    /// Places to look at one after another, where nothing else is left.
    pub list: Vec<ListItem>,
}

/// What can be seen at a step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Answer {
    /// Yes or no, for a step with two answers.
    pub yes: Option<bool>,
    /// The span of readings, where the check shows a number.
    pub reads: Option<Bin>,
    /// What to do.
    pub next: Next,
}

/// What to do after a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Next {
    /// Go to this step.
    Step(usize),
    /// It is one of these places.
    Found(Vec<Fact>),
}

/// One place of a list.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ListItem {
    /// The check.
    pub check: usize,
    /// What it is.
    pub kind: CheckKind,
    /// The places that it convicts.
    pub convicts: Vec<Fact>,
}

/// Turns a tree into steps.
#[must_use]
pub(super) fn steps(
    machine: &Machine,
    dictionary: &Dictionary,
    problem: &Problem,
    offers: &[Offer],
    faults: &[usize],
    tree: &Tree,
) -> Vec<Step> {
    let mut writer = Writer { machine, dictionary, problem, offers, faults, steps: Vec::new() };
    writer.next(tree);
    writer.steps
}

struct Writer<'a> {
    machine: &'a Machine,
    dictionary: &'a Dictionary,
    problem: &'a Problem,
    offers: &'a [Offer],
    faults: &'a [usize],
    steps: Vec<Step>,
}

impl Writer<'_> {
    fn next(&mut self, tree: &Tree) -> Next {
        match tree {
            Tree::Answer(suspects) => Next::Found(self.places(suspects)),
            Tree::Check { check, branches } => {
                let place = self.steps.len();
                let kind = self.offers[*check].kind;
                self.steps.push(Step {
                    number: place + 1,
                    check: *check,
                    kind,
                    asks: None,
                    answers: Vec::new(),
                    list: Vec::new(),
                });
                if let Some((list, rest)) = self.list(tree) {
                    self.steps[place].list = list;
                    let next = self.next(&rest);
                    self.steps[place].answers = vec![Answer { yes: None, reads: None, next }];
                } else {
                    self.answer(place, *check, branches);
                }
                Next::Step(place + 1)
            }
        }
    }

    fn answer(&mut self, place: usize, check: usize, branches: &[(usize, Tree)]) {
        let bins = self.offers[check].bins.clone();
        let mut sorted: Vec<(Option<Bin>, usize, &Tree)> = branches
            .iter()
            .map(|(result, tree)| (bins.as_ref().map(|bins| bins.get(*result)), *result, tree))
            .collect();
        sorted.sort_by_key(|(bin, result, _)| (bin.map(|bin| bin.level), *result));
        // Of a drop people ask whether it is too large, of all else whether it is as it should be.
        if matches!(self.offers[check].kind, CheckKind::Drop(_)) {
            sorted.reverse();
        }
        let asked = if sorted.len() == 2 { sorted[0].0 } else { None };
        let two = sorted.len() == 2;
        for (nth, (bin, result, tree)) in sorted.into_iter().enumerate() {
            let next = self.next(tree);
            let yes = two.then_some(if bin.is_some() { nth == 0 } else { result == 1 });
            self.steps[place].answers.push(Answer { yes, reads: bin, next });
        }
        self.steps[place].answers.sort_by_key(|answer| answer.yes == Some(false));
        self.steps[place].asks = asked;
    }

    /// A run of at least two direct checks, each of which convicts or goes on, and what comes after it.
    fn list(&self, tree: &Tree) -> Option<(Vec<ListItem>, Tree)> {
        let mut list = Vec::new();
        let mut rest = tree.clone();
        while let Some((check, guilty, on)) = self.convicting(&rest) {
            list.push(ListItem { check, kind: self.offers[check].kind, convicts: self.places(&guilty) });
            rest = on;
        }
        (list.len() > 1).then_some((list, rest))
    }

    /// A direct check one of whose two results convicts: the check, whom, and what else to do.
    fn convicting(&self, tree: &Tree) -> Option<(usize, Vec<usize>, Tree)> {
        let Tree::Check { check, branches } = tree else { return None };
        let (clear, found) = match &branches[..] {
            [(_, clear), (_, found)] if self.offers[*check].kind.is_direct() => (clear, found),
            _ => return None,
        };
        // The higher result of a direct check is the bad one.
        match found {
            Tree::Answer(guilty) if self.problem.checks[*check].results.iter().max() > Some(&0) => {
                Some((*check, guilty.clone(), clear.clone()))
            }
            _ => None,
        }
    }

    /// The places of some suspects, in the order of the parts, without repetition.
    fn places(&self, suspects: &[usize]) -> Vec<Fact> {
        let mut sites: Vec<Site> = suspects.iter().map(|&one| self.dictionary.faults[self.faults[one]].site).collect();
        sites.dedup();
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

impl Bin {
    /// Whether it is the healthy span.
    #[must_use]
    pub fn is_healthy(&self) -> bool {
        self.level == Level::Healthy
    }
}
