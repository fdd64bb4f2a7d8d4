//! The fault room: search algorithms against worked answers and exhaustive search, dictionaries against the solver,
//! narrowing against published troubleshooting worksheets.

mod chain_and_series;
mod classes;
mod command;
mod exhaustive;
mod ladder;
mod machines;
mod ranking;
mod symptom;
mod trees;
mod worksheets;
