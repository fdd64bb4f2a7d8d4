//! Narrowing: readings and sequences in, suspects with shares and the best next check out.

mod alike;
mod answer;
mod evidence;
mod predict;

pub use answer::{Doubt, NarrowSuspect, Narrowing, NextCheck, narrow};
pub use evidence::{Evidence, EvidenceError, OhmsAt, OhmsRead, VoltsAt, VoltsRead};
