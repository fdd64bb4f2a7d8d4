//! A supply that is shorted, or asked for more than it may deliver.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "supply-overloaded",
    summary: "a supply is shorted or delivers more than its rating",
    check: Check::Circuit(check),
};

/// Above this share of what the internal resistance alone lets flow, the load is a short circuit.
const SHORTED: f64 = 0.8;

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    for (part, entry) in circuit.description.parts() {
        let Some(supply) = supply(entry) else { continue };
        let Some((id, _)) = circuit.description.elements_of(part).next() else { continue };
        let shorted = supply.voltage.nominal.value().abs() / supply.internal.nominal.value();
        let worst = circuit
            .solution
            .sequences
            .iter()
            .map(|sequence| (sequence.currents[id.0].abs(), sequence.sequence))
            .max_by(|one, other| one.0.total_cmp(&other.0));
        let Some((most, sequence)) = worst else { continue };
        report(circuit.machine(), part, (most, sequence), shorted, supply_limit(supply), findings);
    }
}

fn report(
    machine: &Machine,
    part: PartId,
    (most, sequence): (f64, SequenceId),
    shorted: f64,
    limit: Option<Amperes>,
    findings: &mut Vec<Finding>,
) {
    let (id, number) = (&machine.part(part).id, machine.sequences[sequence.0].number);
    let current = Amperes::new(most);
    if shorted.is_finite() && most > SHORTED * shorted {
        findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).during([sequence]).saying(
            fact!("audit.supply-overloaded.shorted", supply = id, sequence = number, current = current),
            fact!("audit.supply-overloaded.shorted-advice"),
        ));
    } else if let Some(limit) = limit.filter(|limit| most > limit.value() * 1.0001) {
        findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).during([sequence]).saying(
            fact!("audit.supply-overloaded.over", supply = id, sequence = number, current = current, limit = limit),
            fact!("audit.supply-overloaded.over-advice"),
        ));
    }
}
