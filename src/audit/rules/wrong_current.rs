//! A coil made for one kind of current on a supply of the other.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "wrong-current",
    summary: "a coil made for AC is fed with DC, or the other way round",
    source: "an AC coil's current is set by its inductance as well, a DC coil's by its ohms alone (relay makers' notes)",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let Some(coil) = machine.coil(part) else { continue };
        let wrong: Vec<SequenceId> = circuit
            .devices(part)
            .iter()
            .filter(|(_, device)| device.quantity != coil.current && device.amps.abs() > 1e-6)
            .map(|(sequence, _)| *sequence)
            .collect();
        if wrong.is_empty() {
            continue;
        }
        let when = sequences_in_words(machine, &wrong);
        let (made, fed, advice) = match coil.current {
            Current::Alternating => {
                ("AC", "DC", "on DC of the same volts it draws volts over ohms, many times its AC current, and burns")
            }
            Current::Direct => ("DC", "AC", "on AC its armature hums and the contacts chatter"),
        };
        findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).during(wrong).saying(
            format!("coil `{}` is made for {made} but is fed with {fed} in {when}", entry.id),
            format!("check `nominal` and the supply: {advice}"),
        ));
    }
}
