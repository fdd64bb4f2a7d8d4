//! Narrowing: readings and sequences in, suspects with shares and the best next check out.

mod alike;
mod answer;
mod apart;
mod conclude;
mod evidence;
mod evidence_error;
mod guess;
mod next;
mod places;
mod possible;
mod predict;
mod tried;

pub use answer::{Doubt, NarrowSuspect, Narrowing, NextCheck, narrow};
pub use evidence::{Evidence, OhmsAt, OhmsRead, VoltsAt, VoltsRead};
pub use evidence_error::EvidenceError;
