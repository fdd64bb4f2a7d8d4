//! Relays that never come to rest.

use super::prelude::*;

/// The rule.
pub static RULE: Rule =
    Rule { name: "chatter", summary: "relays never come to rest in a sequence", check: Check::Circuit(check) };

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for solved in &circuit.solution.sequences {
        let Settling::Chatters { first, second } = &solved.settling else { continue };
        let number = machine.sequences[solved.sequence.0].number;
        let restless = first.symmetric_difference(second).next().copied();
        findings.push(
            Finding { part: restless, ..Finding::of_sequence(&RULE, Severity::Defect, machine, solved.sequence) }
                .saying(
                    fact!(
                        "audit.chatter.message",
                        sequence = number,
                        first = state(machine, first),
                        second = state(machine, second),
                    ),
                    fact!("audit.chatter.advice"),
                ),
        );
    }
}

fn state(machine: &Machine, energised: &BTreeSet<PartId>) -> Fact {
    if energised.is_empty() {
        return fact!("audit.chatter.none-in");
    }
    let ids = Value::all(energised.iter().map(|part| format!("`{}`", machine.part(*part).id)));
    fact!("audit.chatter.in", relays = ids)
}
