//! Capacitors that hold enough after switching off to want a waiting time.

use super::prelude::*;
use crate::hazards::limits::METER_LIMIT;
use crate::hazards::{StoredCharge, Wait, stored_charges};
use crate::words::figures::Numerals;

/// The rule.
pub static RULE: Rule = Rule {
    name: "stored-charge",
    summary: "a capacitor holds a charge that wants a waiting time before work",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    for charge in stored_charges(circuit.solver, circuit.solution) {
        let finding = Finding::of_part(&RULE, Severity::Remark, circuit.machine(), charge.part);
        findings.push(match charge.wait {
            Some(wait) => {
                finding.saying(leaves(circuit.machine(), &charge, wait), fact!("audit.stored-charge.bled-advice"))
            }
            None => finding.saying(
                held(circuit.machine(), &charge),
                fact!("audit.stored-charge.held-advice", tool = charge.tool()),
            ),
        });
    }
}

fn leaves(machine: &Machine, charge: &StoredCharge, wait: Wait) -> Fact {
    fact!(
        "audit.stored-charge.bled",
        part = &machine.part(charge.part).id,
        volts = charge.volts,
        joules = Value::figure(significant(charge.joules, 2)),
        // Rounded up, as on paper.
        wait = Value::figure(Numerals::default().duration(wait.to_meter.value())),
        target = METER_LIMIT,
    )
}

fn held(machine: &Machine, charge: &StoredCharge) -> Fact {
    let joules = Value::figure(significant(charge.joules, 2));
    fact!("audit.stored-charge.held", part = &machine.part(charge.part).id, volts = charge.volts, joules = joules)
}
