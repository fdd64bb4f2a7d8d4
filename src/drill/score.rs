//! A fair score for a search: naming the fault counts most, then not spending more minutes than the best order, and less
//! is left for each wrong swap, each check that could tell nothing any more, and each step that was not safe.
//!
//! The rule: nothing where the fault is not named; else 60 and up to 40 for speed, less 15 a wrong swap, 5 an idle check,
//! 20 an unsafe step, never below nothing. Speed counts only where the checks made leave no other place: a guess, or an
//! answer that was copied, is not quick. Its shape follows a survey of trainers that ranked the right answer first, wrong
//! replacements second, then time (proceedings of the International Military Testing Association); the numbers are this
//! program's and may be changed.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::faults::order::CheckKind;
use crate::words::Fact;

use super::answer::{essence, languages};
use super::exercise::Stage;
use super::log::{Log, LogError};
use super::showing::Showing;

/// Weights of the score.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Weights {
    /// For naming the fault.
    pub named: f64,
    /// At most for speed.
    pub speed: f64,
    /// Off for each good part that was swapped or replaced.
    pub wrong_swap: f64,
    /// Off for each check that could tell nothing any more.
    pub idle_check: f64,
    /// Off for each unsafe step.
    pub unsafe_step: f64,
}

impl Default for Weights {
    fn default() -> Self {
        Self { named: 60.0, speed: 40.0, wrong_swap: 15.0, idle_check: 5.0, unsafe_step: 20.0 }
    }
}

/// What a search is worth.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Score {
    /// Whether the fault, or one that no check on offer tells from it, was named.
    pub named: bool,
    /// The points.
    pub points: f64,
    /// Points for naming it.
    pub for_naming: f64,
    /// Points for speed.
    pub for_speed: f64,
    /// How many places, beside those that count as right, the checks made leave in question.
    pub left: usize,
    /// Minutes of the checks made, covers and power changes included.
    pub minutes: f64,
    /// Minutes of the best order for this fault.
    pub best_minutes: f64,
    /// What was taken off, in the order in which it happened.
    pub deductions: Vec<Deduction>,
    /// Place among the checks made of the first that could tell nothing, from 1.
    pub first_idle: Option<usize>,
    /// Places that count as right.
    pub right: Vec<Fact>,
}

/// Points taken off.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "why")]
pub enum Deduction {
    /// A good part was swapped.
    WrongSwap {
        /// Number of the check on the sheet; none for parts that were replaced without a check.
        check: Option<usize>,
        /// Points.
        points: f64,
    },
    /// A check that could tell nothing any more.
    IdleCheck {
        /// Number of the check on the sheet.
        check: usize,
        /// Points.
        points: f64,
    },
    /// A step that was not safe.
    UnsafeStep {
        /// Points.
        points: f64,
    },
}

impl Deduction {
    /// Its points.
    #[must_use]
    pub fn points(&self) -> f64 {
        match self {
            Deduction::WrongSwap { points, .. }
            | Deduction::IdleCheck { points, .. }
            | Deduction::UnsafeStep { points } => *points,
        }
    }
}

/// Scores a learner's search for one fault.
///
/// # Errors
/// When the log names a check that the sheet does not list.
pub fn score(stage: &Stage, log: &Log) -> Result<Score, LogError> {
    let count = stage.checks.len();
    if let Some(&number) = log.checks.iter().find(|&&number| number == 0 || number > count) {
        return Err(LogError::UnknownCheck { number, count });
    }
    let made: Vec<usize> = log.checks.iter().map(|number| number - 1).collect();
    let weights = log.weights;
    let (mut deductions, first_idle) = deductions(stage, &made, weights);
    deductions.extend((0..log.wrong_parts).map(|_| Deduction::WrongSwap { check: None, points: weights.wrong_swap }));
    deductions.extend((0..log.unsafe_steps).map(|_| Deduction::UnsafeStep { points: weights.unsafe_step }));
    let named = stage.places.iter().any(|place| is_named(place, &log.answer));
    let minutes = stage.problem.minutes_of(&made);
    let left = places_left(stage, &made);
    let share = if left == 0 && minutes > 0.0 { (stage.best_minutes / minutes).min(1.0) } else { 0.0 };
    let (for_naming, for_speed) = if named { (weights.named, weights.speed * share) } else { (0.0, 0.0) };
    let off: f64 = deductions.iter().map(Deduction::points).sum();
    let points = if named { (for_naming + for_speed - off).max(0.0) } else { 0.0 };
    Ok(Score {
        named,
        points,
        for_naming,
        for_speed,
        left,
        minutes,
        best_minutes: stage.best_minutes,
        deductions,
        first_idle,
        right: stage.places.clone(),
    })
}

/// How many places these checks leave in question beside those that count as right: as many as there are repairs among the
/// suspects who would have shown the same.
fn places_left(stage: &Stage, made: &[usize]) -> usize {
    let all: Vec<usize> = (0..stage.checks.len()).collect();
    let right = repairs_left(stage, &all);
    repairs_left(stage, made).difference(&right).count()
}

/// Whether these checks leave no place in question but those that count as right.
#[must_use]
pub fn settles(stage: &Stage, checks: &[usize]) -> bool {
    places_left(stage, checks) == 0
}

/// Repairs of the suspects that may show, within their tolerances, what the fault shows at these checks.
fn repairs_left(stage: &Stage, checks: &[usize]) -> BTreeSet<usize> {
    let may_show_the_same = |suspect: usize| {
        checks
            .iter()
            .map(|&check| &stage.problem.checks[check])
            .all(|made| made.may(suspect, made.results[stage.culprit]))
    };
    (0..stage.suspects.len())
        .filter(|&suspect| may_show_the_same(suspect))
        .map(|suspect| stage.problem.repairs[suspect])
        .collect()
}

/// Walks along the checks with all who are still suspected: a check that cannot part them tells nothing.
fn deductions(stage: &Stage, made: &[usize], weights: Weights) -> (Vec<Deduction>, Option<usize>) {
    let mut left: Vec<usize> = (0..stage.suspects.len()).collect();
    let mut deductions = Vec::new();
    let mut first_idle = None;
    for (place, &check) in made.iter().enumerate() {
        let made = &stage.problem.checks[check];
        let swap = matches!(stage.checks[check].kind, CheckKind::Swap(..));
        if swap && stage.checks[check].showing == Showing::Fails {
            deductions.push(Deduction::WrongSwap { check: Some(check + 1), points: weights.wrong_swap });
        } else if made.is_idle(&left) {
            first_idle = first_idle.or(Some(place + 1));
            deductions.push(Deduction::IdleCheck { check: check + 1, points: weights.idle_check });
        }
        left.retain(|&suspect| made.may(suspect, made.results[stage.culprit]));
    }
    (deductions, first_idle)
}

/// Whether an answer names a place, in the words of any language that the sheet may have been printed in.
fn is_named(place: &Fact, answer: &str) -> bool {
    let answer = essence(answer);
    languages().iter().any(|words| essence(&words.say(place)) == answer)
}
