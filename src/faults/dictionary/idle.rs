//! Which faults cannot show in a sequence, without solving them.
//!
//! A fault on a contact that no hand, wiper, or relay closes in the sequence changes nothing, and neither does a relay
//! stuck where it stands. While relays move, contacts may close for a moment; the states from which to which they move
//! are known only where they do so at most once.

use std::collections::BTreeSet;

use crate::circuit::results::Settling;
use crate::circuit::{Change, Solution};
use crate::machine::model::{ElementId, Gate, Law, Machine, PartId, SequenceId};

/// Amps below which an element counts as carrying nothing.
const NOTHING: f64 = 1e-12;

/// The states that a healthy machine passes in a sequence.
pub(in crate::faults) struct Idle<'a> {
    machine: &'a Machine,
    sequence: SequenceId,
    /// Amps of every element on a healthy machine.
    currents: &'a [f64],
    /// Relays that are in, before and after; none where relays move more than once.
    states: Option<[BTreeSet<PartId>; 2]>,
    /// Whether no relay moves at all.
    still: bool,
}

impl<'a> Idle<'a> {
    pub(in crate::faults) fn new(machine: &'a Machine, solution: &'a Solution, sequence: SequenceId) -> Self {
        let healthy = solution.sequence(sequence);
        let before = machine.sequences[sequence.0].after;
        let before = before.map(|before| solution.sequence(before).energised.clone()).unwrap_or_default();
        let rounds = match healthy.settling {
            Settling::Settled { rounds } => Some(rounds),
            Settling::Chatters { .. } | Settling::Races { .. } => None,
        };
        let once = rounds.is_some_and(|rounds| rounds <= 1);
        let states = once.then(|| [before, healthy.energised.clone()]);
        Self { machine, sequence, currents: &healthy.currents, states, still: rounds == Some(0) }
    }

    /// Whether none of these changes can show.
    pub(in crate::faults) fn covers(&self, changes: &[Change]) -> bool {
        changes.iter().all(|change| match *change {
            Change::Open(element) => self.is_never(element, true),
            // Where no relay moves, a few ohms in a dead end drop nothing that a meter could show.
            Change::Added(element, _) => {
                self.is_never(element, true) || self.still && self.currents[element.0].abs() < NOTHING
            }
            Change::StuckClosed(element) => self.is_never(element, false),
            Change::RelayStuck(relay, energised) => self
                .states
                .as_ref()
                .is_some_and(|states| states.iter().all(|state| state.contains(&relay) == energised)),
            Change::SwitchStuck(switch, operated) => {
                self.machine.sequences[self.sequence.0].setting.operated.contains(&switch) == operated
            }
            _ => false,
        })
    }

    /// Whether an element is a contact that is never closed, or never open.
    fn is_never(&self, element: ElementId, closed: bool) -> bool {
        let setting = &self.machine.sequences[self.sequence.0].setting;
        let Law::Contact { gate, .. } = &self.machine.element(element).law else { return false };
        match gate {
            Gate::Relay { relay, when_energised } => self
                .states
                .as_ref()
                .is_some_and(|states| states.iter().all(|state| (state.contains(relay) == *when_energised) != closed)),
            Gate::Hand { switch, when_operated } => (setting.operated.contains(switch) == *when_operated) != closed,
            Gate::Wiper { selector, ring, segment } => {
                let position = setting.positions.get(selector).and_then(|rings| rings.get(*ring));
                position.is_some_and(|position| *position == Some(*segment)) != closed
            }
        }
    }
}
