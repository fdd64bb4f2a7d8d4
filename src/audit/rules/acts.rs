//! A coil, motor, lamp or loudspeaker that must act in a sequence and does not.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "acts",
    summary: "what must act in a sequence gets nothing, or too little",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (index, step) in machine.sequences.iter().enumerate() {
        for part in &step.acts {
            check_part(circuit, *part, SequenceId(index), findings);
        }
    }
}

fn check_part(circuit: &Circuit, part: PartId, sequence: SequenceId, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    let (id, number) = (&machine.part(part).id, machine.sequences[sequence.0].number);
    let device = circuit.devices(part).iter().filter(|(at, _)| *at == sequence).map(|(_, device)| *device).max_by(
        |one, other| {
            // A latching relay has two windings: the one that gets more is meant.
            one.volts.abs().total_cmp(&other.volts.abs())
        },
    );
    let Some(device) = device else { return };
    let (volts, amps) = (Volts::new(device.volts.abs()), Amperes::new(device.amps.abs()));
    let nominal = match &machine.part(part).kind {
        PartKind::Lamp(lamp) => lamp.nominal.value().abs(),
        _ => machine.coil(part).map_or(0.0, |coil| coil.nominal.value().abs()),
    };
    let finding = || Finding { part: Some(part), ..Finding::of_sequence(&RULE, Severity::Defect, machine, sequence) };
    if device.amps.abs() < 1e-6 || volts.value() <= 0.02 * nominal {
        findings.push(
            finding()
                .saying(fact!("audit.acts.nothing", part = id, sequence = number), fact!("audit.acts.nothing-advice")),
        );
    } else if device.operates == Some(false)
        && !matches!(machine.part(part).kind, PartKind::Relay(_) | PartKind::Solenoid(_) | PartKind::Motor(_))
    {
        // Coils with too little have a rule that says how much they need.
        findings.push(finding().saying(
            fact!("audit.acts.too-little", part = id, sequence = number, volts = volts, current = amps),
            fact!("audit.acts.too-little-advice"),
        ));
    }
}
