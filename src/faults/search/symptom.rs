//! Suspects from which sequences work and which fail.
//!
//! Sharp rule: whatever predicts exactly what was seen. Soft rule: each observation counts with a likelihood, so a
//! sequence that works though a needed part is bad (a dirty contact that passes a light load) does not acquit for good.

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

    /// How likely a sequence with this predicted effect does what was seen; even where no effect is known.
    #[must_use]
    pub fn likelihood(self, effect: Option<Effect>, works: bool) -> f64 {
        let fails = effect.map_or(0.5, |effect| self.chance_of_failing(effect));
        if works { 1.0 - fails } else { fails }
    }
}

/// Whether a predicted effect is just what was seen; a marginal one agrees with both.
#[must_use]
pub fn agrees(effect: Effect, works: bool) -> bool {
    effect == Effect::Marginal || (effect == Effect::Works) == works
}
