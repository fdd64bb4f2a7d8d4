//! What a learner did, as an instructor types it from the log on the sheet.

use std::fmt;
use std::path::PathBuf;

use serde::Deserialize;

use crate::words::Fact;

use super::request::Request;
use super::score::Weights;

/// One learner's search.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Log {
    /// The description, seen from the folder of the log.
    pub spec: PathBuf,
    /// The request that made the set, as it stands on the sheet.
    pub set: Request,
    /// The number of the exercise.
    pub exercise: usize,
    /// Which of two faults; 1 where there is one.
    #[serde(default = "first")]
    pub fault: usize,
    /// Numbers of the checks on the sheet, in the order in which they were made.
    pub checks: Vec<usize>,
    /// The place that was named; empty if none was.
    #[serde(default)]
    pub answer: String,
    /// Parts that were replaced though they were good, beside the swaps among the checks.
    #[serde(default)]
    pub wrong_parts: usize,
    /// Steps that were not safe, as the instructor saw them.
    #[serde(default)]
    pub unsafe_steps: usize,
    /// Weights of the score.
    #[serde(default)]
    pub weights: Weights,
}

fn first() -> usize {
    1
}

/// What is wrong with a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LogError {
    /// No exercise has this number.
    UnknownExercise {
        /// The number.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The exercise has no such fault.
    UnknownFault {
        /// The number.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// No check has this number.
    UnknownCheck {
        /// The number.
        number: usize,
        /// How many there are.
        count: usize,
    },
    /// The answer names no place, or could mean several.
    UnclearPlace {
        /// The answer.
        answer: String,
        /// Whether it could mean several places.
        several: bool,
        /// Places of the parts that it names.
        near: Vec<Fact>,
    },
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LogError::UnknownExercise { number, count } => {
                write!(f, "there is no exercise {number}: the set has 1 to {count}")
            }
            LogError::UnknownFault { number, count } => {
                write!(f, "there is no fault {number}: the exercise has 1 to {count}")
            }
            LogError::UnknownCheck { number, count } => {
                write!(f, "there is no check {number}: the sheet lists 1 to {count}")
            }
            LogError::UnclearPlace { answer, several: true, .. } => write!(f, "`{answer}` could mean several places"),
            LogError::UnclearPlace { answer, .. } => write!(f, "`{answer}` is no place on this machine"),
        }
    }
}
