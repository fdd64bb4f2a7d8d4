//! A capacitor with more volts across it than it may hold.

use super::prelude::*;
use crate::sums::tables::ratings;

/// The rule.
pub static RULE: Rule = Rule {
    name: "capacitor-volts",
    summary: "a capacitor has more volts across it than its rating",
    source: "rated DC volts against the solved volts, peak for AC",
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
        let when = sequences_in_words(machine, &sequences);
        let advice = match ratings::capacitor_voltage(peak) {
            Some(rating) => format!("it wants {rating} or more; an electrolytic over its volts heats up and bursts"),
            None => "it wants a higher rating; an electrolytic over its volts heats up and bursts".into(),
        };
        findings.push(Finding::of_part(&RULE, Severity::Hazard, machine, part).during(sequences).saying(
            format!("capacitor `{}` has {peak} across it in {when}; it is rated for {rated}", entry.id),
            advice,
        ));
    }
}
