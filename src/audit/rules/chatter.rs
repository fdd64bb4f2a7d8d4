//! Relays that never come to rest, or come to rest in one of several states.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "chatter",
    summary: "relays never come to rest in a sequence, or come to rest in one of several states",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for solved in &circuit.solution.sequences {
        let number = machine.sequences[solved.sequence.0].number;
        if let Settling::Races { outcomes } = &solved.settling {
            findings.push(race(machine, solved, outcomes));
        }
        let Settling::Chatters { first, second } = &solved.settling else { continue };
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

fn race(machine: &Machine, solved: &SequenceSolution, outcomes: &[BTreeSet<PartId>]) -> Finding {
    let number = machine.sequences[solved.sequence.0].number;
    let states: Vec<String> = outcomes.iter().map(|outcome| names(machine, outcome)).collect();
    Finding {
        part: outcomes.iter().flatten().next().copied(),
        ..Finding::of_sequence(&RULE, Severity::Defect, machine, solved.sequence)
    }
    .saying(
        fact!("audit.chatter.race", sequence = number, states = states.join(" / ")),
        fact!("audit.chatter.race-advice"),
    )
}

fn names(machine: &Machine, energised: &BTreeSet<PartId>) -> String {
    let ids: Vec<String> = energised.iter().map(|part| format!("`{}`", machine.part(*part).id)).collect();
    if ids.is_empty() { "-".into() } else { ids.join(" + ") }
}

fn state(machine: &Machine, energised: &BTreeSet<PartId>) -> Fact {
    if energised.is_empty() {
        return fact!("audit.chatter.none-in");
    }
    let ids = Value::all(energised.iter().map(|part| format!("`{}`", machine.part(*part).id)));
    fact!("audit.chatter.in", relays = ids)
}
