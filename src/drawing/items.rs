//! From a signal path to the things that are drawn along it: symbols with their labels, wires, joints, lanes.
//!
//! Elements that belong together become one thing: a series group of switches is a bank, the two halves of a selector
//! one selector. What the words are is decided here; where they stand is decided in `layout`.

use std::cell::Cell;

use super::Scene;
use super::marks::{ForkMark, Item, JointMark, NetMark, PartMark, Rung, WireMark};
use super::symbols::{Actuator, Form, Symbol};
use super::text::{Face, wrapped};
use crate::circuit::path::{Branch, NetLink, SignalPath, is_closed};
use crate::machine::model::{
    ContactForm, Current, Element, ElementId, Gate, JointId, Law, Machine, PartId, PartKind, Supply, TestPointId, Wire,
};
use crate::spec::units::Ohms;

/// Everything along the path between its terminals.
pub(super) fn path_items(scene: &Scene, path: &SignalPath) -> Vec<Item> {
    let reader = Reader { scene, path };
    let mut items = reader.joint(path.from, true);
    items.extend(reader.branch(&path.tree, path.from));
    items.extend(
        reader
            .joint(path.to, true)
            .into_iter()
            .filter(|item| matches!(item, Item::Joint(mark) if mark.point.is_some())),
    );
    items
}

/// The supply as the first thing of a path.
pub(super) fn supply_mark(scene: &Scene, path: &SignalPath) -> Option<PartMark> {
    let part = scene.machine.part(path.supply);
    let PartKind::Supply(supply) = &part.kind else { return None };
    let symbol = if supply.rectifier.is_some() {
        Symbol::Rectified
    } else if supply.current == Current::Alternating {
        Symbol::Alternating
    } else {
        Symbol::Direct { positive_left: supply.terminals[0].1 == path.to }
    };
    Some(PartMark {
        symbol,
        name: part.id.clone(),
        notes: supply_notes(scene, supply),
        alarm: None,
        above: None,
        ends: (path.to, path.from),
        x: 0.0,
        labelled_right: false,
        half: Cell::default(),
    })
}

/// What a supply gives, in short.
fn supply_notes(scene: &Scene, supply: &Supply) -> Vec<String> {
    let volts = scene.quantity(supply.rated.nominal);
    let kind = if supply.current == Current::Alternating { "current.alternating" } else { "current.direct" };
    let rectified = supply.rectifier.is_some().then(|| scene.words.get("drawing.rectified"));
    std::iter::once(format!("{volts} {}", scene.words.get(kind))).chain(rectified).collect()
}

struct Reader<'s> {
    scene: &'s Scene<'s>,
    path: &'s SignalPath,
}

impl Reader<'_> {
    fn machine(&self) -> &Machine {
        self.scene.machine
    }

    fn branch(&self, branch: &Branch, from: JointId) -> Vec<Item> {
        match branch {
            Branch::Series(parts) => self.series(parts, from),
            Branch::Net { from, to, links } => vec![self.net(*from, *to, links)],
            Branch::Parallel(lanes) => {
                let to = self.end(branch, from);
                let mut lanes: Vec<Vec<Item>> = lanes.iter().map(|lane| self.branch(lane, from)).collect();
                lanes.iter_mut().skip(1).for_each(|lane| label_lone_part(lane));
                vec![Item::Fork(ForkMark { lanes, ends: (from, to), left: 0.0, right: 0.0 })]
            }
            Branch::Element { element, .. } => self.elements(&[*element], from),
        }
    }

    /// Where a branch ends that starts at a joint.
    fn end(&self, branch: &Branch, from: JointId) -> JointId {
        match branch {
            Branch::Element { element, .. } => self.across(*element, from),
            Branch::Series(parts) => parts.iter().fold(from, |joint, part| self.end(part, joint)),
            Branch::Parallel(lanes) => lanes.first().map_or(from, |lane| self.end(lane, from)),
            Branch::Net { to, .. } => *to,
        }
    }

    fn across(&self, element: ElementId, from: JointId) -> JointId {
        let element = self.machine().element(element);
        if element.from == from { element.to } else { element.from }
    }

    /// A series: runs of alike elements are gathered as long as nothing is to be shown at the joint between them.
    fn series(&self, parts: &[Branch], from: JointId) -> Vec<Item> {
        let mut items = Vec::new();
        let mut joint = from;
        let mut run: Vec<ElementId> = Vec::new();
        let mut run_from = from;
        for (index, part) in parts.iter().enumerate() {
            let marks = if index == 0 { Vec::new() } else { self.joint(joint, false) };
            let continues = matches!(part, Branch::Element { element, .. }
                if marks.is_empty() && run.last().is_some_and(|last| self.belong_together(*last, *element)));
            if !continues {
                items.extend(self.elements(&std::mem::take(&mut run), run_from));
                items.extend(marks);
                run_from = joint;
            }
            match part {
                Branch::Element { element, .. } => run.push(*element),
                other => items.extend(self.branch(other, joint)),
            }
            joint = self.end(part, joint);
        }
        items.extend(self.elements(&run, run_from));
        items
    }

    /// Whether two neighbours are one thing: switches of a series group, or the two halves of a selector.
    fn belong_together(&self, first: ElementId, second: ElementId) -> bool {
        let (first, second) = (self.machine().element(first), self.machine().element(second));
        let (one, two) = (self.machine().part(first.part), self.machine().part(second.part));
        match (&first.law, &second.law) {
            (
                Law::Contact { gate: Gate::Wiper { selector: a, .. }, .. },
                Law::Contact { gate: Gate::Wiper { selector: b, .. }, .. },
            ) => a == b,
            (Law::Contact { .. }, Law::Contact { .. }) => one.group.is_some() && one.group == two.group,
            _ => false,
        }
    }

    /// The marks at a joint: its test points, else its name, and what else leaves there.
    fn joint(&self, joint: JointId, terminal: bool) -> Vec<Item> {
        let machine = self.machine();
        let mark = |point, name, tap| {
            Item::Joint(JointMark { joint, point, name, tap, x: 0.0, half: Cell::default(), column: Cell::default() })
        };
        let points = machine.test_points.iter().enumerate().filter(|(_, point)| point.joint == joint);
        let mut items: Vec<Item> = points.map(|(index, _)| mark(Some(TestPointId(index)), None, Vec::new())).collect();
        let data = machine.joint(joint);
        if items.is_empty() && data.named && !terminal {
            items.push(mark(None, Some(data.name.clone()), Vec::new()));
        }
        if let Some(tap) = self.path.taps.iter().find(|tap| tap.at == joint) {
            items.push(mark(None, None, self.tap_lines(&tap.feeds)));
        }
        items
    }

    fn tap_lines(&self, feeds: &[PartId]) -> Vec<String> {
        const SHOWN: usize = 4;
        let mut names: Vec<String> =
            feeds.iter().take(SHOWN).map(|part| self.machine().part(*part).id.clone()).collect();
        if feeds.len() > SHOWN {
            names.push(format!("+{}", feeds.len() - SHOWN));
        }
        let mut lines = vec![self.scene.words.get("drawing.also-feeds")];
        lines.extend(wrapped(&names.join(", "), Face::Regular, super::NOTE, 18.0, 2));
        lines
    }

    /// One thing from elements that belong together, read from a joint.
    fn elements(&self, run: &[ElementId], from: JointId) -> Vec<Item> {
        let [first, ..] = run else { return Vec::new() };
        let machine = self.machine();
        let element = machine.element(*first);
        let to = run.iter().fold(from, |joint, element| self.across(*element, joint));
        let ends = (from, to);
        match (&machine.part(element.part).kind, &element.law) {
            (PartKind::Wire(wire), _) => wire_mark(wire, ends).into_iter().collect(),
            (_, Law::Contact { gate: Gate::Wiper { selector, .. }, .. }) => {
                vec![Item::Part(self.selector(*selector, run, ends))]
            }
            (_, Law::Contact { gate, .. }) if run.len() > 1 => vec![Item::Part(self.bank(run, gate, ends))],
            (_, Law::Contact { gate, .. }) => vec![Item::Part(self.contact(element, gate, ends))],
            _ => vec![Item::Part(self.plain(element, ends))],
        }
    }

    fn is_closed(&self, gate: &Gate) -> bool {
        if self.scene.shelf {
            return match gate {
                Gate::Relay { when_energised, .. } => !when_energised,
                Gate::Hand { when_operated, .. } => !when_operated,
                Gate::Wiper { .. } => true,
            };
        }
        is_closed(gate, self.scene.sequence(), &self.scene.solved.energised)
    }

    fn alarm(&self, open: bool) -> Option<String> {
        (open && !self.scene.shelf).then(|| self.scene.words.get("drawing.open"))
    }

    /// How a gate stands, in words: the relay in, the switch operated, or at rest.
    fn stance(&self, gate: &Gate) -> String {
        let (moved, word) = match gate {
            Gate::Relay { relay, .. } => (self.scene.solved.energised.contains(relay), "drawing.in"),
            Gate::Hand { switch, .. } => (self.scene.sequence().setting.operated.contains(switch), "drawing.operated"),
            Gate::Wiper { .. } => (true, "drawing.in"),
        };
        self.scene.words.get(if moved && !self.scene.shelf { word } else { "drawing.at-rest" })
    }

    fn contact(&self, element: &Element, gate: &Gate, ends: (JointId, JointId)) -> PartMark {
        let closed = self.is_closed(gate);
        let symbol = Symbol::Contact {
            form: self.form(element, gate),
            closed,
            actuator: self.actuator(gate),
            hinge_right: element.from != ends.0,
        };
        PartMark {
            symbol,
            name: element.name.clone(),
            notes: vec![self.stance(gate)],
            alarm: self.alarm(!closed),
            above: None,
            ends,
            x: 0.0,
            labelled_right: false,
            half: Cell::default(),
        }
    }

    fn form(&self, element: &Element, gate: &Gate) -> Form {
        let makes = match gate {
            Gate::Relay { when_energised, .. } => *when_energised,
            Gate::Hand { when_operated, .. } => *when_operated,
            Gate::Wiper { .. } => true,
        };
        let changes_over = self.contact_set(element).is_some_and(|form| form == ContactForm::ChangeOver);
        match (changes_over, makes) {
            (true, true) => Form::ChangeOverMake,
            (true, false) => Form::ChangeOverBreak,
            (false, true) => Form::Make,
            (false, false) => Form::Break,
        }
    }

    /// The form of the contact set to which an element named `K1:9-11` belongs.
    fn contact_set(&self, element: &Element) -> Option<ContactForm> {
        let contacts = match &self.machine().part(element.part).kind {
            PartKind::Relay(relay) => &relay.contacts,
            PartKind::Switch(switch) | PartKind::Cam(switch) => &switch.contacts,
            _ => return None,
        };
        let terminals: Vec<&str> = element.name.rsplit(':').next()?.split('-').collect();
        let holds = |written: &str| {
            let own: Vec<&str> = written.split('-').collect();
            terminals.iter().all(|terminal| own.contains(terminal))
        };
        contacts.iter().find(|contact| holds(&contact.terminals)).map(|contact| contact.form)
    }

    fn actuator(&self, gate: &Gate) -> Actuator {
        match gate {
            Gate::Relay { .. } => Actuator::Relay,
            Gate::Hand { switch, .. } if matches!(self.machine().part(*switch).kind, PartKind::Cam(_)) => Actuator::Cam,
            _ => Actuator::Hand,
        }
    }

    fn bank(&self, run: &[ElementId], gate: &Gate, ends: (JointId, JointId)) -> PartMark {
        let machine = self.machine();
        let gates: Vec<&Gate> = run
            .iter()
            .filter_map(|element| match &machine.element(*element).law {
                Law::Contact { gate, .. } => Some(gate),
                _ => None,
            })
            .collect();
        let open: Vec<String> = run
            .iter()
            .zip(&gates)
            .filter(|(_, gate)| !self.is_closed(gate))
            .map(|(element, _)| machine.part(machine.element(*element).part).id.clone())
            .collect();
        let first = &machine.part(machine.element(run[0]).part).id;
        let last = &machine.part(machine.element(run[run.len() - 1]).part).id;
        let count = run.len().to_string();
        let mut notes = vec![self.scene.words.fill("drawing.in-series", &[("count", &count)])];
        if !open.is_empty() && open.len() < run.len() && !self.scene.shelf {
            notes.push(open.join(", "));
        }
        PartMark {
            symbol: Symbol::Bank {
                form: self.form(machine.element(run[0]), gate),
                closed: open.is_empty(),
                actuator: self.actuator(gate),
            },
            name: format!("{first}…{last}"),
            notes,
            alarm: self.alarm(!open.is_empty()),
            above: Some(format!("×{count}")),
            ends,
            x: 0.0,
            labelled_right: false,
            half: Cell::default(),
        }
    }

    fn selector(&self, selector: PartId, run: &[ElementId], ends: (JointId, JointId)) -> PartMark {
        let machine = self.machine();
        let part = machine.part(selector);
        let mut open = false;
        let mut segments = Vec::new();
        for element in run {
            if let Law::Contact { gate, .. } = &machine.element(*element).law {
                open |= !self.is_closed(gate);
                segments.extend(segment_name(machine, gate));
            }
        }
        PartMark {
            symbol: Symbol::Selector { two_rings: run.len() > 1, closed: !open },
            name: part.id.clone(),
            notes: vec![segments.join("–")],
            alarm: self.alarm(open),
            above: None,
            ends,
            x: 0.0,
            labelled_right: false,
            half: Cell::default(),
        }
    }

    fn plain(&self, element: &Element, ends: (JointId, JointId)) -> PartMark {
        let part = self.machine().part(element.part);
        let forward = element.from == ends.0;
        let opened = self.scene.solved.opened.iter().any(|opened| opened.fuse == element.part);
        let symbol = symbol_of(&part.kind, forward, opened);
        let mut notes = self.ratings(&part.kind, &element.law);
        let acts = self.path.acts == element.part || self.path.also.contains(&element.part);
        if let (true, Some(label)) = (acts, &part.label) {
            notes.extend(wrapped(label, Face::Regular, super::NOTE, 26.0, 2));
        }
        PartMark {
            symbol,
            name: element.name.clone(),
            notes,
            alarm: self.alarm(opened),
            above: None,
            ends,
            x: 0.0,
            labelled_right: false,
            half: Cell::default(),
        }
    }

    /// What the rating plate would say, in one or two short lines.
    fn ratings(&self, kind: &PartKind, law: &Law) -> Vec<String> {
        let scene = self.scene;
        let ohms = |ohms: Ohms| scene.quantity(ohms);
        match kind {
            PartKind::Fuse(fuse) => {
                let speed = fuse.speed.as_deref().map(|speed| format!("{speed} ")).unwrap_or_default();
                vec![format!("{speed}{}", scene.quantity(fuse.rated))]
            }
            PartKind::Relay(relay) => {
                let coil = match (&relay.reset, law) {
                    (Some(reset), Law::ResetWinding) => reset,
                    _ => &relay.coil,
                };
                coil.ohms_known.then(|| ohms(coil.resistance.nominal)).into_iter().collect()
            }
            PartKind::Solenoid(coil) | PartKind::Motor(coil) => {
                let volts = scene.quantity(coil.nominal);
                vec![if coil.ohms_known { format!("{volts}, {}", ohms(coil.resistance.nominal)) } else { volts }]
            }
            PartKind::Lamp(lamp) => {
                vec![format!("{}, {}", scene.quantity(lamp.nominal), scene.quantity(lamp.current.nominal))]
            }
            PartKind::Resistor(resistor) => vec![ohms(resistor.resistance.nominal)],
            PartKind::Capacitor(capacitor) => vec![scene.quantity(capacitor.capacitance.nominal)],
            PartKind::Inductor(inductor) => vec![scene.quantity(inductor.inductance.nominal)],
            PartKind::Diode(diode) => diode.reverse.map(|volts| scene.quantity(volts)).into_iter().collect(),
            PartKind::Speaker(speaker) => vec![ohms(speaker.impedance.nominal)],
            _ => Vec::new(),
        }
    }

    fn net(&self, from: JointId, to: JointId, links: &[NetLink]) -> Item {
        let joints = super::net::ordered_joints(from, to, links);
        let place = |joint: JointId| joints.iter().position(|other| *other == joint).unwrap_or(0);
        let rungs = links
            .iter()
            .map(|link| {
                let (a, b) = (place(link.from), place(link.to));
                let items = if a <= b {
                    self.branch(&link.branch, link.from)
                } else {
                    self.branch(&link.branch.clone().reversed(), link.to)
                };
                Rung { from: a.min(b), to: a.max(b), row: 0, items }
            })
            .collect();
        let mut rungs = super::net::with_rows(rungs, joints.len());
        self.mark_inner_joints(&joints, &mut rungs);
        Item::Net(NetMark { bars: vec![0.0; joints.len()], joints, rungs, ends: (from, to) })
    }
}

impl Reader<'_> {
    /// The marks of a net's inner joints stand at the end of the first rung that comes there.
    fn mark_inner_joints(&self, joints: &[JointId], rungs: &mut [Rung]) {
        for (place, joint) in joints.iter().enumerate().take(joints.len() - 1).skip(1) {
            let marks = self.joint(*joint, false);
            if let Some(rung) = rungs.iter_mut().filter(|rung| rung.to == place).min_by_key(|rung| rung.row) {
                rung.items.extend(marks);
            } else if let Some(rung) = rungs.iter_mut().filter(|rung| rung.from == place).min_by_key(|rung| rung.row) {
                rung.items.splice(0..0, marks);
            }
        }
    }
}

/// A suppressor or another small part alone on a side lane needs no room below it: its name stands beside it.
fn label_lone_part(lane: &mut [Item]) {
    if let [Item::Part(mark)] = lane {
        let small = matches!(mark.symbol, Symbol::Diode { .. } | Symbol::Capacitor | Symbol::Resistor | Symbol::Lamp);
        mark.labelled_right = small && mark.alarm.is_none();
    }
}

/// The name of the segment on which a gate closes.
fn segment_name(machine: &Machine, gate: &Gate) -> Option<String> {
    let Gate::Wiper { selector, ring, segment } = gate else { return None };
    let PartKind::Selector(selector) = &machine.part(*selector).kind else { return None };
    selector.rings.get(*ring)?.1.get(*segment).cloned()
}

fn wire_mark(wire: &Wire, ends: (JointId, JointId)) -> Option<Item> {
    let (base, tracer) = wire.colour.clone()?;
    Some(Item::Wire(WireMark { base, tracer, ends, x: 0.0 }))
}

fn symbol_of(kind: &PartKind, forward: bool, opened: bool) -> Symbol {
    match kind {
        PartKind::Fuse(_) => Symbol::Fuse { opened },
        PartKind::Relay(_) => Symbol::RelayCoil,
        PartKind::Solenoid(_) => Symbol::Solenoid,
        PartKind::Motor(coil) => Symbol::Motor { alternating: coil.current == Current::Alternating },
        PartKind::Lamp(_) => Symbol::Lamp,
        PartKind::Capacitor(_) => Symbol::Capacitor,
        PartKind::Inductor(_) => Symbol::Inductor,
        PartKind::Diode(diode) => Symbol::Diode { forward, zener: diode.zener.is_some() },
        PartKind::Speaker(_) => Symbol::Speaker,
        PartKind::Plug(_) => Symbol::Pin,
        PartKind::Supply(supply) if supply.rectifier.is_some() => Symbol::Rectified,
        PartKind::Supply(supply) if supply.current == Current::Alternating => Symbol::Alternating,
        PartKind::Supply(_) => Symbol::Direct { positive_left: forward },
        _ => Symbol::Resistor,
    }
}
