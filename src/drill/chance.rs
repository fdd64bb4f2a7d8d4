//! Chance from a seed: the same on every machine and in every version of this program that keeps this file.

use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};

/// A stream of chance.
pub(super) struct Chance(ChaCha8Rng);

impl Chance {
    /// The stream of a seed. `purpose` keeps streams apart, so that drawing more in one leaves the others alone.
    pub(super) fn new(seed: u64, purpose: u64) -> Self {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(purpose);
        Self(generator)
    }

    /// A number below a bound, each equally likely; zero for a bound of zero.
    pub(super) fn below(&mut self, bound: usize) -> usize {
        let bound = bound as u64;
        if bound < 2 {
            return 0;
        }
        // Numbers beyond the last whole multiple of the bound would favour the small ones: draw again.
        let limit = u64::MAX - u64::MAX % bound;
        loop {
            let drawn = self.0.next_u64();
            if drawn < limit {
                return usize::try_from(drawn % bound).unwrap_or(0);
            }
        }
    }

    /// Puts things into an order of which each is equally likely (Fisher and Yates).
    pub(super) fn shuffle<T>(&mut self, things: &mut [T]) {
        for last in (1..things.len()).rev() {
            things.swap(last, self.below(last + 1));
        }
    }
}
