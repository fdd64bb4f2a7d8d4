//! The checks on offer of an exercise: those that tell suspects apart, and others among them, some of which cannot be
//! made here, so that the list itself gives nothing away.

use std::collections::BTreeSet;

use crate::faults::kinds::{Site, UsualCheck};
use crate::faults::order::{CheckKind, Order};
use crate::faults::search::{Check, Mode};
use crate::machine::model::{ElementId, Law, Machine, PartKind, SequenceId, TestPointId};

use super::chance::Chance;
use super::pool::Material;

/// Checks of each kind that are put in beside those that inform.
const OTHERS: usize = 4;
/// Minutes of a reading at a test point where the description gives none: common practice, no source.
const READING: f64 = 1.0;
/// Minutes to pull a fuse, read the amps in its place, and put it back.
const AMPS: f64 = 4.0;
/// Minutes of a drop across a contact.
const DROP: f64 = 3.0;

/// A check with the place of the order's own one, if it informs.
pub(super) struct Offered {
    pub(super) kind: CheckKind,
    pub(super) check: Check,
    pub(super) informs: Option<usize>,
}

/// All checks on offer, in the order in which a sheet lists them.
pub(super) fn checks(
    material: &Material<'_>,
    sequence: SequenceId,
    order: &Order,
    chance: &mut Chance,
) -> Vec<Offered> {
    let suspects = order.suspects.len();
    let own = order.offers.iter().enumerate().map(|(index, offer)| Offered {
        kind: offer.kind,
        check: offer.check.clone(),
        informs: Some(index),
    });
    let mut list: Vec<Offered> = own.collect();
    let known: BTreeSet<CheckKind> = list.iter().map(|offered| offered.kind).collect();
    for (kind, minutes, mode) in others(material, sequence, order, chance) {
        if !known.contains(&kind) {
            let check = Check { minutes, mode, door: None, results: vec![0; suspects], also: Vec::new() };
            list.push(Offered { kind, check, informs: None });
        }
    }
    list.sort_by_key(|offered| offered.kind);
    list
}

/// Checks that a person could think of here but that tell nothing.
fn others(
    material: &Material<'_>,
    sequence: SequenceId,
    order: &Order,
    chance: &mut Chance,
) -> Vec<(CheckKind, f64, Mode)> {
    let machine = material.machine;
    let informs: BTreeSet<CheckKind> = order.offers.iter().map(|offer| offer.kind).collect();
    let mut points: Vec<TestPointId> = (0..machine.test_points.len()).map(TestPointId).collect();
    points.retain(|&point| !informs.contains(&CheckKind::Volts(point)));
    let mut list: Vec<(CheckKind, f64, Mode)> = some_of(points, OTHERS, chance)
        .into_iter()
        .map(|point| {
            let minutes = machine.test_points[point.0].minutes.map_or(READING, crate::spec::units::Minutes::value);
            (CheckKind::Volts(point), minutes, Mode::Live)
        })
        .collect();
    let fuses = crate::faults::dictionary::fuses(machine);
    let fuses: Vec<_> =
        fuses.into_iter().map(|(part, _)| part).filter(|&part| !informs.contains(&CheckKind::Amps(part))).collect();
    list.extend(some_of(fuses, OTHERS, chance).into_iter().map(|part| (CheckKind::Amps(part), AMPS, Mode::Live)));
    let idle = idle_contacts(machine, material, sequence);
    list.extend(some_of(idle, OTHERS, chance).into_iter().map(|element| (CheckKind::Drop(element), DROP, Mode::Live)));
    let coils = coils(machine).into_iter().filter(|kind| !informs.contains(kind)).collect();
    list.extend(some_of(coils, OTHERS, chance).into_iter().map(|kind| (kind, 2.0, Mode::Dead)));
    list
}

/// Contacts and pins that carry nothing on a healthy machine in this sequence: no drop can be measured across them.
fn idle_contacts(machine: &Machine, material: &Material<'_>, sequence: SequenceId) -> Vec<ElementId> {
    let watched = &material.findings.dictionary.sequences[sequence.0].watched;
    (0..machine.elements.len())
        .map(ElementId)
        .filter(|&element| {
            let contact = matches!(machine.element(element).law, Law::Contact { .. });
            let in_group = machine.part(machine.element(element).part).group.is_some();
            contact && !in_group && !watched.contains(&element)
        })
        .collect()
}

/// Ohms of every coil.
fn coils(machine: &Machine) -> Vec<CheckKind> {
    let is_coil = |part: &PartKind| matches!(part, PartKind::Relay(_) | PartKind::Solenoid(_) | PartKind::Motor(_));
    (0..machine.elements.len())
        .map(ElementId)
        .filter(|&element| {
            let element = machine.element(element);
            matches!(element.law, Law::Winding) && is_coil(&machine.part(element.part).kind)
        })
        .map(|element| CheckKind::Usual(Site::Element(element), UsualCheck::OhmsLifted))
        .collect()
}

/// A few of many, each choice equally likely, in their old order.
fn some_of<T: Ord>(mut all: Vec<T>, count: usize, chance: &mut Chance) -> Vec<T> {
    chance.shuffle(&mut all);
    all.truncate(count);
    all.sort();
    all
}
