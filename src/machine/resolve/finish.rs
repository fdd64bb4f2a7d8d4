//! Numbers the joints, gives each a name, checks that everything is wired, and puts the machine together.

use super::builder::{Builder, DraftStep};
use super::joints::{Naming, Point};
use super::steps;
use super::walk::item::{Terminals, terminal_point, ways};
use crate::machine::model::{
    Element, ElementId, Identity, Joint, JointId, Machine, Meter, PartId, PartKind, Run, RunStep, TestPoint, Wire,
};
use crate::spec::diagnostic::{Diagnostic, Place};
use crate::spec::format::{Document, MachineSection, TestPointSection};
use crate::spec::kind::Kind;
use crate::spec::units::{Celsius, Ohms};
use crate::spec::values::{Located, MeterText};

mod checks;

/// The machine, unless its reference joint is unknown, and all problems so far.
pub(super) fn finish(mut builder: Builder<'_>, document: &Document) -> (Option<Machine>, Vec<Diagnostic>) {
    for section in &document.test_point {
        stand_at_terminal(&mut builder, section);
    }
    checks::check_identity(&mut builder, document);
    checks::check_wiring(&mut builder, document);
    let numbering = Numbering::new(&builder);
    let reference = reference(&mut builder, &document.machine).map(|point| numbering.joint(&builder, point));
    let fallback = reference.unwrap_or(JointId(0));
    let frame = frame(&mut builder, &document.machine).map(|point| numbering.joint(&builder, point));
    let test_points = test_points(&mut builder, document, &numbering, fallback);
    let sequences = steps::sequences(&mut builder, document);
    let expectations = steps::expectations(&mut builder, document, &test_points, &sequences);
    let part_notes = part_notes(&builder, document);
    let notes = steps::notes(&mut builder, document, &test_points, &sequences, &part_notes);
    let fault_overrides = steps::fault_overrides(&mut builder, document);
    let mut joints = numbering.joints(&builder);
    label_joints(&builder, &numbering, &mut joints, document);
    let elements = elements(&builder, &numbering);
    let runs = runs(&builder, &numbering);
    renumber_parts(&mut builder, &numbering);
    label_wires(&mut builder, &elements, &joints);
    let machine = reference.map(|reference| Machine {
        identity: identity(&document.machine, document),
        joints,
        parts: std::mem::take(&mut builder.parts),
        elements,
        runs,
        test_points,
        sequences,
        expectations,
        notes,
        reference,
        frame,
        meter: meter(document.machine.meter.as_ref()),
        fault_overrides,
    });
    (machine, builder.problems)
}

/// Puts a test point at the terminal that it names.
fn stand_at_terminal(builder: &mut Builder<'_>, section: &TestPointSection) {
    let Some(at) = &section.at else { return };
    let Some(super::builder::Name::Point(point)) = builder.names.get(&section.id.name).copied() else {
        return;
    };
    match named_point(builder, at) {
        Ok(terminal) => {
            if let Err((first, second)) = builder.joints.tie(point, terminal) {
                builder.error(Kind::JointsTied { first, second, by: Some(at.value.clone()) }, at.place);
            }
        }
        Err(kind) => builder.error(kind, at.place),
    }
}

/// The point of `J3:6`, `K1:5`, `PS1:+`, or of a joint by its name.
fn named_point(builder: &mut Builder<'_>, at: &Located<String>) -> Result<Point, Kind> {
    let Some((id, terminal)) = at.value.split_once(':') else {
        return match builder.names.get(at.value.trim()).copied() {
            Some(super::builder::Name::Point(point)) => Ok(point),
            _ => Err(Kind::UnknownJoint { name: at.value.clone(), nearest: builder.nearest(&at.value) }),
        };
    };
    let Some(part) = builder.part_named(id) else {
        return Err(Kind::UnknownPart { name: id.into(), nearest: builder.nearest_part(id) });
    };
    if let PartKind::Plug(plug) = &builder.parts[part.0].kind {
        // The side from which the run comes: a probe at a pin stands before its contact.
        let pin = plug.pins.iter().find(|(name, _)| name == terminal);
        let known: Vec<String> = plug.pins.iter().map(|(name, _)| name.clone()).collect();
        return pin.map(|(_, element)| builder.elements[element.0].from).ok_or_else(|| Kind::UnknownTerminal {
            id: id.into(),
            terminal: terminal.into(),
            nearest: crate::spec::reader::nearest(terminal, known.iter().map(String::as_str)),
            known,
        });
    }
    match ways(builder, part, terminal)? {
        Terminals::One(terminal) => Ok(terminal_point(builder, part, &terminal, at.place)),
        Terminals::Through(_) => Err(Kind::HalfTerminal { found: at.value.clone() }),
    }
}

/// Which joint each point belongs to, joints numbered in the order in which they were first met.
struct Numbering {
    /// By root point.
    joints: Vec<Option<JointId>>,
    roots: Vec<Point>,
}

impl Numbering {
    fn new(builder: &Builder<'_>) -> Self {
        let mut joints = vec![None; builder.joints.len()];
        let mut roots = Vec::new();
        for point in 0..builder.joints.len() {
            let root = builder.joints.root(point);
            if joints[root].is_none() {
                joints[root] = Some(JointId(roots.len()));
                roots.push(root);
            }
        }
        Self { joints, roots }
    }

    fn joint(&self, builder: &Builder<'_>, point: Point) -> JointId {
        self.joints[builder.joints.root(point)].unwrap_or(JointId(0))
    }

    fn joints(&self, builder: &Builder<'_>) -> Vec<Joint> {
        let mut beside: Vec<Vec<&str>> = vec![Vec::new(); self.roots.len()];
        for element in &builder.elements {
            for point in [element.from, element.to] {
                let names = &mut beside[self.joint(builder, point).0];
                if names.len() < 2 && !names.contains(&element.name.as_str()) {
                    names.push(&element.name);
                }
            }
        }
        self.roots.iter().zip(beside).map(|(root, beside)| joint(builder, *root, &beside)).collect()
    }
}

fn joint(builder: &Builder<'_>, root: Point, beside: &[&str]) -> Joint {
    let naming = builder.joints.naming(root);
    let name = match (naming.name(), beside) {
        (Some(name), _) => name.to_string(),
        (None, [one, other]) => format!("between {one} and {other}"),
        (None, [one]) => format!("end of {one}"),
        (None, _) => "nowhere".into(),
    };
    let named = matches!(naming, Naming::Joint(_) | Naming::TestPoint(_));
    Joint { name, named, label: None, place: builder.joints.place(root) }
}

/// The joint of the black lead: the one that is named, or `COM`.
fn reference(builder: &mut Builder<'_>, section: &MachineSection) -> Option<Point> {
    let Some(stated) = &section.reference else {
        let com = builder.names.get("COM").copied();
        if let Some(super::builder::Name::Point(point)) = com {
            return Some(point);
        }
        // A spec without `[machine]` has a message already.
        if section.written != Place::default() {
            builder.error(Kind::NoReference, section.written);
        }
        return None;
    };
    match named_point(builder, stated) {
        Ok(point) => Some(point),
        Err(kind) => {
            builder.error(kind, stated.place);
            None
        }
    }
}

/// The joint to which the metal of the cabinet is bonded, where one is named.
fn frame(builder: &mut Builder<'_>, section: &MachineSection) -> Option<Point> {
    let stated = section.frame.as_ref()?;
    named_point(builder, stated).map_err(|kind| builder.error(kind, stated.place)).ok()
}

fn test_points(
    builder: &mut Builder<'_>,
    document: &Document,
    numbering: &Numbering,
    reference: JointId,
) -> Vec<TestPoint> {
    let mut points = Vec::new();
    for section in &document.test_point {
        let Some(super::builder::Name::Point(point)) = builder.names.get(&section.id.name).copied() else {
            continue;
        };
        let own = section.reference.as_ref().and_then(|stated| match named_point(builder, stated) {
            Ok(point) => Some(numbering.joint(builder, point)),
            Err(kind) => {
                builder.error(kind, stated.place);
                None
            }
        });
        points.push(TestPoint {
            id: section.id.name.clone(),
            joint: numbering.joint(builder, point),
            reference: own.unwrap_or(reference),
            location: section.place.clone(),
            probe: section.probe.clone(),
            minutes: section.minutes.map(|minutes| minutes.0),
            door: section.door.clone(),
            place: section.id.place,
        });
    }
    points
}

fn elements(builder: &Builder<'_>, numbering: &Numbering) -> Vec<Element> {
    let element = |draft: &super::builder::DraftElement| Element {
        part: draft.part,
        name: draft.name.clone(),
        from: numbering.joint(builder, draft.from),
        to: numbering.joint(builder, draft.to),
        law: draft.law.clone(),
    };
    builder.elements.iter().map(element).collect()
}

fn runs(builder: &Builder<'_>, numbering: &Numbering) -> Vec<Run> {
    let step = |step: &DraftStep| match *step {
        DraftStep::Point(point) => RunStep::Joint(numbering.joint(builder, point)),
        DraftStep::Element { element, forward } => RunStep::Element { element, forward },
    };
    let run = |draft: &super::builder::DraftRun| Run {
        label: draft.label.clone(),
        steps: draft.steps.iter().map(step).collect(),
        place: draft.at,
    };
    builder.runs.iter().map(run).collect()
}

/// Points become joints in the data of the parts.
fn renumber_parts(builder: &mut Builder<'_>, numbering: &Numbering) {
    for index in 0..builder.parts.len() {
        let mut kind = builder.parts[index].kind.clone();
        match &mut kind {
            PartKind::Supply(supply) => {
                for (_, joint) in &mut supply.terminals {
                    *joint = numbering.joint(builder, joint.0);
                }
            }
            PartKind::Selector(selector) => selector.wiper = numbering.joint(builder, selector.wiper.0),
            _ => continue,
        }
        builder.parts[index].kind = kind;
    }
}

/// What the description says of a joint, or of a test point there.
fn label_joints(builder: &Builder<'_>, numbering: &Numbering, joints: &mut [Joint], document: &Document) {
    let declared = document.joint.iter().map(|section| (&section.id.name, &section.label));
    let test_points = document.test_point.iter().map(|section| (&section.id.name, &section.label));
    for (name, label) in declared.chain(test_points) {
        let Some(super::builder::Name::Point(point)) = builder.names.get(name) else { continue };
        let known = &mut joints[numbering.joint(builder, *point).0].label;
        if known.is_none() {
            known.clone_from(label);
        }
    }
}

/// What a wire is called on paper: its colour and what it joins.
fn label_wires(builder: &mut Builder<'_>, elements: &[Element], joints: &[Joint]) {
    let mut beside: Vec<Vec<ElementId>> = vec![Vec::new(); joints.len()];
    for (index, element) in elements.iter().enumerate() {
        beside[element.from.0].push(ElementId(index));
        beside[element.to.0].push(ElementId(index));
    }
    // A joint that nobody named is known by the part on its other side.
    let end = |joint: JointId, wire: ElementId| {
        let other = beside[joint.0].iter().find(|other| **other != wire);
        match other {
            Some(ElementId(other)) if !joints[joint.0].named => elements[*other].name.clone(),
            _ => joints[joint.0].name.clone(),
        }
    };
    for part in &mut builder.parts {
        let (PartKind::Wire(wire), Some(id)) = (&part.kind, part.elements.first()) else { continue };
        let element = &elements[id.0];
        let ends = format!("{} to {}", end(element.from, *id), end(element.to, *id));
        part.label = Some(match colour_text(wire) {
            Some(colour) => format!("{colour}, {ends}"),
            None => ends,
        });
    }
}

fn colour_text(wire: &Wire) -> Option<String> {
    let (base, tracer) = wire.colour.as_ref()?;
    Some(tracer.as_ref().map_or_else(|| base.clone(), |tracer| format!("{base}/{tracer}")))
}

fn part_notes(builder: &Builder<'_>, document: &Document) -> Vec<(PartId, String)> {
    checks::placements(document)
        .filter_map(|(id, placement)| Some((builder.part_named(&id.name)?, placement.note.clone()?)))
        .collect()
}

fn meter(text: Option<&MeterText>) -> Meter {
    match text {
        None => Meter::Digital(Ohms::new(1e7)),
        Some(MeterText::Digital(ohms)) => Meter::Digital(*ohms),
        Some(MeterText::Analogue { ohms_per_volt, ohms_per_volt_ac, ranges }) => {
            let mut ranges = ranges.clone();
            ranges.sort_by(|one, other| one.value().total_cmp(&other.value()));
            let ohms_per_volt_ac = ohms_per_volt_ac.unwrap_or(*ohms_per_volt);
            Meter::Analogue { ohms_per_volt: *ohms_per_volt, ohms_per_volt_ac, ranges }
        }
    }
}

fn revision_of(section: &MachineSection) -> i64 {
    section.revision.as_ref().map_or(1, |revision| revision.value)
}

fn identity(section: &MachineSection, document: &Document) -> Identity {
    let mut revisions: Vec<(i64, String, String)> = document
        .revision
        .iter()
        .map(|earlier| (earlier.number, earlier.date.0.clone(), earlier.change.clone()))
        .collect();
    revisions.sort_by_key(|(number, _, _)| std::cmp::Reverse(*number));
    let colours = section.wire_colours.iter().flat_map(|colours| &colours.0);
    Identity {
        id: section.id.name.clone(),
        name: section.name.clone(),
        kind: section.kind.clone().unwrap_or_else(|| "coin-operated machine".into()),
        maker: section.maker.clone(),
        year: section.year.as_ref().map(|year| year.value),
        serial: section.serial.clone(),
        revision: revision_of(section),
        revised: section.revised.as_ref().map_or_else(String::new, |date| date.0.clone()),
        author: section.author.clone(),
        mains: section.mains.clone(),
        weight: section.weight.as_ref().map(|weight| weight.value.clone()),
        sources: section.sources.clone(),
        revisions,
        wire_colours: colours.map(|(code, meaning)| (code.value.clone(), meaning.clone())).collect(),
        ambient: section.ambient.as_ref().map_or(Celsius::new(20.0), |ambient| ambient.nominal),
    }
}

/// A place for a message about a part.
fn place_of(builder: &Builder<'_>, part: PartId) -> (Place, &'static str) {
    let part = &builder.parts[part.0];
    (part.place, part.kind.name())
}
