//! What may be wrong: fault kinds, the fault dictionary, look-alikes, the order of checks, narrowing by readings.

pub mod dictionary;
mod effect;
pub mod kinds;
pub mod order;
mod sample;
pub mod search;
