//! A coil made for one kind of current on a supply of the other.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "wrong-current",
    summary: "a coil made for AC is fed with DC, or the other way round",
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
        let when = during(machine, &wrong);
        let (message, advice) = match coil.current {
            Current::Alternating => (
                fact!("audit.wrong-current.fed-direct", coil = &entry.id, when = when),
                fact!("audit.wrong-current.fed-direct-advice"),
            ),
            Current::Direct => (
                fact!("audit.wrong-current.fed-alternating", coil = &entry.id, when = when),
                fact!("audit.wrong-current.fed-alternating-advice"),
            ),
        };
        let finding = Finding::of_part(&RULE, Severity::Defect, machine, part).during(wrong);
        findings.push(finding.saying(message, advice));
    }
}
