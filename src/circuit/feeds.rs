//! Bands behind a reservoir: the source that encloses a rectified supply, narrowed by the current that can flow.

use std::sync::Arc;

use crate::machine::model::{JointId, SequenceId};

use super::extremes::Works;
use super::rectifier::{CURVE_ERROR, Curve, Feed};
use super::results::Certainty;
use super::settle::Rest;
use super::solver::Solver;
use super::spans::{Doubts, FeedSpan, SpanNets, is_blocked};
use super::values::LEAST_OHMS;

/// Stretches into which the loads of a supply are divided; more make a tighter band.
const STRETCHES: u32 = 24;

impl Solver<'_> {
    /// The weakest and the strongest winding of a supply with a reservoir, each with its own reservoir; none for any other.
    fn extreme_curves(&self, sequence: SequenceId, element: usize) -> Option<[Arc<Curve>; 2]> {
        let feed = self.circuit.feed(element, &self.nominal(sequence))?;
        let [volts, ohms] = self.circuit.elements.spans[element];
        let farads = self.circuit.elements.span(element, 2);
        let at = |winding: f64, internal: f64, reservoir: f64| {
            self.circuit.curve(&Feed { winding, internal, reservoir, ..feed })
        };
        (feed.reservoir > 0.0 && volts.low > 0.0)
            .then(|| [at(volts.low, ohms.high, farads.low), at(volts.high, ohms.low, farads.high)])
    }

    /// What encloses a supply with a reservoir, whatever hangs on it; none for any other, or where its network is solved
    /// in steps.
    pub(super) fn any_feed(&self, sequence: SequenceId, rest: &Rest, element: usize) -> Option<FeedSpan> {
        let point = &rest.point;
        if point.inner.averages.get(element).is_some() || is_blocked(element, rest) {
            return None;
        }
        let curves = self.extreme_curves(sequence, element)?;
        let ohms = point.inner.feeds[element].map_or(LEAST_OHMS, |(_, ohms)| ohms).max(LEAST_OHMS);
        let [weak, strong] = [curves[0].loads(), curves[1].loads()];
        let loads = [weak[0].min(strong[0]), weak[1]];
        Some(FeedSpan { volts: enclosed(&curves, ohms, loads), ohms, loads, proved: true })
    }

    /// Narrows the source by the current that can flow; whether by much.
    pub(super) fn close_in_on_feed(
        &self,
        sequence: SequenceId,
        element: usize,
        (nets, strict): (&SpanNets, bool),
        doubts: &mut Doubts,
        works: &mut Works,
    ) -> bool {
        let (Some(before), Some(middle)) = (doubts.feeds[element], self.circuit.middle_of(element)) else {
            return false;
        };
        let Some(curves) = self.extreme_curves(sequence, element) else { return false };
        let ends = &self.circuit.machine.elements[element];
        // Half of the ohms, from the joint in their middle: what it takes, less nothing, is the current delivered.
        let taken = nets.source_extremes((ends.to, JointId(middle)), works);
        let volts = nets.source_extremes((ends.from, ends.to), works);
        let amperes = [taken.low, taken.high].map(|volts| 2.0 * volts / before.ohms);
        let certain = taken.certainty == Certainty::Exact && volts.certainty == Certainty::Exact;
        // Current that is pushed back into a rectifier is beyond its curve.
        let sound = volts.low > 0.0 && amperes[0] > -1e-9;
        let most = if amperes[0] > 0.0 { volts.high / amperes[0] } else { f64::INFINITY };
        let least = if amperes[1] > 0.0 { volts.low / amperes[1] } else { f64::INFINITY };
        let loads = [least.clamp(before.loads[0], before.loads[1]), most.clamp(before.loads[0], before.loads[1])];
        let span = enclosed(&curves, before.ohms, loads);
        let span = [span[0].max(before.volts[0]), span[1].min(before.volts[1])];
        let (proved, narrower) = (certain && sound, span[1] - span[0] < 0.99 * (before.volts[1] - before.volts[0]));
        if proved || (narrower && !strict) || !sound {
            doubts.feeds[element] = Some(FeedSpan { volts: span, loads, proved: before.proved && proved, ..before });
        }
        narrower && (proved || !strict)
    }
}

/// Lowest E of the weakest and highest E of the strongest winding over all loads between two.
///
/// Between two loads V lies between its values at both, and so does V/R.
fn enclosed([weak, strong]: &[Arc<Curve>; 2], ohms: f64, [fewest, most]: [f64; 2]) -> [f64; 2] {
    let (first, step) = (fewest.ln(), (most / fewest).ln() / f64::from(STRETCHES));
    let at = |curve: &Curve, index: u32| {
        let logarithm = first + step * f64::from(index);
        let volts = curve.at(logarithm).0.average;
        (volts, volts / logarithm.exp())
    };
    let mut span = [f64::INFINITY, 0.0_f64];
    for index in 0..STRETCHES {
        let ((low, _), (_, least)) = (at(weak, index), at(weak, index + 1));
        let ((_, greatest), (high, _)) = (at(strong, index), at(strong, index + 1));
        span[0] = span[0].min(low + ohms * least);
        span[1] = span[1].max(high + ohms * greatest);
    }
    [span[0] * (1.0 - CURVE_ERROR), span[1] * (1.0 + CURVE_ERROR)]
}

impl Feed {
    /// The largest RMS over average of the wave across its reservoir, for a load of so many ohms or more.
    pub(super) fn worst_form(&self, load: f64) -> Option<f64> {
        if self.reservoir <= 0.0 || self.frequency <= 0.0 {
            return None;
        }
        let period = if self.both_halves { 0.5 } else { 1.0 } / self.frequency;
        let fall = period / (self.reservoir * load);
        (fall < 0.5).then(|| (1.0 + (fall / 2.0 / (1.0 - fall)).powi(2)).sqrt())
    }
}
