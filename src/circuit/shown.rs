//! What a voltage over a box of tolerances is to the reader: a signed number or a magnitude, with its lowest and highest.

use super::results::Certainty;
use super::scalar::Scalar;

/// So many varying values are tried in all their corners.
pub(crate) const MOST_CORNERS: usize = 10;

/// Lowest and highest of something over a box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Extremes {
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) certainty: Certainty,
}

/// What a kernel's voltage is to the reader: a signed number, or a magnitude.
pub(crate) trait Shown: Scalar {
    /// Least and greatest of the sum of gain times source over the spans of the sources.
    fn extremes(gains: &[Self], sources: impl Iterator<Item = [Self; 2]> + Clone) -> (f64, f64);
    /// What is read of a voltage.
    fn shown(self) -> f64;
    /// How what is read changes with a small change of the voltage: its sign counts.
    fn trend(self, change: Self) -> f64;
    /// Whether corners are proved to hold the extremes.
    const CORNERS_PROVE: bool;
}

impl Shown for f64 {
    fn extremes(gains: &[Self], sources: impl Iterator<Item = [Self; 2]> + Clone) -> (f64, f64) {
        gains.iter().zip(sources).fold((0.0, 0.0), |(low, high), (&gain, [a, b])| {
            let (a, b) = (gain * a, gain * b);
            (low + a.min(b), high + a.max(b))
        })
    }
    fn shown(self) -> f64 {
        self
    }
    fn trend(self, change: Self) -> f64 {
        change
    }
    const CORNERS_PROVE: bool = true;
}

impl Shown for num_complex::Complex64 {
    fn extremes(gains: &[Self], sources: impl Iterator<Item = [Self; 2]> + Clone) -> (f64, f64) {
        let (mut low, mut high) = (f64::INFINITY, 0.0_f64);
        for corner in 0..1_usize << gains.len().min(MOST_CORNERS) {
            let sum = gains.iter().zip(sources.clone()).enumerate();
            let sum = sum.fold(Self::ZERO, |sum, (at, (&gain, span))| sum + gain * span[corner >> at & 1]);
            low = low.min(sum.norm());
            high = high.max(sum.norm());
        }
        (low, high)
    }
    fn shown(self) -> f64 {
        self.norm()
    }
    fn trend(self, change: Self) -> f64 {
        self.re * change.re + self.im * change.im
    }
    const CORNERS_PROVE: bool = false;
}
