//! A coil that pulls in when cold and may not when warm.
//!
//! Its pull-in current stays the same while its copper gains ohms, so that it needs more volts. The volts that it gets rise
//! as well where ohms lie in its way; the solver says by how much.

use super::prelude::*;
use crate::sums::tables::conductors::{self, WARM_WINDING};

/// The rule.
pub static RULE: Rule = Rule {
    name: "coil-warm",
    summary: "a DC coil pulls in when cold but may not when its winding is warm",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let Some(coil) = machine.coil(part) else { continue };
        if coil.current != Current::Direct || matches!(entry.kind, PartKind::Motor(_)) {
            continue;
        }
        let warm = conductors::copper_at(coil.resistance.nominal, machine.identity.ambient, WARM_WINDING);
        let needs = coil.operate.abs() * (warm / coil.resistance.nominal);
        let weak: Vec<_> = circuit
            .devices(part)
            .iter()
            .filter(|(sequence, device)| device.operates == Some(true) && must_pull_in(machine, part, *sequence))
            .filter_map(|(sequence, device)| Some((warm_volts(circuit, *sequence, device, warm, needs)?, *sequence)))
            .collect();
        report(machine, part, &weak, needs, findings);
    }
}

/// Whether the coil must pull in here, rather than hold from an earlier sequence.
fn must_pull_in(machine: &Machine, part: PartId, sequence: SequenceId) -> bool {
    let step = &machine.sequences[sequence.0];
    step.acts.contains(&part)
        || (step.pulled_in.contains(&part)
            && step.after.is_none_or(|after| !machine.sequences[after.0].pulled_in.contains(&part)))
}

/// The volts that the warm coil gets, if they are too few.
fn warm_volts(
    circuit: &Circuit,
    sequence: SequenceId,
    device: &DeviceReading,
    warm: Ohms,
    needs: Volts,
) -> Option<f64> {
    // Ohms in its way can only help: a coil that has enough as it is needs no second look.
    if device.volts.abs() >= needs.value() {
        return None;
    }
    let change = Change::Value(device.element, warm.value());
    let element = circuit.machine().element(device.element);
    let joints = circuit.solver.faulted(circuit.solution, sequence, &[change]).joints;
    let volts = (joints[element.from.0].direct - joints[element.to.0].direct).abs();
    (volts < needs.value()).then_some(volts)
}

fn report(machine: &Machine, part: PartId, weak: &[(f64, SequenceId)], needs: Volts, findings: &mut Vec<Finding>) {
    let Some(least) = weak.iter().map(|(volts, _)| *volts).min_by(f64::total_cmp) else { return };
    let sequences: Vec<_> = weak.iter().map(|(_, sequence)| *sequence).collect();
    let when = during(machine, &sequences);
    findings.push(Finding::of_part(&RULE, Severity::Remark, machine, part).during(sequences).saying(
        fact!(
            "audit.coil-warm.message",
            coil = &machine.part(part).id,
            needs = needs,
            temperature = WARM_WINDING,
            volts = Volts::new(least),
            when = when,
        ),
        fact!("audit.coil-warm.advice"),
    ));
}
