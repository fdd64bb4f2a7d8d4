//! One steady cycle of what pulses reach, and the averages that stand for it in the DC network, see [`super::pulses`].

use std::collections::BTreeMap;
use std::sync::Arc;

/// What a steady cycle of pulses comes to.
#[derive(Debug, Clone, Default)]
pub(crate) struct Averages {
    /// Source volts and ohms that stand for the average of a rectifier or a diode, by element.
    pub(super) stands: BTreeMap<usize, (f64, f64)>,
    pub(super) cycle: Option<Arc<Cycle>>,
}

impl Averages {
    /// Whether nothing switches within a cycle.
    pub(crate) fn is_empty(&self) -> bool {
        self.stands.is_empty()
    }

    /// Source volts and ohms that stand for an element, if it passes pulses.
    pub(crate) fn get(&self, element: usize) -> Option<(f64, f64)> {
        self.stands.get(&element).copied()
    }

    /// Means of the squares of an element's volts and amperes, where pulses reach it.
    pub(crate) fn squares(&self, element: usize) -> Option<(f64, f64)> {
        self.cycle.as_ref().and_then(|cycle| cycle.squares[element])
    }

    /// The cycle itself.
    pub(crate) fn cycle(&self) -> Option<&Cycle> {
        self.cycle.as_deref()
    }
}

/// One steady cycle of what pulses reach.
#[derive(Debug, Clone)]
pub(crate) struct Cycle {
    /// Voltages of all joints at each step.
    pub(super) volts: Vec<Vec<f64>>,
    /// Whether pulses reach a joint.
    pub(super) joints: Vec<bool>,
    /// By element that pulses reach: mean square of its volts and amperes.
    pub(super) squares: Vec<Option<(f64, f64)>>,
}

impl Cycle {
    /// Whether pulses reach a joint.
    pub(crate) fn holds(&self, joint: usize) -> bool {
        self.joints[joint]
    }

    /// Swing from peak to peak and square of the RMS of the ripple between two joints.
    pub(crate) fn ripple(&self, red: usize, black: usize) -> (f64, f64) {
        let between = self.volts.iter().map(|volts| volts[red] - volts[black]);
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let count = self.volts.len() as f64;
        let average = between.clone().sum::<f64>() / count;
        let low = between.clone().fold(f64::INFINITY, f64::min);
        let high = between.clone().fold(f64::NEG_INFINITY, f64::max);
        (high - low, between.map(|volts| (volts - average).powi(2)).sum::<f64>() / count)
    }
}
