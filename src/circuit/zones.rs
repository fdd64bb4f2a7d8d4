//! Which parts of a machine have nothing in common but the reference.
//!
//! Circuits that meet in one joint only do not act on each other. Zones are found with every contact closed, so they hold in
//! any state; AC then needs no solving where no AC supply is, and a fault in one zone leaves the others as they were.

use std::collections::BTreeSet;

use crate::machine::model::{Current, JointId, Machine};

use super::groups::Groups;
use super::values::{Elements, Model};

/// By element, whether a source of each kind is in its zone.
#[derive(Debug)]
pub(crate) struct Reach {
    pub(crate) direct: Vec<bool>,
    pub(crate) alternating: Vec<bool>,
    /// Zone of each joint; the reference is in a zone of its own.
    zone: Vec<usize>,
    /// Zone of each element.
    zone_of_element: Vec<usize>,
    /// By zone, whether it has a source of AC and none of DC.
    alternating_alone: Vec<bool>,
}

impl Reach {
    pub(crate) fn of(machine: &Machine, elements: &Elements) -> Self {
        let reference = machine.reference;
        let zone = zones(machine);
        let of_element = |at: usize| {
            let ends = &machine.elements[at];
            zone[if ends.from == reference { ends.to.0 } else { ends.from.0 }]
        };
        let mut live = [vec![false; zone.len()], vec![false; zone.len()]];
        for (at, model) in elements.models.iter().enumerate() {
            if let Model::Source(source) = model {
                let direct = source.current == Current::Direct || source.rectifier.is_some();
                live[usize::from(!direct)][of_element(at)] = true;
            }
        }
        let spread = |live: &[bool]| (0..elements.models.len()).map(|at| live[of_element(at)]).collect();
        let zone_of_element = (0..elements.models.len()).map(of_element).collect();
        let alternating_alone = (0..zone.len()).map(|at| live[1][at] && !live[0][at]).collect();
        Self { direct: spread(&live[0]), alternating: spread(&live[1]), zone_of_element, zone, alternating_alone }
    }

    /// The range for a reading that shows nothing: AC where nothing but AC can ever come.
    pub(crate) fn usual(&self, reference: JointId, (red, black): (JointId, JointId)) -> Current {
        let joint = if red == reference { black } else { red };
        if self.alternating_alone[self.zone[joint.0]] { Current::Alternating } else { Current::Direct }
    }

    /// The zones of some joints, each once.
    pub(crate) fn zones_of(&self, joints: impl Iterator<Item = usize>) -> BTreeSet<usize> {
        joints.map(|joint| self.zone[joint]).collect()
    }

    /// The zone of an element.
    pub(crate) fn of_element(&self, element: usize) -> usize {
        self.zone_of_element[element]
    }

    /// Whether two elements are in one zone.
    pub(crate) fn same_zone(&self, one: usize, other: usize) -> bool {
        self.zone_of_element[one] == self.zone_of_element[other]
    }

    /// Whether a joint is in the zone of an element.
    pub(crate) fn joint_in_zone(&self, joint: JointId, element: usize) -> bool {
        self.zone[joint.0] == self.zone_of_element[element]
    }

    /// Whether a voltage between two joints goes by way of the reference from one zone into another.
    pub(crate) fn crosses(&self, reference: JointId, a: JointId, b: JointId) -> bool {
        a != reference && b != reference && self.zone[a.0] != self.zone[b.0]
    }
}

/// The zone of each joint, named by one of its joints.
#[must_use]
pub fn zones(machine: &Machine) -> Vec<usize> {
    let reference = machine.reference;
    let mut groups = Groups::new(machine.joints.len());
    let pairs = machine.elements.iter().map(|ends| (ends.from, ends.to));
    let readings = machine.test_points.iter().map(|point| (point.joint, point.reference));
    for (a, b) in pairs.chain(readings) {
        if a != reference && b != reference {
            groups.join(a.0, b.0);
        }
    }
    groups.names()
}
