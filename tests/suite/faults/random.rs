//! Seeded numbers: the same cases on every machine.

use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};

/// A generator of cases.
pub(crate) struct Random(ChaCha8Rng);

/// The generator of a seed.
pub(crate) fn random(seed: u64) -> Random {
    Random(ChaCha8Rng::seed_from_u64(seed))
}

impl Random {
    /// From 0 to `count` less one.
    #[allow(dead_code, reason = "the benchmark draws no whole numbers")]
    pub(crate) fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.0.next_u64() % count as u64).unwrap()
    }

    /// From 0 to 1.
    pub(crate) fn unit(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / f64::from(u32::MAX)
    }

    /// Roughly normal, mean 0 and deviation 1: twelve uniform numbers.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}
