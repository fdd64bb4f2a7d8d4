//! A fuse that cannot break the current of a short circuit, or is not made for the voltage.
//!
//! The short-circuit current is taken at the supply's terminals: highest volts behind lowest internal resistance. The true
//! one is less by the ohms of the way, so the rule errs on the safe side.

use super::prelude::*;
use crate::sums::tables::fuses;

/// The rule.
pub static RULE: Rule = Rule {
    name: "fuse-unsuited",
    summary: "a fuse's breaking capacity or voltage is below what its supply can do",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for (part, entry) in description.parts() {
        let PartKind::Fuse(fuse) = &entry.kind else { continue };
        for (_, entry) in supplies_joined(description, part) {
            let Some(source) = supply(entry) else { continue };
            check_breaking(description.machine, part, fuse, source, &entry.id, findings);
            check_voltage(description.machine, part, fuse, source, &entry.id, findings);
        }
    }
}

/// Supplies with a terminal that conductors, other fuses included, join to the fuse.
fn supplies_joined<'a>(description: &Description<'a>, fuse: PartId) -> Vec<(PartId, &'a Part)> {
    let (machine, wiring) = (description.machine, &description.wiring);
    let passes = |_: ElementId, element: &Element| is_conductor(machine, element);
    let Some((_, element)) = description.elements_of(fuse).next() else { return Vec::new() };
    let reached = wiring.reach(machine, wiring.node(element.from), passes);
    let joined = |part: &Part| {
        part.elements.iter().map(|id| machine.element(*id)).any(|element| {
            let (plus, minus) = wiring.nodes(element);
            reached.contains(&plus) || reached.contains(&minus)
        })
    };
    description.parts().filter(|(_, part)| supply(part).is_some() && joined(part)).collect()
}

fn check_breaking(
    machine: &Machine,
    part: PartId,
    fuse: &Fuse,
    source: &Supply,
    name: &str,
    findings: &mut Vec<Finding>,
) {
    let capacity = match (fuse.standard, fuse.breaking.as_deref()) {
        (_, Some(letter)) => fuses::breaking_capacity(letter, fuse.rated),
        (FuseStandard::Ul, None) => fuses::ul_interrupting(fuse.rated),
        (FuseStandard::Iec, None) => None,
    };
    let fault = |volts: Volts, internal: Ohms| Amperes::new(terminal_peak(source, volts).value() / internal.value());
    let worst = fault(source.voltage.high, source.internal.low);
    let Some(capacity) = capacity.filter(|capacity| worst > *capacity && worst.value().is_finite()) else { return };
    // Beyond it at nominal values already, or only where all tolerances conspire.
    let usual = fault(source.voltage.nominal, source.internal.nominal);
    let severity = if usual > capacity { Severity::Hazard } else { Severity::Remark };
    findings.push(Finding::of_part(&RULE, severity, machine, part).saying(
        fact!(
            "audit.fuse-unsuited.breaking",
            fuse = &machine.part(part).id,
            capacity = capacity,
            supply = name,
            worst = worst,
        ),
        fact!("audit.fuse-unsuited.breaking-advice"),
    ));
}

fn check_voltage(
    machine: &Machine,
    part: PartId,
    fuse: &Fuse,
    source: &Supply,
    name: &str,
    findings: &mut Vec<Finding>,
) {
    let Some(rated) = fuse.voltage else { return };
    let highest =
        if is_direct(source) { terminal_peak(source, source.voltage.high) } else { source.voltage.high.abs() };
    if rated >= highest {
        return;
    }
    findings.push(Finding::of_part(&RULE, Severity::Hazard, machine, part).saying(
        fact!(
            "audit.fuse-unsuited.voltage",
            fuse = &machine.part(part).id,
            rated = rated,
            supply = name,
            highest = highest,
        ),
        fact!("audit.fuse-unsuited.voltage-advice"),
    ));
}
