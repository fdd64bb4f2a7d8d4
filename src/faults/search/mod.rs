//! The algorithms behind the check order, free of machines: weights, minutes and tables in, orders and trees out.
//!
//! Throughout, a weight is how likely a fault is, given that the symptom is present; one fault is assumed; a cost is the
//! technician's minutes. Ties go to the lowest index, so that a printed page is the same on every machine.

mod bits;
mod blocks;
pub mod bounds;
mod branch;
pub mod classes;
mod dynamic;
mod greedy;
pub mod problem;
pub mod ranking;
pub mod series;
mod solve;
pub mod symptom;
pub mod tree;

pub use greedy::Rule;
pub use problem::{Check, Mode, Problem, ProblemError};
pub use solve::{CheckOrder, Limits, Quality, by_rule, check_order};
pub use tree::Tree;
