//! The check that is best made next, among those who are left.

use crate::circuit::Change;
use crate::machine::model::SequenceId;

use super::super::describe;
use super::super::dictionary::Dictionary;
use super::super::kinds::Fault;
use super::super::order::{CheckKind, order};
use super::super::search::ranking::{Ranking, Size};
use super::super::search::{Limits, Tree, check_order};
use super::answer::NextCheck;
use super::evidence::VoltsAt;
use super::guess::{NEGLIGIBLE, Room};

/// Most suspects for whom the next check is sought.
const MOST_SUSPECTS: usize = 12;
/// Work for the next check.
const LIMITS: Limits = Limits { sets: 0, nodes: 300 };

impl Room<'_, '_> {
    /// The root of the best order for those who are left.
    pub(super) fn next(&self, ranking: &Ranking) -> Option<NextCheck> {
        let machine = self.predictor.machine;
        let here = self.predictor.evidence.sequence.or_else(|| self.failing())?;
        let left: Vec<(Fault, f64)> = ranking
            .ranked
            .iter()
            .filter(|one| one.share > NEGLIGIBLE)
            .filter_map(|one| self.as_fault(one.hypothesis, one.size).map(|fault| (fault, one.share)))
            .take(MOST_SUSPECTS)
            .collect();
        let faults: Vec<Fault> = left.iter().map(|(fault, _)| fault.clone()).collect();
        let dictionary = Dictionary::of(machine, self.predictor.solver, self.predictor.solution, faults);
        let suspects: Vec<(usize, f64)> = left.iter().enumerate().map(|(index, (_, share))| (index, *share)).collect();
        let done = self.done(here);
        let order = order(machine, self.predictor.solution, &dictionary, here, &suspects, LIMITS, &done).ok()?;
        // Where every check may mislead within the tolerances, one that parts the suspects at nominal values still helps.
        let (tree, minutes) = match order.tree {
            Tree::Check { .. } => (order.tree, order.minutes),
            Tree::Answer(_) => {
                let nominal = check_order(&order.problem.without_tolerances(), LIMITS).ok()?;
                (nominal.tree, nominal.minutes)
            }
        };
        let Tree::Check { check, .. } = tree else { return None };
        let kind = order.offers[check].kind;
        Some(NextCheck {
            kind,
            text: describe::check_with_power(machine, self.predictor.solution, here, kind),
            sequence: machine.sequences[here.0].number,
            minutes: order.offers[check].check.minutes,
            expected_minutes: minutes,
        })
    }

    /// The first sequence that fails, else the first that was tried.
    fn failing(&self) -> Option<SequenceId> {
        let seen = &self.predictor.evidence.seen;
        let first = |wanted: Option<bool>| seen.iter().position(|one| *one == wanted).map(SequenceId);
        first(Some(false)).or_else(|| first(Some(true))).or(if seen.is_empty() { None } else { Some(SequenceId(0)) })
    }

    /// A hypothesis as a fault of its likeliest size.
    fn as_fault(&self, hypothesis: usize, size: Option<Size>) -> Option<Fault> {
        let guess = &self.guesses[hypothesis];
        let mut fault = self.faults[*guess.faults.first()?].clone();
        if let (Some(size), Some(element), true) = (size, fault.element, guess.hypothesis.grid.len() > 1) {
            fault.size = Some(size.mean);
            fault.changes = vec![Change::Added(element, size.mean)];
        }
        Some(fault)
    }

    /// Checks whose result is known.
    fn done(&self, here: SequenceId) -> Vec<CheckKind> {
        let evidence = self.predictor.evidence;
        let read = evidence.volts.iter().filter(|_| evidence.sequence == Some(here)).filter_map(|read| match read.at {
            VoltsAt::Point(point) => Some(CheckKind::Volts(point)),
            VoltsAt::Across(element) => Some(CheckKind::Drop(element)),
            VoltsAt::Joint(_) => None,
        });
        let tried = (0..evidence.seen.len()).filter(|&index| evidence.seen[index].is_some());
        read.chain(tried.map(|index| CheckKind::Try(SequenceId(index)))).collect()
    }
}
