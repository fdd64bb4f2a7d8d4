//! Makes a set: chooses faults by chance from the seed, each place equally likely, and works out what every check shows.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::{Change, Solution, Solver};
use crate::faults::Findings;
use crate::faults::kinds::{Fault, Site};
use crate::faults::order::{CheckKind, Order};
use crate::faults::search::symptom::Effect;
use crate::faults::search::{Problem, Quality, Tree};
use crate::machine::model::{Machine, SequenceId};

use super::chance::Chance;
use super::exercise::{Exercise, Listed, Outlook, Set, Stage, Told};
use super::level::Level;
use super::list;
use super::pool::{Candidate, Material, alike, branch, candidates, places};
use super::request::{Refusal, Request};
use super::showing::{Patient, Showing};

/// Streams of chance, one a purpose.
const CHOICE: u64 = 1;
const LISTS: u64 = 2;
/// How often a second fault is looked for before an exercise is given up.
const PARTNERS: usize = 60;

/// The set of a request.
///
/// # Errors
/// When the request makes no sense, or the machine cannot give so many different exercises.
pub fn generate(
    machine: &Machine,
    solver: &Solver,
    solution: &Solution,
    findings: &Findings,
    request: &Request,
) -> Result<Set, Refusal> {
    let material = Material { machine, solver, solution, findings };
    let wanted = verify(machine, request)?;
    let pool = candidates(&material);
    let counts = Level::ALL.map(|level| pool.iter().filter(|one| one.level == level).count());
    let mut chance = Chance::new(request.seed, CHOICE);
    let chosen = if request.faults == 2 {
        pairs(&material, &pool, wanted, request, &mut chance)
    } else {
        let fits = |one: &&Candidate| {
            wanted.is_none_or(|sequence| one.sequence == sequence)
                && request.level.is_none_or(|level| one.level == level)
        };
        let one_each = in_turn(pool.iter().filter(fits).cloned().collect(), &mut chance);
        one_each.into_iter().map(|one| vec![one]).collect()
    };
    if chosen.len() < request.count {
        return Err(Refusal::TooFew { asked: request.count, available: chosen.len(), by_level: counts });
    }
    let exercises = chosen
        .into_iter()
        .take(request.count)
        .zip(1..)
        .map(|(faults, number)| exercise(&material, &faults, number, request.seed))
        .collect();
    Ok(Set { request: request.clone(), exercises })
}

/// Refuses what makes no sense; gives the wanted sequence.
fn verify(machine: &Machine, request: &Request) -> Result<Option<SequenceId>, Refusal> {
    if request.count == 0 {
        return Err(Refusal::NoCount);
    }
    if !(1..=2).contains(&request.faults) {
        return Err(Refusal::Faults(request.faults));
    }
    let Some(number) = request.sequence else { return Ok(None) };
    let known = || machine.sequences.iter().map(|sequence| sequence.number).collect();
    machine.sequence_numbered(number).map(Some).ok_or_else(|| Refusal::UnknownSequence { number, known: known() })
}

/// All candidates, such that every place has its turn before any has a second one.
fn in_turn(pool: Vec<Candidate>, chance: &mut Chance) -> Vec<Candidate> {
    let mut by_place: BTreeMap<(SequenceId, Site), Vec<Candidate>> = BTreeMap::new();
    for one in pool {
        by_place.entry((one.sequence, one.site)).or_default().push(one);
    }
    let mut places: Vec<Vec<Candidate>> = by_place.into_values().collect();
    chance.shuffle(&mut places);
    for place in &mut places {
        chance.shuffle(place);
    }
    let rounds = places.iter().map(Vec::len).max().unwrap_or(0);
    (0..rounds).flat_map(|round| places.iter().filter_map(move |place| place.get(round).cloned())).collect()
}

/// Exercises of two faults: the second stops a later sequence and changes no result of the first's checks.
fn pairs(
    material: &Material<'_>,
    pool: &[Candidate],
    wanted: Option<SequenceId>,
    request: &Request,
    chance: &mut Chance,
) -> Vec<Vec<Candidate>> {
    if request.level.is_some_and(|level| level != Level::Advanced) {
        return Vec::new();
    }
    let first: Vec<Candidate> =
        pool.iter().filter(|one| wanted.is_none_or(|sequence| one.sequence == sequence)).cloned().collect();
    let mut chosen = Vec::new();
    for one in in_turn(first, chance) {
        if chosen.len() == request.count {
            break;
        }
        let mut later: Vec<&Candidate> = pool.iter().filter(|other| other.sequence > one.sequence).collect();
        chance.shuffle(&mut later);
        if let Some(second) = later.into_iter().take(PARTNERS).find(|second| hides_behind(material, &one, second)) {
            chosen.push(vec![one, second.clone()]);
        }
    }
    chosen
}

/// Whether a second fault leaves the checks of the first as they are.
fn hides_behind(material: &Material<'_>, first: &Candidate, second: &Candidate) -> bool {
    let dictionary = &material.findings.dictionary;
    let Some(order) = material.order(first.sequence) else { return false };
    let alone = dictionary.sequences[first.sequence.0].row(second.fault);
    let same_part = dictionary.faults[first.fault].part == dictionary.faults[second.fault].part;
    if same_part || alone.effect != Effect::Works || places_meet(first, second, order, material) {
        return false;
    }
    let faults = [first.fault, second.fault].map(|fault| &dictionary.faults[fault]);
    let patient = patient(material, first.sequence, &faults);
    if patient.outcome.refused.is_some() {
        return false;
    }
    order.offers.iter().zip(&order.problem.checks).all(|(offer, check)| {
        let bins = offer.bins.as_ref();
        let seen = match (patient.shows(offer.kind), bins) {
            (Showing::Volts(_, value) | Showing::Amps(value), Some(bins)) => {
                let value = if matches!(offer.kind, CheckKind::Drop(_)) { value.abs() } else { value };
                Some(bins.index(value))
            }
            (Showing::Works, None) if matches!(offer.kind, CheckKind::Try(_)) => Some(0),
            (Showing::Fails, None) if matches!(offer.kind, CheckKind::Try(_)) => Some(1),
            _ => None,
        };
        seen.is_none_or(|result| result == check.results[first.suspect])
    })
}

/// Whether the second fault would count as an answer to the first.
fn places_meet(first: &Candidate, second: &Candidate, order: &Order, material: &Material<'_>) -> bool {
    let label = second.site.label(material.machine);
    places(&alike(order, first.suspect), order, material).contains(&label)
}

fn exercise(material: &Material<'_>, faults: &[Candidate], number: usize, seed: u64) -> Exercise {
    let level = if faults.len() > 1 { Level::Advanced } else { faults[0].level };
    let mut chance = Chance::new(seed, LISTS + number as u64);
    let stages = (0..faults.len()).filter_map(|first| stage(material, &faults[first..], &mut chance)).collect();
    Exercise { number, level, stages }
}

/// The search for the first of some faults while all of them are in the machine.
fn stage(material: &Material<'_>, faults: &[Candidate], chance: &mut Chance) -> Option<Stage> {
    let first = &faults[0];
    let order = material.order(first.sequence)?;
    let dictionary = &material.findings.dictionary;
    let present: Vec<&Fault> = faults.iter().map(|one| &dictionary.faults[one.fault]).collect();
    let patient = patient(material, first.sequence, &present);
    let offered = list::checks(material, first.sequence, order, chance);
    let place_of = |offer: usize| offered.iter().position(|one| one.informs == Some(offer)).unwrap_or(0);
    let same = alike(order, first.suspect);
    let best: Vec<usize> = branch(&order.tree, order, first.suspect).into_iter().map(place_of).collect();
    let checks: Vec<Listed> = offered
        .iter()
        .map(|one| Listed { kind: one.kind, showing: patient.shows(one.kind), informs: one.informs.is_some() })
        .collect();
    let tree = moved(&order.tree, &place_of);
    let problem = Problem { checks: offered.iter().map(|one| one.check.clone()).collect(), ..order.problem.clone() };
    Some(Stage {
        sequence: first.sequence,
        fault: first.fault,
        places: places(&same, order, material),
        alike: same.iter().map(|&suspect| order.suspects[suspect]).collect(),
        told: told(material.machine, first.sequence, &checks),
        best_minutes: problem.minutes_of(&best),
        checks,
        problem,
        suspects: order.suspects.clone(),
        culprit: first.suspect,
        tree,
        best,
        expected_minutes: order.minutes,
        baselines: order.baselines,
        proved: order.quality == Quality::Optimal,
    })
}

/// A tree whose checks have new numbers.
fn moved(tree: &Tree, place_of: &impl Fn(usize) -> usize) -> Tree {
    match tree {
        Tree::Answer(suspects) => Tree::Answer(suspects.clone()),
        Tree::Check { check, branches } => Tree::Check {
            check: place_of(*check),
            branches: branches.iter().map(|(result, branch)| (*result, moved(branch, place_of))).collect(),
        },
    }
}

/// What some checks show in a sequence while these faults of the dictionary are in the machine, each solved in full.
#[must_use]
pub fn showings(
    machine: &Machine,
    solver: &Solver,
    solution: &Solution,
    findings: &Findings,
    sequence: SequenceId,
    (faults, checks): (&[usize], &[CheckKind]),
) -> Vec<Showing> {
    let material = Material { machine, solver, solution, findings };
    let present: Vec<&Fault> = faults.iter().map(|&fault| &findings.dictionary.faults[fault]).collect();
    let patient = patient(&material, sequence, &present);
    checks.iter().map(|&check| patient.shows(check)).collect()
}

/// The machine with faults, solved in one sequence, and what every sequence does.
fn patient<'a>(material: &Material<'a>, sequence: SequenceId, faults: &[&'a Fault]) -> Patient<'a> {
    let dictionary = &material.findings.dictionary;
    let changes: Vec<Change> = faults.iter().flat_map(|fault| fault.changes.iter().copied()).collect();
    let outcome = material.solver.faulted(material.solution, sequence, &changes);
    let numbers: Vec<usize> = (0..dictionary.faults.len())
        .filter(|&index| faults.iter().any(|fault| **fault == dictionary.faults[index]))
        .collect();
    let effects = dictionary
        .sequences
        .iter()
        .map(|table| {
            let fails = numbers.iter().any(|&fault| table.effect(fault) == Effect::Fails);
            if fails { Effect::Fails } else { Effect::Works }
        })
        .collect();
    Patient {
        machine: material.machine,
        solver: material.solver,
        solution: material.solution,
        sequence,
        table: &dictionary.sequences[sequence.0],
        known: &dictionary.faults,
        faults: faults.to_vec(),
        changes,
        outcome,
        effects,
    }
}

/// What the sheet tells of each sequence: all before the failing one work, some after it may be tried, the rest are not
/// reached.
fn told(machine: &Machine, failing: SequenceId, checks: &[Listed]) -> Vec<Told> {
    let asked: BTreeSet<SequenceId> = checks
        .iter()
        .filter_map(|check| if let CheckKind::Try(sequence) = check.kind { Some(sequence) } else { None })
        .collect();
    (0..machine.sequences.len())
        .map(SequenceId)
        .map(|sequence| {
            let outlook = match sequence.cmp(&failing) {
                std::cmp::Ordering::Less => Outlook::Works,
                std::cmp::Ordering::Equal => Outlook::Fails,
                std::cmp::Ordering::Greater if asked.contains(&sequence) => Outlook::Ask,
                std::cmp::Ordering::Greater => Outlook::NotReached,
            };
            Told { sequence, outlook }
        })
        .collect()
}
