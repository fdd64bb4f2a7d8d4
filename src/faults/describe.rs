//! Checks as facts, for paper and for the terminal.

use crate::circuit::Solution;
use crate::fact;
use crate::machine::model::{Current, ElementId, Machine, PartKind, SequenceId, TestPointId};
use crate::words::Fact;

use super::kinds::UsualCheck;
use super::order::CheckKind;

/// Says a check of a sequence in a few words.
#[must_use]
pub fn check(machine: &Machine, solution: &Solution, sequence: SequenceId, kind: CheckKind) -> Fact {
    match kind {
        CheckKind::Volts(point) => volts(machine, solution, sequence, point),
        CheckKind::SupplyVolts(part) => {
            let current = said(current_of(machine, solution, sequence, kind));
            fact!("checks.supply", part = &machine.part(part).id, current = current)
        }
        CheckKind::Drop(element) => {
            let current = said(current_of(machine, solution, sequence, kind));
            fact!("checks.drop", part = &machine.element(element).name, current = current)
        }
        CheckKind::Amps(part) => {
            let current = said(current_of(machine, solution, sequence, kind));
            fact!("checks.amps", part = &machine.part(part).id, current = current)
        }
        CheckKind::Usual(site, usual) => {
            Fact::new(format!("checks.usual.{}", usual.name())).with("part", site.label(machine))
        }
        CheckKind::Swap(part, twin) => {
            fact!("checks.swap", part = &machine.part(part).id, twin = &machine.part(twin).id)
        }
        CheckKind::Try(sequence) => {
            let sequence = &machine.sequences[sequence.0];
            fact!("checks.try", number = sequence.number, title = &sequence.title)
        }
    }
}

/// Says a check with the state of the power for it, where that matters.
#[must_use]
pub fn check_with_power(machine: &Machine, solution: &Solution, sequence: SequenceId, kind: CheckKind) -> Fact {
    let check = check(machine, solution, sequence, kind);
    match kind {
        CheckKind::Swap(..) | CheckKind::Try(_) | CheckKind::Usual(_, UsualCheck::Look) => check,
        CheckKind::Usual(_, usual) if !usual.is_live() || usual == UsualCheck::Drop => {
            fact!("checks.dead", check = check)
        }
        _ => fact!("checks.live", check = check),
    }
}

fn volts(machine: &Machine, solution: &Solution, sequence: SequenceId, at: TestPointId) -> Fact {
    let point = &machine.test_points[at.0];
    let current = said(current_of(machine, solution, sequence, CheckKind::Volts(at)));
    fact!("checks.volts", point = &point.id, black = &machine.joint(point.reference).name, current = current)
}

fn said(current: Current) -> Fact {
    match current {
        Current::Direct => fact!("current.direct"),
        Current::Alternating => fact!("current.alternating"),
    }
}

/// The range of the meter for a check that shows volts or amps.
#[must_use]
pub fn current_of(machine: &Machine, solution: &Solution, sequence: SequenceId, kind: CheckKind) -> Current {
    let solved = solution.sequence(sequence);
    let element = match kind {
        CheckKind::Volts(at) => {
            let main = solved.readings.iter().find(|reading| reading.at == at);
            return main.map_or(Current::Direct, |reading| reading.quantity);
        }
        CheckKind::Drop(element) => Some(element),
        CheckKind::SupplyVolts(part) | CheckKind::Amps(part) => machine.part(part).elements.first().copied(),
        _ => None,
    };
    element.map_or(Current::Direct, |element| across(machine, solution, sequence, element))
}

/// The kind of current between the ends of an element; where there is none, that of its machine's supplies if they agree.
fn across(machine: &Machine, solution: &Solution, sequence: SequenceId, element: ElementId) -> Current {
    let joints = &solution.sequence(sequence).joints;
    let element = machine.element(element);
    let (from, to) = (joints[element.from.0], joints[element.to.0]);
    let alternating = (from.real - to.real).hypot(from.imaginary - to.imaginary);
    let direct = (from.direct - to.direct).abs();
    if alternating > direct || direct == 0.0 && all_alternating(machine) {
        Current::Alternating
    } else {
        Current::Direct
    }
}

fn all_alternating(machine: &Machine) -> bool {
    let supplies = machine.parts.iter().filter_map(|part| match &part.kind {
        PartKind::Supply(supply) => Some(supply.current == Current::Alternating && supply.rectifier.is_none()),
        _ => None,
    });
    supplies.fold(None, |all: Option<bool>, one| Some(all.unwrap_or(true) && one)).unwrap_or(false)
}

/// Says a usual check without the place.
#[must_use]
pub fn usual_alone(usual: UsualCheck) -> Fact {
    Fact::new(format!("checks.alone.{}", usual.name()))
}
