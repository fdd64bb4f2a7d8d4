//! Solves a machine's circuits: what every test point reads and every device gets, in every sequence.
//!
//! In comes a resolved [`Machine`]; out goes a [`Solution`]. For each sequence the switches are set, relays start as the
//! earlier sequence left them, and the network is solved until nothing moves. Nothing in here knows about paper.

pub mod change;
pub mod results;

pub use change::Change;
pub use results::{SequenceSolution, Solution};
