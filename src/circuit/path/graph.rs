//! Small graph tools for signal paths: edges between joints, components, blocks and two disjoint walks.
//!
//! A [`Link`] is an element seen as an edge. All answers come in the order of the element indices, so that the same
//! machine always gives the same drawing.

use std::collections::{BTreeSet, VecDeque};

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

/// Links by joint, as one flat list.
pub(super) struct Incidence {
    starts: Vec<usize>,
    entries: Vec<usize>,
}

impl Incidence {
    pub(super) fn of(links: &[Link]) -> Self {
        let joints = links.iter().map(|link| link.a.0.max(link.b.0) + 1).max().unwrap_or(0);
        let ends = |link: &Link| [Some(link.a), (link.b != link.a).then_some(link.b)].into_iter().flatten();
        let mut starts = vec![0; joints + 1];
        for joint in links.iter().flat_map(ends) {
            starts[joint.0 + 1] += 1;
        }
        for joint in 0..joints {
            starts[joint + 1] += starts[joint];
        }
        let mut next = starts.clone();
        let mut entries = vec![0; starts[joints]];
        for (index, link) in links.iter().enumerate() {
            for joint in ends(link) {
                entries[next[joint.0]] = index;
                next[joint.0] += 1;
            }
        }
        Self { starts, entries }
    }

    /// How many joints it knows: one more than the highest index.
    fn joints(&self) -> usize {
        self.starts.len() - 1
    }

    /// The links at a joint.
    pub(super) fn at(&self, joint: JointId) -> &[usize] {
        if joint.0 < self.joints() { &self.entries[self.starts[joint.0]..self.starts[joint.0 + 1]] } else { &[] }
    }
}

/// A connected lump of links between walls, and the walls it touches.
#[derive(Debug, Clone)]
pub(super) struct Lump {
    pub(super) links: Vec<Link>,
    pub(super) walls: BTreeSet<JointId>,
}

/// Splits links at the walls: two links belong together when they share a joint that is no wall.
pub(super) fn lumps(links: &[Link], walls: &BTreeSet<JointId>) -> Vec<Lump> {
    let incident = Incidence::of(links);
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
                for &other in incident.at(joint) {
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
    let incident = Incidence::of(links);
    let mut degree: Vec<usize> = (0..incident.joints()).map(|joint| incident.at(JointId(joint)).len()).collect();
    let mut gone = vec![false; links.len()];
    let is_end = |joint: JointId, degree: &[usize]| degree[joint.0] == 1 && !keep.contains(&joint);
    let mut ends: Vec<JointId> = (0..degree.len()).map(JointId).filter(|joint| is_end(*joint, &degree)).collect();
    while let Some(end) = ends.pop() {
        let Some(&index) = incident.at(end).iter().find(|index| !gone[**index]) else { continue };
        gone[index] = true;
        let other = links[index].across(end);
        degree[other.0] -= 1;
        if is_end(other, &degree) {
            ends.push(other);
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
    const UNSEEN: usize = usize::MAX;
    let incident = Incidence::of(links);
    let closing = links.len() - 1;
    let start = links[closing].a;
    let mut order = vec![UNSEEN; incident.joints()];
    let mut low = vec![UNSEEN; incident.joints()];
    let mut count = 1;
    let mut open: Vec<usize> = Vec::new();
    let mut used = vec![false; links.len()];
    // Each frame: joint, link by which it was entered, next incident link to look at.
    let mut frames: Vec<(JointId, Option<usize>, usize)> = vec![(start, None, 0)];
    order[start.0] = 0;
    low[start.0] = 0;
    while let Some(&mut (joint, entered, ref mut next)) = frames.last_mut() {
        if let Some(&index) = incident.at(joint).get(*next) {
            *next += 1;
            if std::mem::replace(&mut used[index], true) {
                continue;
            }
            open.push(index);
            let other = links[index].across(joint);
            if order[other.0] == UNSEEN {
                order[other.0] = count;
                low[other.0] = count;
                count += 1;
                frames.push((other, Some(index), 0));
            } else {
                low[joint.0] = low[joint.0].min(order[other.0]);
            }
            continue;
        }
        frames.pop();
        let (Some(&(parent, ..)), Some(entered)) = (frames.last(), entered) else { continue };
        low[parent.0] = low[parent.0].min(low[joint.0]);
        if low[joint.0] >= order[parent.0] {
            let at = open.iter().rposition(|index| *index == entered).unwrap_or(0);
            let mut block = open.split_off(at);
            if block.contains(&closing) {
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

/// Unit-capacity network of split joints: a joint is entered at an even node and left at the odd one behind it.
struct Flow {
    arcs: Vec<Arc>,
    leaving: Vec<Vec<usize>>,
    /// Entry node by joint; zero for joints that are not part of it.
    nodes: Vec<usize>,
}

const START: usize = 0;
const END: usize = 1;

impl Flow {
    fn new(links: &[(Link, u64)], sources: [JointId; 2], sinks: [JointId; 2]) -> Self {
        let joints = || links.iter().flat_map(|(link, _)| [link.a, link.b]).chain(sources).chain(sinks);
        let mut nodes = vec![0; joints().map(|joint| joint.0 + 1).max().unwrap_or(0)];
        let mut count = 2;
        for joint in joints() {
            if nodes[joint.0] == 0 {
                nodes[joint.0] = count;
                count += 2;
            }
        }
        let mut flow =
            Self { arcs: Vec::with_capacity(4 * links.len() + count), leaving: vec![Vec::new(); count], nodes };
        for entry in (2..count).step_by(2) {
            flow.arc(entry, entry + 1, 0, None);
        }
        for (index, (link, cost)) in links.iter().enumerate() {
            let (a, b) = (flow.nodes[link.a.0], flow.nodes[link.b.0]);
            let cost = i64::try_from(*cost).unwrap_or(i64::MAX / 1_000_000);
            flow.arc(a + 1, b, cost, Some(index));
            flow.arc(b + 1, a, cost, Some(index));
        }
        for source in sources {
            flow.arc(START, flow.nodes[source.0], 0, None);
        }
        for sink in sinks {
            flow.arc(flow.nodes[sink.0] + 1, END, 0, None);
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
            let exit = self.nodes[joint.0] + 1;
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
