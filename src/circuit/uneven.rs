//! Whether something switches within each cycle of a rectified supply, so that averages follow from one cycle only.
//!
//! A DC meter shows averages, and averages obey the DC network as long as every branch is linear over the whole cycle. That
//! ends where a rectifier stops within its half cycle because something else holds its terminals up - a capacitor, another
//! supply, a diode behind it - and where a diode or Zener diode changes sides between the wave's zero and its crest.

use super::diode::{DiodeState, sign};
use super::field::Field;
use super::inside::Inner;
use super::network::{Circuit, Situation};
use super::shares::Share;
use super::values::Model;

/// Share of the crest below which a branch may switch: an average is off by at most half its square, an eighth of a percent.
const NEAR_ZERO: f64 = 0.05;
/// Share of the crest above which a branch may switch.
const NEAR_CREST: f64 = 0.99;
/// Times that a supply's own current must exceed what the capacitors behind it can hold against it, likewise.
const OUTWEIGHS: f64 = 10.0;

/// A quantity with a supply's wave at its zero and at its crest; it moves between them in a straight line.
#[derive(Debug, Clone, Copy)]
struct Swing {
    zero: f64,
    crest: f64,
}

impl Swing {
    /// Whether it stays at or above a limit for all of the cycle that counts.
    fn stays_above(self, limit: f64, slack: f64) -> bool {
        let at = |share: f64| self.zero + share * (self.crest - self.zero);
        at(NEAR_ZERO) >= limit - slack && at(NEAR_CREST) >= limit - slack
    }

    fn negated(self) -> Self {
        Self { zero: -self.zero, crest: -self.crest }
    }
}

impl Circuit<'_> {
    /// Supplies in whose zones averages must be found from one cycle in small steps.
    pub(crate) fn uneven(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &Inner,
        field: &Field<f64>,
        waves: &[Share],
    ) -> Vec<usize> {
        let is_unsmoothed =
            |share: &&Share| self.feed(share.element, situation).is_some_and(|feed| feed.reservoir == 0.0);
        let unsmoothed: Vec<&Share> = waves.iter().filter(is_unsmoothed).collect();
        let is_uneven = |share: &&&Share| {
            let near = |other: &&Share| self.reach.same_zone(other.element, share.element);
            let zone: Vec<&Share> = unsmoothed.iter().copied().filter(near).collect();
            self.drives_windings(situation, live, field, &zone)
                || self.is_held_up(situation, live, field, &zone)
                || self.switches(situation, inner, field, &zone)
        };
        unsmoothed.iter().filter(is_uneven).map(|share| share.element).collect()
    }

    /// Whether a half-wave supply feeds a winding of known inductance.
    fn drives_windings(&self, situation: &Situation<'_>, live: &[usize], field: &Field<f64>, waves: &[&Share]) -> bool {
        let half = |share: &&&Share| {
            field.current(share.element).abs() > 1e-9
                && self.feed(share.element, situation).is_some_and(|feed| !feed.both_halves)
        };
        waves.iter().filter(half).any(|share| {
            live.iter().any(|&element| {
                self.reach.same_zone(element, share.element) && self.henries(element, situation).is_some()
            })
        })
    }

    /// Whether capacitors can hold the terminals of a rectifier up, or those of a diode behind it.
    fn is_held_up(&self, situation: &Situation<'_>, live: &[usize], field: &Field<f64>, waves: &[&Share]) -> bool {
        waves.iter().any(|share| {
            let Some(feed) = self.feed(share.element, situation) else { return false };
            let near = |&&element: &&usize| self.reach.same_zone(element, share.element);
            let farads = |&element: &usize| match &self.elements.models[element] {
                Model::Capacitor if field.admittance(element) == 0.0 => situation.values.0[element][0],
                _ => 0.0,
            };
            let sum: f64 = live.iter().filter(near).map(farads).sum();
            let holds = OUTWEIGHS * std::f64::consts::TAU * feed.frequency * sum * share.wave.ripple;
            let mut diodes = self.diodes.iter().filter(near);
            sum > 0.0
                && (field.current(share.element).abs() < holds
                    || diodes.any(|&diode| (1e-6..holds).contains(&field.current(diode).abs())))
        })
    }

    /// Whether a rectifier or a diode changes sides between the zero of all waves and their crests.
    fn switches(&self, situation: &Situation<'_>, inner: &Inner, field: &Field<f64>, waves: &[&Share]) -> bool {
        let swing = |of: &dyn Fn(&Field<f64>) -> f64| {
            let (mut zero, mut crest) = (of(field), of(field));
            for share in waves.iter().filter(|share| share.wave.average > 0.0) {
                let part = of(&share.field);
                zero -= part;
                crest += part * (share.wave.ripple / share.wave.average - 1.0);
            }
            Swing { zero, crest }
        };
        let stops = |share: &&&Share| {
            let delivered = swing(&|field| -field.current(share.element));
            !delivered.stays_above(0.0, 1e-6 * delivered.crest.abs() + 1e-9)
        };
        let changes = |&diode: &usize| {
            let Model::Diode(model) = &self.elements.models[diode] else { return false };
            if field.admittance(diode) == 0.0 {
                return false;
            }
            let sign = sign(diode, situation.changes);
            let volts = swing(&|field| sign * field.across(diode));
            let amperes = swing(&|field| sign * field.current(diode));
            let slack = |swing: Swing| 1e-6 * swing.crest.abs() + 1e-9;
            match inner.diodes[diode] {
                DiodeState::Blocks => {
                    let breakdown = model.zener.unwrap_or(f64::INFINITY);
                    !(volts.negated().stays_above(-model.drop, slack(volts))
                        && volts.stays_above(-breakdown, slack(volts)))
                }
                DiodeState::Conducts => !amperes.stays_above(0.0, slack(amperes)),
                DiodeState::BreaksDown => !amperes.negated().stays_above(0.0, slack(amperes)),
            }
        };
        let near = |&&diode: &&usize| waves.iter().any(|share| self.reach.same_zone(share.element, diode));
        waves.iter().filter(|share| self.reach.direct[share.element]).any(|share| stops(&share))
            || self.diodes.iter().filter(near).any(changes)
    }
}
