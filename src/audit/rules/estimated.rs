//! Values that had to be guessed and that readings rest on.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "impedance-estimated",
    summary: "an AC coil is described by its ohms alone, so its current is an estimate",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    let guessed: BTreeSet<PartId> = circuit
        .solution
        .sequences
        .iter()
        .flat_map(|solved| &solved.remarks)
        .filter_map(|remark| if let Remark::ImpedanceEstimated(part) = remark { Some(*part) } else { None })
        .collect();
    for part in guessed {
        findings.push(Finding::of_part(&RULE, Severity::Remark, machine, part).saying(
            fact!("audit.impedance-estimated.message", coil = &machine.part(part).id),
            fact!("audit.impedance-estimated.advice"),
        ));
    }
}
