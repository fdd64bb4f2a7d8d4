//! A fuse that opens although nothing is faulty.

use super::prelude::*;

/// The rule.
pub static RULE: Rule =
    Rule { name: "fuse-opens", summary: "a fuse opens in a sequence without any fault", check: Check::Circuit(check) };

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for sequence in &circuit.solution.sequences {
        for opened in &sequence.opened {
            let entry = machine.part(opened.fuse);
            let current = Amperes::new(opened.current.abs());
            let number = machine.sequences[sequence.sequence.0].number;
            findings.push(
                Finding::of_part(&RULE, Severity::Defect, machine, opened.fuse).during([sequence.sequence]).saying(
                    fact!("audit.fuse-opens.message", fuse = &entry.id, sequence = number, current = current),
                    fact!("audit.fuse-opens.advice"),
                ),
            );
        }
    }
}
