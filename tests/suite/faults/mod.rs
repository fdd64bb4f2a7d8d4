//! The fault room: search algorithms against worked answers and exhaustive search, dictionaries against the solver,
//! narrowing against published troubleshooting worksheets.

mod chafed;
mod chain_and_series;
mod classes;
mod clock;
mod command;
mod exhaustive;
mod found_again;
mod ladder;
mod machines;
mod random;
mod ranking;
mod round_trip;
pub(crate) mod spice;
mod symptom;
mod trees;
mod walk;
mod walked;
mod worksheets;
