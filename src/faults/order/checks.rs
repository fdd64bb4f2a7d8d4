//! The checks on offer in a sequence, each with its minutes, power state, door, and result for every suspect.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use serde::Serialize;

use crate::circuit::Solution;
use crate::machine::model::{Current, ElementId, Machine, PartId, PartKind, SequenceId, TestPointId};
use crate::machine::twins::difference;

use super::super::dictionary::{Dictionary, Row, SequenceTable};
use super::super::kinds::{Fault, FaultKind, Site, UsualCheck};
use super::super::search::classes::Span;
use super::super::search::symptom::Effect;
use super::super::search::{Check, Mode};
use super::bins::{Bins, Shown};
use super::spread::{self, Spread};
use super::swap::{Swapped, swapped};

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
    let table = &dictionary.sequences[sequence.0];
    let bench = Bench { machine, solution, dictionary, table, suspects, doors, spread: Spread::of(machine) };
    let mut offers = bench.voltages();
    offers.extend(bench.supplies());
    offers.extend(bench.amps());
    offers.extend(bench.drops());
    offers.extend(bench.usual_checks());
    offers.extend(bench.swaps());
    offers.extend(bench.tries());
    let all: Vec<usize> = (0..suspects.len()).collect();
    offers.retain(|offer| !offer.check.is_idle(&all));
    offers
}

struct Bench<'a> {
    machine: &'a Machine,
    solution: &'a Solution,
    dictionary: &'a Dictionary,
    table: &'a SequenceTable,
    suspects: &'a [usize],
    doors: &'a [String],
    spread: Spread,
}

impl Bench<'_> {
    fn door(&self, name: Option<&String>) -> Option<usize> {
        name.and_then(|name| self.doors.iter().position(|door| door == name))
    }

    fn door_of(&self, part: PartId) -> Option<usize> {
        self.door(self.machine.part(part).door.as_ref())
    }

    /// A check that shows a number.
    fn measured(kind: CheckKind, minutes: f64, door: Option<usize>, bins: Bins, shown: &[Shown]) -> Offer {
        let results: Vec<usize> = shown.iter().map(|one| bins.index(one.nominal)).collect();
        let also = shown.iter().map(|one| bins.all(one.span)).collect();
        Offer { kind, check: Check { minutes, mode: Mode::Live, door, results, also }, bins: Some(bins) }
    }

    /// What each suspect shows where its row has this value and a good machine this span.
    fn shown(&self, value: impl Fn(&Row) -> f64, healthy: Span, span: impl Fn(f64) -> Span) -> Vec<Shown> {
        let of_one = |&fault: &usize| {
            let row = self.table.row(fault);
            let next = larger(&self.dictionary.faults, fault).map(|next| value(self.table.row(next)));
            let hangs = (row.effect == Effect::Marginal).then_some(healthy);
            let shown = spread::shown(value(row), next, hangs, &span);
            self.table.corners(fault).iter().fold(shown, |shown, corner| shown.or(span(value(corner))))
        };
        let mut shown: Vec<Shown> = self.suspects.iter().map(of_one).collect();
        let all = shown.iter().map(|one| one.span).chain([span(0.0)]).fold(healthy, Span::with);
        for (one, &fault) in shown.iter_mut().zip(self.suspects) {
            if self.table.is_loose(fault) {
                one.span = all;
            }
        }
        shown
    }

    /// The spans of volts on the range that is asked for: AC has no sign.
    fn signed(&self, kind: CheckKind, bins: Bins) -> Bins {
        match super::super::describe::current_of(self.machine, self.solution, self.table.sequence, kind) {
            Current::Alternating => bins.unsigned(),
            Current::Direct => bins,
        }
    }

    fn voltages(&self) -> Vec<Offer> {
        (0..self.machine.test_points.len())
            .map(|index| {
                let point = &self.machine.test_points[index];
                let (low, high) = healthy_span(self.solution, self.table, index);
                let healthy = self.table.healthy.readings[index];
                let band = Span { low, high };
                let span = |nominal: f64| self.spread.volts(nominal, healthy, band);
                let shown = self.shown(|row| row.readings[index], band, span);
                let minutes = point.minutes.map_or(READING, crate::spec::units::Minutes::value);
                let kind = CheckKind::Volts(TestPointId(index));
                let bins = self.signed(kind, Bins::new(band, &shown, NO_VOLTS));
                let door = self.door(point.door.as_ref());
                Self::measured(kind, minutes, door, bins, &shown)
            })
            .collect()
    }

    fn supplies(&self) -> Vec<Offer> {
        let mut offers = Vec::new();
        for (place, &element) in self.table.watched.iter().enumerate() {
            let part = self.machine.element(element).part;
            if !matches!(self.machine.part(part).kind, PartKind::Supply(_)) {
                continue;
            }
            let band = self.spread.supply(self.table.healthy.drops[place]);
            let shown = self.shown(|row| row.drops[place], band, |nominal| self.spread.supply(nominal));
            let minutes = FaultKind::Low.defaults().minutes;
            let kind = CheckKind::SupplyVolts(part);
            let bins = self.signed(kind, Bins::new(band, &shown, NO_VOLTS));
            offers.push(Self::measured(kind, minutes, self.door_of(part), bins, &shown));
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
                let band = self.spread.amps(healthy);
                let shown = self.shown(|row| row.amps[place], band, |nominal| self.spread.amps(nominal));
                let bins = Bins::new(band, &shown, 0.05 * healthy).unsigned();
                Self::measured(CheckKind::Amps(fuse), AMPS, self.door_of(fuse), bins, &shown)
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
        let healthy = Span { low: 0.0, high: limit };
        let shown = self.shown(|row| row.drops[place].abs(), healthy, |nominal| self.spread.drop(nominal));
        Some(Self::measured(CheckKind::Drop(element), minutes, door, Bins::two(limit), &shown))
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
        let is_there = |fault: &Fault| fault.site == site && fault.kind.usual_check() == check;
        let minutes = faults().filter(|fault| is_there(fault)).map(|fault| fault.minutes).fold(0.0, f64::max);
        let blown = |&fault: &usize| if check == UsualCheck::FuseOut { self.blows(fault, site) } else { (false, 0) };
        let result = |fault: &usize| usize::from(is_there(&self.dictionary.faults[*fault]) || blown(fault).0);
        let results = self.suspects.iter().map(result).collect();
        let also = self.suspects.iter().map(|fault| blown(fault).1).collect();
        // A contact that carries nothing here cannot show a drop: it is looked at with the power off.
        let mode = if check == UsualCheck::Look { Mode::Either } else { Mode::Dead };
        let door = self.door_of(site.part(self.machine));
        Offer { kind: CheckKind::Usual(site, check), check: Check { minutes, mode, door, results, also }, bins: None }
    }

    /// Whether a fault blows the fuse at a place, which is then found blown with it; and the results that tolerances leave.
    fn blows(&self, fault: usize, site: Site) -> (bool, u32) {
        let part = site.part(self.machine);
        let (row, corners) = (self.table.row(fault), self.table.corners(fault));
        let blown = row.opened.contains(&part);
        let otherwise = |corner: &Row| corner.opened.contains(&part) != blown;
        let own = self.dictionary.faults[fault].part == part;
        let in_doubt = !own && (self.table.is_loose(fault) || corners.iter().any(otherwise));
        (blown, if in_doubt { 0b11 } else { 0 })
    }

    /// Swaps with a part of the same make, each pair once: with the twin that tells most.
    ///
    /// The fault goes with its part: in a place that this sequence needs as well, it stops the sequence from there.
    fn swaps(&self) -> Vec<Offer> {
        let parts: BTreeSet<PartId> = self.suspects.iter().map(|&fault| self.dictionary.faults[fault].part).collect();
        let mut offers: Vec<Offer> = Vec::new();
        for part in parts {
            // A swap with a part that is not the same tells nothing, and may do harm.
            let twins = self.machine.part(part).twins.iter().copied();
            let alike = twins.filter(|&twin| difference(self.machine, part, twin).is_none());
            let swaps = alike.map(|twin| self.swap(part, twin));
            let told = |offer: &Offer| offer.check.results.iter().filter(|&&result| result > 0).count();
            let best = swaps.max_by(|one, other| told(one).cmp(&told(other)).then(Ordering::Greater));
            let same = |known: &Offer, offer: &Offer| matches!((known.kind, offer.kind), (CheckKind::Swap(a, b), CheckKind::Swap(c, d)) if (a, b) == (d, c));
            offers.extend(best.filter(|offer| !offers.iter().any(|known| same(known, offer))));
        }
        offers
    }

    /// A swap, with what the sequence then does: 0 fails as before, 1 works.
    fn swap(&self, part: PartId, twin: PartId) -> Offer {
        let known = &self.dictionary.faults;
        let after = |&fault: &usize| match swapped(self.machine, known, &known[fault], (part, twin)) {
            Swapped::Stays => Effect::Fails,
            Swapped::Harmless => Effect::Works,
            Swapped::Goes(there) => self.table.effect(there),
            // Either may be: the check then tells nothing of it.
            Swapped::Unknown => Effect::Marginal,
        };
        let effects: Vec<Effect> = self.suspects.iter().map(after).collect();
        let results = effects.iter().map(|effect| usize::from(*effect == Effect::Works)).collect();
        let also: Vec<u32> = effects.iter().map(|effect| if *effect == Effect::Marginal { 0b11 } else { 0 }).collect();
        let also = if also.iter().all(|others| *others == 0) { Vec::new() } else { also };
        let check = Check { minutes: SWAP, mode: Mode::Dead, door: self.door_of(part), results, also };
        Offer { kind: CheckKind::Swap(part, twin), check, bins: None }
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
                let check = Check { minutes: TRY, mode: Mode::Live, door: None, results, also: Vec::new() };
                Some(Offer { kind: CheckKind::Try(other), check, bins: None })
            })
            .collect()
    }
}

/// The next larger size of the same fault.
fn larger(faults: &[Fault], fault: usize) -> Option<usize> {
    let (this, next) = (&faults[fault], faults.get(fault + 1)?);
    let same = (this.site, this.element, this.kind) == (next.site, next.element, next.kind);
    (same && this.size? < next.size?).then_some(fault + 1)
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
