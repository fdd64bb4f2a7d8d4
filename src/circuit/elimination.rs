//! Solves a network of two-terminal branches by taking one joint after the other away (star-mesh elimination).
//!
//! The order is found once a machine, for the graph in which every contact is closed; a state of the machine is then only
//! a set of admittances, zero where nothing conducts. Joints with one or two neighbours go first, so dangling wires and
//! series chains vanish before anything else, and come back exactly when the voltages are put back in. Sums have only
//! terms of one sign where the network is resistive: nothing cancels, whatever the span between a contact's milliohms and
//! a meter's megohms, and a joint that is left with no admittance at all is known, exactly, to be the last of an island.

use std::collections::BTreeMap;

use super::scalar::Scalar;

/// The order of elimination and the places of all admittances, for one graph.
#[derive(Debug)]
pub(crate) struct Structure {
    joints: usize,
    slots: usize,
    /// Slot of each edge; none where both ends are the same joint.
    slot_of_edge: Vec<Option<u32>>,
    steps: Vec<Step>,
    /// For each step, its neighbours (all eliminated later) and the slots towards them.
    neighbours: Vec<(u32, u32)>,
    /// For each step, the slots between every two of its neighbours, row by row.
    fills: Vec<u32>,
    /// Step at which each joint goes.
    step_of: Vec<u32>,
    /// Edges, as given.
    edges: Vec<(usize, usize)>,
}

#[derive(Debug, Clone, Copy)]
struct Step {
    joint: u32,
    first_neighbour: u32,
    neighbours: u32,
    first_fill: u32,
}

/// Numbers of one state: what solving needs after elimination.
#[derive(Debug, Clone)]
pub(crate) struct Factor<T> {
    /// Sum of admittances of each step's joint when it goes; zero for the last joint of an island.
    pivots: Vec<T>,
    /// Shares of each neighbour.
    shares: Vec<T>,
    /// Smallest pivot in relation to the sum of the magnitudes that made it: small means cancellation.
    pub(crate) weakest: f64,
}

impl Structure {
    /// Orders the joints of a graph; `last` (the reference) stays until the end.
    pub(crate) fn new(joints: usize, edges: Vec<(usize, usize)>, last: usize) -> Self {
        let mut links: Vec<BTreeMap<u32, u32>> = vec![BTreeMap::new(); joints];
        let mut slots = 0_u32;
        let slot_of_edge = edges.iter().map(|&(a, b)| slot_between(&mut links, &mut slots, a, b)).collect();
        let mut made = Self {
            joints,
            slots: 0,
            slot_of_edge,
            steps: Vec::with_capacity(joints),
            neighbours: Vec::new(),
            fills: Vec::new(),
            step_of: vec![0; joints],
            edges,
        };
        let mut remaining: Vec<usize> = (0..joints).filter(|&joint| joint != last).collect();
        let mut touched_in = vec![0_u32; joints];
        let mut round = 0;
        while let Some(least) = remaining.iter().map(|&joint| links[joint].len()).min() {
            round += 1;
            // Neighbours of a joint that just went wait for the next round: chains fold in halves, not end to end.
            remaining.retain(|&joint| {
                if links[joint].len() > least.max(2) || touched_in[joint] == round {
                    return true;
                }
                for &neighbour in links[joint].keys() {
                    touched_in[neighbour as usize] = round;
                }
                made.take_away(joint, &mut links, &mut slots);
                false
            });
        }
        made.take_away(last, &mut links, &mut slots);
        made.slots = slots as usize;
        made
    }

    fn take_away(&mut self, joint: usize, links: &mut [BTreeMap<u32, u32>], slots: &mut u32) {
        let around: Vec<(u32, u32)> = std::mem::take(&mut links[joint]).into_iter().collect();
        self.step_of[joint] = small(self.steps.len());
        self.steps.push(Step {
            joint: small(joint),
            first_neighbour: small(self.neighbours.len()),
            neighbours: small(around.len()),
            first_fill: small(self.fills.len()),
        });
        for (index, &(a, _)) in around.iter().enumerate() {
            links[a as usize].remove(&small(joint));
            for &(b, _) in &around[index + 1..] {
                let slot = slot_between(links, slots, a as usize, b as usize).unwrap_or_default();
                self.fills.push(slot);
            }
        }
        self.neighbours.extend(around);
    }

    /// How many joints the graph has.
    pub(crate) fn joints(&self) -> usize {
        self.joints
    }

    /// The graph's edges.
    pub(crate) fn edges(&self) -> &[(usize, usize)] {
        &self.edges
    }

    /// Eliminates all joints for these admittances, one for each edge.
    pub(crate) fn factor<T: Scalar>(&self, admittances: &[T]) -> Factor<T> {
        let mut between = vec![T::ZERO; self.slots];
        for (slot, &admittance) in self.slot_of_edge.iter().zip(admittances) {
            if let Some(slot) = slot {
                between[*slot as usize] += admittance;
            }
        }
        let mut factor = Factor {
            pivots: vec![T::ZERO; self.steps.len()],
            shares: vec![T::ZERO; self.neighbours.len()],
            weakest: 1.0,
        };
        for (index, step) in self.steps.iter().enumerate() {
            self.eliminate(index, *step, &mut between, &mut factor);
        }
        factor
    }

    fn eliminate<T: Scalar>(&self, index: usize, step: Step, between: &mut [T], factor: &mut Factor<T>) {
        let range = step.range();
        let around = &self.neighbours[range.clone()];
        let mut pivot = T::ZERO;
        let mut magnitude = 0.0;
        for &(_, slot) in around {
            let admittance = between[slot as usize];
            pivot += admittance;
            magnitude += admittance.size();
        }
        if magnitude == 0.0 {
            return;
        }
        let strength = pivot.size() / magnitude;
        if strength < factor.weakest {
            factor.weakest = strength;
            if strength == 0.0 {
                return;
            }
        }
        factor.pivots[index] = pivot;
        let shares = &mut factor.shares[range];
        for (share, &(_, slot)) in shares.iter_mut().zip(around) {
            *share = between[slot as usize] / pivot;
        }
        let mut fill = step.first_fill as usize;
        for (row, &(_, slot)) in around.iter().enumerate() {
            let admittance = between[slot as usize];
            if admittance == T::ZERO {
                fill += around.len() - row - 1;
                continue;
            }
            for share in &shares[row + 1..] {
                between[self.fills[fill] as usize] += admittance * *share;
                fill += 1;
            }
        }
    }

    /// Voltages for currents injected at the joints, in place; the last joint of each island is at zero.
    pub(crate) fn solve<T: Scalar>(&self, factor: &Factor<T>, at: &mut [T]) {
        for (index, step) in self.steps.iter().enumerate() {
            let injected = at[step.joint as usize];
            if injected == T::ZERO || factor.pivots[index] == T::ZERO {
                continue;
            }
            let range = step.range();
            for (&(neighbour, _), &share) in self.neighbours[range.clone()].iter().zip(&factor.shares[range]) {
                at[neighbour as usize] += injected * share;
            }
        }
        for (index, step) in self.steps.iter().enumerate().rev() {
            let pivot = factor.pivots[index];
            if pivot == T::ZERO {
                at[step.joint as usize] = T::ZERO;
                continue;
            }
            let mut volts = at[step.joint as usize] / pivot;
            let range = step.range();
            for (&(neighbour, _), &share) in self.neighbours[range.clone()].iter().zip(&factor.shares[range]) {
                volts += share * at[neighbour as usize];
            }
            at[step.joint as usize] = volts;
        }
    }

    /// For each joint, the last joint of its island: equal for joints that anything conducting joins.
    pub(crate) fn islands<T: Scalar>(&self, factor: &Factor<T>) -> Vec<usize> {
        let mut island: Vec<usize> = (0..self.joints).collect();
        for step in self.steps.iter().rev() {
            let range = step.range();
            let towards = self.neighbours[range.clone()].iter().zip(&factor.shares[range]);
            if let Some((&(neighbour, _), _)) = { towards }.find(|(_, share)| **share != T::ZERO) {
                island[step.joint as usize] = island[neighbour as usize];
            }
        }
        island
    }

    /// Impedance of the dead network between two joints of one island.
    pub(crate) fn impedance<T: Scalar>(&self, factor: &Factor<T>, red: usize, black: usize, work: &mut Vec<T>) -> T {
        if red == black {
            return T::ZERO;
        }
        work.resize(self.joints, T::ZERO);
        work[red] = T::ONE;
        work[black] = -T::ONE;
        let (mut first, mut second) = (Some(self.step_of[red] as usize), Some(self.step_of[black] as usize));
        let mut sum = T::ZERO;
        // Both ways up the elimination tree, always the earlier step first, until they meet and after.
        while let Some(index) = earlier(first, second) {
            let step = self.steps[index];
            let parent = self.parent(step);
            if first == Some(index) {
                first = parent;
            }
            if second == Some(index) {
                second = parent;
            }
            let weight = std::mem::replace(&mut work[step.joint as usize], T::ZERO);
            let pivot = factor.pivots[index];
            if weight == T::ZERO || pivot == T::ZERO {
                continue;
            }
            sum += weight * weight / pivot;
            let range = step.range();
            for (&(neighbour, _), &share) in self.neighbours[range.clone()].iter().zip(&factor.shares[range]) {
                work[neighbour as usize] += weight * share;
            }
        }
        sum
    }

    fn parent(&self, step: Step) -> Option<usize> {
        self.neighbours[step.range()].iter().map(|&(joint, _)| self.step_of[joint as usize] as usize).min()
    }
}

impl Step {
    fn range(self) -> std::ops::Range<usize> {
        self.first_neighbour as usize..(self.first_neighbour + self.neighbours) as usize
    }
}

fn earlier(first: Option<usize>, second: Option<usize>) -> Option<usize> {
    match (first, second) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// The slot of the edge between two joints, a new one if there is none yet.
fn slot_between(links: &mut [BTreeMap<u32, u32>], slots: &mut u32, a: usize, b: usize) -> Option<u32> {
    if a == b {
        return None;
    }
    let fresh = *slots;
    let slot = *links[a].entry(small(b)).or_insert(fresh);
    if slot == fresh {
        links[b].insert(small(a), fresh);
        *slots += 1;
    }
    Some(slot)
}

#[expect(clippy::cast_possible_truncation, reason = "a machine has far fewer than 4e9 joints")]
fn small(index: usize) -> u32 {
    index as u32
}
