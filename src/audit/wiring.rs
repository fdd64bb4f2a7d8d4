//! What is joined to what by wires and pins alone, and what can be reached from where.
//!
//! Joints that only wires and pins lie between are one *node*: a suppressor two plugs away from its coil is still across it.

use std::collections::{BTreeSet, VecDeque};

use crate::machine::model::{Element, ElementId, JointId, Law, Machine, PartKind};

/// Joints gathered to nodes, with the elements that end at each node.
#[derive(Debug)]
pub struct Wiring {
    node_of: Vec<usize>,
    /// For each node, the elements other than wires and pins that end there.
    ends: Vec<Vec<ElementId>>,
}

impl Wiring {
    /// Gathers the joints of a machine.
    pub fn new(machine: &Machine) -> Self {
        let mut parent: Vec<usize> = (0..machine.joints.len()).collect();
        for element in machine.elements.iter().filter(|element| is_wire_or_pin(machine, element)) {
            let (from, to) = (root(&mut parent, element.from.0), root(&mut parent, element.to.0));
            parent[from.max(to)] = from.min(to);
        }
        let node_of: Vec<usize> = (0..parent.len()).map(|joint| root(&mut parent, joint)).collect();
        let mut ends = vec![Vec::new(); node_of.len()];
        for (index, element) in machine.elements.iter().enumerate() {
            if is_wire_or_pin(machine, element) {
                continue;
            }
            let (from, to) = (node_of[element.from.0], node_of[element.to.0]);
            ends[from].push(ElementId(index));
            if from != to {
                ends[to].push(ElementId(index));
            }
        }
        Self { node_of, ends }
    }

    /// The node of a joint.
    pub fn node(&self, joint: JointId) -> usize {
        self.node_of[joint.0]
    }

    /// The two nodes of an element.
    pub fn nodes(&self, element: &Element) -> (usize, usize) {
        (self.node(element.from), self.node(element.to))
    }

    /// The elements other than wires and pins that end at a node.
    pub fn at(&self, node: usize) -> &[ElementId] {
        &self.ends[node]
    }

    /// All nodes that can be reached from `start` through elements that `passes`.
    pub fn reach(
        &self,
        machine: &Machine,
        start: usize,
        passes: impl Fn(ElementId, &Element) -> bool,
    ) -> BTreeSet<usize> {
        let mut reached = BTreeSet::from([start]);
        let mut queue = VecDeque::from([start]);
        while let Some(node) = queue.pop_front() {
            for id in self.at(node) {
                let element = machine.element(*id);
                if !passes(*id, element) {
                    continue;
                }
                let (from, to) = self.nodes(element);
                let other = if from == node { to } else { from };
                if reached.insert(other) {
                    queue.push_back(other);
                }
            }
        }
        reached
    }

    /// Chains of at most `length` elements that lead from one node to another, all of them accepted.
    pub fn chains(
        &self,
        machine: &Machine,
        from: usize,
        to: usize,
        length: usize,
        accepts: impl Fn(ElementId, &Element) -> bool + Copy,
    ) -> Vec<Vec<ElementId>> {
        let mut found = Vec::new();
        self.extend(machine, &mut vec![], from, to, length, accepts, &mut found);
        found
    }

    #[expect(clippy::too_many_arguments, reason = "the state of one recursion")]
    fn extend(
        &self,
        machine: &Machine,
        chain: &mut Vec<ElementId>,
        node: usize,
        to: usize,
        left: usize,
        accepts: impl Fn(ElementId, &Element) -> bool + Copy,
        found: &mut Vec<Vec<ElementId>>,
    ) {
        if left == 0 {
            return;
        }
        for id in self.at(node) {
            let element = machine.element(*id);
            if chain.contains(id) || !accepts(*id, element) {
                continue;
            }
            let (one, other) = self.nodes(element);
            let next = if one == node { other } else { one };
            chain.push(*id);
            if next == to {
                found.push(chain.clone());
            } else if next != node && self.at(next).len() == 2 {
                // Only a joint that nothing else meets carries the same current on.
                self.extend(machine, chain, next, to, left - 1, accepts, found);
            }
            chain.pop();
        }
    }
}

/// Whether an element is a wire or a pin.
pub(super) fn is_wire_or_pin(machine: &Machine, element: &Element) -> bool {
    matches!(element.law, Law::Resistance(_))
        && matches!(machine.part(element.part).kind, PartKind::Wire(_) | PartKind::Plug(_))
}

fn root(parent: &mut [usize], mut joint: usize) -> usize {
    while parent[joint] != joint {
        parent[joint] = parent[parent[joint]];
        joint = parent[joint];
    }
    joint
}
