//! All faults of a machine, in the order of its parts.

use crate::circuit::Change;
use crate::fact;
use crate::machine::model::{ElementId, FaultOverride, Gate, Law, Machine, Part, PartId, PartKind, RunStep, Switch};
use crate::spec::units::Ohms;
use crate::words::Fact;

use super::kind::{Defaults, FaultKind};

/// Where a fault sits: what is looked at, and repaired, as one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Site {
    /// One element: a contact, a pin, a fuse, a winding.
    Element(ElementId),
    /// A series group of alike parts, named by its first.
    Group(PartId),
    /// The part as a whole: its mechanism, or a supply.
    Whole(PartId),
}

/// One fault of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Where it sits.
    pub site: Site,
    /// The part.
    pub part: PartId,
    /// The element, where one is at fault.
    pub element: Option<ElementId>,
    /// What is wrong.
    pub kind: FaultKind,
    /// Ohms added, for faults that come in sizes; infinite where it does not conduct at all.
    pub size: Option<f64>,
    /// How the circuit differs; empty for mechanical faults.
    pub changes: Vec<Change>,
    /// Weight of this size.
    pub weight: f64,
    /// Minutes of its usual check.
    pub minutes: f64,
}

impl Fault {
    /// How a person names it, such as `K1:5-6 dirty or out of line, +25 Ω`.
    #[must_use]
    pub fn label(&self, machine: &Machine) -> Fact {
        let name = match self.element {
            Some(element) if !self.kind.is_mechanical() => machine.element(element).name.clone(),
            _ => machine.part(self.part).id.clone(),
        };
        let kind = self.kind.said();
        match self.size {
            Some(ohms) if ohms.is_finite() => {
                fact!("faults.added", name = name, kind = kind, ohms = Ohms::new(ohms))
            }
            Some(_) => fact!("faults.no-contact", name = name, kind = kind),
            None => fact!("faults.fault", name = name, kind = kind),
        }
    }
}

impl Site {
    /// How a person names the place, such as `K1:5-6`, `S10..S17`, `K2 coil`, `L1 mechanism`.
    #[must_use]
    pub fn label(self, machine: &Machine) -> Fact {
        match self {
            Site::Element(id) => {
                let element = machine.element(id);
                let part = machine.part(element.part);
                match (&part.kind, &element.law) {
                    (PartKind::Fuse(_), _) => fact!("faults.place.fuse", name = &element.name),
                    (PartKind::Wire(wire), _) => wire_label(part, wire.colour.as_ref()),
                    (_, Law::Winding | Law::ResetWinding) if part.id == element.name => {
                        fact!("faults.place.coil", name = &part.id)
                    }
                    _ => fact!("faults.place.name", name = &element.name),
                }
            }
            Site::Group(part) => {
                let part = machine.part(part);
                fact!("faults.place.name", name = part.group.as_ref().unwrap_or(&part.id))
            }
            Site::Whole(part) => match machine.part(part).kind {
                PartKind::Supply(_) => fact!("faults.place.name", name = &machine.part(part).id),
                _ => fact!("faults.place.mechanism", name = &machine.part(part).id),
            },
        }
    }

    /// A part that stands at this place.
    #[must_use]
    pub fn part(self, machine: &Machine) -> PartId {
        match self {
            Site::Element(element) => machine.element(element).part,
            Site::Group(part) | Site::Whole(part) => part,
        }
    }
}

fn wire_label(part: &Part, colour: Option<&(String, Option<String>)>) -> Fact {
    match colour {
        Some((base, Some(tracer))) => {
            fact!("faults.place.coloured-wire", name = &part.id, colour = format!("{base}/{tracer}"))
        }
        Some((base, None)) => fact!("faults.place.coloured-wire", name = &part.id, colour = base),
        None => fact!("faults.place.wire", name = &part.id),
    }
}

/// Sizes of a contact fault with the part of its weight that each has: common practice, no source.
const CONTACT_SIZES: [(f64, f64); 4] = [(5.0, 0.2), (25.0, 0.2), (100.0, 0.2), (f64::INFINITY, 0.4)];
/// Sizes of a tired clip. A good clip has a few milliohms and a bad one a hundred times that and more.
const CLIP_SIZES: [(f64, f64); 2] = [(1.0, 0.5), (10.0, 0.5)];
/// Sizes of a bad pin.
const PIN_SIZES: [(f64, f64); 3] = [(5.0, 0.25), (50.0, 0.25), (f64::INFINITY, 0.5)];
/// Ohms between a chafed wire and the frame: bare strands on metal, common practice, no source.
const CHAFED: f64 = 0.05;
/// What a low supply still gives.
const LOW_SUPPLY: f64 = 0.75;

/// Every fault of every part and wire, with the description's overrides applied.
#[must_use]
pub fn catalogue(machine: &Machine) -> Vec<Fault> {
    let used = elements_in_runs(machine);
    let mut list = Catalogue { machine, faults: Vec::new() };
    for (index, part) in machine.parts.iter().enumerate() {
        list.add_part(PartId(index), part, &used);
    }
    list.faults
}

/// Elements that some run passes; others are spare terminals.
fn elements_in_runs(machine: &Machine) -> Vec<bool> {
    let mut used = vec![false; machine.elements.len()];
    for step in machine.runs.iter().flat_map(|run| &run.steps) {
        if let RunStep::Element { element, .. } = step {
            used[element.0] = true;
        }
    }
    used
}

struct Catalogue<'m> {
    machine: &'m Machine,
    faults: Vec<Fault>,
}

impl Catalogue<'_> {
    fn add_part(&mut self, id: PartId, part: &Part, used: &[bool]) {
        for &element in &part.elements {
            if used[element.0] || matches!(self.machine.element(element).law, Law::Source) {
                self.add_element(id, part, element);
            }
        }
        self.add_mechanism(id, part);
    }

    fn add_element(&mut self, id: PartId, part: &Part, element: ElementId) {
        let site = site_of(self.machine, id, part, element);
        let law = &self.machine.element(element).law;
        match (&part.kind, law) {
            (PartKind::Supply(_), _) => self.add_supply(id),
            (PartKind::Fuse(_), _) => {
                self.add_sizes(site, element, FaultKind::TiredClip, &CLIP_SIZES);
                self.add(site, Some(element), FaultKind::Blown, vec![Change::Open(element)]);
                self.add(site, Some(element), FaultKind::WrongFuse, Vec::new());
            }
            (PartKind::Plug(_), _) => self.add_sizes(site, element, FaultKind::BadPin, &PIN_SIZES),
            (PartKind::Wire(_), _) => self.add_wire(site, element),
            (PartKind::Lamp(_), _) => self.add(site, Some(element), FaultKind::BurntOut, vec![Change::Open(element)]),
            (_, Law::Contact { gate, .. }) => self.add_contact(site, element, gate),
            (_, Law::Winding | Law::ResetWinding | Law::Inductance | Law::VoiceCoil) => self.add_winding(site, element),
            (PartKind::Resistor(resistor), _) => {
                self.add(site, Some(element), FaultKind::Open, vec![Change::Open(element)]);
                let high = Change::Value(element, 2.0 * resistor.resistance.nominal.value());
                self.add(site, Some(element), FaultKind::HighValue, vec![high]);
                self.add(site, Some(element), FaultKind::Shorted, vec![Change::Short(element)]);
            }
            (_, Law::Junction) => self.add_junction(site, element),
            (_, Law::Capacitance) => {
                self.add(site, Some(element), FaultKind::Shorted, vec![Change::Short(element)]);
                self.add(site, Some(element), FaultKind::Missing, vec![Change::Open(element)]);
            }
            _ => self.add(site, Some(element), FaultKind::Open, vec![Change::Open(element)]),
        }
    }

    /// A wire may break, and chafe through on the frame if it is not itself part of it.
    fn add_wire(&mut self, site: Site, element: ElementId) {
        self.add(site, Some(element), FaultKind::Broken, vec![Change::Open(element)]);
        let ends = self.machine.element(element);
        if let Some(frame) = self.machine.frame.filter(|&frame| ends.from != frame && ends.to != frame) {
            self.add(site, Some(element), FaultKind::Chafed, vec![Change::Bridge(ends.from, frame, CHAFED)]);
        }
    }

    fn add_supply(&mut self, id: PartId) {
        let PartKind::Supply(supply) = &self.machine.part(id).kind else { return };
        let site = Site::Whole(id);
        self.add(site, None, FaultKind::Low, vec![Change::SupplyScaled(id, LOW_SUPPLY)]);
        self.add(site, None, FaultKind::Dead, vec![Change::SupplyScaled(id, 0.0)]);
        if let Some(rectifier) = &supply.rectifier {
            self.add(site, None, FaultKind::RectifierOpen, vec![Change::RectifierOpen(id)]);
            if rectifier.reservoir.is_some() {
                self.add(site, None, FaultKind::ReservoirOpen, vec![Change::ReservoirOpen(id)]);
            }
        }
    }

    fn add_contact(&mut self, site: Site, element: ElementId, gate: &Gate) {
        self.add_sizes(site, element, FaultKind::Dirty, &CONTACT_SIZES);
        // A wiper that touches a segment on which it does not stand is no fault of that segment.
        if !matches!(gate, Gate::Wiper { .. }) {
            self.add(site, Some(element), FaultKind::StuckClosed, vec![Change::StuckClosed(element)]);
        }
    }

    fn add_winding(&mut self, site: Site, element: ElementId) {
        self.add(site, Some(element), FaultKind::Open, vec![Change::Open(element)]);
        if let Some(ohms) = self.machine.winding_ohms(element) {
            let ohms = ohms.nominal.value();
            self.add(site, Some(element), FaultKind::ShortedTurns, vec![Change::Value(element, 0.5 * ohms)]);
        }
    }

    fn add_junction(&mut self, site: Site, element: ElementId) {
        self.add(site, Some(element), FaultKind::Shorted, vec![Change::Short(element)]);
        self.add(site, Some(element), FaultKind::Missing, vec![Change::Open(element)]);
        self.add(site, Some(element), FaultKind::Reversed, vec![Change::Reversed(element)]);
    }

    fn add_mechanism(&mut self, id: PartId, part: &Part) {
        let site = Site::Whole(id);
        match &part.kind {
            PartKind::Relay(_) => {
                self.add(site, None, FaultKind::Sticking, vec![Change::RelayStuck(id, false)]);
                self.add(site, None, FaultKind::StuckIn, vec![Change::RelayStuck(id, true)]);
            }
            PartKind::Solenoid(_) | PartKind::Motor(_) => self.add(site, None, FaultKind::Sticking, Vec::new()),
            PartKind::Cam(switch) => self.add_cam(id, switch),
            PartKind::Selector(selector) if selector.driven_by.is_some() || !selector.stepped_by.is_empty() => {
                self.add(site, None, FaultKind::Sticking, Vec::new());
            }
            _ => {}
        }
    }

    /// A mistimed cam stands as if operated where it should not be, or the other way round: two faults of half the weight.
    fn add_cam(&mut self, id: PartId, switch: &Switch) {
        if switch.contacts.is_empty() {
            return;
        }
        for operated in [true, false] {
            self.add(Site::Whole(id), None, FaultKind::Mistimed, vec![Change::SwitchStuck(id, operated)]);
            if let Some(last) = self.faults.last_mut() {
                last.weight *= 0.5;
            }
        }
    }

    fn add_sizes(&mut self, site: Site, element: ElementId, kind: FaultKind, sizes: &[(f64, f64)]) {
        for &(ohms, part) in sizes {
            let change = if ohms.is_finite() { Change::Added(element, ohms) } else { Change::Open(element) };
            self.add(site, Some(element), kind, vec![change]);
            if let Some(last) = self.faults.last_mut() {
                last.size = Some(ohms);
                last.weight *= part;
            }
        }
    }

    fn add(&mut self, site: Site, element: Option<ElementId>, kind: FaultKind, changes: Vec<Change>) {
        let part = element.map_or_else(|| site.part(self.machine), |element| self.machine.element(element).part);
        let (weight, minutes) = weight_and_minutes(self.machine, part, kind);
        self.faults.push(Fault { site, part, element, kind, size: None, changes, weight, minutes });
    }
}

/// What is looked at as one thing when this element is suspected.
fn site_of(machine: &Machine, id: PartId, part: &Part, element: ElementId) -> Site {
    let Some(group) = &part.group else { return Site::Element(element) };
    if machine.bank(element).len() < 2 {
        return Site::Element(element);
    }
    let first = machine.parts.iter().position(|other| other.group.as_ref() == Some(group)).map_or(id, PartId);
    Site::Group(first)
}

/// Defaults, then the description's overrides in the order written: a later one wins.
fn weight_and_minutes(machine: &Machine, part: PartId, kind: FaultKind) -> (f64, f64) {
    let Defaults { mut weight, mut minutes } = kind.defaults();
    let fits = |one: &&FaultOverride| {
        one.part.is_none_or(|other| other == part) && one.kind.as_deref().is_none_or(|name| name == kind.name())
    };
    for one in machine.fault_overrides.iter().filter(fits) {
        weight = one.weight.unwrap_or(weight);
        minutes = one.minutes.map_or(minutes, crate::spec::units::Minutes::value);
    }
    (weight, minutes)
}
