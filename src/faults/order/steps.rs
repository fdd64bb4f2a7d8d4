//! The order as numbered steps with answers and "go to": people make fewer errors with them than with a matrix.
//!
//! Where nothing but looking at one place after another is left, these looks become one step with a list. What is to be done
//! in several branches alike stands once, and all of them lead to it.

use serde::Serialize;

use crate::fact;
use crate::machine::model::Machine;
use crate::words::Fact;

use super::super::dictionary::Dictionary;
use super::super::kinds::Site;
use super::super::search::{Problem, Tree};
use super::bins::Bin;
use super::checks::{CheckKind, Offer};
use super::good::good;

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
    /// What convicts it; none where eye or hand tells.
    pub bad: Option<Bin>,
    /// What a good part measures, as in a step.
    pub good: Option<Bin>,
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
    let mut writer = Writer { machine, dictionary, problem, offers, faults, steps: Vec::new(), written: Vec::new() };
    writer.next(tree, &(0..faults.len()).collect::<Vec<_>>());
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
    problem: &'a Problem,
    offers: &'a [Offer],
    faults: &'a [usize],
    steps: Vec<Step>,
    /// Branches that stand already, with who can be there and the number of their first step.
    written: Vec<(Tree, Vec<usize>, usize)>,
}

impl Writer<'_> {
    /// What to do at a branch of the tree where only these suspects can be.
    fn next(&mut self, tree: &Tree, here: &[usize]) -> Next {
        match tree {
            Tree::Answer(suspects) => Next::Found(self.places(suspects)),
            Tree::Check { check, branches } => {
                let known = |(other, there, _): &&(Tree, Vec<usize>, usize)| there == here && other == tree;
                if let Some((_, _, number)) = self.written.iter().find(known) {
                    return Next::Step(*number);
                }
                let place = self.steps.len();
                self.written.push((tree.clone(), here.to_vec(), place + 1));
                let kind = self.offers[*check].kind;
                self.steps.push(Step {
                    number: place + 1,
                    check: *check,
                    kind,
                    good: good(self.machine, kind),
                    answers: Vec::new(),
                    list: Vec::new(),
                });
                if let Some((list, rest)) = self.list(tree) {
                    let left: Vec<usize> =
                        list.iter().fold(here.to_vec(), |left, item| self.left(&left, item.check, 0));
                    self.steps[place].list = list;
                    let next = self.next(&rest, &left);
                    self.steps[place].answers = vec![Answer { seen: Seen::NoneFound, next }];
                } else {
                    self.answer(place, *check, branches, here);
                }
                Next::Step(place + 1)
            }
        }
    }

    /// Those of some suspects who may show a result.
    fn left(&self, here: &[usize], check: usize, result: usize) -> Vec<usize> {
        here.iter().copied().filter(|&one| self.problem.checks[check].may(one, result)).collect()
    }

    fn answer(&mut self, place: usize, check: usize, branches: &[(usize, Tree)], here: &[usize]) {
        let offer = &self.offers[check];
        let seen = |result: usize| match (&offer.bins, offer.kind) {
            (Some(bins), _) => Seen::Reads(bins.get(result)),
            // Swapped with a good one it works again if it was bad.
            (None, CheckKind::Swap(..)) => [Seen::Fails, Seen::Works][result.min(1)],
            (None, CheckKind::Try(_)) => [Seen::Works, Seen::Fails][result.min(1)],
            (None, _) => [Seen::Good, Seen::Bad][result.min(1)],
        };
        let mut sorted: Vec<(Seen, usize, &Tree)> =
            branches.iter().map(|(result, tree)| (seen(*result), *result, tree)).collect();
        let level = |seen: Seen| if let Seen::Reads(bin) = seen { Some(bin.level) } else { None };
        sorted.sort_by_key(|(seen, result, _)| (level(*seen), *result));
        let mut told: Vec<(usize, Next)> = Vec::new();
        for (seen, result, tree) in sorted {
            let next = match (tree, self.of_bank(check, result, tree)) {
                (Tree::Answer(_), Some(element)) => Next::Found(vec![element]),
                _ => self.next(tree, &self.left(here, check, result)),
            };
            told.push((result, next.clone()));
            self.steps[place].answers.push(Answer { seen, next });
        }
        self.answer_rest(place, check, &told, here);
    }

    /// What to do with readings that have no branch: those who may show them are in some branch beside, or nobody does.
    fn answer_rest(&mut self, place: usize, check: usize, told: &[(usize, Next)], here: &[usize]) {
        let Some(bins) = &self.offers[check].bins else { return };
        let mut nobody = false;
        for result in (0..bins.count()).filter(|result| told.iter().all(|(other, _)| other != result)) {
            let members = self.left(here, check, result);
            let holds =
                |&&(other, _): &&(usize, Next)| members.iter().all(|&one| self.problem.checks[check].may(one, other));
            let nearest = told.iter().filter(holds).min_by_key(|(other, _)| other.abs_diff(result));
            match nearest {
                Some((other, next)) if !members.is_empty() => {
                    let answers = &mut self.steps[place].answers;
                    let (seen, own) = (bins.get(result), bins.get(*other));
                    let beside = answers.iter_mut().find_map(|answer| match &mut answer.seen {
                        Seen::Reads(bin) if bin.holds(&own) && bin.touches(&seen) => Some(bin),
                        _ => None,
                    });
                    match beside {
                        Some(bin) => *bin = bin.with(&seen),
                        None => answers.push(Answer { seen: Seen::Reads(seen), next: next.clone() }),
                    }
                }
                _ => nobody = true,
            }
        }
        if nobody {
            self.steps[place].answers.push(Answer { seen: Seen::AnythingElse, next: Next::NotFound });
        }
    }

    /// The element of a series bank that a drop convicts.
    fn of_bank(&self, check: usize, result: usize, tree: &Tree) -> Option<Fact> {
        let (CheckKind::Drop(element), Tree::Answer(suspects), true) = (self.offers[check].kind, tree, result > 0)
        else {
            return None;
        };
        let own = |&one: &usize| {
            let fault = &self.dictionary.faults[self.faults[one]];
            matches!(fault.site, Site::Group(_)) && fault.element == Some(element)
        };
        suspects.iter().all(own).then(|| fact!("faults.place.name", name = &self.machine.element(element).name))
    }

    /// A run of at least two direct checks, each of which convicts or goes on, and what comes after it.
    fn list(&self, tree: &Tree) -> Option<(Vec<ListItem>, Tree)> {
        let mut list = Vec::new();
        let mut rest = tree.clone();
        while let Some((check, guilty, on)) = self.convicting(&rest) {
            let kind = self.offers[check].kind;
            let bad = self.offers[check].bins.as_ref().map(|bins| bins.get(bins.count() - 1));
            let element = self.of_bank(check, 1, &Tree::Answer(guilty.clone()));
            let convicts = element.map_or_else(|| self.places(&guilty), |element| vec![element]);
            list.push(ListItem { check, kind, bad, good: good(self.machine, kind), convicts });
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
