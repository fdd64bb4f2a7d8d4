//! What every fault predicts for the readings that were taken.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::results::Band;
use crate::circuit::{Across, Change, Glance, Kept, Solution, Solver};
use crate::machine::model::{Machine, PartId, PartKind, SequenceId, Setting};

use super::super::kinds::Fault;
use super::super::search::ranking::{Observation, Prediction};
use super::evidence::{Evidence, OhmsAt, VoltsAt};

/// Ohms that stand for no continuity.
const NO_CONTINUITY: f64 = 1e7;
/// Ohms of leads and probes: readings of less than about this tell nothing apart.
const LEADS: f64 = 1.0;
/// Error of a meter on volts as a share, and in volts.
const METER: (f64, f64) = (0.005, 0.02);
/// Least error of the model in volts.
const MODEL: f64 = 0.05;
/// Standard deviation of an even spread over its width: 1/√12.
const EVEN_SPREAD: f64 = 0.288_675;
/// Error of ohms as a share: half the usual coil tolerance, for one standard deviation.
const OHMS: f64 = 0.06;

/// Solves faults for the readings of some evidence.
pub(super) struct Predictor<'a, 'm> {
    pub(super) machine: &'m Machine,
    pub(super) solver: &'a Solver<'m>,
    pub(super) solution: &'a Solution,
    pub(super) evidence: &'a Evidence,
    /// What is kept of each state: what was read.
    kept: Kept,
    /// For each supply: one standard deviation as a share, and its part in each reading on a healthy machine.
    supplies: Vec<(f64, Vec<f64>)>,
}

impl<'a, 'm> Predictor<'a, 'm> {
    pub(super) fn new(
        machine: &'m Machine,
        solver: &'a Solver<'m>,
        solution: &'a Solution,
        evidence: &'a Evidence,
    ) -> Self {
        let mut kept = Kept::default();
        for read in &evidence.volts {
            match read.at {
                VoltsAt::Point(_) => {}
                VoltsAt::Joint(joint) => kept.joints.push(joint),
                VoltsAt::Across(element) => kept.volts.push(element),
            }
        }
        kept.joints.extend((!kept.joints.is_empty()).then_some(machine.reference));
        let mut made = Self { machine, solver, solution, evidence, kept, supplies: Vec::new() };
        made.supplies = made.supplies();
        made
    }

    /// The readings as observations.
    pub(super) fn observations(&self) -> Vec<Observation> {
        let volts = self.evidence.volts.iter().map(|read| Observation {
            value: if matches!(read.at, VoltsAt::Across(_)) { read.volts.abs() } else { read.volts },
            relative: METER.0,
            fixed: METER.1,
            model: self.model_error(read.at),
            range: 100.0,
        });
        let ohms = self.evidence.ohms.iter().map(|read| Observation {
            value: shown(read.ohms),
            relative: 0.0,
            fixed: 0.01,
            model: OHMS,
            range: shown(None),
        });
        volts.chain(ohms).collect()
    }

    /// What a healthy machine or one with these changes shows: the state for volts, and all readings.
    pub(super) fn state(&self, changes: &[Change]) -> (Option<Glance>, Vec<f64>) {
        self.state_with(changes, &self.kept)
    }

    fn state_with(&self, changes: &[Change], kept: &Kept) -> (Option<Glance>, Vec<f64>) {
        let sequence = self.evidence.sequence.filter(|_| !self.evidence.volts.is_empty());
        let glance = sequence.map(|sequence| self.solver.glance(self.solution, sequence, changes, kept));
        let mut values: Vec<f64> = glance.as_ref().map(|glance| self.volts(glance)).unwrap_or_default();
        values.extend(self.evidence.ohms.iter().map(|read| self.ohms(read.at, changes)));
        (glance, values)
    }

    /// Predictions of a grid of sizes. Each size stands for all up to half-way to its neighbours, which moves all readings
    /// together: one more common tolerance, of the deviation of an even spread.
    pub(super) fn grid(&self, grid: &[(f64, Vec<f64>)], agrees: impl Fn(f64) -> f64) -> Vec<Prediction> {
        let sizes: Vec<f64> = grid.iter().map(|(ohms, _)| *ohms).collect();
        let widths = widths(&sizes);
        (0..grid.len())
            .map(|place| {
                let (ohms, values) = &grid[place];
                let mut prediction = self.prediction(Some(*ohms), agrees(*ohms) * widths[place], values.clone());
                let (before, after) = (&grid[place.saturating_sub(1)].1, &grid[(place + 1).min(grid.len() - 1)].1);
                let spread = before.iter().zip(after).map(|(a, b)| EVEN_SPREAD * 0.5 * (b - a)).collect();
                prediction.common.push(spread);
                prediction
            })
            .collect()
    }

    /// A prediction with the tolerances that all readings share.
    pub(super) fn prediction(&self, size: Option<f64>, weight: f64, values: Vec<f64>) -> Prediction {
        let volts = self.evidence.volts.len();
        let common = self
            .supplies
            .iter()
            .map(|(deviation, parts)| {
                let change =
                    |(index, value): (usize, &f64)| if index < volts { deviation * parts[index] * value } else { 0.0 };
                values.iter().enumerate().map(change).collect()
            })
            .collect();
        Prediction { size, weight, values, common }
    }

    fn volts(&self, glance: &Glance) -> Vec<f64> {
        let (mut joints, mut across) = (glance.joints.iter(), glance.volts.iter());
        let reading = |at: VoltsAt| match at {
            VoltsAt::Point(point) => glance.readings[point.0],
            VoltsAt::Joint(_) => joints.next().zip(glance.joints.last()).map_or(0.0, |(joint, reference)| {
                let alternating = (joint.real - reference.real).hypot(joint.imaginary - reference.imaginary);
                let volts = Across { direct: joint.direct - reference.direct, alternating };
                if joint.floating { 0.0 } else { volts.main() }
            }),
            VoltsAt::Across(_) => across.next().map_or(0.0, |volts| volts.main().abs()),
        };
        self.evidence.volts.iter().map(|read| read.at).map(reading).collect()
    }

    fn ohms(&self, at: OhmsAt, changes: &[Change]) -> f64 {
        let (a, b, lifted) = match at {
            OhmsAt::Lifted(element) => {
                let ends = self.machine.element(element);
                (ends.from, ends.to, Some(element))
            }
            OhmsAt::Between(a, b) => (a, b, None),
        };
        // A contact that is measured is held closed by hand; all others are at rest.
        let setting = Setting::default();
        let mut held = changes.to_vec();
        if let Some(element) = lifted {
            held.insert(0, Change::StuckClosed(element));
        }
        shown(self.solver.dead_ohms(&setting, &BTreeSet::new(), (a, b), lifted, &held))
    }

    /// One standard deviation of what parts' tolerances do to a reading beside the supply's: a quarter of its band, or of
    /// that of the drop from the supply, whichever the supply itself widens less.
    fn model_error(&self, at: VoltsAt) -> f64 {
        let (VoltsAt::Point(point), Some(sequence)) = (at, self.evidence.sequence) else { return MODEL };
        let readings = &self.solution.sequence(sequence).readings;
        let Some(reading) = readings.iter().find(|reading| reading.at == point) else { return MODEL };
        let width = |band: &Band| 0.25 * (band.high - band.low);
        let of_drop = reading.drop.as_ref().map_or(f64::INFINITY, |drop| width(&drop.band));
        let least = width(&reading.band).min(of_drop);
        // A point without a drop of its own has the supply's tolerance in its band, which is counted elsewhere.
        if reading.drop.is_none() && reading.nominal.abs() > 1.0 { MODEL } else { least.max(MODEL) }
    }

    /// How much each supply has to do with each reading of volts.
    fn supplies(&self) -> Vec<(f64, Vec<f64>)> {
        let Some(sequence) = self.evidence.sequence.filter(|_| !self.evidence.volts.is_empty()) else {
            return Vec::new();
        };
        let healthy = self.volts(&self.solver.glance(self.solution, sequence, &[], &self.kept));
        let supplies: Vec<(PartId, f64)> = self.machine.parts.iter().enumerate().filter_map(deviation).collect();
        let moved: Vec<Vec<f64>> =
            supplies.iter().map(|&(part, share)| self.moved(sequence, part, share, &healthy)).collect();
        let all: Vec<f64> = moved.iter().map(|row| row.iter().sum()).collect();
        let whole: f64 = all.iter().sum();
        supplies
            .iter()
            .zip(&moved)
            .zip(&all)
            .map(|((&(_, share), row), of_all)| {
                let parts = (0..healthy.len()).map(|reading| {
                    let total: f64 = moved.iter().map(|row| row[reading]).sum();
                    // A reading that no supply moves on a healthy machine follows the sequence's main one.
                    if total > 1e-3 {
                        row[reading] / total
                    } else if whole > 0.0 {
                        of_all / whole
                    } else {
                        0.0
                    }
                });
                (share, parts.collect())
            })
            .collect()
    }

    fn moved(&self, sequence: SequenceId, part: PartId, share: f64, healthy: &[f64]) -> Vec<f64> {
        let raised =
            self.solver.glance(self.solution, sequence, &[Change::SupplyScaled(part, 1.0 + share)], &self.kept);
        self.volts(&raised).iter().zip(healthy).map(|(raised, healthy)| (raised - healthy).abs()).collect()
    }
}

/// A supply with half its tolerance as a share: one standard deviation.
fn deviation((index, part): (usize, &crate::machine::model::Part)) -> Option<(PartId, f64)> {
    let PartKind::Supply(supply) = &part.kind else { return None };
    let nominal = supply.voltage.nominal.value();
    let width = supply.voltage.high.value() - supply.voltage.low.value();
    (nominal > 0.0).then(|| (PartId(index), (0.25 * width / nominal).max(0.01)))
}

/// Ohms on the scale on which they are compared: logarithmic, with the leads in series.
fn shown(ohms: Option<f64>) -> f64 {
    (ohms.unwrap_or(NO_CONTINUITY).min(NO_CONTINUITY) + LEADS).ln()
}

/// By how much a reading between two solved sizes may be off, as a share and in volts (or parts of the logarithm of ohms):
/// less than the meter and the model are. The likeliest faults are solved throughout before they are named.
const CLOSE_ENOUGH: (f64, f64) = (0.002, 0.02);
/// Points of the fine grid.
const POINTS: u32 = 61;

/// Points to either side of a size where its grid is refined.
const CLOSE: i32 = 12;

/// How much of a logarithmic scale each size of a grid stands for, in units of the mean: sizes that lie close count less.
fn widths(sizes: &[f64]) -> Vec<f64> {
    let edge = |place: usize| match place {
        0 => sizes[0].ln(),
        last if last == sizes.len() => sizes[last - 1].ln(),
        place => 0.5 * (sizes[place - 1].ln() + sizes[place].ln()),
    };
    let widths: Vec<f64> = (0..sizes.len()).map(|place| edge(place + 1) - edge(place)).collect();
    let whole: f64 = widths.iter().sum();
    #[expect(clippy::cast_precision_loss, reason = "a grid has few points")]
    let count = sizes.len() as f64;
    widths.into_iter().map(|width| if whole > 0.0 { width * count / whole } else { 1.0 }).collect()
}

/// Sizes of the fine grid: 0.5 to 200 Ω added, evenly on a logarithmic scale.
pub(super) fn fine_grid() -> impl Iterator<Item = f64> {
    (0..POINTS).map(|step| 0.5 * 400f64.powf(f64::from(step) / f64::from(POINTS - 1)))
}

impl Predictor<'_, '_> {
    /// Readings over the fine grid, interpolated between solved sizes. Each gap is halved until nothing moves in it and its
    /// middle comes out as interpolated: in a linear circuit at once, in one with lamps or relays where they take over.
    pub(super) fn quick_grid(&self, fault: &Fault) -> Vec<(f64, Vec<f64>)> {
        let fine: Vec<f64> = fine_grid().collect();
        let mut solved: BTreeMap<usize, Solved> = BTreeMap::new();
        for place in [0, fine.len() - 1] {
            solved.extend(self.solved(fault, fine[place]).map(|one| (place, one)));
        }
        let mut gaps = vec![(0, fine.len() - 1)];
        while let Some((first, last)) = gaps.pop().filter(|_| solved.len() > 1) {
            let middle = usize::midpoint(first, last);
            let Some(one) = (first < middle).then(|| self.solved(fault, fine[middle])).flatten() else { continue };
            let guessed = solved.get(&first).zip(solved.get(&last)).and_then(|ends| between(ends, fine[middle]));
            let hits = guessed.is_some_and(|values| {
                values
                    .iter()
                    .zip(&one.values)
                    .all(|(guessed, value)| (guessed - value).abs() <= CLOSE_ENOUGH.0 * value.abs() + CLOSE_ENOUGH.1)
            });
            let moves = solved.get(&first).is_none_or(|end| end.moved != one.moved);
            solved.insert(middle, one);
            if moves || !hits {
                gaps.extend([(first, middle), (middle, last)]);
            }
        }
        let readings = |(place, &ohms): (usize, &f64)| {
            let (_, before) = solved.range(..=place).next_back()?;
            let (_, after) = solved.range(place..).next()?;
            let values = between((before, after), ohms).or_else(|| self.solved(fault, ohms).map(|one| one.values))?;
            Some((ohms, values))
        };
        fine.iter().enumerate().filter_map(readings).collect()
    }

    /// Readings over the fine grid and closely around a size, each solved.
    pub(super) fn exact_grid(&self, fault: &Fault, around: f64) -> Vec<(f64, Vec<f64>)> {
        let close = (-CLOSE..=CLOSE).map(|step| around * 1.2f64.powf(f64::from(step) / f64::from(CLOSE)));
        let mut sizes: Vec<f64> = fine_grid().chain(close).filter(|ohms| (0.5..=200.0).contains(ohms)).collect();
        sizes.sort_by(f64::total_cmp);
        sizes.into_iter().filter_map(|ohms| self.solved(fault, ohms).map(|solved| (ohms, solved.values))).collect()
    }

    fn solved(&self, fault: &Fault, ohms: f64) -> Option<Solved> {
        let element = fault.element?;
        let mut kept = self.kept.clone();
        kept.volts.push(element);
        kept.amps.push(element);
        let (glance, values) = self.state_with(&[Change::Added(element, ohms)], &kept);
        let (mut amps, mut alternating, mut moved) = (0.0, false, Vec::new());
        if let Some(glance) = glance {
            alternating = glance.volts.last().is_some_and(|volts| volts.alternating > volts.direct.abs());
            amps = glance.amps.last().map_or(0.0, |amps| amps.abs());
            moved.clone_from(&glance.operates);
            moved.push(Some(glance.settled && glance.opened.is_empty()));
        }
        Some(Solved { ohms, amps, alternating, moved, values })
    }
}

/// Readings with some ohms added.
struct Solved {
    ohms: f64,
    /// Amps through the faulty element.
    amps: f64,
    /// Whether they are AC.
    alternating: bool,
    /// What moves, shines or opens.
    moved: Vec<Option<bool>>,
    values: Vec<f64>,
}

/// Readings at a size between two solved ones. In a linear circuit every voltage is linear in the current through the
/// faulty element, and that is Voc/(R + T); so two sizes give T, and with it everything between them. None where something
/// moves between the two. Magnitudes of AC lie near to a straight line on a logarithmic scale.
fn between((a, b): (&Solved, &Solved), ohms: f64) -> Option<Vec<f64>> {
    if (b.ohms - ohms).abs() < 1e-9 {
        return Some(b.values.clone());
    }
    if a.moved != b.moved {
        return None;
    }
    let inner = (b.amps * b.ohms - a.amps * a.ohms) / (a.amps - b.amps);
    let share = if inner.is_finite() && inner > 0.0 && !a.alternating && !b.alternating {
        let at = |ohms: f64| 1.0 / (ohms + inner);
        (at(a.ohms) - at(ohms)) / (at(a.ohms) - at(b.ohms))
    } else {
        (ohms / a.ohms).ln() / (b.ohms / a.ohms).ln()
    };
    Some(a.values.iter().zip(&b.values).map(|(a, b)| a + share * (b - a)).collect())
}
