//! Faults that cannot show in what was read, because they lie in another circuit.
//!
//! Circuits that meet in the reference alone do not act on each other's volts, see [`crate::circuit::zones`]. Only a relay
//! carries what happens in one of them into another, so a fault in a zone without relay windings leaves all other zones be.

use std::collections::BTreeSet;

use crate::circuit::{Change, zones};
use crate::machine::model::{ElementId, JointId, Law, Machine, PartId, PartKind};

use super::evidence::Evidence;
use super::places::leads;

/// Zones on which a reading may depend.
pub(super) struct Apart<'m> {
    machine: &'m Machine,
    of_joint: Vec<usize>,
    /// Where something was read, or where relays hang.
    matter: BTreeSet<usize>,
}

impl<'m> Apart<'m> {
    pub(super) fn new(machine: &'m Machine, evidence: &Evidence) -> Self {
        let of_joint = zones(machine);
        let read = evidence.volts.iter().map(|read| leads(machine, read.at));
        let windings = machine.elements.iter().filter(|ends| {
            let relay = matches!(machine.part(ends.part).kind, PartKind::Relay(_));
            relay && matches!(ends.law, Law::Winding | Law::ResetWinding)
        });
        let joints = read.chain(windings.map(|ends| (ends.from, ends.to))).flat_map(|(a, b)| [a, b]);
        let matter = joints.filter(|&joint| joint != machine.reference).map(|joint| of_joint[joint.0]).collect();
        Self { machine, of_joint, matter }
    }

    /// Whether none of these changes can show in the volts that were read.
    pub(super) fn covers(&self, changes: &[Change]) -> bool {
        changes.iter().all(|change| match *change {
            Change::Open(element)
            | Change::Short(element)
            | Change::Added(element, _)
            | Change::Value(element, _)
            | Change::StuckClosed(element)
            | Change::Reversed(element) => self.is_apart(element),
            Change::SupplyScaled(part, _) | Change::RectifierOpen(part) | Change::ReservoirOpen(part) => {
                self.is_whole_apart(part)
            }
            Change::RelayStuck(..) | Change::SwitchStuck(..) | Change::Bridge(..) => false,
        })
    }

    fn is_whole_apart(&self, part: PartId) -> bool {
        self.machine.part(part).elements.iter().all(|&element| self.is_apart(element))
    }

    fn is_apart(&self, element: ElementId) -> bool {
        let ends = self.machine.element(element);
        let outside =
            |joint: JointId| joint == self.machine.reference || !self.matter.contains(&self.of_joint[joint.0]);
        outside(ends.from) && outside(ends.to)
    }
}
