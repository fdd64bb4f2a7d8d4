//! What may be wrong: fault kinds, the fault dictionary, look-alikes, the order of checks, narrowing by readings.

pub mod kinds;
pub mod search;
