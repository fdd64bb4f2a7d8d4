//! The circuit room against worked values: a training circuit with its faults, diodes, lamps, relays, rectifiers, meters.
//!
//! Values named "worked by hand" come from nodal analysis in closed form or from a calculation done outside this project
//! with the method that stands beside them.

pub mod build;

mod faults;
mod laws;

/// Fails unless two numbers agree within so much of the second, or within a billionth.
#[track_caller]
pub fn near(actual: f64, expected: f64, relative: f64) {
    let allowed = relative * expected.abs() + 1e-9;
    assert!((actual - expected).abs() <= allowed, "got {actual}, expected {expected} within {allowed}");
}
