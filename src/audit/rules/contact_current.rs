//! A contact that carries more current than it may switch. Only contacts whose rating is given are judged.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "contact-current",
    summary: "a contact carries more than its stated rating",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let Some(rating) = rating(&entry.kind) else { continue };
        for (id, element) in circuit.description.elements_of(part) {
            if !matches!(element.law, Law::Contact { .. }) {
                continue;
            }
            let amps = |solved: &SequenceSolution| solved.currents[id.0].abs();
            let over: Vec<_> =
                circuit.solution.sequences.iter().filter(|solved| amps(solved) > rating.value()).collect();
            let Some(most) = over.iter().map(|solved| amps(solved)).max_by(f64::total_cmp) else { continue };
            let sequences: Vec<_> = over.iter().map(|solved| solved.sequence).collect();
            let when = during(machine, &sequences);
            findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).during(sequences).saying(
                fact!(
                    "audit.contact-current.message",
                    contact = &element.name,
                    current = Amperes::new(most),
                    when = when,
                    rated = rating
                ),
                fact!("audit.contact-current.advice"),
            ));
        }
    }
}

fn rating(kind: &PartKind) -> Option<Amperes> {
    match kind {
        PartKind::Relay(relay) => relay.contact_rating,
        PartKind::Switch(switch) | PartKind::Cam(switch) => switch.contact_rating,
        _ => None,
    }
}
