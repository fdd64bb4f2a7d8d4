//! Suspects from which sequences work and which fail.
//!
//! Sharp rule: whatever predicts exactly what was seen. Soft rule: each observation counts with a likelihood, so a
//! sequence that works though a needed part is bad (a dirty contact that passes a light load) does not acquit for good.

use super::bounds::entropy;

/// What a fault does to a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Effect {
    /// It works all the same.
    Works,
    /// The supply's tolerance alone decides.
    Marginal,
    /// It fails.
    Fails,
}

/// How far observations are trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trust {
    /// Chance that a sequence works although the fault should stop it.
    pub works_all_the_same: f64,
    /// Chance that a sequence fails although the fault does not touch it.
    pub fails_without_reason: f64,
}

impl Default for Trust {
    fn default() -> Self {
        Self { works_all_the_same: 0.05, fails_without_reason: 0.01 }
    }
}

impl Trust {
    /// Chance that a sequence with this predicted effect fails.
    #[must_use]
    pub fn chance_of_failing(self, effect: Effect) -> f64 {
        match effect {
            Effect::Works => self.fails_without_reason,
            Effect::Marginal => 0.5,
            Effect::Fails => 1.0 - self.works_all_the_same,
        }
    }
}

/// The faults that predict exactly what was seen. `effects[fault][sequence]`; `seen[sequence]` is whether it works, if
/// it was tried. A marginal prediction agrees with both.
#[must_use]
pub fn sharp_suspects(effects: &[Vec<Effect>], seen: &[Option<bool>]) -> Vec<usize> {
    let agrees = |effect: &Effect, seen: &Option<bool>| match seen {
        None => true,
        Some(works) => *effect == Effect::Marginal || (*effect == Effect::Works) == *works,
    };
    (0..effects.len())
        .filter(|&fault| effects[fault].iter().zip(seen).all(|(effect, seen)| agrees(effect, seen)))
        .collect()
}

/// Share of each fault after what was seen; nothing where no fault has any weight.
#[must_use]
pub fn soft_shares(weights: &[f64], effects: &[Vec<Effect>], seen: &[Option<bool>], trust: Trust) -> Option<Vec<f64>> {
    let mut shares: Vec<f64> = weights
        .iter()
        .zip(effects)
        .map(|(weight, row)| {
            row.iter().zip(seen).fold(*weight, |share, (effect, seen)| match seen {
                None => share,
                Some(true) => share * (1.0 - trust.chance_of_failing(*effect)),
                Some(false) => share * trust.chance_of_failing(*effect),
            })
        })
        .collect();
    let total: f64 = shares.iter().sum();
    if total <= 0.0 || !total.is_finite() {
        return None;
    }
    for share in &mut shares {
        *share /= total;
    }
    Some(shares)
}

/// What trying a sequence is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValueOfTrying {
    /// Uncertainty before, in bits.
    pub before: f64,
    /// Chance that it fails.
    pub chance_of_failing: f64,
    /// Expected drop of the uncertainty, in bits.
    pub gain: f64,
}

/// What trying one more sequence tells about faults with these shares; `effects[fault]` for that sequence.
#[must_use]
pub fn value_of_trying(shares: &[f64], effects: &[Effect], trust: Trust) -> ValueOfTrying {
    let fails: Vec<f64> =
        shares.iter().zip(effects).map(|(share, effect)| share * trust.chance_of_failing(*effect)).collect();
    let works: Vec<f64> = shares.iter().zip(&fails).map(|(share, fails)| share - fails).collect();
    let chance: f64 = fails.iter().sum();
    let before = entropy(shares);
    let after = chance * entropy(&fails) + (1.0 - chance) * entropy(&works);
    ValueOfTrying { before, chance_of_failing: chance, gain: before - after }
}
