//! Relays that never come to rest.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "chatter",
    summary: "relays never come to rest in a sequence",
    source: "settling of the relays by their own operate and release volts",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for solved in &circuit.solution.sequences {
        let Settling::Chatters { first, second } = &solved.settling else { continue };
        let number = machine.sequences[solved.sequence.0].number;
        let restless = first.symmetric_difference(second).next().copied();
        findings.push(Finding { part: restless, ..Finding::of_sequence(&RULE, Severity::Defect, machine, solved.sequence) }.saying(
            format!(
                "the relays chatter in sequence {number}: they go between {} and {}",
                state(machine, first),
                state(machine, second)
            ),
            "a contact opens its own coil, or a load that it switches in takes its volts: check forms of contacts and operate and release volts",
        ));
    }
}

fn state(machine: &Machine, energised: &BTreeSet<PartId>) -> String {
    if energised.is_empty() {
        return "none in".into();
    }
    let ids: Vec<_> = energised.iter().map(|part| format!("`{}`", machine.part(*part).id)).collect();
    format!("{} in", ids.join(", "))
}
