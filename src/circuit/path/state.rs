//! How a machine stands in a sequence, as far as paths need it: what conducts, and where the supplies are.

use std::collections::{BTreeSet, VecDeque};

use super::graph::{Incidence, Link};
use crate::circuit::results::SequenceSolution;
use crate::machine::model::{Current, ElementId, Gate, JointId, Law, Machine, PartId, PartKind, Sequence};

/// Whether a contact is closed, by how the machine is set and which relays are energised.
#[must_use]
pub fn is_closed(gate: &Gate, sequence: &Sequence, energised: &BTreeSet<PartId>) -> bool {
    match gate {
        Gate::Relay { relay, when_energised } => energised.contains(relay) == *when_energised,
        Gate::Hand { switch, when_operated } => sequence.setting.operated.contains(switch) == *when_operated,
        Gate::Wiper { selector, ring, segment } => sequence
            .setting
            .positions
            .get(selector)
            .and_then(|rings| rings.get(*ring).copied().flatten())
            .is_some_and(|under| under == *segment),
    }
}

/// How an element stands in a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Conduction {
    /// Carries current.
    Closed,
    /// Carries current and uses most of the voltage: a coil, a lamp, a speaker.
    Load,
    /// Carries none by its nature: a blocked diode, a capacitor under DC.
    Quiet,
    /// An open contact or an opened fuse.
    Open,
    /// A supply.
    Source,
}

pub(super) fn is_load(law: &Law) -> bool {
    matches!(law, Law::Winding | Law::ResetWinding | Law::Filament | Law::VoiceCoil)
}

pub(super) fn conduction_of(
    machine: &Machine,
    solved: &SequenceSolution,
    sequence: &Sequence,
    opened: &BTreeSet<PartId>,
    id: ElementId,
) -> Conduction {
    let element = machine.element(id);
    let closed_when = |closed: bool, otherwise: Conduction| if closed { Conduction::Closed } else { otherwise };
    match &element.law {
        Law::Source => Conduction::Source,
        Law::Resistance(_) => closed_when(!opened.contains(&element.part), Conduction::Open),
        Law::Contact { gate, .. } => closed_when(is_closed(gate, sequence, &solved.energised), Conduction::Open),
        Law::Junction => closed_when(solved.conducting.contains(&id), Conduction::Quiet),
        Law::Capacitance => {
            let carries = solved.currents.get(id.0).is_some_and(|current| current.abs() > 1e-9);
            closed_when(carries && feeds_alternating(machine), Conduction::Quiet)
        }
        Law::Inductance => Conduction::Closed,
        Law::Winding | Law::ResetWinding | Law::Filament | Law::VoiceCoil => Conduction::Load,
    }
}

/// Whether the machine has any AC supply: without one no capacitor carries a steady current.
fn feeds_alternating(machine: &Machine) -> bool {
    machine.parts.iter().any(|part| match &part.kind {
        PartKind::Supply(supply) => supply.current == Current::Alternating && supply.rectifier.is_none(),
        _ => false,
    })
}
/// All supplies with their terminals, the one away from the reference first.
pub(super) fn supplies_of(machine: &Machine, links: &[Link]) -> Vec<(PartId, JointId, JointId)> {
    let near = steps_from_reference(machine, links);
    let supplies = machine.parts.iter().enumerate().filter_map(|(index, part)| match &part.kind {
        PartKind::Supply(supply) => Some((PartId(index), supply)),
        _ => None,
    });
    supplies
        .map(|(id, supply)| {
            let [(_, first), (_, second)] = &supply.terminals;
            let swap = match (near[first.0], near[second.0]) {
                (Some(steps), Some(other)) => steps < other,
                (Some(_), None) => true,
                _ => false,
            };
            if swap { (id, *second, *first) } else { (id, *first, *second) }
        })
        .collect()
}

/// How many wires, pins and fuses lie between the reference and each joint, where nothing else does.
fn steps_from_reference(machine: &Machine, links: &[Link]) -> Vec<Option<usize>> {
    let solid: Vec<Link> = links
        .iter()
        .filter(|link| {
            let element = machine.element(link.element);
            let resistor = matches!(machine.part(element.part).kind, PartKind::Resistor(_));
            matches!(element.law, Law::Resistance(_)) && !resistor
        })
        .copied()
        .collect();
    let incident = Incidence::of(&solid);
    let mut steps = vec![None; machine.joints.len()];
    let mut waiting = VecDeque::from([machine.reference]);
    steps[machine.reference.0] = Some(0);
    while let Some(joint) = waiting.pop_front() {
        for &index in incident.at(joint) {
            let other = solid[index].across(joint);
            if steps[other.0].is_none() {
                steps[other.0] = steps[joint.0].map(|count: usize| count + 1);
                waiting.push_back(other);
            }
        }
    }
    steps
}
