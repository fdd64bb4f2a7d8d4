//! The checks on offer in a sequence, each with its minutes, power state, door, and result for every suspect.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::circuit::Solution;
use crate::machine::model::{ElementId, Machine, PartId, PartKind, SequenceId, TestPointId};
use crate::machine::twins::difference;

use super::super::dictionary::{Dictionary, SequenceTable};
use super::super::kinds::{FaultKind, Site, UsualCheck};
use super::super::search::symptom::Effect;
use super::super::search::{Check, Mode};
use super::bins::Bins;

/// One way to find something out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case", tag = "what", content = "of")]
pub enum CheckKind {
    /// Volts at a test point against its reference.
    Volts(#[serde(serialize_with = "test_point_index")] TestPointId),
    /// Volts at the terminals of a supply.
    SupplyVolts(#[serde(serialize_with = "part_index")] PartId),
    /// Volts across a contact, pin, or fuse clip under load.
    Drop(#[serde(serialize_with = "element_index")] ElementId),
    /// Amps through a fuse that is pulled and replaced by the meter.
    Amps(#[serde(serialize_with = "part_index")] PartId),
    /// Another usual check of one place.
    Usual(#[serde(serialize_with = "site_index")] Site, UsualCheck),
    /// Swapped with a part of the same make.
    Swap(#[serde(serialize_with = "part_index")] PartId, #[serde(serialize_with = "part_index")] PartId),
    /// Trying another sequence.
    Try(#[serde(serialize_with = "sequence_index")] SequenceId),
}

macro_rules! plain_index {
    ($($name:ident, $type:ty;)*) => {$(
        fn $name<S: serde::Serializer>(index: &$type, serializer: S) -> Result<S::Ok, S::Error> {
            serializer.serialize_u64(index.0 as u64)
        }
    )*};
}

plain_index! {
    test_point_index, TestPointId;
    part_index, PartId;
    element_index, ElementId;
    sequence_index, SequenceId;
}

fn site_index<S: serde::Serializer>(site: &Site, serializer: S) -> Result<S::Ok, S::Error> {
    let (kind, index) = match site {
        Site::Element(element) => ("element", element.0),
        Site::Group(part) => ("group", part.0),
        Site::Whole(part) => ("part", part.0),
    };
    serializer.serialize_str(&format!("{kind} {index}"))
}

impl CheckKind {
    /// Whether it looks at one place and nothing else.
    #[must_use]
    pub fn is_direct(self) -> bool {
        matches!(self, CheckKind::Drop(_) | CheckKind::Usual(..))
    }
}

/// A check with its results.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// What it is.
    pub kind: CheckKind,
    /// What the search needs of it.
    pub check: Check,
    /// The spans of its readings, where it shows a number.
    pub bins: Option<Bins>,
}

/// Minutes of a reading at a test point unless the description says otherwise: common practice, no source.
const READING: f64 = 1.0;
/// Minutes to pull a fuse, put the meter in its place, read, and put it back.
const AMPS: f64 = 4.0;
/// Minutes to swap two plug-in parts and try again.
const SWAP: f64 = 3.0;
/// Minutes to run the machine through another sequence.
const TRY: f64 = 1.0;
/// Volts across a closed contact, pin or clip from which it counts as bad under load. Below this a meter lead may be at fault.
const BAD_DROP: f64 = 0.3;
/// What counts as no volts and no amps.
const NO_VOLTS: f64 = 0.5;

/// All checks that can tell some of these suspects apart in a sequence.
#[must_use]
pub fn offers(
    machine: &Machine,
    solution: &Solution,
    dictionary: &Dictionary,
    sequence: SequenceId,
    suspects: &[usize],
    doors: &[String],
) -> Vec<Offer> {
    let bench = Bench { machine, solution, dictionary, table: &dictionary.sequences[sequence.0], suspects, doors };
    let mut offers = bench.voltages();
    offers.extend(bench.supplies());
    offers.extend(bench.amps());
    offers.extend(bench.drops());
    offers.extend(bench.usual_checks());
    offers.extend(bench.swaps());
    offers.extend(bench.tries());
    offers.retain(|offer| offer.check.results.iter().any(|result| *result != offer.check.results[0]));
    offers
}

struct Bench<'a> {
    machine: &'a Machine,
    solution: &'a Solution,
    dictionary: &'a Dictionary,
    table: &'a SequenceTable,
    suspects: &'a [usize],
    doors: &'a [String],
}

impl Bench<'_> {
    fn door(&self, name: Option<&String>) -> Option<usize> {
        name.and_then(|name| self.doors.iter().position(|door| door == name))
    }

    fn door_of(&self, part: PartId) -> Option<usize> {
        self.door(self.machine.part(part).door.as_ref())
    }

    /// A check that shows a number.
    fn measured(
        &self,
        kind: CheckKind,
        minutes: f64,
        door: Option<usize>,
        bins: Bins,
        value: impl Fn(usize) -> f64,
    ) -> Offer {
        let results = self.suspects.iter().map(|&fault| bins.index(value(fault))).collect();
        Offer { kind, check: Check { minutes, mode: Mode::Live, door, results }, bins: Some(bins) }
    }

    fn voltages(&self) -> Vec<Offer> {
        (0..self.machine.test_points.len())
            .map(|index| {
                let point = &self.machine.test_points[index];
                let readings: Vec<f64> =
                    self.suspects.iter().map(|&fault| self.table.row(fault).readings[index]).collect();
                let bins = Bins::new(healthy_span(self.solution, self.table, index), &readings, NO_VOLTS);
                let minutes = point.minutes.map_or(READING, crate::spec::units::Minutes::value);
                self.measured(
                    CheckKind::Volts(TestPointId(index)),
                    minutes,
                    self.door(point.door.as_ref()),
                    bins,
                    |fault| self.table.row(fault).readings[index],
                )
            })
            .collect()
    }

    fn supplies(&self) -> Vec<Offer> {
        let mut offers = Vec::new();
        for (place, &element) in self.table.watched.iter().enumerate() {
            let part = self.machine.element(element).part;
            let PartKind::Supply(supply) = &self.machine.part(part).kind else { continue };
            let healthy = self.table.healthy.drops[place];
            let nominal = supply.voltage.nominal.value();
            let share = |value: f64| if nominal > 0.0 { value / nominal } else { 1.0 };
            let (low, high) = (share(supply.voltage.low.value()), share(supply.voltage.high.value()));
            let span = (healthy * low.min(0.95), healthy * high.max(1.05));
            let span = (span.0.min(span.1), span.0.max(span.1));
            let readings: Vec<f64> = self.suspects.iter().map(|&fault| self.table.row(fault).drops[place]).collect();
            let minutes = FaultKind::Low.defaults().minutes;
            let bins = Bins::new(span, &readings, NO_VOLTS);
            offers.push(self.measured(CheckKind::SupplyVolts(part), minutes, self.door_of(part), bins, |fault| {
                self.table.row(fault).drops[place]
            }));
        }
        offers
    }

    fn amps(&self) -> Vec<Offer> {
        super::super::dictionary::fuses(self.machine)
            .into_iter()
            .enumerate()
            .filter(|(place, _)| self.table.healthy.amps[*place] > 1e-3)
            .map(|(place, (fuse, _))| {
                let healthy = self.table.healthy.amps[place];
                let readings: Vec<f64> = self.suspects.iter().map(|&fault| self.table.row(fault).amps[place]).collect();
                let bins = Bins::new((0.85 * healthy, 1.15 * healthy), &readings, 0.05 * healthy);
                self.measured(CheckKind::Amps(fuse), AMPS, self.door_of(fuse), bins, |fault| {
                    self.table.row(fault).amps[place]
                })
            })
            .collect()
    }

    /// The drop of each place in the live path that a suspect's usual check would measure.
    fn drops(&self) -> Vec<Offer> {
        let mut wanted: BTreeSet<(ElementId, u64)> = BTreeSet::new();
        for &fault in self.suspects {
            let fault = &self.dictionary.faults[fault];
            if fault.kind.usual_check() == UsualCheck::Drop
                && let Some(element) = fault.element
            {
                wanted.insert((element, fault.minutes.to_bits()));
            }
        }
        wanted.into_iter().filter_map(|(element, minutes)| self.drop(element, f64::from_bits(minutes))).collect()
    }

    fn drop(&self, element: ElementId, minutes: f64) -> Option<Offer> {
        let place = self.table.watched.iter().position(|&watched| watched == element)?;
        let limit = BAD_DROP.max(3.0 * self.table.healthy.drops[place].abs());
        let door = self.door_of(self.machine.element(element).part);
        Some(self.measured(CheckKind::Drop(element), minutes, door, Bins::two(limit), |fault| {
            self.table.row(fault).drops[place].abs()
        }))
    }

    /// Checks that look at one place only: they tell whether the fault is there.
    fn usual_checks(&self) -> Vec<Offer> {
        let mut wanted: BTreeSet<(Site, UsualCheck)> = BTreeSet::new();
        for &fault in self.suspects {
            let fault = &self.dictionary.faults[fault];
            let check = fault.kind.usual_check();
            let measured = match check {
                UsualCheck::Drop => fault.element.is_some_and(|element| self.table.watched.contains(&element)),
                UsualCheck::SupplyVolts => true,
                _ => false,
            };
            if !measured {
                wanted.insert((fault.site, check));
            }
        }
        wanted.into_iter().map(|(site, check)| self.usual(site, check)).collect()
    }

    fn usual(&self, site: Site, check: UsualCheck) -> Offer {
        let faults = || self.suspects.iter().map(|&fault| &self.dictionary.faults[fault]);
        let is_there = |fault: &super::super::kinds::Fault| fault.site == site && fault.kind.usual_check() == check;
        let minutes = faults().filter(|fault| is_there(fault)).map(|fault| fault.minutes).fold(0.0, f64::max);
        let results = faults().map(|fault| usize::from(is_there(fault))).collect();
        // A contact that carries nothing here cannot show a drop: it is looked at with the power off.
        let mode = if check == UsualCheck::Look { Mode::Either } else { Mode::Dead };
        let door = self.door_of(site.part(self.machine));
        Offer { kind: CheckKind::Usual(site, check), check: Check { minutes, mode, door, results }, bins: None }
    }

    fn swaps(&self) -> Vec<Offer> {
        let parts: BTreeSet<PartId> = self.suspects.iter().map(|&fault| self.dictionary.faults[fault].part).collect();
        parts
            .into_iter()
            .filter_map(|part| {
                // A swap with a part that is not the same tells nothing, and may do harm.
                let alike = |twin: &&PartId| difference(self.machine, part, **twin).is_none();
                self.machine.part(part).twins.iter().find(alike).map(|&twin| (part, twin))
            })
            .map(|(part, twin)| {
                let results = self
                    .suspects
                    .iter()
                    .map(|&fault| usize::from(self.dictionary.faults[fault].part == part))
                    .collect();
                let check = Check { minutes: SWAP, mode: Mode::Dead, door: self.door_of(part), results };
                Offer { kind: CheckKind::Swap(part, twin), check, bins: None }
            })
            .collect()
    }

    /// Later sequences that do not start from this one. What a supply's tolerance decides tells nothing.
    fn tries(&self) -> Vec<Offer> {
        let here = self.table.sequence;
        (here.0 + 1..self.machine.sequences.len())
            .map(SequenceId)
            .filter(|&other| !starts_from(self.machine, other, here))
            .filter_map(|other| {
                let table = &self.dictionary.sequences[other.0];
                let effects: Vec<Effect> = self.suspects.iter().map(|&fault| table.effect(fault)).collect();
                if effects.contains(&Effect::Marginal) {
                    return None;
                }
                let results = effects.iter().map(|effect| usize::from(*effect == Effect::Fails)).collect();
                let check = Check { minutes: TRY, mode: Mode::Live, door: None, results };
                Some(Offer { kind: CheckKind::Try(other), check, bins: None })
            })
            .collect()
    }
}

/// Whether a sequence comes after another, directly or through others.
fn starts_from(machine: &Machine, sequence: SequenceId, other: SequenceId) -> bool {
    let mut at = sequence;
    // Each step goes back by one; a circle would not get past all of them.
    for _ in 0..machine.sequences.len() {
        match machine.sequences[at.0].after {
            Some(before) if before == other => return true,
            Some(before) => at = before,
            None => return false,
        }
    }
    false
}

/// What a healthy machine may show at a test point: the printed band, with room for the meter.
#[must_use]
pub fn healthy_span(solution: &Solution, table: &SequenceTable, point: usize) -> (f64, f64) {
    let healthy = table.healthy.readings[point];
    let room = (0.02 * healthy.abs()).max(0.1);
    // A point that carries both kinds of current has two readings; the dictionary holds the main one.
    let band = solution
        .sequence(table.sequence)
        .readings
        .iter()
        .filter(|reading| reading.at.0 == point)
        .min_by(|a, b| (a.nominal - healthy).abs().total_cmp(&(b.nominal - healthy).abs()))
        .map(|reading| reading.band);
    let (low, high) = band.map_or((healthy, healthy), |band| (band.low.min(healthy), band.high.max(healthy)));
    (low.min(healthy - room), high.max(healthy + room))
}
