//! Supplies that feed something with no fuse in the way.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "supply-unfused",
    summary: "a supply feeds parts with no fuse between",
    check: Check::Description(check),
};

/// Amperes from which a fuse is missed; what draws less, such as a bleeder, is often left before it.
const LEAST: f64 = 0.1;

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for (part, entry) in description.parts() {
        let Some(supply) = supply(entry) else { continue };
        // An amplifier's output limits itself.
        if supply.minimum_load.is_some() || !feeds_without_fuse(description, part, supply) {
            continue;
        }
        findings.push(
            Finding::of_part(&RULE, Severity::Remark, description.machine, part).saying(
                fact!("audit.supply-unfused.message", supply = &entry.id),
                fact!("audit.supply-unfused.advice"),
            ),
        );
    }
}

/// Whether a way leads from one pole to the other past every fuse, through parts that may draw something.
fn feeds_without_fuse(description: &Description, part: PartId, supply: &Supply) -> bool {
    let (machine, wiring) = (description.machine, &description.wiring);
    let volts = terminal_peak(supply, supply.voltage.nominal);
    let passes = |_: ElementId, element: &Element| match &machine.part(element.part).kind {
        PartKind::Fuse(_) | PartKind::Supply(_) | PartKind::Capacitor(_) => false,
        PartKind::Resistor(resistor) => volts.value() / resistor.resistance.nominal.value() >= LEAST,
        _ => true,
    };
    description.elements_of(part).any(|(_, source)| {
        let (plus, minus) = wiring.nodes(source);
        wiring.reach(machine, plus, passes).contains(&minus)
    })
}
