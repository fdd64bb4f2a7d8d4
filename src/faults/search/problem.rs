//! What a check order is made for: suspects with weights, checks with minutes, and the result of each check for each.

use std::collections::BTreeMap;
use std::fmt;

use super::bits::{Bits, Group};

/// Whether the machine must be powered for a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    /// Powered.
    Live,
    /// Isolated, discharged, proved dead.
    Dead,
    /// Either will do, such as a look from outside.
    Either,
}

/// One check on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Minutes of the check itself.
    pub minutes: f64,
    /// Power state that it needs.
    pub mode: Mode,
    /// The cover that must be open, as an index of [`Problem::doors`].
    pub door: Option<usize>,
    /// Its result for each suspect with every value nominal: a class number.
    pub results: Vec<usize>,
    /// For each suspect the results that tolerances may give instead, one bit each; empty where there are none.
    pub also: Vec<u32>,
}

impl Check {
    /// A check without conditions.
    #[must_use]
    pub fn plain(minutes: f64, results: Vec<usize>) -> Self {
        Self { minutes, mode: Mode::Either, door: None, results, also: Vec::new() }
    }

    /// Whether it may show this result for a suspect.
    #[must_use]
    pub fn may(&self, suspect: usize, result: usize) -> bool {
        self.results[suspect] == result || result < 32 && self.others(suspect) & (1 << result) != 0
    }

    /// Whether it may show the same for two suspects.
    #[must_use]
    pub fn may_agree(&self, one: usize, other: usize) -> bool {
        let nominal = [self.results[one], self.results[other]];
        nominal[0] == nominal[1]
            || self.may(one, nominal[1])
            || self.may(other, nominal[0])
            || self.others(one) & self.others(other) != 0
    }

    /// Results beside the nominal one, one bit each.
    #[must_use]
    pub fn others(&self, suspect: usize) -> u32 {
        self.also.get(suspect).copied().unwrap_or(0)
    }

    /// Whether it cannot tell some suspects apart, whatever it shows.
    #[must_use]
    pub fn is_idle(&self, suspects: &[usize]) -> bool {
        let row = |one: usize| (self.results[one], self.others(one));
        suspects.iter().all(|&one| row(one) == row(suspects[0]))
    }

    /// All results that it may show for a suspect, one bit each; none where one has no bit.
    fn bits(&self, suspect: usize) -> Option<u32> {
        let result = u32::try_from(self.results[suspect]).ok()?;
        Some(self.others(suspect) | 1_u32.checked_shl(result)?)
    }

    /// Whether some result would leave all of these suspects.
    fn leaves_all(&self, suspects: &[usize]) -> bool {
        let common = suspects.iter().try_fold(u32::MAX, |common, &one| Some(common & self.bits(one)?));
        // Results beyond the bits are never shared by tolerance: all must have the same.
        common.map_or_else(|| self.is_idle(suspects), |common| common != 0)
    }

    /// How many suspects the result leaves that leaves most; none where some result would leave all of them.
    #[must_use]
    pub fn largest_part(&self, suspects: &[usize]) -> Option<usize> {
        if self.leaves_all(suspects) {
            return None;
        }
        let mut counts = [0; 32];
        for &one in suspects {
            let Some(mut bits) = self.bits(one) else {
                return Some(self.parts(suspects)?.iter().map(|(_, part)| part.len()).max().unwrap_or(0));
            };
            while bits != 0 {
                counts[bits.trailing_zeros() as usize] += 1;
                bits &= bits - 1;
            }
        }
        counts.into_iter().max()
    }

    /// The suspects whom each result leaves, by result; none where some result would leave all of them.
    #[must_use]
    pub fn parts(&self, suspects: &[usize]) -> Option<Vec<(usize, Vec<usize>)>> {
        if self.leaves_all(suspects) {
            return None;
        }
        let mut results: Vec<usize> = suspects.iter().map(|&one| self.results[one]).collect();
        let others = suspects.iter().fold(0, |others, &one| others | self.others(one));
        results.extend((0..32).filter(|bit| others & (1 << bit) != 0));
        results.sort_unstable();
        results.dedup();
        let left = |result: usize| suspects.iter().copied().filter(|&one| self.may(one, result)).collect();
        let parts: Vec<(usize, Vec<usize>)> = results.into_iter().map(|result| (result, left(result))).collect();
        (parts.len() > 1 && parts.iter().all(|(_, part)| part.len() < suspects.len())).then_some(parts)
    }
}

/// Suspects, checks, and how the machine stands when the search begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Weight of each suspect, of any scale.
    pub weights: Vec<f64>,
    /// The repair that each suspect asks for: suspects of one repair need not be told apart.
    pub repairs: Vec<usize>,
    /// The checks.
    pub checks: Vec<Check>,
    /// Minutes to open each cover; it then stays open.
    pub doors: Vec<f64>,
    /// Minutes to make the machine dead, and to power it again.
    pub mode_change: (f64, f64),
    /// Whether the machine is powered when the search begins.
    pub live: bool,
}

/// Why a problem makes no sense.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ProblemError {
    /// Nobody is suspected.
    NoSuspects,
    /// More different suspects than a search can hold.
    TooMany(usize),
    /// A check has not one result for each suspect, or names a door that is not there.
    Shape(usize),
    /// A weight or a time is negative or not a number.
    BadNumber,
    /// All weights are zero: nothing is likelier than anything else.
    NoWeight,
}

impl fmt::Display for ProblemError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ProblemError::NoSuspects => write!(f, "there is nothing to tell apart: no suspect"),
            ProblemError::TooMany(count) => {
                write!(f, "{count} different suspects are more than {MOST} that can be searched")
            }
            ProblemError::Shape(check) => {
                write!(f, "check {check} does not fit the suspects or the doors")
            }
            ProblemError::BadNumber => {
                write!(f, "weights and minutes must be finite and not negative")
            }
            ProblemError::NoWeight => write!(f, "all weights are zero, so no order can be better than another"),
        }
    }
}

impl std::error::Error for ProblemError {}

/// Most suspects that differ in some check.
pub(super) const MOST: usize = 1024;

impl Problem {
    /// Suspects and checks without power states, doors or shared repairs.
    #[must_use]
    pub fn plain(weights: Vec<f64>, checks: Vec<Check>) -> Self {
        let repairs = (0..weights.len()).collect();
        Self { weights, repairs, checks, doors: Vec::new(), mode_change: (0.0, 0.0), live: true }
    }

    /// The same problem with every value nominal.
    #[must_use]
    pub fn without_tolerances(&self) -> Self {
        let nominal = |check: &Check| Check { also: Vec::new(), ..check.clone() };
        Self { checks: self.checks.iter().map(nominal).collect(), ..self.clone() }
    }

    /// The first thing that makes no sense.
    ///
    /// # Errors
    /// When there is one.
    pub fn verify(&self) -> Result<(), ProblemError> {
        if self.weights.is_empty() {
            return Err(ProblemError::NoSuspects);
        }
        let count = self.weights.len();
        for (index, check) in self.checks.iter().enumerate() {
            let shapeless = check.results.len() != count || !check.also.is_empty() && check.also.len() != count;
            if shapeless || check.door.is_some_and(|door| door >= self.doors.len()) {
                return Err(ProblemError::Shape(index));
            }
        }
        if self.repairs.len() != count || self.doors.len() > 32 {
            return Err(ProblemError::Shape(self.checks.len()));
        }
        let times = self.checks.iter().map(|check| check.minutes).chain(self.doors.iter().copied());
        let sound = |value: f64| value.is_finite() && value >= 0.0;
        if !self.weights.iter().copied().chain(times).chain([self.mode_change.0, self.mode_change.1]).all(sound) {
            return Err(ProblemError::BadNumber);
        }
        if self.weights.iter().sum::<f64>() <= 0.0 {
            return Err(ProblemError::NoWeight);
        }
        Ok(())
    }

    /// Suspects that no check on offer can tell apart, each set in ascending order, ordered by their first.
    #[must_use]
    pub fn alike(&self) -> Vec<Vec<usize>> {
        let mut sets: BTreeMap<Vec<(usize, u32)>, Vec<usize>> = BTreeMap::new();
        for suspect in 0..self.weights.len() {
            let row = self.checks.iter().map(|check| (check.results[suspect], check.others(suspect))).collect();
            sets.entry(row).or_default().push(suspect);
        }
        let mut sets: Vec<Vec<usize>> = sets.into_values().collect();
        sets.sort();
        sets
    }
}

/// How the machine stands: powered or not, and which covers are open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(in super::super) struct Stand {
    /// Powered.
    pub(super) live: bool,
    /// Open covers, one bit each.
    pub(super) open: u32,
}

impl Problem {
    /// How the machine stands when the search begins.
    pub(in super::super) fn start(&self) -> Stand {
        Stand { live: self.live, open: 0 }
    }

    /// Minutes of a check from where the machine stands, and how it stands then.
    pub(in super::super) fn step(&self, check: usize, stand: Stand) -> (f64, Stand) {
        let check = &self.checks[check];
        let mut minutes = check.minutes;
        let mut after = stand;
        match check.mode {
            Mode::Live if !stand.live => {
                (minutes, after.live) = (minutes + self.mode_change.1, true);
            }
            Mode::Dead if stand.live => {
                (minutes, after.live) = (minutes + self.mode_change.0, false);
            }
            _ => {}
        }
        if let Some(door) = check.door.filter(|door| stand.open & (1 << door) == 0) {
            minutes += self.doors[door];
            after.open |= 1 << door;
        }
        (minutes, after)
    }
}

/// A problem made ready for search: alike suspects merged, results as masks.
pub(super) struct Prepared<'p, const WORDS: usize> {
    /// The problem.
    pub(super) problem: &'p Problem,
    /// Suspects of each class.
    pub(super) classes: Vec<Vec<usize>>,
    /// Weight of each class; all sum to one.
    pub(super) weights: Vec<f64>,
    /// Repair of each class; a class of several repairs has a number of its own.
    pub(super) repairs: Vec<usize>,
    /// For each check its results, each with the classes that show it.
    pub(super) masks: Vec<Vec<(usize, Group<WORDS>)>>,
    /// Checks that no other check makes needless, ascending.
    pub(super) useful: Vec<usize>,
    /// The same in ascending minutes.
    pub(super) cheapest_first: Vec<usize>,
    /// Sets of classes that only checks of a single repair can part, two repairs or more in each.
    pub(super) blocks: Vec<Vec<usize>>,
    /// All other classes.
    pub(super) apart: Vec<usize>,
    /// Minutes of the cheapest check of each repair alone; none where there is no such check.
    pub(super) own_check: Vec<Option<f64>>,
}

impl<'p, const WORDS: usize> Prepared<'p, WORDS> {
    pub(super) fn new(problem: &'p Problem, alike: Vec<Vec<usize>>) -> Self {
        let total: f64 = problem.weights.iter().sum();
        let weights =
            alike.iter().map(|set| set.iter().map(|&one| problem.weights[one]).sum::<f64>() / total).collect();
        let mut numbers: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
        let mut repairs = Vec::new();
        for (class, set) in alike.iter().enumerate() {
            let mut key: Vec<usize> = set.iter().map(|&one| problem.repairs[one]).collect();
            key.sort_unstable();
            key.dedup();
            if key.len() > 1 {
                key.push(usize::MAX - class);
            }
            let next = numbers.len();
            repairs.push(*numbers.entry(key).or_insert(next));
        }
        let masks: Vec<Vec<(usize, Group<WORDS>)>> =
            problem.checks.iter().map(|check| masks_of(check, &alike)).collect();
        let useful = useful_checks(problem, &masks);
        let mut cheapest_first = useful.clone();
        cheapest_first
            .sort_by(|&a, &b| problem.checks[a].minutes.total_cmp(&problem.checks[b].minutes).then(a.cmp(&b)));
        let mut prepared = Self {
            problem,
            classes: alike,
            weights,
            own_check: vec![None; numbers.len()],
            repairs,
            masks,
            useful,
            cheapest_first,
            blocks: Vec::new(),
            apart: Vec::new(),
        };
        prepared.find_blocks();
        prepared
    }

    /// Sorts the checks into those of a single repair and all others, and the classes into blocks that the others leave.
    fn find_blocks(&mut self) {
        let mut rows: Vec<Vec<usize>> = vec![Vec::new(); self.classes.len()];
        for check in 0..self.masks.len() {
            if let Some(repair) = self.single_repair(check) {
                let minutes = self.problem.checks[check].minutes;
                let own = &mut self.own_check[repair];
                *own = Some(own.map_or(minutes, |known| known.min(minutes)));
            } else {
                for (class, row) in rows.iter_mut().enumerate() {
                    row.push(self.problem.checks[check].results[self.classes[class][0]]);
                }
            }
        }
        let mut blocks: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
        for (class, row) in rows.into_iter().enumerate() {
            blocks.entry(row).or_default().push(class);
        }
        let several = |block: &Vec<usize>| block.iter().any(|&one| self.repairs[one] != self.repairs[block[0]]);
        let (blocks, apart): (Vec<_>, Vec<_>) = blocks.into_values().partition(several);
        self.blocks = blocks;
        self.apart = apart.into_iter().flatten().collect();
    }

    /// The one repair that a check sets apart from all others, if it has two results and that is all it does.
    fn single_repair(&self, check: usize) -> Option<usize> {
        let mut nominal = self.masks[check].iter().map(|(_, part)| &part.real).filter(|part| !part.is_empty());
        let (first, second) = (nominal.next()?, nominal.next()?);
        if nominal.next().is_some() {
            return None;
        }
        [second, first]
            .into_iter()
            .find(|part| self.is_settled(part))
            .and_then(|part| part.iter().next())
            .map(|class| self.repairs[class])
    }

    /// Everybody.
    pub(super) fn all(&self) -> Group<WORDS> {
        Group::of(Bits::first(self.classes.len()))
    }

    /// Weight of a set.
    pub(super) fn weight(&self, set: &Bits<WORDS>) -> f64 {
        set.iter().map(|class| self.weights[class]).sum()
    }

    /// Whether all of a set ask for the same repair.
    pub(super) fn is_settled(&self, set: &Bits<WORDS>) -> bool {
        let mut repairs = set.iter().map(|class| self.repairs[class]);
        let first = repairs.next();
        repairs.all(|repair| Some(repair) == first)
    }

    /// The parts into which a check splits a group, with their results; one part where it tells nothing. Whoever may show
    /// several results is in several parts. A part into which tolerances alone lead is left out where another part that
    /// is weighed holds everybody in it: whoever goes on there goes right as well.
    pub(super) fn split<'s>(
        &'s self,
        check: usize,
        group: &'s Group<WORDS>,
    ) -> impl Iterator<Item = (usize, Group<WORDS>)> + 's {
        let part = |mask: &Group<WORDS>| Group { all: group.all.and(&mask.all), real: group.real.and(&mask.real) };
        self.masks[check].iter().map(move |(result, mask)| (*result, part(mask))).filter(move |(result, one)| {
            let spared = |(other, mask): &(usize, Group<WORDS>)| other != result && one.is_covered(&part(mask));
            !(one.all.is_empty() || one.real.is_empty() && self.masks[check].iter().any(spared))
        })
    }

    /// How many results a check has among some classes with every value nominal.
    pub(super) fn results(&self, check: usize, set: &Bits<WORDS>) -> usize {
        self.masks[check].iter().filter(|(_, mask)| !set.and(&mask.real).is_empty()).count()
    }

    /// Whether a check tells something about a group whatever it shows: each result then leaves fewer.
    pub(super) fn tells(&self, check: usize, group: &Group<WORDS>) -> bool {
        let mut parts = 0;
        for (_, part) in self.split(check, group) {
            if part.all == group.all {
                return false;
            }
            parts += 1;
        }
        parts > 1
    }

    /// All suspects of a set of classes.
    pub(super) fn suspects(&self, set: &Bits<WORDS>) -> Vec<usize> {
        let mut suspects: Vec<usize> = set.iter().flat_map(|class| self.classes[class].iter().copied()).collect();
        suspects.sort_unstable();
        suspects
    }
}

/// Checks without those that tell the same as another which takes no longer and asks for no more.
///
/// Whatever order uses such a check may use the other in its place: it then pays no more for checks, doors, and power.
fn useful_checks<const WORDS: usize>(problem: &Problem, masks: &[Vec<(usize, Group<WORDS>)>]) -> Vec<usize> {
    let mut alike: BTreeMap<Vec<Group<WORDS>>, Vec<usize>> = BTreeMap::new();
    for (check, parts) in masks.iter().enumerate() {
        let mut parts: Vec<Group<WORDS>> = parts.iter().map(|(_, part)| *part).collect();
        parts.sort_unstable();
        alike.entry(parts).or_default().push(check);
    }
    let spares = |one: usize, other: usize| {
        let (a, b) = (&problem.checks[one], &problem.checks[other]);
        let as_good = a.minutes <= b.minutes
            && (a.door.is_none() || a.door == b.door)
            && (a.mode == Mode::Either || a.mode == b.mode);
        let same = a.minutes >= b.minutes && a.door == b.door && a.mode == b.mode;
        as_good && (!same || one < other)
    };
    let mut useful: Vec<usize> = alike
        .into_values()
        .flat_map(|group| {
            let needed = |&check: &usize| !group.iter().any(|&other| other != check && spares(other, check));
            group.iter().copied().filter(needed).collect::<Vec<_>>()
        })
        .collect();
    useful.sort_unstable();
    useful
}

fn masks_of<const WORDS: usize>(check: &Check, alike: &[Vec<usize>]) -> Vec<(usize, Group<WORDS>)> {
    let mut masks: BTreeMap<usize, Group<WORDS>> = BTreeMap::new();
    let nobody = Group::of(Bits::EMPTY);
    for (class, set) in alike.iter().enumerate() {
        let mask = masks.entry(check.results[set[0]]).or_insert(nobody);
        mask.all.insert(class);
        mask.real.insert(class);
        let others = check.others(set[0]);
        for result in (0..32).filter(|bit| others & (1 << bit) != 0) {
            masks.entry(result).or_insert(nobody).all.insert(class);
        }
    }
    masks.into_iter().collect()
}
