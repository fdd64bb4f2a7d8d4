//! Everything that can be wrong with evidence, and what to do about it.

use std::fmt;

use crate::machine::model::Current;
use crate::spec::units::Volts;

/// Why evidence cannot be used.
#[derive(Debug, Clone, PartialEq)]
pub enum EvidenceError {
    /// There is none.
    Nothing,
    /// Not of the form `WHERE=VALUE`.
    NotAPair {
        /// As written.
        text: String,
        /// How it could be.
        example: &'static str,
    },
    /// No test point, joint or part of this name.
    UnknownPlace {
        /// As written.
        name: String,
        /// The nearest known names, nearest first.
        nearest: Vec<String>,
        /// Names of the machine's test points, in few words.
        points: String,
    },
    /// The value cannot be read.
    BadValue {
        /// As written.
        text: String,
        /// What is wrong with it.
        why: String,
        /// What to do about it, where that is not plain.
        hint: Option<&'static str>,
    },
    /// No such kind of current comes there.
    WrongCurrent {
        /// As written.
        text: String,
        /// The kind that was written.
        written: Current,
        /// Supplies that reach the place.
        supplies: Vec<String>,
    },
    /// AC with a sign.
    SignOnAlternating {
        /// As written.
        text: String,
        /// The reading without it.
        volts: f64,
    },
    /// What reaches this place never gives such a reading.
    Impossible {
        /// Where.
        name: String,
        /// The reading.
        volts: f64,
        /// Lowest reading that can come there; none where AC alone comes there, which has no sign.
        low: Option<f64>,
        /// Highest reading that can come there.
        high: f64,
        /// Supplies that reach the place.
        supplies: Vec<String>,
    },
    /// Ohms below zero.
    NegativeOhms(String),
    /// The same place twice with different values.
    Twice(String),
    /// Not the number of one sequence.
    NotANumber {
        /// As written.
        text: String,
        /// Numbers that there are.
        known: Vec<i64>,
    },
    /// Neither a number nor a range of numbers.
    NotNumbers {
        /// As written.
        text: String,
        /// Numbers that there are.
        known: Vec<i64>,
    },
    /// A range that goes down.
    Backwards {
        /// Its first number.
        first: i64,
        /// Its last.
        last: i64,
    },
    /// No sequence of this number.
    UnknownSequence {
        /// As written.
        number: i64,
        /// Numbers that there are.
        known: Vec<i64>,
    },
    /// Volts without a sequence.
    NoSequence,
    /// A sequence is said both to work and to fail.
    WorksAndFails(i64),
}

impl fmt::Display for EvidenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EvidenceError::Nothing => write!(f, "there is no reading and no sequence to narrow by"),
            EvidenceError::NotAPair { text, example } => {
                write!(f, "expected a place and its reading such as `{example}`, found `{text}`")
            }
            EvidenceError::UnknownPlace { name, .. } => {
                write!(f, "there is no test point, joint, part or contact `{name}`")
            }
            EvidenceError::BadValue { text, why, .. } => write!(f, "`{text}`: {why}"),
            EvidenceError::WrongCurrent { text, written, supplies } => {
                write!(f, "`{text}`: no {} comes there, only what {} gives", letters(*written), supplies.join(", "))
            }
            EvidenceError::SignOnAlternating { text, .. } => write!(f, "`{text}`: ac has no sign"),
            EvidenceError::Impossible { name, volts, low, high, supplies } => {
                let (volts, high) = (Volts::new(*volts), Volts::new(*high));
                write!(f, "`{name}` cannot read {volts}: {} gives ", supplies.join(" and "))?;
                match low {
                    Some(low) => write!(f, "between {} and {high} there", Volts::new(*low)),
                    None => write!(f, "no more than {high} there"),
                }
            }
            EvidenceError::NegativeOhms(text) => write!(f, "`{text}`: ohms cannot be below zero"),
            EvidenceError::Twice(name) => write!(f, "`{name}` is given twice with different readings"),
            EvidenceError::NotANumber { text, .. } => {
                write!(f, "expected the number of one sequence such as `5`, found `{text}`")
            }
            EvidenceError::NotNumbers { text, .. } => {
                write!(f, "expected numbers of sequences such as `5`, `1-3` or `1,2,4-6`, found `{text}`")
            }
            EvidenceError::Backwards { first, last } => write!(f, "`{first}-{last}` goes down"),
            EvidenceError::UnknownSequence { number, .. } => write!(f, "there is no sequence {number}"),
            EvidenceError::NoSequence => write!(f, "volts need the sequence in which they were read"),
            EvidenceError::WorksAndFails(number) => write!(f, "sequence {number} is said both to work and to fail"),
        }
    }
}

impl std::error::Error for EvidenceError {}

impl EvidenceError {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            EvidenceError::Nothing => {
                Some("add `--read TP4=-12.1`, `--ohms K2=118`, `--works 1-4`, or `--fails 5`".into())
            }
            EvidenceError::UnknownPlace { nearest, points, .. } => Some(match &nearest[..] {
                [] => format!("test points: {points}"),
                [one] => format!("did you mean `{one}`? Test points: {points}"),
                [first @ .., last] => {
                    format!("did you mean `{}` or `{last}`? Test points: {points}", first.join("`, `"))
                }
            }),
            EvidenceError::BadValue { hint, .. } => hint.map(Into::into),
            EvidenceError::WrongCurrent { written, .. } => Some(format!(
                "turn the meter to {} and read again; if it shows {} there all the same, two supplies touch: look for that place first",
                letters(other(*written)),
                letters(*written)
            )),
            EvidenceError::SignOnAlternating { volts, .. } => {
                Some(format!("if the meter stood on ac, write {}", Volts::new(*volts)))
            }
            EvidenceError::Impossible { volts, low: Some(low), high, .. } if (*low..=*high).contains(&-volts) => {
                Some("are the leads the wrong way round? The black one goes to the reference of that point".into())
            }
            EvidenceError::Impossible { .. } => Some("look at the meter's range and at the decimal point".into()),
            EvidenceError::Backwards { first, last } => Some(format!("write `{last}-{first}`")),
            EvidenceError::UnknownSequence { known, .. }
            | EvidenceError::NotANumber { known, .. }
            | EvidenceError::NotNumbers { known, .. } => {
                let known: Vec<String> = known.iter().map(i64::to_string).collect();
                Some(format!("sequences: {}", known.join(", ")))
            }
            EvidenceError::NoSequence => Some("add `--sequence NUMBER`".into()),
            EvidenceError::Twice(_) => Some("keep the reading that you trust".into()),
            _ => None,
        }
    }
}

/// A kind of current as it is typed.
fn letters(current: Current) -> &'static str {
    match current {
        Current::Direct => "dc",
        Current::Alternating => "ac",
    }
}

fn other(current: Current) -> Current {
    match current {
        Current::Direct => Current::Alternating,
        Current::Alternating => Current::Direct,
    }
}
