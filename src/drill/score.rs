//! A fair score for a search: naming the fault counts most, then not spending more minutes than the best order, and less
//! is left for each wrong swap, each check that could tell nothing any more, and each step that was not safe.
//!
//! The rule: nothing where the fault is not named; else 60 and up to 40 for speed, less 15 a wrong swap, 5 an idle check,
//! 20 an unsafe step, never below nothing. Its shape follows a survey of trainers that ranked the right answer first, wrong
//! replacements second, then time (proceedings of the International Military Testing Association); the numbers are this
//! program's and may be changed.

use serde::{Deserialize, Serialize};

use crate::faults::order::CheckKind;
use crate::words::{Fact, Words};

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
    // Who names it without a check was lucky or knows the machine: full speed.
    let share = if minutes > 0.0 { (stage.best_minutes / minutes).min(1.0) } else { 1.0 };
    let (for_naming, for_speed) = if named { (weights.named, weights.speed * share) } else { (0.0, 0.0) };
    let off: f64 = deductions.iter().map(Deduction::points).sum();
    let points = if named { (for_naming + for_speed - off).max(0.0) } else { 0.0 };
    Ok(Score {
        named,
        points,
        for_naming,
        for_speed,
        minutes,
        best_minutes: stage.best_minutes,
        deductions,
        first_idle,
        right: stage.places.clone(),
    })
}

/// Walks along the checks with all who are still suspected: a check that cannot part them tells nothing.
fn deductions(stage: &Stage, made: &[usize], weights: Weights) -> (Vec<Deduction>, Option<usize>) {
    let mut left: Vec<usize> = (0..stage.suspects.len()).collect();
    let mut deductions = Vec::new();
    let mut first_idle = None;
    for (place, &check) in made.iter().enumerate() {
        let results = &stage.problem.checks[check].results;
        let swap = matches!(stage.checks[check].kind, CheckKind::Swap(..));
        if swap && stage.checks[check].showing == Showing::Fails {
            deductions.push(Deduction::WrongSwap { check: Some(check + 1), points: weights.wrong_swap });
        } else if left.iter().all(|&suspect| results[suspect] == results[left[0]]) {
            first_idle = first_idle.or(Some(place + 1));
            deductions.push(Deduction::IdleCheck { check: check + 1, points: weights.idle_check });
        }
        left.retain(|&suspect| results[suspect] == results[stage.culprit]);
    }
    (deductions, first_idle)
}

/// Whether an answer names a place, in the words of any language that the sheet may have been printed in.
fn is_named(place: &Fact, answer: &str) -> bool {
    let languages = crate::assets::languages().filter_map(|(code, _)| Words::of(code));
    languages.into_iter().any(|words| alike(&words.say(place), answer))
}

/// Whether two names mean the same place: letters and digits alike, whatever the case and the spaces.
fn alike(place: &str, answer: &str) -> bool {
    let plain = |text: &str| -> String {
        text.chars().filter(|letter| letter.is_alphanumeric() || *letter == ':').flat_map(char::to_lowercase).collect()
    };
    plain(place) == plain(answer)
}
