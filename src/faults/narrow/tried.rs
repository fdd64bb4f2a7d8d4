//! Sequences that were tried: what each fault does to them, and how far that agrees with what was seen.

use std::collections::BTreeMap;

use crate::circuit::{Compared, Kept};
use crate::machine::model::SequenceId;

use super::super::dictionary::Idle;
use super::super::effect::Judge;
use super::super::kinds::Fault;
use super::super::search::symptom::{Effect, Trust, agrees};
use super::predict::Predictor;

/// A sequence that was tried.
pub(super) struct Tried {
    /// Whether it works.
    works: bool,
    /// What the faults that are left do to it.
    effects: BTreeMap<usize, Effect>,
}

impl Tried {
    /// What a fault, or none, does to it; of a fault that is out of the question anyway nothing is known.
    pub(super) fn effect(&self, fault: Option<usize>) -> Option<Effect> {
        fault.map_or(Some(Effect::Works), |fault| self.effects.get(&fault).copied())
    }
}

impl Predictor<'_, '_> {
    /// What some faults do to the sequences that were tried.
    pub(super) fn tried(&self, faults: &[Fault], left: &[usize]) -> Vec<Tried> {
        let seen = self.evidence.seen.iter().enumerate();
        let tried = seen.filter_map(|(index, works)| works.map(|works| (SequenceId(index), works)));
        tried.map(|(sequence, works)| Tried { works, effects: self.effects(sequence, faults, left) }).collect()
    }

    /// The same as the dictionary says, without all that the dictionary keeps for the order of checks.
    fn effects(&self, sequence: SequenceId, faults: &[Fault], left: &[usize]) -> BTreeMap<usize, Effect> {
        let judge = Judge::new(self.machine, sequence);
        let kept = Kept { volts: judge.coils.iter().map(|(element, _)| *element).collect(), ..Kept::default() };
        let healthy = self.solver.glance(self.solution, sequence, &[], &kept);
        let idle = Idle::new(self.machine, self.solution, sequence);
        let effect = |&index: &usize| {
            let fault = &faults[index];
            let changed = (!idle.covers(&fault.changes))
                .then(|| self.solver.glance(self.solution, sequence, &fault.changes, &kept))
                .filter(|glance| glance.compared != Compared::AsHealthy);
            let now = changed.as_ref().unwrap_or(&healthy);
            (index, judge.effect(fault, (&healthy, &healthy.volts), (now, &now.volts)))
        };
        left.iter().map(effect).collect()
    }
}

/// How likely a fault, or none, makes the tried sequences do what they did.
pub(super) fn agreement(tried: &[Tried], fault: Option<usize>) -> f64 {
    let trust = Trust::default();
    tried.iter().map(|one| trust.likelihood(one.effect(fault), one.works)).product()
}

/// Whether some sequence fails and none of these faults predicts sharply what all of them do.
pub(super) fn disagree(tried: &[Tried], mut faults: impl Iterator<Item = usize>) -> bool {
    let predicts =
        |fault| tried.iter().all(|one| one.effect(Some(fault)).is_some_and(|effect| agrees(effect, one.works)));
    !tried.iter().all(|one| one.works) && !faults.any(predicts)
}
