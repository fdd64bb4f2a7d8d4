//! A lamp that gets more than its rated volts.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "lamp-over-run",
    summary: "a lamp gets more than a tenth above its rated volts",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let PartKind::Lamp(lamp) = &entry.kind else { continue };
        let nominal = lamp.nominal.value().abs();
        let Some((most, sequences)) = circuit.above(part, 1.1 * nominal, |device| device.volts.abs()) else { continue };
        let when = during(machine, &sequences);
        let life = 100.0 * (most / nominal).powi(-12);
        let severity = if most > 1.5 * nominal { Severity::Defect } else { Severity::Remark };
        findings.push(Finding::of_part(&RULE, severity, machine, part).during(sequences).saying(
            fact!(
                "audit.lamp-over-run.message",
                lamp = &entry.id,
                volts = Volts::new(most),
                when = when,
                rated = lamp.nominal.abs(),
                life = Value::figure(significant(life, 2)),
            ),
            fact!("audit.lamp-over-run.advice"),
        ));
    }
}
