//! What depends on the result of solving: how diodes stand, how hot filaments are, what rectifiers give.

use crate::machine::model::PartKind;

use super::cycle::Averages;
use super::diode::DiodeState;
use super::network::{BLOCKED, Circuit, Situation};
use super::point::Point;
use super::rectifier::Feed;
use super::values::{LEAST_OHMS, Model};

/// Relative change of a filament's ohms that no longer counts.
const STEADY: f64 = 1e-11;
/// Relative change of a rectifier's volts that no longer counts.
const SAME_VOLTS: f64 = 1e-9;

/// What is found from the inside of one solution: diodes, filaments, rectifiers.
#[derive(Debug, Clone)]
pub(crate) struct Inner {
    /// By element.
    pub(crate) diodes: Vec<DiodeState>,
    /// Present ohms by element; of no meaning where it is no lamp.
    pub(crate) filaments: Vec<f64>,
    /// Present source volts and ohms of rectified supplies, by element.
    pub(crate) feeds: Vec<Option<(f64, f64)>>,
    /// Source volts and ohms of rectifiers and diodes where something switches within a cycle, with that cycle.
    pub(crate) averages: Averages,
}

impl Circuit<'_> {
    /// A first guess: diodes block, filaments as rated, rectifiers without load.
    pub(crate) fn first_guess(&self, situation: &Situation<'_>) -> Inner {
        let count = self.elements.models.len();
        let mut inner = Inner {
            diodes: vec![DiodeState::Blocks; count],
            filaments: vec![0.0; count],
            feeds: vec![None; count],
            averages: Averages::default(),
        };
        for &lamp in &self.lamps {
            inner.filaments[lamp] = self.rated_ohms(lamp);
        }
        for &element in &self.rectified {
            if let Some(feed) = self.feed(element, situation) {
                inner.feeds[element] = Some(self.source_of(&feed, 0.0));
            }
        }
        inner
    }

    /// Source volts and ohms that stand for a rectifier which delivers so many amperes.
    pub(crate) fn source_of(&self, feed: &Feed, amperes: f64) -> (f64, f64) {
        if feed.reservoir > 0.0 && feed.winding > 0.0 && amperes >= 0.0 {
            let tangent = self.curve(feed).tangent(amperes);
            (tangent.volts, tangent.ohms)
        } else if feed.reservoir > 0.0 && feed.winding > 0.0 {
            // Driven from outside above its own peak, its diodes block.
            (self.curve(feed).tangent(0.0).volts, 1.0 / BLOCKED)
        } else {
            let average = feed.open_wave().average;
            (average, if average > 0.0 { feed.internal } else { 1.0 / BLOCKED })
        }
    }

    /// What is inside a machine without power: diodes block, filaments are cold.
    pub(crate) fn cold(&self, situation: &Situation<'_>) -> Inner {
        let mut inner = self.first_guess(situation);
        for &element in &self.lamps {
            let PartKind::Lamp(lamp) = &self.machine.part(self.machine.elements[element].part).kind else {
                continue;
            };
            inner.filaments[element] = lamp.cold.nominal.value().max(LEAST_OHMS);
        }
        inner
    }

    /// Whether filaments and rectifiers of a point agree with its voltages, and it can be trusted. The filament of a lamp
    /// that is `open` has no say.
    pub(crate) fn stays(&self, situation: &Situation<'_>, point: &Point, open: Option<usize>) -> bool {
        let steady = |&lamp: &usize| {
            let present = point.inner.filaments[lamp];
            Some(lamp) == open || is_steady(present, self.wanted_ohms(lamp, situation, point, present))
        };
        let follows = |&element: &usize| self.moved_feed(element, situation, point, &point.inner).is_none();
        self.lamps.iter().all(steady)
            && self.rectified.iter().all(follows)
            && self.uneven(situation, &point.live, &point.inner, &point.direct, &point.waves).is_empty()
            && self.untrusted(point, situation).is_ok()
    }

    /// The ohms that a filament would have at the volts that are across it with its present ohms.
    fn wanted_ohms(&self, element: usize, situation: &Situation<'_>, point: &Point, present: f64) -> f64 {
        let Model::Lamp(lamp) = &self.elements.models[element] else { return present };
        // Ohms added by a fault take their share of the volts.
        let admittance = point.direct.admittance(element);
        let whole = if admittance > 0.0 { 1.0 / admittance } else { present };
        let volts = point.heating_volts(element) * (present / whole).min(1.0);
        lamp.ohms(situation.values.0[element][0], volts)
    }

    /// Moves each filament's ohms towards its law; whether all were there already.
    pub(crate) fn follow_filaments(
        &self,
        situation: &Situation<'_>,
        point: &Point,
        inner: &mut Inner,
        hands: &mut [Hand],
    ) -> bool {
        let mut rest = true;
        for (&element, hand) in self.lamps.iter().zip(hands) {
            let present = inner.filaments[element];
            let wanted = self.wanted_ohms(element, situation, point, present);
            if !is_steady(present, wanted) {
                rest = false;
                inner.filaments[element] = hand.next(present, wanted);
            }
        }
        rest
    }

    /// Moves each rectifier's tangent to its present current; whether all were there already.
    pub(crate) fn follow_feeds(&self, situation: &Situation<'_>, point: &Point, inner: &mut Inner) -> bool {
        let mut rest = true;
        for &element in &self.rectified {
            if let Some(tangent) = self.moved_feed(element, situation, point, inner) {
                rest = false;
                inner.feeds[element] = Some(tangent);
            }
        }
        rest
    }

    /// The tangent at a rectifier's present current, where it is another than that with which the point was solved.
    fn moved_feed(
        &self,
        element: usize,
        situation: &Situation<'_>,
        point: &Point,
        inner: &Inner,
    ) -> Option<(f64, f64)> {
        let feed = self.feed(element, situation).filter(|feed| feed.reservoir > 0.0)?;
        if inner.averages.get(element).is_some() {
            return None;
        }
        let current = point.direct.current(element);
        let (before, ohms_before) = inner.feeds[element].unwrap_or_default();
        // Without load the last digits give the current either sign: what the terminals cannot show is no current backwards.
        let backwards = ohms_before * current > SAME_VOLTS * before.abs();
        let amperes = if backwards { -current } else { (-current).max(0.0) };
        let (volts, ohms) = self.source_of(&feed, amperes);
        let moved = (volts + ohms * current) - (before + ohms_before * current);
        (moved.abs() > SAME_VOLTS * volts.abs().max(1e-3)).then_some((volts, ohms))
    }
}

/// Whether a filament is close enough to the ohms that it wants.
fn is_steady(present: f64, wanted: f64) -> bool {
    (wanted / present - 1.0).abs() <= STEADY
}

/// Newton's rule on the logarithm of a filament's ohms, with the slope seen between the last two passes.
#[derive(Debug, Default)]
pub(crate) struct Hand {
    last: Option<(f64, f64)>,
}

impl Hand {
    fn next(&mut self, present: f64, wanted: f64) -> f64 {
        let (x, y) = (present.ln(), wanted.ln());
        // Between 0 (fed by a stiff voltage) and 0.45 (fed by a constant current).
        let slope = match self.last {
            Some((x0, y0)) if (x - x0).abs() > 1e-13 => ((y - y0) / (x - x0)).clamp(0.0, 0.45),
            _ => 0.0,
        };
        self.last = Some((x, y));
        (x + (y - x) / (1.0 - slope)).exp()
    }
}
