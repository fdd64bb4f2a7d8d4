//! Values that had to be guessed and that readings rest on.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "impedance-estimated",
    summary: "an AC coil is described by its ohms alone, so its current is an estimate",
    source: "an AC coil's current is set by its inductance as well; its DC ohms say little (relay makers' notes)",
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
            format!(
                "AC coil `{}` is described by its ohms alone: its current and all readings behind it are estimates",
                machine.part(part).id
            ),
            "measure its AC volts and amps on a good machine and state `impedance`, `inductance` or `power-factor`",
        ));
    }
}
