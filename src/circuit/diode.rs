//! Diodes in straight pieces: each blocks, conducts, or breaks down, and exactly one state of all fits any circuit.

use crate::machine::model::ElementId;

use super::change::Change;
use super::field::Field;
use super::inside::Inner;
use super::network::{BLOCKED, Circuit, Situation};
use super::values::{DiodeModel, Model};

/// How a diode stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum DiodeState {
    Blocks,
    Conducts,
    BreaksDown,
}

impl Circuit<'_> {
    /// Source volts and ohms of a diode in a state.
    ///
    /// The conducting branch starts where the blocked one ends, so that exactly one state fits any circuit.
    pub(crate) fn diode_branch(&self, element: usize, situation: &Situation<'_>, state: DiodeState) -> (f64, f64) {
        let Model::Diode(diode) = &self.elements.models[element] else {
            return (0.0, f64::INFINITY);
        };
        let sign = sign(element, situation.changes);
        let knee = |volts: f64| volts * (1.0 - diode.on * BLOCKED);
        match state {
            DiodeState::Blocks => (0.0, 1.0 / BLOCKED),
            DiodeState::Conducts => (sign * knee(diode.drop), diode.on),
            DiodeState::BreaksDown => (-sign * knee(diode.zener.unwrap_or(f64::MAX)), diode.on),
        }
    }

    /// The state that fits a diode's voltage and current, which have been found with it in `state`; `more` volts come on
    /// top.
    pub(crate) fn fitting(
        &self,
        element: usize,
        field: &Field<f64>,
        more: f64,
        state: DiodeState,
        changes: &[Change],
    ) -> DiodeState {
        let Model::Diode(diode) = &self.elements.models[element] else { return state };
        if is_gone(element, changes) {
            return DiodeState::Blocks;
        }
        let sign = sign(element, changes);
        let volts = sign * (field.across(element) + more);
        let amperes = sign * (field.current(element) + more * field.admittance(element));
        settled_state(diode, volts, amperes, state)
    }

    /// Volts that may come on top anywhere before some diode changes its state.
    pub(crate) fn slack(&self, field: &Field<f64>, inner: &Inner, changes: &[Change]) -> f64 {
        let of_one = |&element: &usize| {
            let Model::Diode(diode) = &self.elements.models[element] else { return f64::INFINITY };
            if is_gone(element, changes) {
                return f64::INFINITY;
            }
            let sign = sign(element, changes);
            slack(diode, sign * field.across(element), sign * field.current(element), inner.diodes[element])
        };
        self.diodes.iter().map(of_one).fold(f64::INFINITY, f64::min)
    }
}

/// Whether a diode is open or shorted: an open one carries nothing whatever its volts, and a shorted one has no knee, so
/// either counts as blocking.
pub(super) fn is_gone(element: usize, changes: &[Change]) -> bool {
    let (open, short) = (Change::Open(ElementId(element)), Change::Short(ElementId(element)));
    changes.contains(&open) || changes.contains(&short)
}

/// Minus one for a diode that is turned round.
pub(super) fn sign(element: usize, changes: &[Change]) -> f64 {
    if changes.contains(&Change::Reversed(ElementId(element))) { -1.0 } else { 1.0 }
}

/// Volts that may come on top of those across a diode, either way, before it changes its state.
fn slack(diode: &DiodeModel, volts: f64, amperes: f64, state: DiodeState) -> f64 {
    let breakdown = diode.zener.unwrap_or(f64::INFINITY);
    match state {
        DiodeState::Blocks => (diode.drop - volts).min(breakdown + volts),
        DiodeState::Conducts => (amperes - diode.drop * BLOCKED) * diode.on,
        DiodeState::BreaksDown => (-amperes - breakdown * BLOCKED) * diode.on,
    }
}

/// The state that fits a diode's volts and amperes, from anode to cathode, which were found with it in `state`.
pub(crate) fn settled_state(diode: &DiodeModel, volts: f64, amperes: f64, state: DiodeState) -> DiodeState {
    let breakdown = diode.zener.unwrap_or(f64::INFINITY);
    match state {
        DiodeState::Blocks if volts > diode.drop + 1e-10 => DiodeState::Conducts,
        DiodeState::Blocks if volts < -breakdown - 1e-10 => DiodeState::BreaksDown,
        DiodeState::Conducts if amperes < diode.drop * BLOCKED - 1e-13 => DiodeState::Blocks,
        DiodeState::BreaksDown if amperes > -breakdown * BLOCKED + 1e-13 => DiodeState::Blocks,
        _ => state,
    }
}
