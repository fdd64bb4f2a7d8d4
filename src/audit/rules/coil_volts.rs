//! Coils that must operate and get too little, or too much for long.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "coil-volts",
    summary: "a coil that must operate gets less than it needs at its place, or far more than it is made for",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, _) in circuit.description.parts() {
        let Some(coil) = machine.coil(part) else { continue };
        check_low(circuit, part, coil, findings);
        check_worst(circuit, part, coil, findings);
        check_high(circuit, part, coil, findings);
    }
}

/// Whether the coil gets the kind of current it is made for. If not, its volts say nothing; `wrong-current` tells that.
fn suits(device: &DeviceReading, coil: &Coil) -> bool {
    device.quantity == coil.current
}

fn check_low(circuit: &Circuit, part: PartId, coil: &Coil, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    let weak: Vec<_> = circuit
        .devices(part)
        .iter()
        .filter(|(sequence, device)| {
            // A coil without volts is another rule's affair: its path is open.
            device.operates == Some(false)
                && suits(device, coil)
                && device.volts.abs() > 0.02 * coil.nominal.value().abs()
                && must_operate(machine, part, *sequence)
        })
        .collect();
    let Some(least) = weak.iter().map(|(_, device)| device.volts.abs()).min_by(f64::total_cmp) else { return };
    let sequences: Vec<_> = weak.iter().map(|(sequence, _)| *sequence).collect();
    let when = during(machine, &sequences);
    findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).during(sequences).saying(
        fact!(
            "audit.coil-volts.low",
            coil = &machine.part(part).id,
            volts = Volts::new(least),
            when = when,
            needs = coil.operate.abs(),
        ),
        fact!("audit.coil-volts.low-advice"),
    ));
}

/// Volts at the worst below which a healthy coil may fail, and the sequences in which that is so.
fn check_worst(circuit: &Circuit, part: PartId, coil: &Coil, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    let doubtful: Vec<_> = circuit
        .devices(part)
        .iter()
        .filter(|(sequence, device)| {
            device.operates == Some(true) && suits(device, coil) && must_operate(machine, part, *sequence)
        })
        .filter_map(|(sequence, device)| Some((worst_volts(circuit, *sequence, device, coil)?, *sequence)))
        .collect();
    let Some(least) = doubtful.iter().map(|(volts, _)| *volts).min_by(f64::total_cmp) else { return };
    let sequences: Vec<_> = doubtful.iter().map(|(_, sequence)| *sequence).collect();
    let when = during(machine, &sequences);
    findings.push(Finding::of_part(&RULE, Severity::Remark, machine, part).during(sequences).saying(
        fact!(
            "audit.coil-volts.worst",
            coil = &machine.part(part).id,
            volts = Volts::new(least),
            when = when,
            needs = coil.operate.abs(),
        ),
        fact!("audit.coil-volts.worst-advice"),
    ));
}

/// The least volts that a coil may get on a healthy machine, if that is too little for it. No share of the nominal volts
/// tells it: parts in series with the coil may have any tolerance.
fn worst_volts(circuit: &Circuit, sequence: SequenceId, device: &DeviceReading, coil: &Coil) -> Option<f64> {
    let needs = coil.operate.value().abs();
    let banded = circuit.banded(sequence).devices.iter().find(|other| other.element == device.element)?;
    let least = banded.least_volts();
    (least < needs || banded.operates_at_worst == Some(false)).then_some(least)
}

fn check_high(circuit: &Circuit, part: PartId, coil: &Coil, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    let nominal = coil.nominal.value().abs();
    if coil.duty.is_some() {
        return; // made for short pulls; volts alone do not say that it overheats
    }
    let volts = |device: &DeviceReading| if suits(device, coil) { device.volts.abs() } else { 0.0 };
    let Some((most, sequences)) = circuit.above(part, 1.15 * nominal, volts) else { return };
    let when = during(machine, &sequences);
    let heat = (most / nominal).powi(2);
    findings.push(Finding::of_part(&RULE, Severity::Remark, machine, part).during(sequences).saying(
        fact!(
            "audit.coil-volts.high",
            coil = &machine.part(part).id,
            volts = Volts::new(most),
            when = when,
            times = Value::figure(significant(heat, 2)),
            rated = coil.nominal.abs(),
        ),
        fact!("audit.coil-volts.high-advice"),
    ));
}
