//! A contact that carries more current than it may switch. Only contacts whose rating is given are judged.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "contact-current",
    summary: "a contact carries more than its stated rating",
    source: "the stated rating against the solved current, without the rush when something starts",
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
            let when = sequences_in_words(machine, &sequences);
            findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).during(sequences).saying(
                format!("contact `{}` carries {} in {when}; it may switch {rating}", element.name, Amperes::new(most)),
                "check the load and the rating; contacts that switch too much pit and weld",
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
