//! Series-parallel decomposition of a two-terminal network.
//!
//! Top down: a network that falls apart when its terminals are cut out is parallel; one that falls apart at a joint
//! between them is a series; one link is itself; what is left is a bridge, kept as a net of reduced links.

use std::collections::{BTreeMap, BTreeSet};

use super::graph::{Incidence, Link, lumps};
use crate::machine::model::{ElementId, JointId};

/// A two-terminal network, taken apart. Read from its start to its end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Branch {
    /// One element.
    Element {
        /// The element.
        element: ElementId,
        /// Whether it is entered at its `from` side.
        forward: bool,
    },
    /// One after the other; never holds a series.
    Series(Vec<Branch>),
    /// Side by side; never holds a parallel. The branch that holds the main path comes first.
    Parallel(Vec<Branch>),
    /// A network that is not series-parallel, such as a bridge.
    Net {
        /// Where it starts.
        from: JointId,
        /// Where it ends.
        to: JointId,
        /// Its branches, each series-parallel in itself.
        links: Vec<NetLink>,
    },
}

/// One branch of a network that is not series-parallel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NetLink {
    /// Where the branch starts.
    pub from: JointId,
    /// Where it ends.
    pub to: JointId,
    /// What lies between.
    pub branch: Branch,
}

impl Branch {
    /// All elements in reading order.
    #[must_use]
    pub fn elements(&self) -> Vec<ElementId> {
        let mut all = Vec::new();
        self.gather(&mut all);
        all
    }

    fn gather(&self, all: &mut Vec<ElementId>) {
        match self {
            Branch::Element { element, .. } => all.push(*element),
            Branch::Series(parts) | Branch::Parallel(parts) => parts.iter().for_each(|part| part.gather(all)),
            Branch::Net { links, .. } => links.iter().for_each(|link| link.branch.gather(all)),
        }
    }

    /// Whether any of it is not series-parallel.
    #[must_use]
    pub fn holds_net(&self) -> bool {
        match self {
            Branch::Element { .. } => false,
            Branch::Series(parts) | Branch::Parallel(parts) => parts.iter().any(Branch::holds_net),
            Branch::Net { .. } => true,
        }
    }

    /// The same network read from its end.
    #[must_use]
    pub fn reversed(self) -> Self {
        match self {
            Branch::Element { element, forward } => Branch::Element { element, forward: !forward },
            Branch::Series(parts) => Branch::Series(parts.into_iter().rev().map(Branch::reversed).collect()),
            Branch::Parallel(parts) => Branch::Parallel(parts.into_iter().map(Branch::reversed).collect()),
            Branch::Net { from, to, links } => Branch::Net { from: to, to: from, links },
        }
    }
}

/// Takes the network between two joints apart. Every link must lie on a simple walk from `from` to `to`; `main` holds
/// the elements of the main path, whose branches come first.
pub(super) fn decompose(
    links: &[Link],
    from: JointId,
    to: JointId,
    is_forward: &dyn Fn(Link, JointId) -> bool,
    main: &BTreeSet<ElementId>,
) -> Branch {
    let builder = Builder { is_forward, main };
    builder.network(links, from, to)
}

struct Builder<'a> {
    is_forward: &'a dyn Fn(Link, JointId) -> bool,
    main: &'a BTreeSet<ElementId>,
}

impl Builder<'_> {
    fn network(&self, links: &[Link], from: JointId, to: JointId) -> Branch {
        if let [link] = links {
            return self.single(*link, from);
        }
        let sides = lumps(links, &BTreeSet::from([from, to]));
        if sides.len() > 1 {
            return Branch::Parallel(self.side_by_side(sides, from, to));
        }
        let cuts = cut_joints(links, from, to);
        if cuts.is_empty() {
            return self.net(links, from, to);
        }
        self.chain(links, from, &cuts, to)
    }

    fn single(&self, link: Link, from: JointId) -> Branch {
        Branch::Element { element: link.element, forward: (self.is_forward)(link, from) }
    }

    fn side_by_side(&self, sides: Vec<super::graph::Lump>, from: JointId, to: JointId) -> Vec<Branch> {
        let mut branches: Vec<Branch> = sides.into_iter().map(|side| self.network(&side.links, from, to)).collect();
        branches.sort_by_key(|branch| self.rank(branch));
        branches
    }

    /// The branch with the main path first, then in the order of the description.
    fn rank(&self, branch: &Branch) -> (bool, Option<ElementId>) {
        let elements = branch.elements();
        (!elements.iter().any(|element| self.main.contains(element)), elements.into_iter().min())
    }

    fn chain(&self, links: &[Link], from: JointId, cuts: &[JointId], to: JointId) -> Branch {
        let stops: Vec<JointId> = std::iter::once(from).chain(cuts.iter().copied()).chain([to]).collect();
        let place: BTreeMap<JointId, usize> = stops.iter().enumerate().map(|(index, joint)| (*joint, index)).collect();
        let mut pieces: Vec<Vec<Link>> = vec![Vec::new(); stops.len() - 1];
        for lump in lumps(links, &stops.iter().copied().collect()) {
            let first = lump.walls.iter().map(|joint| place[joint]).min().unwrap_or(0);
            pieces[first.min(stops.len() - 2)].extend(lump.links);
        }
        let branches = pieces
            .iter()
            .enumerate()
            .filter(|(_, piece)| !piece.is_empty())
            .map(|(index, piece)| self.network(piece, stops[index], stops[index + 1]));
        Branch::Series(branches.collect())
    }

    /// Reduces what can be reduced inside a bridge, until neither rule applies.
    fn net(&self, links: &[Link], from: JointId, to: JointId) -> Branch {
        let mut reduced: Vec<NetLink> =
            links.iter().map(|link| NetLink { from: link.a, to: link.b, branch: self.single(*link, link.a) }).collect();
        while join_series(&mut reduced, from, to) || self.join_parallel(&mut reduced) {}
        reduced.sort_by_key(|link| self.rank(&link.branch));
        Branch::Net { from, to, links: reduced }
    }

    fn join_parallel(&self, links: &mut Vec<NetLink>) -> bool {
        let mut seen: BTreeMap<(JointId, JointId), usize> = BTreeMap::new();
        let twin = links.iter().enumerate().find_map(|(index, link)| {
            let ends = (link.from.min(link.to), link.from.max(link.to));
            seen.insert(ends, index).map(|earlier| (earlier, index))
        });
        let Some((earlier, later)) = twin else { return false };
        let second = links.remove(later);
        let first = links.remove(earlier);
        let second = if second.from == first.from { second } else { turned(second) };
        let mut branches = beside(first.branch, second.branch);
        branches.sort_by_key(|branch| self.rank(branch));
        links.push(NetLink { from: first.from, to: first.to, branch: Branch::Parallel(branches) });
        true
    }
}

/// Joins two branches that meet where nothing else does.
fn join_series(links: &mut Vec<NetLink>, from: JointId, to: JointId) -> bool {
    let mut meeting: BTreeMap<JointId, Vec<usize>> = BTreeMap::new();
    for (index, link) in links.iter().enumerate() {
        meeting.entry(link.from).or_default().push(index);
        meeting.entry(link.to).or_default().push(index);
    }
    let found = meeting.into_iter().find(|(joint, list)| *joint != from && *joint != to && list.len() == 2);
    let Some((joint, list)) = found else { return false };
    let second = links.remove(list[0].max(list[1]));
    let first = links.remove(list[0].min(list[1]));
    let first = if first.to == joint { first } else { turned(first) };
    let second = if second.from == joint { second } else { turned(second) };
    let branch = in_series(first.branch, second.branch);
    links.push(NetLink { from: first.from, to: second.to, branch });
    true
}

fn turned(link: NetLink) -> NetLink {
    NetLink { from: link.to, to: link.from, branch: link.branch.reversed() }
}

fn in_series(first: Branch, second: Branch) -> Branch {
    let flat = |branch| match branch {
        Branch::Series(parts) => parts,
        other => vec![other],
    };
    Branch::Series(flat(first).into_iter().chain(flat(second)).collect())
}

fn beside(first: Branch, second: Branch) -> Vec<Branch> {
    let flat = |branch| match branch {
        Branch::Parallel(parts) => parts,
        other => vec![other],
    };
    flat(first).into_iter().chain(flat(second)).collect()
}

/// Joints through which every walk between the terminals passes, in walking order.
///
/// One walk is laid; from its start the farthest of its joints that can be reached without stepping on the walk is
/// pushed ahead; a joint which is itself the farthest is a cut.
fn cut_joints(links: &[Link], from: JointId, to: JointId) -> Vec<JointId> {
    let walk = shortest_walk(links, from, to);
    let place: BTreeMap<JointId, usize> = walk.iter().enumerate().map(|(index, joint)| (*joint, index)).collect();
    let walls: BTreeSet<JointId> = walk.iter().copied().collect();
    let mut farthest: Vec<usize> = (0..walk.len()).collect();
    for lump in lumps(links, &walls) {
        let touched = lump.walls.iter().map(|joint| place[joint]);
        let reach = touched.clone().max().unwrap_or(0);
        for index in touched {
            farthest[index] = farthest[index].max(reach);
        }
    }
    let mut cuts = Vec::new();
    let mut reach = 0;
    for index in 0..walk.len().saturating_sub(1) {
        if index > 0 && reach == index {
            cuts.push(walk[index]);
        }
        reach = reach.max(farthest[index]).max(index + 1);
        // The walk's own link leads one joint on, and is among the lumps.
    }
    cuts
}

/// The joints of a walk with the fewest links.
fn shortest_walk(links: &[Link], from: JointId, to: JointId) -> Vec<JointId> {
    let incident = Incidence::of(links);
    let mut came: BTreeMap<JointId, JointId> = BTreeMap::from([(from, from)]);
    let mut waiting = std::collections::VecDeque::from([from]);
    while let Some(joint) = waiting.pop_front() {
        for &index in incident.at(joint) {
            let other = links[index].across(joint);
            came.entry(other).or_insert_with(|| {
                waiting.push_back(other);
                joint
            });
        }
    }
    let mut walk = vec![to];
    let mut joint = to;
    while joint != from {
        let Some(&before) = came.get(&joint) else { return vec![from, to] };
        joint = before;
        walk.push(joint);
    }
    walk.reverse();
    walk
}
