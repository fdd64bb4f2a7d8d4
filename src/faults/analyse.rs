//! From the dictionary to findings.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use crate::circuit::{Solution, Solver};
use crate::machine::model::{Machine, SequenceId};

use super::dictionary::{Dictionary, SequenceTable};
use super::findings::{
    Case, Cleared, Findings, LookAlike, PartedBy, Profile, Search, SequenceFindings, Suspect, Unseen,
};
use super::kinds::{Fault, Site};
use super::order::{CheckKind, Order, healthy_span, order};
use super::search::symptom::Effect;
use super::search::{Check, Limits, Quality};

/// Work for one sequence's order: whole machines must be done while a person waits, so hard ones end near-optimal.
const LIMITS: Limits = Limits { sets: 0, nodes: 400 };
/// Most cases that are listed.
const MOST_CASES: usize = 12;
/// Most profiles of a sequence: more lines cannot be told apart in black and white.
const MOST_PROFILES: usize = 3;

/// Most spans of readings beside the nominal one that a fault may read at a point and still be called like others.
const MOST_NEIGHBOURS: u32 = 2;

/// Dictionary, suspects, look-alikes, orders of checks, profiles and cases of a whole machine.
#[must_use]
pub fn analyse(machine: &Machine, solver: &Solver, solution: &Solution) -> Findings {
    let dictionary = Dictionary::build(machine, solver, solution);
    let room = Room { machine, solution, dictionary: &dictionary, effects: dictionary.effects() };
    let sequences =
        (0..machine.sequences.len()).into_par_iter().map(|index| room.sequence(SequenceId(index))).collect();
    let cases = room.cases();
    let unseen = room.unseen();
    Findings { sequences, cases, unseen, dictionary }
}

/// How likely an effect agrees with what was seen, without doubting the person.
fn agreement(effect: Effect, works: bool) -> f64 {
    match (effect, works) {
        (Effect::Marginal, _) => 0.5,
        (Effect::Works, true) | (Effect::Fails, false) => 1.0,
        _ => 0.0,
    }
}

struct Room<'a> {
    machine: &'a Machine,
    solution: &'a Solution,
    dictionary: &'a Dictionary,
    /// `[fault][sequence]`.
    effects: Vec<Vec<Effect>>,
}

impl Room<'_> {
    fn number(&self, sequence: usize) -> i64 {
        self.machine.sequences[sequence].number
    }

    fn table(&self, sequence: SequenceId) -> &SequenceTable {
        &self.dictionary.sequences[sequence.0]
    }

    fn sequence(&self, sequence: SequenceId) -> SequenceFindings {
        let suspects = self.suspects_of(sequence);
        let order = order(self.machine, self.solution, self.dictionary, sequence, &suspects, LIMITS, &[]).ok();
        SequenceFindings {
            sequence,
            number: self.number(sequence.0),
            earlier: (0..sequence.0).map(|earlier| self.number(earlier)).collect(),
            suspects: self.places(&suspects),
            search: order.as_ref().map(|order| self.search(order)),
            look_alikes: order.as_ref().map(|order| self.look_alikes(order)).unwrap_or_default(),
            cleared: self.cleared(sequence, &suspects),
            profiles: self.profiles(sequence, &suspects),
            order,
        }
    }

    fn search(&self, order: &Order) -> Search {
        let (steps, minutes) = order.steps(self.machine, self.dictionary);
        Search {
            steps,
            minutes,
            bound: order.bound,
            optimal: order.quality == Quality::Optimal,
            baselines: order.baselines,
            one_fault_assumed: true,
        }
    }

    /// Faults that stop a sequence and none before it, with their weights.
    fn suspects_of(&self, sequence: SequenceId) -> Vec<(usize, f64)> {
        self.faults()
            .map(|(index, fault)| {
                let effects = &self.effects[index];
                let earlier: f64 = effects[..sequence.0].iter().map(|effect| agreement(*effect, true)).product();
                (index, fault.weight * earlier * agreement(effects[sequence.0], false))
            })
            .filter(|(_, weight)| *weight > 0.0)
            .collect()
    }

    fn faults(&self) -> impl Iterator<Item = (usize, &Fault)> {
        self.dictionary.faults.iter().enumerate()
    }

    /// Suspects by place, likeliest first.
    fn places(&self, suspects: &[(usize, f64)]) -> Vec<Suspect> {
        let total: f64 = suspects.iter().map(|(_, weight)| weight).sum();
        let mut by_site: BTreeMap<Site, (f64, Vec<usize>)> = BTreeMap::new();
        for &(fault, weight) in suspects {
            let entry = by_site.entry(self.dictionary.faults[fault].site).or_default();
            entry.0 += weight;
            entry.1.push(fault);
        }
        let mut places: Vec<Suspect> =
            by_site.into_iter().map(|(site, (weight, faults))| self.place(site, weight / total, faults)).collect();
        places.sort_by(|a, b| b.share.total_cmp(&a.share));
        places
    }

    fn place(&self, site: Site, share: f64, faults: Vec<usize>) -> Suspect {
        let part = self.machine.part(site.part(self.machine));
        let mut kinds: Vec<_> = faults.iter().map(|&fault| self.dictionary.faults[fault].kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        Suspect {
            place: site.label(self.machine),
            part: part.id.clone(),
            location: part.location.clone(),
            door: part.door.clone(),
            share,
            kinds,
            faults,
        }
    }

    /// Places that no voltage parts within the tolerances, whatever the size of the fault: each may read at every point as
    /// each other of its group.
    fn look_alikes(&self, order: &Order) -> Vec<LookAlike> {
        let offers = order.offers.iter().filter(|offer| matches!(offer.kind, CheckKind::Volts(_)));
        let volts: Vec<&Check> = offers.map(|offer| &offer.check).collect();
        let mut sites: BTreeMap<Site, Vec<usize>> = BTreeMap::new();
        for (suspect, &fault) in order.suspects.iter().enumerate() {
            // Who may show anything is like everybody, and nobody would learn from reading it.
            if volts.iter().all(|check| check.others(suspect).count_ones() <= MOST_NEIGHBOURS) {
                sites.entry(self.dictionary.faults[fault].site).or_default().push(suspect);
            }
        }
        let meet = |one: usize, other: usize| volts.iter().all(|check| check.may_agree(one, other));
        let within =
            |some: &[usize], others: &[usize]| some.iter().all(|&one| others.iter().any(|&other| meet(one, other)));
        let mut groups: Vec<Vec<(Site, &[usize])>> = Vec::new();
        for (site, suspects) in &sites {
            let takes = |group: &&mut Vec<(Site, &[usize])>| {
                group.iter().all(|(_, others)| within(suspects, others) && within(others, suspects))
            };
            match groups.iter_mut().find(takes) {
                Some(group) => group.push((*site, suspects)),
                None => groups.push(vec![(*site, suspects)]),
            }
        }
        let several = groups.into_iter().filter(|group| group.len() > 1);
        several
            .map(|group| self.look_alike(order, &group.into_iter().map(|(site, _)| site).collect::<Vec<_>>()))
            .collect()
    }

    fn look_alike(&self, order: &Order, sites: &[Site]) -> LookAlike {
        let members: Vec<usize> = (0..order.suspects.len())
            .filter(|&place| sites.contains(&self.dictionary.faults[order.suspects[place]].site))
            .collect();
        let parts = |check: &usize| {
            let check = &order.problem.checks[*check];
            members.iter().any(|&one| !check.may_agree(one, members[0]))
        };
        let parted_by = (0..order.offers.len())
            .filter(|check| !matches!(order.offers[*check].kind, CheckKind::Volts(_)))
            .filter(parts)
            .min_by(|&a, &b| {
                order.problem.checks[a].minutes.total_cmp(&order.problem.checks[b].minutes).then(a.cmp(&b))
            })
            .map(|check| PartedBy { kind: order.offers[check].kind, minutes: order.problem.checks[check].minutes });
        LookAlike { places: sites.iter().map(|site| site.label(self.machine)).collect(), parted_by }
    }

    /// Places whose faults stop this sequence but are all seen in an earlier one.
    fn cleared(&self, sequence: SequenceId, suspects: &[(usize, f64)]) -> Vec<Cleared> {
        let suspected: BTreeSet<Site> = suspects.iter().map(|&(fault, _)| self.dictionary.faults[fault].site).collect();
        let mut cleared: BTreeMap<Site, BTreeSet<usize>> = BTreeMap::new();
        for (index, fault) in self.faults() {
            if self.effects[index][sequence.0] == Effect::Fails && !suspected.contains(&fault.site) {
                let by = (0..sequence.0).filter(|&earlier| self.effects[index][earlier] == Effect::Fails);
                cleared.entry(fault.site).or_default().extend(by);
            }
        }
        cleared
            .into_iter()
            .filter(|(_, by)| !by.is_empty())
            .map(|(site, by)| Cleared {
                part: site.part(self.machine),
                place: site.label(self.machine),
                by: by.into_iter().map(|earlier| self.number(earlier)).collect(),
            })
            .collect()
    }

    /// The likeliest faults whose readings differ from each other and from the healthy ones.
    fn profiles(&self, sequence: SequenceId, suspects: &[(usize, f64)]) -> Vec<Profile> {
        let table = self.table(sequence);
        let mut profiles: Vec<Profile> = Vec::new();
        let mut shown: Vec<&[f64]> = vec![&table.healthy.readings];
        for place in self.places(suspects) {
            let likeliest = place.faults.iter().copied().max_by(|&a, &b| {
                let weight = |fault: usize| self.dictionary.faults[fault].weight;
                weight(a).total_cmp(&weight(b)).then(b.cmp(&a))
            });
            let Some(fault) = likeliest else { continue };
            let volts = &table.row(fault).readings;
            if shown.iter().any(|other| look_the_same(other, volts)) {
                continue;
            }
            shown.push(volts);
            let label = self.dictionary.faults[fault].label(self.machine);
            profiles.push(Profile { label, place: place.place, share: place.share, volts: volts.clone(), fault });
            if profiles.len() == MOST_PROFILES {
                break;
            }
        }
        profiles
    }

    /// Faults grouped by exactly which sequences they stop.
    fn cases(&self) -> Vec<Case> {
        let mut cases: BTreeMap<Vec<bool>, Vec<(usize, f64)>> = BTreeMap::new();
        for (index, fault) in self.faults() {
            let fails: Vec<bool> = self.effects[index].iter().map(|effect| *effect == Effect::Fails).collect();
            if fails.contains(&true) && fault.weight > 0.0 {
                cases.entry(fails).or_default().push((index, fault.weight));
            }
        }
        let weight = |faults: &[(usize, f64)]| faults.iter().map(|(_, weight)| weight).sum::<f64>();
        let total: f64 = cases.values().map(|faults| weight(faults)).sum();
        let numbers = |fails: &[bool], wanted: bool| -> Vec<i64> {
            (0..fails.len())
                .filter(|&sequence| fails[sequence] == wanted)
                .map(|sequence| self.number(sequence))
                .collect()
        };
        let mut cases: Vec<Case> = cases
            .into_iter()
            .map(|(fails, faults)| Case {
                fails: numbers(&fails, true),
                works: numbers(&fails, false),
                share: weight(&faults) / total,
                suspects: self.places(&faults),
            })
            .collect();
        cases.sort_by(|a, b| b.share.total_cmp(&a.share).then_with(|| a.fails.cmp(&b.fails)));
        cases.truncate(MOST_CASES);
        cases
    }

    /// Faults that leave every sequence working and every reading within what a healthy machine may read, in all sizes.
    fn unseen(&self) -> Vec<Unseen> {
        let key = |fault: &Fault| (fault.site, fault.element, fault.kind);
        let healthy: Vec<Vec<(f64, f64)>> = self
            .dictionary
            .sequences
            .iter()
            .map(|table| {
                let points = 0..table.healthy.readings.len();
                points.map(|point| healthy_span(self.solution, table, point)).collect()
            })
            .collect();
        let seen: BTreeSet<_> =
            self.faults().filter(|(index, _)| self.is_seen(*index, &healthy)).map(|(_, fault)| key(fault)).collect();
        self.faults()
            .filter(|(_, fault)| fault.weight > 0.0 && !seen.contains(&key(fault)))
            .map(|(index, fault)| Unseen {
                label: fault.label(self.machine),
                check: fault.kind.usual_check(),
                minutes: fault.minutes,
                fault: index,
            })
            .collect()
    }

    /// Whether a fault shows anywhere; `healthy` has the spans of each sequence's readings.
    fn is_seen(&self, fault: usize, healthy: &[Vec<(f64, f64)>]) -> bool {
        self.dictionary.sequences.iter().zip(healthy).any(|(table, healthy)| {
            let Some(row) = table.own_row(fault) else { return false };
            let strays = |(volts, &(low, high)): (&f64, &(f64, f64))| *volts < low || *volts > high;
            row.effect != Effect::Works
                || row.operates != table.healthy.operates
                || row.readings.iter().zip(healthy).any(strays)
        })
    }
}

/// Whether two profiles lie so close that a chart cannot show them apart.
fn look_the_same(a: &[f64], b: &[f64]) -> bool {
    let largest = a.iter().chain(b).map(|volts| volts.abs()).fold(0.0, f64::max);
    a.iter().zip(b).all(|(a, b)| (a - b).abs() <= 0.05 * largest)
}
