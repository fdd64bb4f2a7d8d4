//! Solves a machine's circuits: what every test point reads and every device gets, in every sequence.
//!
//! In comes a resolved [`Machine`]; out goes a [`Solution`]. For each sequence the switches are set, relays start as the
//! earlier sequence left them, and the network is solved until nothing moves. Nothing in here knows about paper.
//!
//! The way through: [`Solver::new`] takes the numbers out of the parts and finds the order in which joints are eliminated;
//! a state of the machine then fills that order with admittances and is solved; diodes, filaments and rectifiers are
//! brought into agreement with the result; relays move until none does; fuses open that must; the meter is applied.

use crate::machine::model::Machine;

pub mod change;
pub mod path;
pub mod results;

mod bands;
mod branches;
mod corners;
mod cycle;
mod dead;
mod describe;
mod diode;
mod doubts;
mod drops;
mod elimination;
mod error;
mod extremes;
mod faulted;
mod feeds;
mod field;
mod graph;
mod groups;
mod inside;
mod kernel;
mod kirchhoff;
mod meter;
mod network;
mod point;
mod pulses;
pub(crate) mod rectifier;
mod scalar;
mod settle;
mod shares;
mod shown;
mod smoothed;
mod solver;
mod spans;
mod stands;
mod turn;
mod uneven;
mod update;
mod values;
mod zones;

pub use change::Change;
pub use dead::DeadNetwork;
pub use error::{CircuitError, Reason};
pub use faulted::{Across, Compared, Glance, Kept, Outcome};
pub use meter::MeterReading;
pub use results::{SequenceSolution, Solution};
pub use settle::opening_current;
pub use solver::{Effort, SampleReading, Solver};
pub use zones::zones;

/// Solves all sequences of a machine.
///
/// # Errors
/// A circuit that cannot be answered rightly, see [`CircuitError`].
pub fn solve(machine: &Machine, effort: Effort) -> Result<Solution, CircuitError> {
    Ok(Solver::new(machine)?.solve(effort))
}
