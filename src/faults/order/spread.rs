//! How far the reading of a fault may lie from its nominal one, without solving every corner of the tolerances.
//!
//! A voltage follows the supply, so it spreads as much as the supply or as the healthy band at its point, whichever is
//! more. Between nothing and full voltage parts divide it: a divider whose parts stray by a share `s` moves by at most
//! `s/4` of the whole (the slope of `x/(1+x)` on a logarithmic scale). A contact that adds ohms adds any ohms: a size of
//! the catalogue stands for all up to the next larger one, and whatever those read.

use crate::machine::model::{Coil, Machine, PartKind, Toleranced};
use crate::spec::units::Unit;

use super::super::effect::supply_span;
use super::super::search::classes::Span;
use super::bins::Shown;

/// Error of a meter and its leads as a share, and in volts: common practice, no source.
const METER: (f64, f64) = (0.02, 0.1);
/// Least error of a drop, in volts.
const DROP: f64 = 0.02;

/// How far supplies and parts of a machine may stray, as factors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spread {
    supply: Span,
    parts: Span,
}

impl Spread {
    /// That of a machine.
    pub(super) fn of(machine: &Machine) -> Self {
        let none = Span { low: 1.0, high: 1.0 };
        let parts = machine.parts.iter().map(|part| part_span(&part.kind)).fold(none, Span::with);
        Self { supply: supply_span(machine), parts }
    }

    /// Volts at a point where a healthy machine reads `healthy`, within `band`.
    pub(super) fn volts(&self, nominal: f64, healthy: f64, band: Span) -> Span {
        let room = (METER.0 * nominal.abs()).max(METER.1);
        if (nominal - healthy).abs() <= METER.0 * healthy.abs() {
            let moved = nominal - healthy;
            return Span { low: band.low + moved, high: band.high + moved };
        }
        let mut factors = self.supply;
        if healthy.abs() > 1.0 {
            let (a, b) = (band.low / healthy, band.high / healthy);
            factors = factors.with(Span { low: a.min(b), high: a.max(b) });
        }
        let straying = 0.25 * (self.parts.high - self.parts.low) * healthy.abs().max(nominal.abs());
        let divided = if nominal.abs() > METER.1 { straying } else { 0.0 };
        let own = if healthy.abs() > 1.0 { 0.0 } else { (band.high - band.low).max(0.0) };
        let more = room + divided.max(own);
        scaled(nominal, factors).wider(more)
    }

    /// Volts at the terminals of a supply.
    pub(super) fn supply(&self, nominal: f64) -> Span {
        scaled(nominal, self.supply).wider((METER.0 * nominal.abs()).max(METER.1))
    }

    /// Volts across a contact, a clip or a pin.
    pub(super) fn drop(&self, nominal: f64) -> Span {
        scaled(nominal.abs(), self.current()).wider(DROP)
    }

    /// Amps.
    pub(super) fn amps(&self, nominal: f64) -> Span {
        scaled(nominal, self.current()).wider(METER.0 * nominal.abs())
    }

    /// A current rises with the supply and falls with the ohms.
    fn current(&self) -> Span {
        Span { low: self.supply.low / self.parts.high, high: self.supply.high / self.parts.low }
    }
}

impl Span {
    fn wider(self, more: f64) -> Self {
        Self { low: self.low - more, high: self.high + more }
    }
}

fn scaled(value: f64, factors: Span) -> Span {
    let (a, b) = (value * factors.low, value * factors.high);
    Span { low: a.min(b), high: a.max(b) }
}

/// What a suspect shows: its own span, that of the next larger size of the same fault, and the healthy one and nothing
/// where only tolerances decide whether it stops the sequence.
pub(super) fn shown(nominal: f64, next: Option<f64>, hangs: Option<Span>, span: impl Fn(f64) -> Span) -> Shown {
    let shown = Shown { nominal, span: span(nominal) };
    let shown = next.map_or(shown, |next| shown.or(span(next)));
    hangs.map_or(shown, |healthy| shown.or(healthy).or(span(0.0)))
}

/// How far ohms of a part may stray, as factors; a lamp's by its current.
fn part_span(kind: &PartKind) -> Span {
    match kind {
        PartKind::Relay(relay) => relay.reset.iter().map(coil_span).fold(coil_span(&relay.coil), Span::with),
        PartKind::Solenoid(coil) | PartKind::Motor(coil) => coil_span(coil),
        PartKind::Resistor(resistor) => ratio(&resistor.resistance),
        PartKind::Lamp(lamp) => ratio(&lamp.current),
        PartKind::Inductor(inductor) => ratio(&inductor.resistance),
        PartKind::Speaker(speaker) => ratio(&speaker.impedance),
        _ => Span { low: 1.0, high: 1.0 },
    }
}

fn coil_span(coil: &Coil) -> Span {
    coil.impedance.iter().map(ratio).fold(ratio(&coil.resistance), Span::with)
}

fn ratio<U: Unit>(value: &Toleranced<U>) -> Span {
    let nominal = value.nominal.value();
    if nominal > 0.0 {
        Span { low: value.low.value() / nominal, high: value.high.value() / nominal }
    } else {
        Span { low: 1.0, high: 1.0 }
    }
}
