//! Small graph tools for signal paths: edges between joints, components, blocks and two disjoint walks.
//!
//! A [`Link`] is an element seen as an edge. All answers come in the order of the element indices, so that the same
//! machine always gives the same drawing.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::machine::model::{ElementId, JointId};

/// An element as an edge between two joints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Link {
    pub(super) element: ElementId,
    pub(super) a: JointId,
    pub(super) b: JointId,
}

impl Link {
    /// The joint at the other end.
    pub(super) fn across(self, joint: JointId) -> JointId {
        if joint == self.a { self.b } else { self.a }
    }
}

/// Links by joint.
pub(super) fn incidence(links: &[Link]) -> BTreeMap<JointId, Vec<usize>> {
    let mut incident: BTreeMap<JointId, Vec<usize>> = BTreeMap::new();
    for (index, link) in links.iter().enumerate() {
        incident.entry(link.a).or_default().push(index);
        if link.b != link.a {
            incident.entry(link.b).or_default().push(index);
        }
    }
    incident
}

/// A connected lump of links between walls, and the walls it touches.
#[derive(Debug, Clone)]
pub(super) struct Lump {
    pub(super) links: Vec<Link>,
    pub(super) walls: BTreeSet<JointId>,
}

/// Splits links at the walls: two links belong together when they share a joint that is no wall.
pub(super) fn lumps(links: &[Link], walls: &BTreeSet<JointId>) -> Vec<Lump> {
    let incident = incidence(links);
    let mut seen = vec![false; links.len()];
    let mut found = Vec::new();
    for first in 0..links.len() {
        if seen[first] {
            continue;
        }
        seen[first] = true;
        let mut members = vec![first];
        let mut touched = BTreeSet::new();
        let mut next = 0;
        while next < members.len() {
            let link = links[members[next]];
            next += 1;
            for joint in [link.a, link.b] {
                if walls.contains(&joint) {
                    touched.insert(joint);
                    continue;
                }
                for &other in &incident[&joint] {
                    if !std::mem::replace(&mut seen[other], true) {
                        members.push(other);
                    }
                }
            }
        }
        members.sort_unstable();
        found.push(Lump { links: members.into_iter().map(|index| links[index]).collect(), walls: touched });
    }
    found
}

/// Drops links that end at a joint which nothing else reaches, until none is left; joints in `keep` may end.
pub(super) fn without_dead_ends(links: &[Link], keep: &BTreeSet<JointId>) -> Vec<Link> {
    let incident = incidence(links);
    let mut degree: BTreeMap<JointId, usize> = incident.iter().map(|(joint, list)| (*joint, list.len())).collect();
    let mut gone = vec![false; links.len()];
    let mut ends: VecDeque<JointId> =
        degree.iter().filter(|(joint, count)| **count == 1 && !keep.contains(joint)).map(|(joint, _)| *joint).collect();
    while let Some(end) = ends.pop_front() {
        let Some(&index) = incident[&end].iter().find(|index| !gone[**index]) else { continue };
        gone[index] = true;
        let other = links[index].across(end);
        let left = degree.entry(other).and_modify(|count| *count -= 1).or_default();
        if *left == 1 && !keep.contains(&other) {
            ends.push_back(other);
        }
    }
    links.iter().zip(gone).filter(|(_, gone)| !gone).map(|(link, _)| *link).collect()
}

/// The links that lie on some simple walk between two joints: the blocks on the way, found with a virtual link that
/// closes the ring.
pub(super) fn on_simple_walks(links: &[Link], from: JointId, to: JointId) -> Vec<Link> {
    if from == to {
        return Vec::new();
    }
    let mut ring: Vec<Link> = links.iter().copied().filter(|link| link.a != link.b).collect();
    ring.push(Link { element: ElementId(usize::MAX), a: from, b: to });
    block_of_last(&ring).into_iter().filter(|index| *index + 1 < ring.len()).map(|index| ring[index]).collect()
}

/// Tarjan's blocks, walked without recursion from one end of the last link; answers the block that holds it.
fn block_of_last(links: &[Link]) -> Vec<usize> {
    let incident = incidence(links);
    let closing = links.len() - 1;
    let start = links[closing].a;
    let mut order: BTreeMap<JointId, usize> = BTreeMap::new();
    let mut low: BTreeMap<JointId, usize> = BTreeMap::new();
    let mut open: Vec<usize> = Vec::new();
    let mut used = vec![false; links.len()];
    // Each frame: joint, link by which it was entered, next incident link to look at.
    let mut frames: Vec<(JointId, Option<usize>, usize)> = vec![(start, None, 0)];
    order.insert(start, 0);
    low.insert(start, 0);
    while let Some(&mut (joint, entered, ref mut next)) = frames.last_mut() {
        if let Some(&index) = incident[&joint].get(*next) {
            *next += 1;
            if std::mem::replace(&mut used[index], true) {
                continue;
            }
            open.push(index);
            let other = links[index].across(joint);
            if let Some(&earlier) = order.get(&other) {
                low.entry(joint).and_modify(|least| *least = (*least).min(earlier));
            } else {
                let number = order.len();
                order.insert(other, number);
                low.insert(other, number);
                frames.push((other, Some(index), 0));
            }
            continue;
        }
        frames.pop();
        let (Some(&(parent, ..)), Some(entered)) = (frames.last(), entered) else { continue };
        let least = low[&joint];
        low.entry(parent).and_modify(|value| *value = (*value).min(least));
        if least >= order[&parent] {
            let at = open.iter().rposition(|index| *index == entered).unwrap_or(0);
            let block = open.split_off(at);
            if block.contains(&closing) {
                let mut block = block;
                block.sort_unstable();
                return block;
            }
        }
    }
    Vec::new()
}

/// The cheapest pair of walks without a shared joint that leads from the two `sources` to the two `sinks`, as links in
/// walking order; the first walk starts at `sources[0]`. None where no such pair exists.
///
/// Two rounds of shortest augmenting walks (Suurballe 1974, by Bellman and Ford's method since the second round meets
/// negative costs), each joint split in two so that it carries one walk only.
pub(super) fn disjoint_walks(
    links: &[(Link, u64)],
    sources: [JointId; 2],
    sinks: [JointId; 2],
) -> Option<[Vec<Link>; 2]> {
    let mut flow = Flow::new(links, sources, sinks);
    if !(flow.augment() && flow.augment()) {
        return None;
    }
    Some([flow.walk(links, sources[0], sinks), flow.walk(links, sources[1], sinks)])
}

/// One directed arc of the flow network; its reverse is at `index ^ 1`.
struct Arc {
    to: usize,
    room: bool,
    cost: i64,
    link: Option<usize>,
}

/// Unit-capacity network of split joints.
struct Flow {
    arcs: Vec<Arc>,
    leaving: Vec<Vec<usize>>,
    nodes: BTreeMap<JointId, usize>,
}

const START: usize = 0;
const END: usize = 1;

impl Flow {
    fn new(links: &[(Link, u64)], sources: [JointId; 2], sinks: [JointId; 2]) -> Self {
        let mut nodes = BTreeMap::new();
        for joint in links.iter().flat_map(|(link, _)| [link.a, link.b]).chain(sources).chain(sinks) {
            let next = 2 + 2 * nodes.len();
            nodes.entry(joint).or_insert(next);
        }
        let mut flow = Self { arcs: Vec::new(), leaving: vec![Vec::new(); 2 + 2 * nodes.len()], nodes };
        let entries: Vec<usize> = flow.nodes.values().copied().collect();
        for entry in entries {
            flow.arc(entry, entry + 1, 0, None);
        }
        for (index, (link, cost)) in links.iter().enumerate() {
            let (a, b) = (flow.nodes[&link.a], flow.nodes[&link.b]);
            let cost = i64::try_from(*cost).unwrap_or(i64::MAX / 1_000_000);
            flow.arc(a + 1, b, cost, Some(index));
            flow.arc(b + 1, a, cost, Some(index));
        }
        for source in sources {
            flow.arc(START, flow.nodes[&source], 0, None);
        }
        for sink in sinks {
            flow.arc(flow.nodes[&sink] + 1, END, 0, None);
        }
        flow
    }

    fn arc(&mut self, from: usize, to: usize, cost: i64, link: Option<usize>) {
        self.leaving[from].push(self.arcs.len());
        self.arcs.push(Arc { to, room: true, cost, link });
        self.leaving[to].push(self.arcs.len());
        self.arcs.push(Arc { to: from, room: false, cost: -cost, link });
    }

    /// Pushes one unit along the cheapest walk with room.
    fn augment(&mut self) -> bool {
        let mut cost = vec![i64::MAX; self.leaving.len()];
        let mut by = vec![usize::MAX; self.leaving.len()];
        let mut waiting = VecDeque::from([START]);
        let mut queued = vec![false; self.leaving.len()];
        cost[START] = 0;
        while let Some(node) = waiting.pop_front() {
            queued[node] = false;
            for &index in &self.leaving[node] {
                let arc = &self.arcs[index];
                let reached = cost[node] + arc.cost;
                if arc.room && reached < cost[arc.to] {
                    cost[arc.to] = reached;
                    by[arc.to] = index;
                    if !std::mem::replace(&mut queued[arc.to], true) {
                        waiting.push_back(arc.to);
                    }
                }
            }
        }
        if cost[END] == i64::MAX {
            return false;
        }
        let mut node = END;
        while node != START {
            let index = by[node];
            self.arcs[index].room = false;
            self.arcs[index ^ 1].room = true;
            node = self.arcs[index ^ 1].to;
        }
        true
    }

    /// Follows the flow from a joint to whichever sink it reaches.
    fn walk(&self, links: &[(Link, u64)], from: JointId, sinks: [JointId; 2]) -> Vec<Link> {
        let mut walked = Vec::new();
        let mut joint = from;
        while walked.len() <= links.len() {
            let exit = self.nodes[&joint] + 1;
            let next = self.leaving[exit].iter().find_map(|&index| {
                let arc = &self.arcs[index];
                // A forward arc without room carries flow; arcs that lead back have an odd index.
                if index % 2 == 0 && !arc.room { arc.link } else { None }
            });
            let Some(index) = next else { break };
            walked.push(links[index].0);
            joint = links[index].0.across(joint);
        }
        debug_assert!(sinks.contains(&joint));
        walked
    }
}
