//! What a fault does to a sequence: works, fails, or hangs on the supply's tolerance.

use crate::machine::model::{Machine, PartId, PartKind, SequenceId};

use super::kinds::{Fault, FaultKind};
use super::sample::Sample;
use super::search::symptom::Effect;

/// How far the supplies may healthily stray: the lowest and highest factor over all of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SupplySpan {
    /// Lowest voltage over the nominal one.
    pub(super) low: f64,
    /// Highest voltage over the nominal one.
    pub(super) high: f64,
}

impl SupplySpan {
    /// That of a machine.
    #[must_use]
    pub(super) fn of(machine: &Machine) -> Self {
        let mut span = Self { low: 1.0, high: 1.0 };
        for part in &machine.parts {
            if let PartKind::Supply(supply) = &part.kind
                && supply.voltage.nominal.value() > 0.0
            {
                span.low = span.low.min(supply.voltage.low.value() / supply.voltage.nominal.value());
                span.high = span.high.max(supply.voltage.high.value() / supply.voltage.nominal.value());
            }
        }
        span
    }
}

/// The effect of a fault on a sequence, from the healthy state and that with the fault.
#[must_use]
pub(super) fn effect(
    machine: &Machine,
    sequence: SequenceId,
    fault: &Fault,
    healthy: &Sample,
    faulty: &Sample,
    span: SupplySpan,
) -> Effect {
    if stops_by_hand(machine, sequence, fault, healthy) {
        return Effect::Fails;
    }
    if !faulty.settled && healthy.settled || !faulty.opened.is_empty() && healthy.opened.is_empty() {
        return Effect::Fails;
    }
    if moves_differently(machine, sequence, healthy, faulty) {
        let near =
            machine.sequences[sequence.0].acts.iter().filter_map(|&act| margin(machine, act, faulty)).any(|margin| {
                // The relays fell differently at nominal volts; a little more may pull them in.
                margin < 1.0 && margin * span.high >= 1.0
            });
        return if near { Effect::Marginal } else { Effect::Fails };
    }
    let hangs = machine.sequences[sequence.0].acts.iter().any(|&act| {
        let below = |sample: &Sample| margin(machine, act, sample).is_some_and(|margin| margin * span.low < 1.0);
        below(faulty) && !below(healthy)
    });
    if hangs { Effect::Marginal } else { Effect::Works }
}

/// A mechanism that sticks stops the sequences in which it should move, whatever the volts.
fn stops_by_hand(machine: &Machine, sequence: SequenceId, fault: &Fault, healthy: &Sample) -> bool {
    if fault.kind != FaultKind::Sticking {
        return false;
    }
    let moves = |part: PartId| {
        machine.sequences[sequence.0].acts.contains(&part) || healthy.operates.get(part.0) == Some(&Some(true))
    };
    match &machine.part(fault.part).kind {
        PartKind::Selector(selector) => selector.stepped_by.iter().chain(&selector.driven_by).any(|&part| moves(part)),
        // What a relay's stuck contacts do is solved; that it is heard to stay out counts where it is what must act.
        PartKind::Relay(_) => machine.sequences[sequence.0].acts.contains(&fault.part),
        _ => moves(fault.part),
    }
}

/// Whether anything that moves, or any device that the sequence is about, does something else than on a healthy machine.
fn moves_differently(machine: &Machine, sequence: SequenceId, healthy: &Sample, faulty: &Sample) -> bool {
    let acts = &machine.sequences[sequence.0].acts;
    if healthy.energised != faulty.energised {
        return true;
    }
    healthy.operates.iter().zip(&faulty.operates).enumerate().any(|(index, (before, after))| {
        let matters = acts.contains(&PartId(index))
            || matches!(machine.parts[index].kind, PartKind::Solenoid(_) | PartKind::Motor(_));
        matters && before != after
    })
}

/// Volts at a coil over the least at which it operates.
fn margin(machine: &Machine, part: PartId, sample: &Sample) -> Option<f64> {
    let coil = machine.coil(part)?;
    let element = *machine
        .part(part)
        .elements
        .iter()
        .find(|&&element| matches!(machine.element(element).law, crate::machine::model::Law::Winding))?;
    let operate = coil.operate.value();
    (operate > 0.0).then(|| sample.across(machine, element).abs() / operate)
}
