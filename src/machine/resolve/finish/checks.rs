//! Checks of the wiring as a whole: everything is in a run, every joint is reached, nothing is tied by mistake.

use super::{Builder, Document, Kind, Naming, PartId, PartKind, place_of};
use crate::machine::resolve::builder::Name;
use crate::spec::format::{Id, Placement};

/// Leaves a message for each part in no run, each joint that nothing reaches, each end that leads nowhere.
pub(super) fn check_wiring(builder: &mut Builder<'_>, document: &Document) {
    if document.supply.is_empty() {
        builder.error(Kind::NoSupply, document.machine.written);
    }
    if document.sequence.is_empty() {
        builder.error(Kind::NoSequence, document.machine.written);
    }
    if document.base.is_none()
        && let Some(remove) = document.remove.first()
    {
        builder.error(Kind::RemoveWithoutBase, remove.place);
    }
    for part in 0..builder.parts.len() {
        check_part(builder, PartId(part));
    }
    check_joints(builder);
    check_bridged(builder);
}

/// Leaves a message for each figure of the name plate that nobody could mean.
pub(super) fn check_identity(builder: &mut Builder<'_>, document: &Document) {
    let section = &document.machine;
    if let Some(year) = section.year.as_ref().filter(|year| !(1700..=2100).contains(&year.value)) {
        builder.error(Kind::YearOutOfRange { found: year.value }, year.place);
    }
    if let Some(revision) = section.revision.as_ref().filter(|revision| revision.value < 1) {
        builder.error(Kind::RevisionBelowOne { found: revision.value }, revision.place);
    }
    if let Some(weight) = section.weight.as_ref().filter(|weight| !names_its_unit(&weight.value)) {
        builder.error(Kind::WeightUnit { found: weight.value.clone() }, weight.place);
    }
    let present = super::revision_of(section);
    for earlier in &document.revision {
        // Only warnings: a description that builds on another may carry the other's list.
        if earlier.number > present {
            builder.warning(Kind::RevisionNotEarlier { number: earlier.number, present }, earlier.written);
        }
        // Dates of ISO 8601 sort as texts.
        if let Some(revised) = section.revised.as_ref().filter(|revised| earlier.date.0 > revised.0) {
            let (date, present) = (earlier.date.0.clone(), revised.0.clone());
            builder.warning(Kind::RevisionLater { date, present }, earlier.written);
        }
    }
}

/// Whether a weight is a number with kilograms or pounds behind it.
fn names_its_unit(text: &str) -> bool {
    let number = text.trim().strip_suffix("kg").or_else(|| text.trim().strip_suffix("lb"));
    number.is_some_and(|number| number.trim().parse::<f64>().is_ok_and(|weight| weight > 0.0))
}

/// A relay may have spare contacts, but its coil must be wired.
fn check_part(builder: &mut Builder<'_>, part: PartId) {
    let missing = match &builder.parts[part.0].kind {
        // Its terminals have messages of their own.
        PartKind::Supply(_) => false,
        PartKind::Relay(_) => !builder.used.contains_key(&(part, 0)),
        _ => builder.parts[part.0].elements.is_empty(),
    };
    let id = builder.parts[part.0].id.clone();
    if missing && !builder.route_missing && !builder.mentioned.contains(&id) {
        let (at, what) = place_of(builder, part);
        builder.error(Kind::NotInARun { id, what }, at);
    }
}

fn check_joints(builder: &mut Builder<'_>) {
    let mut ends = vec![0_usize; builder.joints.len()];
    let mut doubtful = vec![false; builder.joints.len()];
    for point in &builder.doubtful {
        doubtful[builder.joints.root(*point)] = true;
    }
    let mut wired = vec![0_usize; builder.joints.len()];
    for element in &builder.elements {
        let source = matches!(builder.parts[element.part.0].kind, PartKind::Supply(_));
        for point in [element.from, element.to] {
            let root = builder.joints.root(point);
            ends[root] += 1;
            wired[root] += usize::from(!source);
        }
    }
    let known = builder.known.clone();
    for name in &known {
        let Some(Name::Point(point)) = builder.names.get(name).copied() else {
            continue;
        };
        let root = builder.joints.root(point);
        let excused = doubtful[root] || builder.route_missing || builder.mentioned.contains(name);
        if root != point || wired[root] > 0 || excused {
            continue;
        }
        let at = builder.joints.place(point);
        match builder.joints.naming(point) {
            Naming::TestPoint(_) if ends[root] == 0 => builder.error(Kind::TestPointNowhere { id: name.clone() }, at),
            Naming::Joint(_) => builder.error(Kind::UnreachedJoint { name: name.clone() }, at),
            _ => {}
        }
    }
    // Where a part is left out of a run, its neighbours stand alone for no fault of their own.
    if !builder.broken_wiring && builder.doubtful.is_empty() {
        check_dead_ends(builder, &ends);
    }
}

/// An end at which one element hangs alone is allowed, as an unused way out of a machine is, but rarely meant.
fn check_dead_ends(builder: &mut Builder<'_>, ends: &[usize]) {
    for index in 0..builder.elements.len() {
        let element = builder.elements[index].clone();
        if matches!(builder.parts[element.part.0].kind, PartKind::Supply(_) | PartKind::Selector(_)) {
            continue;
        }
        for point in [element.from, element.to] {
            let root = builder.joints.root(point);
            if ends[root] == 1 {
                let name = builder.joints.naming(point).name().map_or_else(|| element.name.clone(), String::from);
                builder.warning(Kind::DeadEnd { name }, element.at);
            }
        }
    }
}

fn check_bridged(builder: &mut Builder<'_>) {
    for index in 0..builder.elements.len() {
        let element = builder.elements[index].clone();
        if !builder.joints.same(element.from, element.to) {
            continue;
        }
        let joint = builder.joints.naming(element.from).name().unwrap_or("between its neighbours").to_string();
        let kind = if let PartKind::Supply(_) = builder.parts[element.part.0].kind {
            Kind::SameTerminals { supply: element.name, joint }
        } else {
            Kind::Bridged { name: element.name, joint }
        };
        builder.error(kind, element.at);
    }
}

/// Every part section with its id and placement.
pub(super) fn placements(document: &Document) -> impl Iterator<Item = (&Id, &Placement)> {
    macro_rules! all {
        ($($section:ident),*) => {
            std::iter::empty()$(.chain(document.$section.iter().map(|part| (&part.id, &part.placement))))*
        };
    }
    all!(
        supply, fuse, relay, solenoid, motor, lamp, switch, cam, selector, resistor, capacitor, inductor, diode,
        speaker, plug
    )
}
