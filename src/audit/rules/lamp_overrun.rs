//! A lamp that gets more than its rated volts.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "lamp-over-run",
    summary: "a lamp gets more than a tenth above its rated volts",
    source: "life of a filament goes about as volts to the power of −12 (lamp re-rating law, as quoted)",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let PartKind::Lamp(lamp) = &entry.kind else { continue };
        let nominal = lamp.nominal.value().abs();
        let Some((most, sequences)) = circuit.above(part, 1.1 * nominal, |device| device.volts.abs()) else { continue };
        let when = sequences_in_words(machine, &sequences);
        let life = 100.0 * (most / nominal).powi(-12);
        let severity = if most > 1.5 * nominal { Severity::Defect } else { Severity::Remark };
        findings.push(Finding::of_part(&RULE, severity, machine, part).during(sequences).saying(
            format!(
                "lamp `{}` gets {} in {when}; at {} rated it lives {} % as long",
                entry.id,
                Volts::new(most),
                lamp.nominal.abs(),
                significant(life, 2)
            ),
            "check the lamp's rated volts and the resistor or winding that feeds it",
        ));
    }
}
