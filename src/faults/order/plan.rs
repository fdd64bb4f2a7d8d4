//! The best order for a sequence, with what it costs beside the usual ways of searching.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::circuit::Solution;
use crate::machine::model::{Machine, SequenceId};

use super::super::dictionary::Dictionary;
use super::super::search::{Limits, Problem, ProblemError, Quality, Tree, check_order};
use super::baseline;
use super::checks::{CheckKind, Offer, offers};
use super::graph::Graph;
use super::steps::{Step, steps};

/// Minutes to open a cover and shut it again unless the description says otherwise: common practice, no source.
const DOOR: f64 = 5.0;
/// Minutes to isolate, discharge and prove dead.
const TO_DEAD: f64 = 2.0;
/// Minutes to power up again.
const TO_LIVE: f64 = 1.0;

/// An order of checks with its cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// What the search was given: weights, repairs, checks.
    pub problem: Problem,
    /// Faults of the dictionary, one for each suspect of the problem.
    pub suspects: Vec<usize>,
    /// The checks, same index as in the problem.
    pub offers: Vec<Offer>,
    /// Covers, same index as in the problem.
    pub doors: Vec<String>,
    /// The order as a tree.
    pub tree: Tree,
    /// Expected minutes of the tree.
    pub minutes: f64,
    /// What no order can beat.
    pub bound: f64,
    /// Whether it is proved best.
    pub quality: Quality,
    /// Expected minutes of other ways.
    pub baselines: Baselines,
}

/// Expected minutes of the usual ways of searching, with the same checks.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Baselines {
    /// Part after part along the path.
    pub along_the_path: f64,
    /// Test point after test point from the supply, then part after part.
    pub from_the_supply: f64,
    /// Test point after test point from the load, then part after part.
    pub from_the_load: f64,
    /// The test point in the middle of what is left, then part after part.
    pub half_split: f64,
}

/// The best order for these suspects, given as fault and weight, without checks that are done.
///
/// # Errors
/// When there is no suspect, or none has any weight.
pub fn order(
    machine: &Machine,
    solution: &Solution,
    dictionary: &Dictionary,
    sequence: SequenceId,
    suspects: &[(usize, f64)],
    limits: Limits,
    done: &[CheckKind],
) -> Result<Order, ProblemError> {
    let doors: Vec<String> = all_doors(machine).into_iter().take(u32::BITS as usize).collect();
    let faults: Vec<usize> = suspects.iter().map(|&(fault, _)| fault).collect();
    let mut offers = offers(machine, solution, dictionary, sequence, &faults, &doors);
    offers.retain(|offer| !done.contains(&offer.kind));
    let sites: Vec<_> = faults.iter().map(|&fault| dictionary.faults[fault].site).collect();
    let places: BTreeSet<_> = sites.iter().copied().collect();
    let places: Vec<_> = places.into_iter().collect();
    let problem = Problem {
        weights: suspects.iter().map(|&(_, weight)| weight).collect(),
        repairs: sites.iter().map(|site| places.iter().position(|place| place == site).unwrap_or(0)).collect(),
        checks: offers.iter().map(|offer| offer.check.clone()).collect(),
        doors: vec![DOOR; doors.len()],
        mode_change: (TO_DEAD, TO_LIVE),
        live: true,
    };
    let best = check_order(&problem, limits)?;
    let baselines = baseline::minutes(machine, &dictionary.sequences[sequence.0], &problem, &offers);
    Ok(Order {
        suspects: faults,
        doors,
        tree: best.tree,
        minutes: best.minutes,
        bound: best.bound,
        quality: best.quality,
        baselines,
        problem,
        offers,
    })
}

impl Order {
    /// The order as a person follows it, a little shorter than the tree, and its expected minutes.
    #[must_use]
    pub fn steps(&self, machine: &Machine, dictionary: &Dictionary) -> (Vec<Step>, f64) {
        let mut graph = Graph::of(&self.problem, &self.tree);
        let proved = self.quality == Quality::Optimal;
        graph.shorten(proved);
        let minutes = graph.minutes();
        if !proved {
            graph.end_early();
        }
        (steps(machine, dictionary, self, &graph), minutes)
    }
}

fn all_doors(machine: &Machine) -> BTreeSet<String> {
    let parts = machine.parts.iter().filter_map(|part| part.door.clone());
    parts.chain(machine.test_points.iter().filter_map(|point| point.door.clone())).collect()
}
