//! Every fault of a machine, fed back as readings of its own simulation with meter error: is it found again?
//!
//! A trial takes the first sequence that the fault stops (or in which a reading leaves its healthy band), reads up to a
//! dozen live points with a meter of 0.5 % and 0.02 V, says which of the last sequences before it work, and asks. Places that
//! read the same within the meter's error at all these points are look-alikes: nobody could tell them apart.

use benchleaf::words::{Fact, Words};
use std::collections::BTreeSet;

use benchleaf::circuit::{Change, Effort, Solution, Solver};
use benchleaf::faults::dictionary::Dictionary;
use benchleaf::faults::kinds::{Fault, FaultKind};
use benchleaf::faults::narrow::{Evidence, Narrowing, VoltsAt, VoltsRead, narrow};
use benchleaf::faults::order::healthy_span;
use benchleaf::faults::search::symptom::Effect;
use benchleaf::machine::model::{Machine, SequenceId, TestPointId};

use super::clock::Clock;
use super::random::{Random, random};

/// Most points that are read.
const MOST_POINTS: usize = 12;
/// Most earlier sequences of which it is said that they work.
const MOST_EARLIER: usize = 3;

/// One fault, asked for.
pub(crate) struct Trial {
    /// The fault in words, with its sequence.
    pub(crate) label: String,
    /// Place of the true fault among the suspects, from 1.
    pub(crate) rank: usize,
    /// Place of the group of its best look-alike.
    pub(crate) group_rank: usize,
    /// Seconds of the answer.
    pub(crate) seconds: f64,
}

/// Tries every `step`-th fault that shows at all.
pub(crate) fn trials(machine: &Machine, step: usize, seed: u64) -> Vec<Trial> {
    let solver = Solver::new(machine).unwrap();
    let solution = solver.solve(Effort::Bands);
    let dictionary = Dictionary::build(machine, &solver, &solution);
    let mut random = random(seed);
    let bench = Bench { machine, solver: &solver, solution: &solution, dictionary: &dictionary };
    (0..dictionary.faults.len())
        .step_by(step)
        .filter(|&fault| dictionary.faults[fault].weight > 0.0)
        .filter_map(|fault| bench.sequence(fault).map(|sequence| (fault, sequence)))
        .map(|(fault, sequence)| bench.trial(fault, sequence, &mut random))
        .collect()
}

struct Bench<'a> {
    machine: &'a Machine,
    solver: &'a Solver<'a>,
    solution: &'a Solution,
    dictionary: &'a Dictionary,
}

impl Bench<'_> {
    /// The sequence in which a fault is looked for; none where it shows nowhere.
    fn sequence(&self, fault: usize) -> Option<SequenceId> {
        let tables = &self.dictionary.sequences;
        let stopped = tables.iter().position(|table| table.effect(fault) == Effect::Fails);
        let seen = || {
            tables.iter().position(|table| {
                let readings = &table.row(fault).readings;
                readings.iter().enumerate().any(|(point, volts)| {
                    let (low, high) = healthy_span(self.solution, table, point);
                    *volts < low || *volts > high
                })
            })
        };
        stopped.or_else(seen).map(SequenceId)
    }

    fn trial(&self, fault: usize, sequence: SequenceId, random: &mut Random) -> Trial {
        let points = self.points(fault, sequence);
        let evidence = self.evidence(fault, sequence, &points, random);
        let start = Clock::start();
        let found = narrow(self.machine, self.solver, self.solution, &evidence).unwrap();
        let seconds = start.elapsed().as_secs_f64();
        let truth = &self.dictionary.faults[fault];
        let place = truth.site.label(self.machine);
        let mut alike = self.look_alikes(fault, sequence, &points, &evidence);
        alike.insert(place.clone());
        let number = self.machine.sequences[sequence.0].number;
        Trial {
            label: format!("{}, sequence {number}", Words::of("en").expect("built in").say(&truth.label(self.machine))),
            rank: rank(&found, &BTreeSet::from([place])),
            group_rank: group_rank(&found, &alike),
            seconds,
        }
    }

    /// Live points, those that tell most first.
    fn points(&self, fault: usize, sequence: SequenceId) -> Vec<usize> {
        let table = &self.dictionary.sequences[sequence.0];
        let (healthy, faulty) = (&table.healthy.readings, &table.row(fault).readings);
        let mut points: Vec<usize> =
            (0..healthy.len()).filter(|&point| healthy[point].abs() > 1.0 || faulty[point].abs() > 1.0).collect();
        let change = |point: usize| (healthy[point] - faulty[point]).abs();
        points.sort_by(|&a, &b| change(b).total_cmp(&change(a)).then(a.cmp(&b)));
        points.truncate(MOST_POINTS);
        points
    }

    fn evidence(&self, fault: usize, sequence: SequenceId, points: &[usize], random: &mut Random) -> Evidence {
        let row = self.dictionary.sequences[sequence.0].row(fault);
        let mut evidence = Evidence::none(self.machine);
        evidence.sequence = Some(sequence);
        for &point in points {
            let volts = row.readings[point];
            let error = 0.005 * volts * random.normal() + 0.02 * random.normal();
            let name = self.machine.test_points[point].id.clone();
            evidence.volts.push(VoltsRead { name, at: VoltsAt::Point(TestPointId(point)), volts: volts + error });
        }
        for earlier in (0..=sequence.0).rev().take(MOST_EARLIER + 1) {
            evidence.seen[earlier] = match self.dictionary.sequences[earlier].effect(fault) {
                Effect::Works => Some(true),
                Effect::Fails => Some(false),
                Effect::Marginal => None,
            };
        }
        evidence
    }

    /// Other places with a fault that nobody could tell from this one by what was read and seen.
    fn look_alikes(&self, fault: usize, sequence: SequenceId, points: &[usize], evidence: &Evidence) -> BTreeSet<Fact> {
        let truth = &self.dictionary.faults[fault];
        let wanted = &self.dictionary.sequences[sequence.0].row(fault).readings;
        let same = |readings: &[f64]| {
            points
                .iter()
                .all(|&point| (readings[point] - wanted[point]).abs() <= 2.0 * (0.005 * wanted[point].abs() + 0.03))
        };
        let agrees = |other: usize| {
            evidence.seen.iter().zip(&self.dictionary.sequences).all(|(seen, table)| {
                match (seen, table.effect(other)) {
                    (None, _) | (_, Effect::Marginal) => true,
                    (Some(works), effect) => (effect == Effect::Works) == *works,
                }
            })
        };
        let mut places = BTreeSet::new();
        for (index, other) in self.dictionary.faults.iter().enumerate() {
            if other.weight > 0.0 && agrees(index) && same(&self.readings(other, index, truth, sequence)) {
                places.insert(other.site.label(self.machine));
            }
        }
        places
    }

    /// Readings of another fault; a resistive one is given the ohms that the true one adds.
    fn readings(&self, other: &Fault, index: usize, truth: &Fault, sequence: SequenceId) -> Vec<f64> {
        match (other.element, other.size, ohms_added(truth)) {
            (Some(element), Some(own), Some(ohms)) if own.is_finite() => {
                let outcome = self.solver.faulted(self.solution, sequence, &[Change::Added(element, ohms)]);
                outcome.readings.iter().map(|reading| reading.volts).collect()
            }
            _ => self.dictionary.sequences[sequence.0].row(index).readings.clone(),
        }
    }
}

/// Ohms that a fault adds in its place, where it adds any: a resistor of twice its ohms adds them once more.
fn ohms_added(fault: &Fault) -> Option<f64> {
    match (fault.kind, &fault.changes[..]) {
        (FaultKind::HighValue, [Change::Value(_, ohms)]) => Some(0.5 * ohms),
        _ => fault.size.filter(|size| size.is_finite()),
    }
}

/// Place of the first of some places among the suspects; those that are answered as one for being alike count once.
fn group_rank(found: &Narrowing, places: &BTreeSet<Fact>) -> usize {
    let group = found.suspects.iter().find(|suspect| places.contains(&suspect.place)).map(|suspect| suspect.group);
    group.unwrap_or(usize::MAX)
}

/// Place of the first of some places among the suspects.
fn rank(found: &Narrowing, places: &BTreeSet<Fact>) -> usize {
    found.suspects.iter().position(|suspect| places.contains(&suspect.place)).map_or(usize::MAX, |place| place + 1)
}
