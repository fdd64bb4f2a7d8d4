//! An amplifier that drives less than the lowest load it is made for.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "speaker-load",
    summary: "the load on an amplifier's output is below the lowest it may drive",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    for (part, entry) in circuit.description.parts() {
        let Some((supply, minimum)) = supply(entry).and_then(|supply| Some((supply, supply.minimum_load?))) else {
            continue;
        };
        let Some((id, element)) = circuit.description.elements_of(part).next() else { continue };
        let loads = circuit.solution.sequences.iter().filter_map(|solved| {
            let amps = solved.currents[id.0].abs();
            let (direct, alternating) = circuit.between(solved.sequence, element.from, element.to);
            let volts = if is_direct(supply) { direct.abs() } else { alternating };
            (amps > 1e-9).then(|| (volts / amps, solved.sequence))
        });
        let low: Vec<_> = loads.filter(|(load, _)| *load < minimum.value() * 0.999).collect();
        let Some((least, _)) = low.iter().min_by(|one, other| one.0.total_cmp(&other.0)) else { continue };
        let sequences: Vec<_> = low.iter().map(|(_, sequence)| *sequence).collect();
        let when = during(circuit.machine(), &sequences);
        findings.push(
            Finding::of_part(&RULE, Severity::Hazard, circuit.machine(), part).during(sequences.clone()).saying(
                fact!(
                    "audit.speaker-load.message",
                    amplifier = &entry.id,
                    load = Ohms::new(*least),
                    when = when,
                    least = minimum
                ),
                fact!("audit.speaker-load.advice"),
            ),
        );
    }
}
