//! What is said of the ranking: places with their likeliest fault, look-alikes, readings in doubt.

use std::collections::BTreeMap;

use crate::words::Fact;

use super::super::kinds::Site;
use super::super::search::ranking::{Hypothesis, Prediction, Ranked, Ranking, Size};
use super::alike::{Expected, groups};
use super::answer::{AddedOhms, Doubt, NarrowSuspect, Narrowing};
use super::guess::{Guess, NEGLIGIBLE, Room};
use super::tried::disagree;

/// Mean squared standard deviations from which no fault explains the readings.
const UNEXPLAINED: f64 = 9.0;

impl Room<'_, '_> {
    pub(super) fn answer(&self, ranking: &Ranking, hypotheses: &[Hypothesis]) -> Narrowing {
        let suspects = self.suspects(ranking, hypotheses);
        let no_fault = ranking.ranked.iter().find(|one| one.hypothesis == 0).map_or(0.0, |one| one.share);
        let undecided = suspects.len() > 1 && suspects[0].share < 3.0 * suspects[1].share;
        let doubts = self.doubts(ranking, hypotheses);
        // One reading alone cannot disagree with itself.
        let several = self.predictor.evidence.volts.len() + self.predictor.evidence.ohms.len() > 1;
        let unexplained = several && doubts.is_empty() && ranking.misfit.is_finite() && ranking.misfit > UNEXPLAINED;
        Narrowing {
            no_fault,
            unexplained,
            sequences_disagree: disagree(&self.tried, self.likely_at_all()),
            undecided,
            next: self.next(ranking),
            suspects: suspects.into_iter().filter(|suspect| suspect.share > NEGLIGIBLE).collect(),
            doubts,
        }
    }

    /// Shares by place, each with its likeliest fault, likeliest first.
    fn suspects(&self, ranking: &Ranking, hypotheses: &[Hypothesis]) -> Vec<NarrowSuspect> {
        let mut places: BTreeMap<Site, (f64, &Ranked)> = BTreeMap::new();
        for one in &ranking.ranked {
            let Some(&first) = self.guesses[one.hypothesis].faults.first() else { continue };
            // The likeliest comes first, so it names the place.
            places.entry(self.faults[first].site).or_insert((0.0, one)).0 += one.share;
        }
        let mut places: Vec<(f64, &Ranked)> = places.into_values().collect();
        places.sort_by(|a, b| b.0.total_cmp(&a.0));
        let expected: Vec<Expected> = places.iter().map(|(_, one)| self.expected(one, hypotheses)).collect();
        let groups = groups(&expected, &self.predictor.observations());
        places.into_iter().zip(groups).map(|((share, one), group)| self.suspect(share, one, group)).collect()
    }

    fn suspect(&self, share: f64, one: &Ranked, group: usize) -> NarrowSuspect {
        let machine = self.predictor.machine;
        let guess = &self.guesses[one.hypothesis];
        let fault = &self.faults[guess.faults[0]];
        let part = machine.part(fault.site.part(machine));
        NarrowSuspect {
            place: fault.site.label(machine),
            part: part.id.clone(),
            location: part.location.clone(),
            share,
            fault: self.label(guess, one.size),
            kind: fault.kind,
            added: one.size.filter(|_| guess.faults.len() > 1 || guess.hypothesis.grid.len() > 1).map(added),
            group,
        }
    }

    /// What a hypothesis, at its likeliest size, predicts for the evidence.
    fn expected(&self, one: &Ranked, hypotheses: &[Hypothesis]) -> Expected {
        let size = one.size.map(|size| size.mean);
        let values = nearest(&hypotheses[one.hypothesis].grid, size).map(|point| point.values.clone());
        let faults = &self.guesses[one.hypothesis].faults;
        let fault = size.and_then(|ohms| self.nearest_size(faults, ohms)).or_else(|| faults.first().copied());
        let effect = |tried: &super::tried::Tried| fault.and_then(|fault| tried.effect(Some(fault)));
        Expected { values: values.unwrap_or_default(), effects: self.tried.iter().map(effect).collect() }
    }

    fn label(&self, guess: &Guess, size: Option<Size>) -> Fact {
        let mut fault = self.faults[guess.faults[0]].clone();
        if let Some(size) = size.filter(|_| guess.hypothesis.grid.len() > 1) {
            fault.size = Some(size.mean);
        }
        fault.label(self.predictor.machine)
    }

    /// Readings that are likelier wrong than right, with what the likeliest fault predicts there.
    fn doubts(&self, ranking: &Ranking, hypotheses: &[Hypothesis]) -> Vec<Doubt> {
        let evidence = self.predictor.evidence;
        if evidence.volts.len() + evidence.ohms.len() < 2 {
            return Vec::new();
        }
        let best = &hypotheses[ranking.ranked[0].hypothesis];
        let size = ranking.ranked[0].size.map(|size| size.mean);
        let Some(prediction) = nearest(&best.grid, size) else { return Vec::new() };
        let names = evidence.volts.iter().map(|read| (read.name.clone(), Some(read.volts), false));
        let names = names.chain(evidence.ohms.iter().map(|read| (read.name.clone(), read.ohms, true)));
        names
            .zip(&ranking.misread)
            .zip(&prediction.values)
            .filter(|((_, chance), _)| **chance > 0.5)
            .map(|(((at, reads, ohms), chance), expected)| Doubt {
                at,
                reads,
                expected: if ohms { (expected.exp() - 1.0).max(0.0) } else { *expected },
                chance: *chance,
            })
            .collect()
    }

    /// Faults of the catalogue that have any weight.
    fn likely_at_all(&self) -> impl Iterator<Item = usize> {
        (0..self.faults.len()).filter(|&fault| self.faults[fault].weight > 0.0)
    }
}

/// The prediction whose size is nearest to one; the first where there are no sizes.
fn nearest(grid: &[Prediction], size: Option<f64>) -> Option<&Prediction> {
    let distance = |point: &Prediction| match (point.size, size) {
        (Some(a), Some(b)) => (a - b).abs(),
        _ => 0.0,
    };
    grid.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)))
}

fn added(size: Size) -> AddedOhms {
    AddedOhms { mean: size.mean, low: size.low, high: size.high }
}
