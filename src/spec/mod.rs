//! What was written: TOML to typed values that know their place in the file.
pub mod diagnostic;
pub mod units;
