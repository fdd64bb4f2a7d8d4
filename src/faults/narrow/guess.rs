//! The hypotheses: every fault over its sizes, weighed by what was read and by the sequences that were tried.

use std::collections::BTreeMap;

use crate::circuit::{Change, Compared};

use super::super::dictionary::Idle;
use super::super::kinds::{Fault, FaultKind, Site};
use super::super::search::ranking::{Hypothesis, Prediction, Ranking};
use super::apart::Apart;
use super::evidence::OhmsAt;
use super::predict::{Predictor, fine_grid};
use super::tried::{Tried, agreement};

/// Weight of a machine without any fault of the catalogue, beside the weights of the faults.
const NO_FAULT: f64 = 1.0;
/// Parts of its ohms that a winding with shorted turns may have left.
const TURNS_LEFT: [f64; 12] = [0.005, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.88];
/// Share below which a suspect is not worth a check.
pub(super) const NEGLIGIBLE: f64 = 0.003;
/// Share below which no sequence can bring a fault back.
const HOPELESS: f64 = 1e-9;
/// Most resistive faults that are solved over the whole grid.
const MOST_REFINED: usize = 4;

/// One hypothesis: a fault of one size, or of any.
pub(super) struct Guess {
    /// Faults of the catalogue: several sizes of one, or one; none for a machine without fault.
    pub(super) faults: Vec<usize>,
    pub(super) hypothesis: Hypothesis,
    /// Whether its grid is interpolated.
    pub(super) rough: bool,
}

pub(super) struct Room<'a, 'm> {
    pub(super) predictor: Predictor<'a, 'm>,
    pub(super) faults: &'a [Fault],
    /// The sequences that were tried.
    pub(super) tried: Vec<Tried>,
    pub(super) guesses: Vec<Guess>,
}

impl Room<'_, '_> {
    pub(super) fn hypotheses(&self) -> Vec<Hypothesis> {
        self.guesses.iter().map(|guess| guess.hypothesis.clone()).collect()
    }

    /// Faults that readings leave: no sequence can bring back what is a thousand million times less likely. All other
    /// hypotheses are given up, but for that of no fault.
    pub(super) fn left(&mut self, ranking: &Ranking) -> Vec<usize> {
        let mut kept = vec![false; self.guesses.len()];
        for one in &ranking.ranked {
            kept[one.hypothesis] = one.hypothesis == 0 || one.share > HOPELESS;
        }
        let mut kept = kept.into_iter();
        self.guesses.retain(|_| kept.next().unwrap_or(false));
        let mut left: Vec<usize> = self.guesses.iter().flat_map(|guess| guess.faults.iter().copied()).collect();
        left.sort_unstable();
        left
    }

    /// Weighs the hypotheses that were made before by the sequences that were tried since.
    pub(super) fn agree(&mut self) {
        let mut guesses = std::mem::take(&mut self.guesses);
        for guess in &mut guesses {
            for point in &mut guess.hypothesis.grid {
                let fault = point.size.and_then(|ohms| self.nearest_size(&guess.faults, ohms));
                point.weight *= agreement(&self.tried, fault.or_else(|| guess.faults.first().copied()));
            }
        }
        self.guesses = guesses;
    }

    /// All hypotheses, the resistive ones over a quick grid.
    pub(super) fn guess(&mut self) {
        let (_, healthy) = self.predictor.state(&[]);
        let Predictor { machine, solution, evidence, .. } = self.predictor;
        let no_ohms = evidence.ohms.is_empty();
        let sequence = evidence.sequence.filter(|_| !evidence.volts.is_empty());
        let idle = sequence.map(|sequence| Idle::new(machine, solution, sequence));
        let apart = sequence.filter(|_| no_ohms).map(|_| Apart::new(machine, evidence));
        let agrees = agreement(&self.tried, None);
        let prediction = self.predictor.prediction(None, agrees, healthy.clone());
        let hypothesis = Hypothesis { weight: NO_FAULT, grid: vec![prediction] };
        self.guesses.push(Guess { faults: Vec::new(), hypothesis, rough: false });
        let mut sizes: BTreeMap<(Site, Option<usize>, FaultKind), Vec<usize>> = BTreeMap::new();
        for (index, fault) in self.faults.iter().enumerate().filter(|(_, fault)| fault.weight > 0.0) {
            let carries = fault.element.is_some_and(|element| {
                sequence.is_some_and(|sequence| solution.sequence(sequence).currents[element.0].abs() > 1e-6)
            });
            if carries && fault.size.is_some_and(f64::is_finite) {
                sizes.entry((fault.site, fault.element.map(|element| element.0), fault.kind)).or_default().push(index);
            } else {
                // Ohms are read with the contacts at rest, where other faults show than in the sequence.
                let idle = fault.changes.is_empty()
                    || no_ohms && idle.as_ref().is_some_and(|idle| idle.covers(&fault.changes))
                    || apart.as_ref().is_some_and(|apart| apart.covers(&fault.changes));
                self.add_single(index, &healthy, idle);
            }
        }
        for faults in sizes.into_values() {
            let apart = apart.as_ref().is_some_and(|apart| apart.covers(&self.faults[faults[0]].changes));
            self.add_resistive(faults, apart.then_some(&healthy));
        }
    }

    fn add_single(&mut self, index: usize, healthy: &[f64], idle: bool) {
        let fault = &self.faults[index];
        let (sample, values) = if idle { (None, healthy.to_vec()) } else { self.predictor.state(&fault.changes) };
        // Nothing is claimed of a fault whose circuit the solver refuses.
        if sample.is_some_and(|sample| sample.compared == Compared::Refused) {
            return;
        }
        let agrees = agreement(&self.tried, Some(index));
        let prediction = self.predictor.prediction(fault.size.filter(|size| size.is_finite()), agrees, values);
        let mut grid = vec![prediction];
        grid.extend(self.shorted_turns(fault, agrees));
        let hypothesis = Hypothesis { weight: fault.weight, grid };
        self.guesses.push(Guess { faults: vec![index], hypothesis, rough: false });
    }

    /// Shorted turns of any number, where ohms of that winding were read: the catalogue has but one half.
    fn shorted_turns(&self, fault: &Fault, agrees: f64) -> Vec<Prediction> {
        let ohms = &self.predictor.evidence.ohms;
        let read = |element| ohms.iter().any(|read| read.at == OhmsAt::Lifted(element));
        let (FaultKind::ShortedTurns, [Change::Value(element, half)]) = (fault.kind, &fault.changes[..]) else {
            return Vec::new();
        };
        if !read(*element) {
            return Vec::new();
        }
        let at = |part: f64| {
            let (_, values) = self.predictor.state(&[Change::Value(*element, 2.0 * half * part)]);
            self.predictor.prediction(None, agrees, values)
        };
        TURNS_LEFT.into_iter().map(at).collect()
    }

    /// All sizes of a fault; one that cannot show reads in each as a healthy machine.
    fn add_resistive(&mut self, faults: Vec<usize>, unseen: Option<&Vec<f64>>) {
        let weight = faults.iter().map(|&fault| self.faults[fault].weight).sum();
        let grid = match unseen {
            Some(healthy) => fine_grid().map(|ohms| (ohms, healthy.clone())).collect(),
            None => self.predictor.quick_grid(&self.faults[faults[0]]),
        };
        let hypothesis = Hypothesis { weight, grid: self.grid(&faults, &grid) };
        self.guesses.push(Guess { faults, hypothesis, rough: true });
    }

    fn grid(&self, faults: &[usize], grid: &[(f64, Vec<f64>)]) -> Vec<Prediction> {
        self.predictor.grid(grid, |ohms| agreement(&self.tried, self.nearest_size(faults, ohms)))
    }

    /// The listed size that is nearest to some ohms, as a ratio.
    pub(super) fn nearest_size(&self, faults: &[usize], ohms: f64) -> Option<usize> {
        let distance = |fault: usize| (self.faults[fault].size.unwrap_or(1.0) / ohms).ln().abs();
        faults.iter().copied().min_by(|&a, &b| distance(a).total_cmp(&distance(b)))
    }

    /// Solves the grids of the likeliest resistive faults outright.
    pub(super) fn refine(&mut self, ranking: &Ranking) {
        if self.predictor.evidence.volts.is_empty() && self.predictor.evidence.ohms.is_empty() {
            return;
        }
        let likeliest: Vec<(usize, f64)> = ranking
            .ranked
            .iter()
            .filter(|one| one.share > NEGLIGIBLE && self.guesses[one.hypothesis].rough)
            .take(MOST_REFINED)
            .filter_map(|one| one.size.map(|size| (one.hypothesis, size.mean)))
            .collect();
        for (index, size) in likeliest {
            let faults = self.guesses[index].faults.clone();
            let grid = self.predictor.exact_grid(&self.faults[faults[0]], size);
            self.guesses[index].hypothesis.grid = self.grid(&faults, &grid);
            self.guesses[index].rough = false;
        }
    }
}
