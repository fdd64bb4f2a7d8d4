//! Parts that lie across another: their runs are made here, a diode with its cathode to the positive side.
//!
//! The positive side of a coil follows from the wiring: from each of its two joints the way to the positive and to the
//! negative terminal of every direct supply is measured in ohms, through everything but the coil itself, with contacts
//! taken as closed. The side that is nearer to plus, and further from minus, is positive. Where both sides are alike the
//! description must say.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::builder::{Builder, DraftElement, DraftRun, DraftStep, Reached};
use super::declare::{Reference, Referring};
use super::joints::Point;
use super::walk::item::{Terminals, ways};
use crate::machine::model::{Current, ElementId, JointId, Law, PartId, PartKind};
use crate::spec::diagnostic::Diagnostic;
use crate::spec::kind::Kind;

/// Lays every part with `across` over what it names.
pub(super) fn lay_across(builder: &mut Builder<'_>, references: &[Referring]) {
    let ways = Ways::new(builder);
    for reference in references.iter().filter(|reference| matches!(reference.how, Reference::Across)) {
        match target(builder, reference) {
            Ok(element) => lay(builder, &ways, reference, element),
            Err(kind) => {
                let id = builder.parts[reference.part.0].id.clone();
                builder.mentioned.insert(id);
                builder.error(kind, reference.name.place);
            }
        }
    }
}

/// The element that is named: `K2` or `K1:5-6`.
fn target(builder: &Builder<'_>, reference: &Referring) -> Result<ElementId, Kind> {
    let text = reference.name.value.trim();
    let (id, terminals) = text.split_once(':').map_or((text, None), |(id, terminals)| (id, Some(terminals)));
    let Some(part) = builder.part_named(id) else {
        return Err(Kind::UnknownPart { name: id.into(), nearest: builder.nearest_part(id) });
    };
    if let PartKind::Supply(_) = builder.parts[part.0].kind {
        return builder.used.get(&(part, 0)).copied().ok_or_else(|| Kind::NothingAcross { across: text.into() });
    }
    let link = match terminals {
        None => builder.links[part.0].bare.ok_or_else(|| not_in_series(builder, part))?,
        Some(terminals) => match ways(builder, part, terminals)? {
            Terminals::Through(ways) if ways.len() == 1 => ways[0].0,
            _ => {
                return Err(Kind::NothingAcross { across: text.into() });
            }
        },
    };
    builder.used.get(&(part, link)).copied().ok_or_else(|| Kind::NothingAcross { across: text.into() })
}

fn not_in_series(builder: &Builder<'_>, part: PartId) -> Kind {
    let id = builder.parts[part.0].id.clone();
    let write = format!("the terminals: `{id}:5-6`");
    Kind::NotInSeries { id, what: builder.noun(part), write }
}

fn lay(builder: &mut Builder<'_>, ways: &Ways, reference: &Referring, target: ElementId) {
    let part = reference.part;
    if let Some(used) = builder.used.get(&(part, 0)) {
        let first = builder.elements[used.0].at;
        let name = builder.parts[part.0].id.clone();
        let kind = Kind::AcrossAndInRun { name, across: reference.name.value.clone() };
        builder.report(Diagnostic::error(kind, reference.name.place).with(first, "wired in here"));
        return;
    }
    let element = &builder.elements[target.0];
    let (mut from, mut to, across) = (element.from, element.to, element.part);
    if let PartKind::Diode(_) = builder.parts[part.0].kind {
        match positive_side(builder, ways, target) {
            // The anode, where the element begins, goes to the negative side.
            Some(positive) if builder.joints.same(positive, from) => std::mem::swap(&mut from, &mut to),
            Some(_) => {}
            None if builder.broken_wiring || !builder.doubtful.is_empty() => {}
            None => builder.error(Kind::NoPolarity { across: reference.name.value.clone() }, reference.name.place),
        }
    }
    if let PartKind::Diode(diode) = &mut builder.parts[part.0].kind {
        diode.across = Some(across);
    }
    add_run(builder, reference, from, to);
}

fn add_run(builder: &mut Builder<'_>, reference: &Referring, from: Point, to: Point) {
    let (part, at) = (reference.part, reference.name.place);
    let link = builder.links[part.0].links[0].clone();
    for (terminal, point) in [(link.from, from), (link.to, to)] {
        builder.terminals.insert((part, terminal), Reached { point, at });
    }
    let element = builder.add_element(DraftElement { part, name: link.name, from, to, law: link.law, at });
    builder.used.insert((part, 0), element);
    let steps = vec![DraftStep::Point(from), DraftStep::Element { element, forward: true }, DraftStep::Point(to)];
    builder.runs.push(DraftRun { label: None, steps, at });
}

/// The side of an element that is positive when current flows, where the wiring tells.
fn positive_side(builder: &Builder<'_>, ways: &Ways, target: ElementId) -> Option<Point> {
    let element = &builder.elements[target.0];
    let [near, far] = [element.from, element.to].map(|point| ways.from(builder.joints.root(point), target));
    let root = |point: Point| builder.joints.root(point);
    let mut verdict = Ordering::Equal;
    let mut shortest = f64::INFINITY;
    for (plus, minus) in direct_supplies(builder) {
        let forward = near[root(plus)] + far[root(minus)];
        let backward = near[root(minus)] + far[root(plus)];
        let closer = forward.total_cmp(&backward);
        if forward.min(backward) < shortest && closer != Ordering::Equal {
            shortest = forward.min(backward);
            verdict = closer;
        }
    }
    match verdict {
        Ordering::Less => Some(element.from),
        Ordering::Greater => Some(element.to),
        Ordering::Equal => None,
    }
}

/// Positive and negative terminal of every supply that gives direct current.
fn direct_supplies(builder: &Builder<'_>) -> Vec<(Point, Point)> {
    builder
        .parts
        .iter()
        .filter_map(|part| match &part.kind {
            PartKind::Supply(supply) if supply.current == Current::Direct || supply.rectifier.is_some() => {
                let [(_, JointId(plus)), (_, JointId(minus))] = supply.terminals;
                (!part.elements.is_empty()).then_some((plus, minus))
            }
            _ => None,
        })
        .collect()
}

/// The wiring as ways from joint to joint, by the root point of each joint.
struct Ways {
    /// Where one can go from a joint: the next one, through which element, how far.
    neighbours: Vec<Vec<(Point, ElementId, f64)>>,
}

impl Ways {
    fn new(builder: &Builder<'_>) -> Self {
        let mut neighbours = vec![Vec::new(); builder.joints.len()];
        for (index, element) in builder.elements.iter().enumerate() {
            let Some(ohms) = length(builder, element.part, &element.law) else { continue };
            let (one, other) = (builder.joints.root(element.from), builder.joints.root(element.to));
            neighbours[one].push((other, ElementId(index), ohms));
            neighbours[other].push((one, ElementId(index), ohms));
        }
        Self { neighbours }
    }

    /// Ohms from a joint to every other without passing through an element: Dijkstra's shortest paths.
    fn from(&self, start: Point, barred: ElementId) -> Vec<f64> {
        let mut ways = vec![f64::INFINITY; self.neighbours.len()];
        ways[start] = 0.0;
        let mut open = BinaryHeap::from([Candidate(0.0, start)]);
        while let Some(Candidate(way, point)) = open.pop() {
            if way > ways[point] {
                continue;
            }
            for (next, _, ohms) in self.neighbours[point].iter().filter(|(_, element, _)| *element != barred) {
                if way + ohms < ways[*next] {
                    ways[*next] = way + ohms;
                    open.push(Candidate(way + ohms, *next));
                }
            }
        }
        ways
    }
}

/// How far it is through an element, in ohms; none where no direct current passes.
fn length(builder: &Builder<'_>, part: PartId, law: &Law) -> Option<f64> {
    Some(match law {
        Law::Resistance(ohms) => ohms.nominal.value().max(0.001),
        Law::Contact { closed, .. } => closed.nominal.value().max(0.001),
        Law::Winding | Law::ResetWinding => match &builder.parts[part.0].kind {
            PartKind::Relay(relay) => relay.coil.resistance.nominal.value(),
            PartKind::Solenoid(coil) | PartKind::Motor(coil) => coil.resistance.nominal.value(),
            _ => 1.0,
        },
        Law::Filament | Law::VoiceCoil => 10.0,
        Law::Inductance => 1.0,
        // A Zener diode in series holds back some volts either way: a long way round, but a way.
        Law::Junction => 1000.0,
        Law::Source | Law::Capacitance => return None,
    })
}

/// A joint on the way, nearest first.
#[derive(PartialEq)]
struct Candidate(f64, Point);

impl Eq for Candidate {}

impl PartialOrd for Candidate {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Candidate {
    fn cmp(&self, other: &Self) -> Ordering {
        other.0.total_cmp(&self.0).then(other.1.cmp(&self.1))
    }
}
