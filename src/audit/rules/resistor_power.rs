//! A resistor that turns more power to heat than it may.

use super::prelude::*;
use crate::sums::tables::ratings;

/// The rule.
pub static RULE: Rule = Rule {
    name: "resistor-power",
    summary: "a resistor dissipates more than its rating",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let PartKind::Resistor(resistor) = &entry.kind else { continue };
        let Some(power) = resistor.power else { continue };
        let Some((most, sequences)) = circuit.above(part, power.value(), |device| device.watts) else { continue };
        let heat = Watts::new(most);
        let when = during(machine, &sequences);
        let advice = match ratings::resistor_power(heat) {
            Some(rating) => fact!("audit.resistor-power.advice-rating", rating = rating),
            None => fact!("audit.resistor-power.advice"),
        };
        findings.push(Finding::of_part(&RULE, Severity::Hazard, machine, part).during(sequences).saying(
            fact!("audit.resistor-power.message", resistor = &entry.id, heat = heat, when = when, rated = power),
            advice,
        ));
    }
}
