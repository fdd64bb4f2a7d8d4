//! What a fault does to a sequence: works, fails, or hangs on the supply's tolerance.

use crate::circuit::{Across, Glance};
use crate::machine::model::{ElementId, Law, Machine, PartId, PartKind, SequenceId};

use super::kinds::{Fault, FaultKind};
use super::search::classes::Span;
use super::search::symptom::Effect;

/// How far the supplies of a machine may healthily stray: the lowest and highest voltage over the nominal one, over all.
#[must_use]
pub(super) fn supply_span(machine: &Machine) -> Span {
    let mut span = Span { low: 1.0, high: 1.0 };
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

/// A sequence as it is judged.
pub(super) struct Judge<'a> {
    machine: &'a Machine,
    sequence: SequenceId,
    span: Span,
    /// Windings of what must act, each with the least volts at which it operates.
    pub(super) coils: Vec<(ElementId, f64)>,
    /// Windings of all relays, each with its part and the least volts at which it operates.
    pub(super) relays: Vec<(PartId, ElementId, f64)>,
}

impl<'a> Judge<'a> {
    pub(super) fn new(machine: &'a Machine, sequence: SequenceId) -> Self {
        let acts = &machine.sequences[sequence.0].acts;
        let coils = acts.iter().filter_map(|&act| coil(machine, act)).collect();
        let relays = (0..machine.parts.len())
            .map(PartId)
            .filter(|&part| matches!(machine.part(part).kind, PartKind::Relay(_)))
            .filter_map(|part| coil(machine, part).map(|(element, least)| (part, element, least)))
            .collect();
        Self { machine, sequence, span: supply_span(machine), coils, relays }
    }

    /// The effect of a fault on the sequence, from the healthy state and that with the fault, each with the volts across
    /// the coils.
    #[must_use]
    pub(super) fn effect(&self, fault: &Fault, healthy: (&Glance, &[Across]), faulty: (&Glance, &[Across])) -> Effect {
        let ((healthy, healthy_coils), (faulty, faulty_coils)) = (healthy, faulty);
        if stops_by_hand(self.machine, self.sequence, fault, healthy) {
            return Effect::Fails;
        }
        if !faulty.settled && healthy.settled || !faulty.opened.is_empty() && healthy.opened.is_empty() {
            return Effect::Fails;
        }
        if moves_differently(self.machine, self.sequence, healthy, faulty) {
            // The relays fell differently at nominal volts; a little more may pull them in.
            let near = |margin: f64| margin < 1.0 && margin * self.span.high >= 1.0;
            return if self.margins(faulty_coils).any(near) { Effect::Marginal } else { Effect::Fails };
        }
        let below = |margin: f64| margin * self.span.low < 1.0;
        let mut margins = self.margins(faulty_coils).zip(self.margins(healthy_coils));
        if margins.any(|(faulty, healthy)| below(faulty) && !below(healthy)) { Effect::Marginal } else { Effect::Works }
    }

    /// Whether some relay stands so near to its least volts, given those across all of them, that tolerances may move it.
    pub(super) fn wavers(&self, faulty: &Glance, volts: &[Across]) -> bool {
        self.relays.iter().zip(volts).any(|(&(part, _, least), volts)| {
            let margin = volts.main().abs() / least;
            // One that is in may have had to pull in from rest, so it counts from there, not from where it drops out.
            if faulty.energised.contains(&part) {
                margin * self.span.low * (1.0 - STRAYING) < 1.0
            } else {
                margin * self.span.high * (1.0 + STRAYING) >= 1.0
            }
        })
    }

    /// Lowest and highest factor over all supplies.
    pub(super) fn supplies(&self) -> [f64; 2] {
        [self.span.low, self.span.high]
    }

    /// Volts at each coil over the least at which it operates.
    fn margins(&self, volts: &[Across]) -> impl Iterator<Item = f64> {
        self.coils.iter().zip(volts).map(|((_, least), volts)| volts.main().abs() / least)
    }
}

/// What the tolerances of parts do to the volts at a coil beside the supply's: common practice, no source.
const STRAYING: f64 = 0.1;

/// A mechanism that sticks stops the sequences in which it should move, whatever the volts.
fn stops_by_hand(machine: &Machine, sequence: SequenceId, fault: &Fault, healthy: &Glance) -> bool {
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
fn moves_differently(machine: &Machine, sequence: SequenceId, healthy: &Glance, faulty: &Glance) -> bool {
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

/// The winding of a part and the least volts at which it operates.
fn coil(machine: &Machine, part: PartId) -> Option<(ElementId, f64)> {
    let operate = machine.coil(part)?.operate.value();
    let winding = |&&element: &&ElementId| matches!(machine.element(element).law, Law::Winding);
    let element = machine.part(part).elements.iter().find(winding)?;
    (operate > 0.0).then_some((*element, operate))
}
