//! Where a fault goes when two parts of the same make are swapped.

use crate::machine::model::{ElementId, Machine, PartId};

use super::super::kinds::{Fault, Site};

/// What became of a fault when two parts were swapped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Swapped {
    /// It sits in neither of them.
    Stays,
    /// It went with its part, and there is this one of the known faults.
    Goes(usize),
    /// It went with its part to where the terminals at fault are not used.
    Harmless,
    /// It went with its part, and is none of the known faults there.
    Unknown,
}

/// Where a fault is after two parts were swapped, among all faults that are known.
#[must_use]
pub fn swapped(machine: &Machine, known: &[Fault], fault: &Fault, pair: (PartId, PartId)) -> Swapped {
    let other = match fault.part {
        part if part == pair.0 => pair.1,
        part if part == pair.1 => pair.0,
        _ => return Swapped::Stays,
    };
    // Twins may be described in another order or with other contacts in use: the terminals are what counts.
    let counterpart = |element: ElementId| {
        let terminals = machine.element(element).name.strip_prefix(&machine.part(fault.part).id)?;
        let there = machine.part(other);
        let same = |one: &&ElementId| machine.element(**one).name.strip_prefix(&there.id) == Some(terminals);
        there.elements.iter().find(same).copied()
    };
    let element = fault.element.map(counterpart);
    let site = match fault.site {
        Site::Element(element) => counterpart(element).map(Site::Element),
        Site::Group(_) => Some(Site::Group(other)),
        Site::Whole(_) => Some(Site::Whole(other)),
    };
    let (Some(site), false) = (site, element == Some(None)) else {
        return Swapped::Harmless;
    };
    let same = |one: &Fault| {
        one.site == site && one.element == element.flatten() && one.kind == fault.kind && one.size == fault.size
    };
    known.iter().position(same).map_or(Swapped::Unknown, Swapped::Goes)
}
