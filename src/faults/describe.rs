//! Checks as facts, for paper and for the terminal.

use crate::circuit::Solution;
use crate::fact;
use crate::machine::model::{Current, ElementId, Machine, SequenceId, TestPointId};
use crate::words::Fact;

use super::kinds::UsualCheck;
use super::order::CheckKind;

/// Says a check of a sequence in a few words.
#[must_use]
pub fn check(machine: &Machine, solution: &Solution, sequence: SequenceId, kind: CheckKind) -> Fact {
    match kind {
        CheckKind::Volts(point) => volts(machine, solution, sequence, point),
        CheckKind::SupplyVolts(part) => {
            fact!("checks.usual.supply-volts", part = &machine.part(part).id)
        }
        CheckKind::Drop(element) => fact!("checks.drop", part = element_name(machine, element)),
        CheckKind::Amps(part) => fact!("checks.amps", part = &machine.part(part).id),
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
    let readings = &solution.sequence(sequence).readings;
    let quantity = readings.iter().find(|reading| reading.at == at).map_or(Current::Direct, |read| read.quantity);
    let current = match quantity {
        Current::Direct => fact!("current.direct"),
        Current::Alternating => fact!("current.alternating"),
    };
    fact!("checks.volts", point = &point.id, black = &machine.joint(point.reference).name, current = current)
}

/// Name of an element, a bank in series by the name of its group.
fn element_name(machine: &Machine, id: ElementId) -> Fact {
    let element = machine.element(id);
    match &machine.part(element.part).group {
        Some(group) if machine.bank(id).len() > 1 => fact!("faults.place.name", name = group),
        _ => fact!("faults.place.name", name = &element.name),
    }
}

/// Says a usual check without the place.
#[must_use]
pub fn usual_alone(usual: UsualCheck) -> Fact {
    Fact::new(format!("checks.alone.{}", usual.name()))
}
