//! The fault dictionary: what every fault does and reads in every sequence.
//!
//! Each fault is put into the machine in each sequence, from the state in which the healthy previous step left it. Where
//! a fault sits on a contact that is open anyway and no relay moves, the healthy readings stand.

mod build;
mod idle;
mod row;

pub use build::{Dictionary, SequenceTable};
pub(super) use idle::Idle;
pub use row::{Row, fuses};
