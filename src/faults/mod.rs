//! What may be wrong: fault kinds, the fault dictionary, look-alikes, the order of checks, narrowing by readings.
//!
//! In come a machine and its solution; out go [`Findings`] for paper. [`search`] holds the algorithms, free of machines;
//! [`kinds`] what can be wrong with each part; [`dictionary`] what that does and reads in every sequence; [`order`] the
//! checks and the steps. Everything assumes one fault at a time, and says so.

mod analyse;
pub mod describe;
pub mod dictionary;
mod effect;
pub mod findings;
pub mod kinds;
pub mod narrow;
pub mod order;
pub mod search;

pub use analyse::analyse;
pub use findings::Findings;
