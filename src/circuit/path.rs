//! Signal paths: which part of the circuit feeds the devices that must act in a sequence.
//!
//! In come a machine and its solution, out comes for each acting device a [`SignalPath`]: the main path from the supply
//! through the device and back, in the order a finger follows it; what lies beside it (contacts in parallel, shunt
//! lamps, suppressors); where other loads leave it; and the whole as a series-parallel tree. Devices that share a trunk
//! share a path. Where the circuit does not work, the path that was meant is given, with what interrupts it.
//!
//! The main path is the cheapest pair of joint-disjoint walks from the supply's terminals to the device's: closed
//! elements cost next to nothing, other loads more, an open contact so much that it is crossed only when there is no
//! other way.

mod graph;
mod state;
mod tree;

use std::collections::{BTreeMap, BTreeSet};

use self::graph::{Link, Lump, disjoint_walks, lumps, on_simple_walks, without_dead_ends};
pub use self::state::is_closed;
use self::state::{Conduction, conduction_of, is_load, supplies_of};
pub use self::tree::{Branch, NetLink};
use crate::circuit::results::{SequenceSolution, Solution};
use crate::machine::model::{ElementId, Gate, JointId, Law, Machine, PartId, PartKind, RunStep, SequenceId};

/// What carries the current of the acting devices.
#[derive(Debug, Clone, PartialEq)]
pub struct SignalPath {
    /// The device through which the main path goes.
    pub acts: PartId,
    /// Its element: the coil that pulls, the filament, ...
    pub device: ElementId,
    /// Further acting devices that hang on the same trunk.
    pub also: Vec<PartId>,
    /// The supply that feeds it.
    pub supply: PartId,
    /// The supply terminal away from the reference, where the path starts.
    pub from: JointId,
    /// The other terminal, where it returns.
    pub to: JointId,
    /// Everything on the path, as a series-parallel tree from `from` to `to`.
    pub tree: Branch,
    /// The main path from `from` to `to`: joint, element, joint, ..., joint.
    pub spine: Vec<RunStep>,
    /// What lies beside the main path: elements of the tree that are not on the spine.
    pub side: Vec<ElementId>,
    /// Other loads that leave the path and are not drawn.
    pub taps: Vec<Tap>,
    /// Elements on the main path that do not conduct: why the device does not act. Empty when it is fed.
    pub open: Vec<ElementId>,
    /// Whether it is not series-parallel.
    pub net: bool,
}

/// A joint of the path from which other loads are fed too.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tap {
    /// The joint.
    pub at: JointId,
    /// The loads: coils, motors, lamps and speakers that conduct in this sequence.
    pub feeds: Vec<PartId>,
}

/// Most devices on one path: more make a drawing that the eye cannot follow.
const MOST_DEVICES: usize = 4;
/// Most parts, wires and pins aside, of a shunt that is worth drawing.
const LARGEST_SHUNT: usize = 3;

/// The signal paths of a sequence: one for each acting device, those with a common trunk joined.
///
/// A device that no supply can reach has no path.
#[must_use]
pub fn signal_paths(machine: &Machine, solution: &Solution, sequence: SequenceId) -> Vec<SignalPath> {
    let Some(solved) = solution.sequences.get(sequence.0) else { return Vec::new() };
    let wiring = Wiring::new(machine, solved, sequence);
    let mut groups: Vec<Group> = Vec::new();
    for &part in &machine.sequences[sequence.0].acts {
        let Some(thread) = wiring.thread(part) else { continue };
        let home = groups.iter_mut().find(|group| wiring.may_join(group, &thread));
        match home {
            Some(group) => group.threads.push(thread),
            None => groups.push(Group { threads: vec![thread] }),
        }
    }
    groups.into_iter().map(|group| wiring.signal_path(&group.with_best_first(machine))).collect()
}

/// Every part that must be there at all for a sequence to work: those of its paths, in finger order, supplies first.
/// Wires are left out; a plug stands once.
#[must_use]
pub fn needed_parts(machine: &Machine, solution: &Solution, sequence: SequenceId) -> Vec<PartId> {
    let mut seen = BTreeSet::new();
    let mut needed = Vec::new();
    let mut need = |part: PartId| {
        if !matches!(machine.part(part).kind, PartKind::Wire(_)) && seen.insert(part) {
            needed.push(part);
        }
    };
    for path in signal_paths(machine, solution, sequence) {
        need(path.supply);
        spine_elements(&path.spine).for_each(|element| need(machine.element(element).part));
        path.side.iter().for_each(|element| need(machine.element(*element).part));
    }
    needed
}

/// The elements of a main path, in its order.
pub fn spine_elements(spine: &[RunStep]) -> impl Iterator<Item = ElementId> + '_ {
    spine.iter().filter_map(|step| match step {
        RunStep::Element { element, .. } => Some(*element),
        RunStep::Joint(_) => None,
    })
}

/// One device with its main path and what carries current beside it.
struct Thread {
    device: ElementId,
    part: PartId,
    supply: PartId,
    from: JointId,
    to: JointId,
    spine: Vec<RunStep>,
    carries: BTreeSet<ElementId>,
}

/// Devices that share a trunk; the first gives the main path.
struct Group {
    threads: Vec<Thread>,
}

impl Group {
    /// Puts the device first whose main path has the most test points: the one along which most can be read.
    fn with_best_first(mut self, machine: &Machine) -> Self {
        let points = |thread: &Thread| {
            let joints: BTreeSet<JointId> = spine_joints(&thread.spine).collect();
            machine.test_points.iter().filter(|point| joints.contains(&point.joint)).count()
        };
        self.threads.sort_by_key(|thread| std::cmp::Reverse(points(thread)));
        self
    }
}

/// A machine in the state of one sequence.
struct Wiring<'m> {
    machine: &'m Machine,
    solved: &'m SequenceSolution,
    conduction: Vec<Conduction>,
    links: Vec<Link>,
    /// Supplies with their terminals, the one away from the reference first.
    supplies: Vec<(PartId, JointId, JointId)>,
}

impl<'m> Wiring<'m> {
    fn new(machine: &'m Machine, solved: &'m SequenceSolution, sequence: SequenceId) -> Self {
        let opened: BTreeSet<PartId> = solved.opened.iter().map(|opened| opened.fuse).collect();
        let sequence = &machine.sequences[sequence.0];
        let conduction = (0..machine.elements.len())
            .map(|index| conduction_of(machine, solved, sequence, &opened, ElementId(index)))
            .collect();
        let links: Vec<Link> = machine
            .elements
            .iter()
            .enumerate()
            .map(|(index, element)| Link { element: ElementId(index), a: element.from, b: element.to })
            .collect();
        let supplies = supplies_of(machine, &links);
        Self { machine, solved, conduction, links, supplies }
    }

    fn of(&self, element: ElementId) -> Conduction {
        self.conduction[element.0]
    }

    fn current(&self, element: ElementId) -> f64 {
        self.solved.currents.get(element.0).copied().unwrap_or(0.0).abs()
    }

    /// The element by which a part acts: of two coils the one that carries more.
    fn device_element(&self, part: PartId) -> Option<ElementId> {
        let elements = &self.machine.part(part).elements;
        let acting = elements.iter().copied().filter(|element| is_load(&self.machine.element(*element).law));
        let strongest = acting.reduce(|best, next| if self.current(next) > self.current(best) { next } else { best });
        strongest.or_else(|| elements.first().copied())
    }

    /// The main path of a device from the supply that reaches it at least cost: over closed contacts if there is such a
    /// way, else over open ones; only when no supply reaches it alone through another, as with stacked windings.
    fn thread(&self, part: PartId) -> Option<Thread> {
        let device = self.device_element(part)?;
        // A device that carries current is fed over closed contacts, if need be by stacked supplies.
        let fed = [(false, false), (false, true), (true, false), (true, true)];
        let unfed = [(false, false), (true, false), (true, true), (true, true)];
        let tried = if self.current(device) > 1e-9 { fed } else { unfed };
        tried.into_iter().find_map(|(over_open, stacked)| {
            let links = self.usable(device, over_open, stacked);
            let candidates = self.supplies.iter().filter_map(|supply| self.walk_through(device, *supply, &links));
            let best = candidates.reduce(|best, next| if next.0 < best.0 { next } else { best })?;
            let (_, supply, spine) = best;
            Some(self.thread_along(part, device, supply, spine))
        })
    }

    /// The links through which a path to a device may lead, without those that lead nowhere.
    fn usable(&self, device: ElementId, over_open: bool, stacked: bool) -> Vec<Link> {
        let usable = |link: &&Link| {
            let stands = match self.of(link.element) {
                Conduction::Source => stacked,
                Conduction::Open => over_open,
                _ => true,
            };
            stands && link.element != device && link.a != link.b
        };
        let links: Vec<Link> = self.links.iter().filter(usable).copied().collect();
        let coil = self.links[device.0];
        let mut keep: BTreeSet<JointId> = self.supplies.iter().flat_map(|(_, from, to)| [*from, *to]).collect();
        keep.extend([coil.a, coil.b]);
        without_dead_ends(&links, &keep)
    }

    fn walk_through(
        &self,
        device: ElementId,
        supply: (PartId, JointId, JointId),
        links: &[Link],
    ) -> Option<(u64, PartId, Vec<RunStep>)> {
        let (id, from, to) = supply;
        let own = |link: &&Link| self.machine.element(link.element).part != id;
        let links: Vec<(Link, u64)> =
            links.iter().filter(own).map(|link| (*link, self.cost(link.element, device))).collect();
        let coil = self.machine.element(device);
        let [out, back] = disjoint_walks(&links, [from, to], [coil.from, coil.to])?;
        let cost = out.iter().chain(&back).map(|link| self.cost(link.element, device)).sum();
        let mut spine = vec![RunStep::Joint(from)];
        let mut joint = from;
        let whole = out.into_iter().chain([self.links[device.0]]).chain(back.into_iter().rev());
        for link in whole {
            let forward = self.machine.element(link.element).from == joint;
            spine.push(RunStep::Element { element: link.element, forward });
            joint = link.across(joint);
            spine.push(RunStep::Joint(joint));
        }
        Some((cost, id, spine))
    }
}

impl Wiring<'_> {
    /// What it costs to lead the path of a device through an element. The device's own holding contact is a poor way:
    /// it can only carry once the device has been fed by another.
    fn cost(&self, element: ElementId, device: ElementId) -> u64 {
        let holds = match &self.machine.element(element).law {
            Law::Contact { gate: Gate::Relay { relay, when_energised: true }, .. } => {
                *relay == self.machine.element(device).part
            }
            _ => false,
        };
        if holds && self.of(element) == Conduction::Closed {
            return 400;
        }
        match self.of(element) {
            Conduction::Closed => match self.machine.part(self.machine.element(element).part).kind {
                PartKind::Wire(_) | PartKind::Plug(_) => 1,
                // A push button only starts what a relay's own contact then holds.
                PartKind::Switch(_) => 14,
                PartKind::Resistor(_) => 40,
                _ => 10,
            },
            Conduction::Load => 1_000,
            Conduction::Quiet => 20_000,
            Conduction::Source => 3_000,
            Conduction::Open => 1_000_000,
        }
    }

    fn thread_along(&self, part: PartId, device: ElementId, supply: PartId, spine: Vec<RunStep>) -> Thread {
        let joints: Vec<JointId> = spine_joints(&spine).collect();
        let at = spine_elements(&spine).position(|element| element == device).unwrap_or(0);
        let (before, after) = joints.split_at(at + 1);
        let mut carries: BTreeSet<ElementId> = spine_elements(&spine).collect();
        carries.extend(self.beside(before, after, &carries));
        carries.extend(self.beside(after, before, &carries));
        let (from, to) = (joints[0], joints[joints.len() - 1]);
        Thread { device, part, supply, from, to, spine, carries }
    }

    /// Elements that carry part of the current on one side of the device: they lie on a simple walk along that side
    /// which avoids the other side, at potentials between those of its ends (no passive network that is fed at two
    /// joints only leaves their span).
    fn beside(&self, side: &[JointId], other: &[JointId], spine: &BTreeSet<ElementId>) -> Vec<ElementId> {
        let (Some(&first), Some(&last)) = (side.first(), side.last()) else { return Vec::new() };
        let avoided: BTreeSet<JointId> = other.iter().copied().collect();
        let usable: Vec<Link> = self
            .links
            .iter()
            .copied()
            .filter(|link| {
                let on_way = spine.contains(&link.element);
                let carries = matches!(self.of(link.element), Conduction::Closed | Conduction::Load);
                let within = |joint| self.lies_between(joint, first, last);
                let clear = !avoided.contains(&link.a) && !avoided.contains(&link.b);
                clear && (on_way || carries && within(link.a) && within(link.b))
            })
            .collect();
        on_simple_walks(&usable, first, last).into_iter().map(|link| link.element).collect()
    }

    /// Whether a joint's potential lies in the span of two others; under AC the phasor must be no farther from either
    /// than they are from each other. Floating joints have no potential to judge by.
    fn lies_between(&self, joint: JointId, first: JointId, last: JointId) -> bool {
        let Some([joint, first, last]) = self.potentials([joint, first, last]) else { return true };
        let distance = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt();
        let span = distance(first, last) * 1.01 + 1e-6;
        distance(joint, first) <= span && distance(joint, last) <= span
    }

    fn potentials<const N: usize>(&self, joints: [JointId; N]) -> Option<[[f64; 3]; N]> {
        let mut all = [[0.0; 3]; N];
        for (slot, joint) in all.iter_mut().zip(joints) {
            let voltage = self.solved.joints.get(joint.0).filter(|voltage| !voltage.floating)?;
            *slot = [voltage.direct, voltage.real, voltage.imaginary];
        }
        Some(all)
    }

    /// Whether a device belongs on the drawing of a group: same supply, a common piece of trunk, and the union stays
    /// series-parallel.
    fn may_join(&self, group: &Group, thread: &Thread) -> bool {
        let first = &group.threads[0];
        let alike = group.threads.len() < MOST_DEVICES
            && (first.supply, first.from, first.to) == (thread.supply, thread.from, thread.to);
        let shares = group.threads.iter().any(|member| !member.carries.is_disjoint(&thread.carries));
        if !alike || !shares {
            return false;
        }
        let union: BTreeSet<ElementId> =
            group.threads.iter().chain([thread]).flat_map(|member| member.carries.iter().copied()).collect();
        !self.tree(&union, first).holds_net()
    }

    fn tree(&self, elements: &BTreeSet<ElementId>, thread: &Thread) -> Branch {
        let links: Vec<Link> = elements.iter().map(|element| self.links[element.0]).collect();
        let links = on_simple_walks(&links, thread.from, thread.to);
        let main: BTreeSet<ElementId> = spine_elements(&thread.spine).collect();
        let forward = |link: Link, joint: JointId| self.machine.element(link.element).from == joint;
        tree::decompose(&links, thread.from, thread.to, &forward, &main)
    }

    fn signal_path(&self, group: &Group) -> SignalPath {
        let first = &group.threads[0];
        let mut drawn: BTreeSet<ElementId> =
            group.threads.iter().flat_map(|thread| thread.carries.iter().copied()).collect();
        self.add_suppressors(&mut drawn);
        let taps = self.add_shunts(&mut drawn, first);
        let tree = self.tree(&drawn, first);
        let spine: BTreeSet<ElementId> = spine_elements(&first.spine).collect();
        let side = tree.elements().into_iter().filter(|element| !spine.contains(element)).collect();
        let open =
            spine_elements(&first.spine).filter(|element| matches!(self.of(*element), Conduction::Open)).collect();
        SignalPath {
            acts: first.part,
            device: first.device,
            also: group.threads[1..].iter().map(|thread| thread.part).collect(),
            supply: first.supply,
            from: first.from,
            to: first.to,
            net: tree.holds_net(),
            tree,
            spine: first.spine.clone(),
            side,
            taps,
            open,
        }
    }

    /// The joints of what is drawn.
    fn walls(&self, drawn: &BTreeSet<ElementId>) -> BTreeSet<JointId> {
        drawn.iter().map(|element| self.links[element.0]).flat_map(|link| [link.a, link.b]).collect()
    }

    /// Lumps beside what is drawn, made of elements that pass the filter, without dead ends.
    fn lumps_beside(&self, drawn: &BTreeSet<ElementId>, passes: impl Fn(ElementId) -> bool) -> Vec<Lump> {
        let walls = self.walls(drawn);
        let others: Vec<Link> = self
            .links
            .iter()
            .copied()
            .filter(|link| link.a != link.b && !drawn.contains(&link.element) && passes(link.element))
            .collect();
        lumps(&without_dead_ends(&others, &walls), &walls)
    }

    /// Diodes, capacitors and their resistors that sit across a piece of the path and carry nothing worth the name.
    fn add_suppressors(&self, drawn: &mut BTreeSet<ElementId>) {
        let quiet = |element: ElementId| {
            matches!(
                self.machine.element(element).law,
                Law::Resistance(_) | Law::Junction | Law::Capacitance | Law::Inductance
            )
        };
        for lump in self.lumps_beside(drawn, quiet) {
            let suppresses = lump
                .links
                .iter()
                .any(|link| matches!(self.machine.element(link.element).law, Law::Junction | Law::Capacitance));
            if suppresses && lump.walls.len() == 2 && self.bulk(&lump) <= LARGEST_SHUNT {
                drawn.extend(lump.links.iter().map(|link| link.element));
            }
        }
    }

    /// Small shunts that carry current, such as a pilot lamp, are drawn; larger loads become taps.
    fn add_shunts(&self, drawn: &mut BTreeSet<ElementId>, thread: &Thread) -> Vec<Tap> {
        let live = |element: ElementId| matches!(self.of(element), Conduction::Closed | Conduction::Load);
        let mut taps: BTreeMap<JointId, BTreeSet<PartId>> = BTreeMap::new();
        let ends = BTreeSet::from([thread.from, thread.to]);
        for lump in self.lumps_beside(drawn, live) {
            if lump.walls.len() < 2 || lump.walls.is_subset(&ends) {
                continue;
            }
            if lump.walls.len() == 2 && self.bulk(&lump) <= LARGEST_SHUNT && self.is_indicator(&lump) {
                drawn.extend(lump.links.iter().map(|link| link.element));
                continue;
            }
            let feeds: BTreeSet<PartId> = self.loads(&lump).collect();
            for joint in lump.walls.into_iter().filter(|joint| !ends.contains(joint)) {
                taps.entry(joint).or_default().extend(&feeds);
            }
        }
        let order: Vec<JointId> = spine_joints(&thread.spine).collect();
        let mut taps: Vec<Tap> = taps
            .into_iter()
            .filter(|(_, feeds)| !feeds.is_empty())
            .map(|(at, feeds)| Tap { at, feeds: feeds.into_iter().collect() })
            .collect();
        taps.sort_by_key(|tap| order.iter().position(|joint| *joint == tap.at).unwrap_or(usize::MAX));
        taps
    }

    /// How many parts other than wires and pins a lump holds.
    fn bulk(&self, lump: &Lump) -> usize {
        let parts: BTreeSet<PartId> = lump.links.iter().map(|link| self.machine.element(link.element).part).collect();
        parts
            .into_iter()
            .filter(|part| !matches!(self.machine.part(*part).kind, PartKind::Wire(_) | PartKind::Plug(_)))
            .count()
    }

    /// Whether all loads of a lump are lamps, or it has none: a lamp shows how far the current comes.
    fn is_indicator(&self, lump: &Lump) -> bool {
        self.loads(lump).all(|part| matches!(self.machine.part(part).kind, PartKind::Lamp(_)))
    }

    fn loads<'a>(&'a self, lump: &'a Lump) -> impl Iterator<Item = PartId> + 'a {
        lump.links
            .iter()
            .map(|link| self.machine.element(link.element))
            .filter(|element| is_load(&element.law))
            .map(|element| element.part)
    }
}

/// The joints of a main path, in its order.
pub fn spine_joints(spine: &[RunStep]) -> impl Iterator<Item = JointId> + '_ {
    spine.iter().filter_map(|step| match step {
        RunStep::Joint(joint) => Some(*joint),
        RunStep::Element { .. } => None,
    })
}
