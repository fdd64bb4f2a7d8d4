//! A capacitor with more volts across it than it may hold.

use super::prelude::*;
use crate::sums::tables::ratings;

/// The rule.
pub static RULE: Rule = Rule {
    name: "capacitor-volts",
    summary: "a capacitor has more volts across it than its rating",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let PartKind::Capacitor(capacitor) = &entry.kind else { continue };
        let Some(rated) = capacitor.voltage else { continue };
        let peak = |device: &DeviceReading| match device.quantity {
            Current::Direct => device.volts.abs(),
            Current::Alternating => device.volts.abs() * std::f64::consts::SQRT_2,
        };
        let Some((most, sequences)) = circuit.above(part, rated.value(), peak) else { continue };
        let peak = Volts::new(most);
        let when = during(machine, &sequences);
        let advice = match ratings::capacitor_voltage(peak) {
            Some(rating) => fact!("audit.capacitor-volts.advice-rating", rating = rating),
            None => fact!("audit.capacitor-volts.advice"),
        };
        findings.push(Finding::of_part(&RULE, Severity::Hazard, machine, part).during(sequences).saying(
            fact!("audit.capacitor-volts.message", capacitor = &entry.id, volts = peak, when = when, rated = rated),
            advice,
        ));
    }
}
