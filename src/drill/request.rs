//! What an instructor asks for, and why it may be refused.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::level::Level;

/// What an instructor asks for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Request {
    /// How many exercises.
    pub count: usize,
    /// Where chance begins.
    pub seed: u64,
    /// Only this level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// Only this sequence, by number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sequence: Option<i64>,
    /// Faults in each exercise: one or two.
    #[serde(default = "one")]
    pub faults: usize,
}

fn one() -> usize {
    1
}

/// Why a request cannot be met, and what can be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// No exercise was asked for.
    NoCount,
    /// Neither one fault nor two.
    Faults(usize),
    /// No sequence has this number.
    UnknownSequence {
        /// The number.
        number: i64,
        /// Those that there are.
        known: Vec<i64>,
    },
    /// There are fewer different exercises than asked for.
    TooFew {
        /// How many were asked for.
        asked: usize,
        /// How many there are of what was asked for.
        available: usize,
        /// How many there are of each level, over all sequences.
        by_level: [usize; 3],
    },
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::NoCount => write!(f, "expected at least one exercise, found a count of 0"),
            Refusal::Faults(count) => write!(f, "expected one or two faults in an exercise, found {count}"),
            Refusal::UnknownSequence { number, .. } => write!(f, "no sequence has the number {number}"),
            Refusal::TooFew { asked, available: 0, .. } => {
                write!(f, "this machine gives no exercise of this kind; {asked} asked for")
            }
            Refusal::TooFew { asked, available, .. } => {
                write!(f, "this machine gives {available} different exercises of this kind; {asked} asked for")
            }
        }
    }
}

impl Refusal {
    /// What can be done instead.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Refusal::NoCount => "ask for `--count 10`".into(),
            Refusal::Faults(_) => "ask for `--faults 1` or `--faults 2`".into(),
            Refusal::UnknownSequence { known, .. } => {
                let known: Vec<String> = known.iter().map(i64::to_string).collect();
                format!("its sequences are {}", known.join(", "))
            }
            Refusal::TooFew { available, by_level, .. } => {
                let levels: Vec<String> =
                    Level::ALL.iter().zip(by_level).map(|(level, count)| format!("{count} {}", level.name())).collect();
                let fewer = if *available > 0 { format!("ask for `--count {available}`; ") } else { String::new() };
                format!("{fewer}over all sequences, with one fault, it gives {}", levels.join(", "))
            }
        }
    }
}
