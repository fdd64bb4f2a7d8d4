//! From evidence to suspects, doubts, and the next check.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::circuit::{Change, Solution, Solver};
use crate::machine::model::{Machine, SequenceId};
use crate::words::Fact;

use super::super::describe;
use super::super::dictionary::{Dictionary, Idle, SequenceTable};
use super::super::kinds::{Fault, FaultKind, Site, catalogue};
use super::super::order::{CheckKind, order};
use super::super::search::ranking::{Hypothesis, Prediction, Ranked, Ranking, RankingError, Size, rank};
use super::super::search::symptom::{Effect, Trust};
use super::super::search::{Limits, Tree, check_order};
use super::alike::{Expected, groups};
use super::evidence::{Evidence, OhmsAt, VoltsAt};
use super::predict::Predictor;

/// How often one reading is misread or taken at a wrong point: common practice, no source.
const MISREADING: f64 = 0.02;
/// The same where there is one reading alone: then there is nothing that could speak against it.
const LONE_MISREADING: f64 = 1e-9;
/// Weight of a machine without any fault of the catalogue, beside the weights of the faults.
const NO_FAULT: f64 = 1.0;
/// Parts of its ohms that a winding with shorted turns may have left.
const TURNS_LEFT: [f64; 12] = [0.005, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.88];
/// Share below which a suspect is not worth a check.
const NEGLIGIBLE: f64 = 0.003;
/// Share below which no sequence can bring a fault back.
const HOPELESS: f64 = 1e-9;
/// Most suspects for whom the next check is sought.
const MOST_SUSPECTS: usize = 12;
/// Most resistive faults that are solved over the whole grid.
const MOST_REFINED: usize = 4;
/// Mean squared standard deviations from which no fault explains the readings.
const UNEXPLAINED: f64 = 9.0;
/// Work for the next check.
const LIMITS: Limits = Limits { sets: 0, nodes: 300 };

/// What evidence leaves.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Narrowing {
    /// Who is left, likeliest first.
    pub suspects: Vec<NarrowSuspect>,
    /// Share of a machine without any fault that this program knows.
    pub no_fault: f64,
    /// Readings that do not fit the others.
    pub doubts: Vec<Doubt>,
    /// Whether no single fault explains the readings, even without the doubtful one.
    pub unexplained: bool,
    /// Whether no single fault stops exactly the sequences that fail.
    pub sequences_disagree: bool,
    /// Whether the two likeliest are too close to name one of them.
    pub undecided: bool,
    /// The best next check; none where one place is left.
    pub next: Option<NextCheck>,
}

/// A place that is left.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NarrowSuspect {
    /// The place.
    pub place: Fact,
    /// Its part.
    pub part: String,
    /// Where the part sits.
    pub location: Option<String>,
    /// Its share.
    pub share: f64,
    /// Its likeliest fault.
    pub fault: Fact,
    /// The kind of that.
    pub kind: FaultKind,
    /// Ohms added, where its likeliest fault is a bad contact of some size.
    pub added: Option<AddedOhms>,
    /// Suspects of one number predict the same for all that was read and seen: nobody could tell them apart by it.
    pub group: usize,
}

/// Ohms that a bad contact adds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct AddedOhms {
    /// Mean.
    pub mean: f64,
    /// Five percent lie below.
    pub low: f64,
    /// Five percent lie above.
    pub high: f64,
}

/// A reading that does not fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Doubt {
    /// Where, as it was named.
    pub at: String,
    /// What was read, in volts or ohms; none for no continuity.
    pub reads: Option<f64>,
    /// What the likeliest fault predicts there, in volts or ohms.
    pub expected: f64,
    /// How likely the reading is wrong.
    pub chance: f64,
}

/// The best next check.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NextCheck {
    /// What it is.
    pub kind: CheckKind,
    /// The same, to be said.
    pub text: Fact,
    /// Number of the sequence in which it is made.
    pub sequence: i64,
    /// Its minutes.
    pub minutes: f64,
    /// Expected minutes until the fault is found, this check included.
    pub expected_minutes: f64,
}

/// Ranks all faults by the evidence and looks for the best next check.
///
/// # Errors
/// When all faults have a weight of zero.
pub fn narrow(
    machine: &Machine,
    solver: &Solver,
    solution: &Solution,
    evidence: &Evidence,
) -> Result<Narrowing, RankingError> {
    let faults = catalogue(machine);
    if faults.iter().map(|fault| fault.weight).sum::<f64>() <= 0.0 {
        return Err(RankingError::NoWeight);
    }
    let predictor = Predictor::new(machine, solver, solution, evidence);
    let mut room = Room { predictor, faults: &faults, tried: Vec::new(), guesses: Vec::new() };
    let observations = room.predictor.observations();
    let misreading = if observations.len() < 2 { LONE_MISREADING } else { MISREADING };
    // Where something was read, it leaves few faults; only these need be solved in the other sequences.
    let mut left: Vec<usize> = (0..faults.len()).collect();
    if !observations.is_empty() {
        room.guess();
        left = room.left(&rank(&room.hypotheses(), &observations, misreading)?);
    }
    room.try_sequences(&left);
    if observations.is_empty() {
        room.guess();
    } else {
        room.agree();
    }
    let first = rank(&room.hypotheses(), &observations, misreading)?;
    room.refine(&first);
    let hypotheses = room.hypotheses();
    let ranking = rank(&hypotheses, &observations, misreading)?;
    Ok(room.answer(&ranking, &hypotheses))
}

/// One hypothesis: a fault of one size, or of any.
struct Guess {
    /// Faults of the catalogue: several sizes of one, or one; none for a machine without fault.
    faults: Vec<usize>,
    hypothesis: Hypothesis,
    /// Whether its grid is interpolated.
    rough: bool,
}

struct Room<'a, 'm> {
    predictor: Predictor<'a, 'm>,
    faults: &'a [Fault],
    /// Whether each tried sequence works, and what the faults that are left do to it.
    tried: Vec<(bool, BTreeMap<usize, Effect>)>,
    guesses: Vec<Guess>,
}

impl Room<'_, '_> {
    fn hypotheses(&self) -> Vec<Hypothesis> {
        self.guesses.iter().map(|guess| guess.hypothesis.clone()).collect()
    }

    /// Faults that readings leave: no sequence can bring back what is a thousand million times less likely.
    fn left(&self, ranking: &Ranking) -> Vec<usize> {
        let likely = ranking.ranked.iter().filter(|one| one.share > HOPELESS);
        let mut left: Vec<usize> = likely.flat_map(|one| self.guesses[one.hypothesis].faults.iter().copied()).collect();
        left.sort_unstable();
        left
    }

    /// Finds what some faults do to the sequences that were tried.
    fn try_sequences(&mut self, left: &[usize]) {
        let Predictor { machine, solver, solution, evidence, .. } = &self.predictor;
        let faults: Vec<Fault> = left.iter().map(|&fault| self.faults[fault].clone()).collect();
        let mut tried = Vec::new();
        for (index, seen) in evidence.seen.iter().enumerate() {
            let Some(works) = *seen else { continue };
            let table = SequenceTable::build(machine, solver, solution, SequenceId(index), &faults);
            let effects = left.iter().enumerate().map(|(place, &fault)| (fault, table.effect(place)));
            tried.push((works, effects.collect()));
        }
        self.tried = tried;
    }

    /// Weighs the hypotheses that were made before by the sequences that were tried since.
    fn agree(&mut self) {
        let mut guesses = std::mem::take(&mut self.guesses);
        for guess in &mut guesses {
            for point in &mut guess.hypothesis.grid {
                let fault = point.size.and_then(|ohms| self.nearest_size(&guess.faults, ohms));
                point.weight *= self.agreement(fault.or_else(|| guess.faults.first().copied()));
            }
        }
        self.guesses = guesses;
    }

    /// All hypotheses, the resistive ones over a quick grid.
    fn guess(&mut self) {
        let (_, healthy) = self.predictor.state(&[]);
        let Predictor { machine, solution, evidence, .. } = self.predictor;
        let no_ohms = evidence.ohms.is_empty();
        let sequence = evidence.sequence.filter(|_| !evidence.volts.is_empty());
        let idle = sequence.map(|sequence| Idle::new(machine, solution, sequence));
        let agrees = self.agreement(None);
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
                    || no_ohms && idle.as_ref().is_some_and(|idle| idle.covers(&fault.changes));
                self.add_single(index, &healthy, idle);
            }
        }
        for faults in sizes.into_values() {
            self.add_resistive(faults);
        }
    }

    fn add_single(&mut self, index: usize, healthy: &[f64], idle: bool) {
        let fault = &self.faults[index];
        let (sample, values) = if idle { (None, healthy.to_vec()) } else { self.predictor.state(&fault.changes) };
        // Nothing is claimed of a fault whose circuit the solver refuses.
        if sample.is_some_and(|sample| sample.refused) {
            return;
        }
        let agrees = self.agreement(Some(index));
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

    fn add_resistive(&mut self, faults: Vec<usize>) {
        let weight = faults.iter().map(|&fault| self.faults[fault].weight).sum();
        let grid = self.predictor.quick_grid(&self.faults[faults[0]]);
        let hypothesis = Hypothesis { weight, grid: self.grid(&faults, &grid) };
        self.guesses.push(Guess { faults, hypothesis, rough: true });
    }

    fn grid(&self, faults: &[usize], grid: &[(f64, Vec<f64>)]) -> Vec<Prediction> {
        self.predictor.grid(grid, |ohms| self.agreement(self.nearest_size(faults, ohms)))
    }

    /// The listed size that is nearest to some ohms, as a ratio.
    fn nearest_size(&self, faults: &[usize], ohms: f64) -> Option<usize> {
        let distance = |fault: usize| (self.faults[fault].size.unwrap_or(1.0) / ohms).ln().abs();
        faults.iter().copied().min_by(|&a, &b| distance(a).total_cmp(&distance(b)))
    }

    /// How likely a fault, or none, makes the tried sequences do what they did.
    fn agreement(&self, fault: Option<usize>) -> f64 {
        let trust = Trust::default();
        let chance = |(works, effects): &(bool, BTreeMap<usize, Effect>)| {
            let effect = match fault {
                Some(fault) => effects.get(&fault).copied(),
                None => Some(Effect::Works),
            };
            let fails = effect.map(|effect| trust.chance_of_failing(effect));
            // Of a fault that is out of the question anyway nothing is known.
            fails.map_or(0.5, |fails| if *works { 1.0 - fails } else { fails })
        };
        self.tried.iter().map(chance).product()
    }

    /// Solves the grids of the likeliest resistive faults outright.
    fn refine(&mut self, ranking: &Ranking) {
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

    fn answer(&self, ranking: &Ranking, hypotheses: &[Hypothesis]) -> Narrowing {
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
            sequences_disagree: self.sequences_disagree(),
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
        let effect =
            |(_, effects): &(bool, BTreeMap<usize, Effect>)| fault.and_then(|fault| effects.get(&fault).copied());
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

    /// Whether some sequence fails or works against all faults that are left, taken sharply.
    fn sequences_disagree(&self) -> bool {
        let agrees = |fault: usize| {
            self.tried.iter().all(|(works, effects)| match effects.get(&fault) {
                Some(Effect::Marginal) => true,
                Some(effect) => (*effect == Effect::Works) == *works,
                None => false,
            })
        };
        let all_work = self.tried.iter().all(|(works, _)| *works);
        !all_work && !(0..self.faults.len()).any(|fault| self.faults[fault].weight > 0.0 && agrees(fault))
    }

    /// The root of the best order for those who are left.
    fn next(&self, ranking: &Ranking) -> Option<NextCheck> {
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
