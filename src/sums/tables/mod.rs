//! Published tables that sums and rules share, each with its source.

pub mod conductors;
pub mod e_series;
pub mod fuses;
pub mod ratings;
pub mod touch;
