//! The circuit room against worked values: a training circuit with its faults, diodes, lamps, relays, rectifiers, meters.
//!
//! Values named "worked by hand" come from nodal analysis in closed form or from a calculation done outside this project
//! with the method that stands beside them.

pub(crate) mod build;

mod bands;
mod demos;
mod doubt;
mod faults;
mod hard;
mod large;
mod laws;
mod newton;
mod reservoirs;
mod trade;
mod wild;

/// Fails unless two numbers agree within so much of the second, or within a billionth.
#[track_caller]
pub(crate) fn near(actual: f64, expected: f64, relative: f64) {
    let allowed = relative * expected.abs() + 1e-9;
    assert!((actual - expected).abs() <= allowed, "got {actual}, expected {expected} within {allowed}");
}

/// Repeatable random numbers (xorshift of Marsaglia).
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// From 0 to 1.
    pub(crate) fn share(&mut self) -> f64 {
        let bits = u32::try_from(self.next() >> 32).unwrap_or_default();
        f64::from(bits) / f64::from(u32::MAX)
    }

    /// From 0 to `count - 1`.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(count).unwrap_or(1)).unwrap_or_default()
    }
}
