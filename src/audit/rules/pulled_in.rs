//! What the manual says about relays against what the circuit does: relays that stay out, and sneak paths.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "pulled-in",
    summary: "a relay is said to be in but stays out, or pulls in though nobody says so (a sneak path)",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (index, step) in machine.sequences.iter().enumerate() {
        let solved = &circuit.solution.sequences[index];
        if !step.states_pulled_in || !solved.settling.is_settled() {
            continue; // chatter has a rule of its own
        }
        let sequence = SequenceId(index);
        for relay in step.pulled_in.iter().filter(|relay| !solved.energised.contains(relay)) {
            stays_out(circuit, *relay, sequence, findings);
        }
        for relay in solved.energised.iter().filter(|relay| !step.pulled_in.contains(relay)) {
            if !step.acts.contains(relay) {
                sneaks_in(circuit, *relay, sequence, findings);
            }
        }
    }
}

fn stays_out(circuit: &Circuit, relay: PartId, sequence: SequenceId, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    let volts = Volts::new(circuit.device(relay, sequence).map_or(0.0, |device| device.volts.abs()));
    let needs = machine.coil(relay).map_or(Volts::ZERO, |coil| coil.operate.abs());
    findings.push(
        Finding { part: Some(relay), ..Finding::of_sequence(&RULE, Severity::Defect, machine, sequence) }.saying(
            fact!(
                "audit.pulled-in.out",
                relay = &machine.part(relay).id,
                sequence = machine.sequences[sequence.0].number,
                volts = volts,
                needs = needs,
            ),
            fact!("audit.pulled-in.out-advice"),
        ),
    );
}

fn sneaks_in(circuit: &Circuit, relay: PartId, sequence: SequenceId, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    let volts = Volts::new(circuit.device(relay, sequence).map_or(0.0, |device| device.volts.abs()));
    findings.push(
        Finding { part: Some(relay), ..Finding::of_sequence(&RULE, Severity::Defect, machine, sequence) }.saying(
            fact!(
                "audit.pulled-in.sneak",
                relay = &machine.part(relay).id,
                sequence = machine.sequences[sequence.0].number,
                volts = volts,
            ),
            fact!("audit.pulled-in.sneak-advice"),
        ),
    );
}
