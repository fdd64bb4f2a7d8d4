//! Capacitors that hold enough after switching off to want a waiting time.

use super::prelude::*;
use super::touch_voltage::TOUCH_LIMIT;
use crate::spec::units::{Farads, Seconds};
use crate::sums::discharge;

/// The rule.
pub static RULE: Rule = Rule {
    name: "stored-charge",
    summary: "a capacitor holds a charge that wants a waiting time before work",
    check: Check::Circuit(check),
};

/// Stored energy from which a screwdriver across the terminals sparks and pits.
const SPARK: f64 = 1.0;

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        match &entry.kind {
            PartKind::Capacitor(capacitor) => {
                let volts = circuit.devices(part).iter().map(|(_, device)| peak(device)).fold(0.0, f64::max);
                let bleeder = capacitor.bleeder.and_then(|bleeder| resistance(machine, bleeder));
                report(machine, part, capacitor.capacitance.high, Volts::new(volts), bleeder, findings);
            }
            PartKind::Supply(supply) => {
                let Some(reservoir) = supply.rectifier.as_ref().and_then(|rectifier| rectifier.reservoir) else {
                    continue;
                };
                let bleeder = across(machine, supply);
                report(machine, part, reservoir, terminal_peak(supply, supply.voltage.high), bleeder, findings);
            }
            _ => {}
        }
    }
}

fn peak(device: &DeviceReading) -> f64 {
    match device.quantity {
        Current::Direct => device.volts.abs(),
        Current::Alternating => device.volts.abs() * std::f64::consts::SQRT_2,
    }
}

fn resistance(machine: &Machine, part: PartId) -> Option<Ohms> {
    if let PartKind::Resistor(resistor) = &machine.part(part).kind { Some(resistor.resistance.high) } else { None }
}

/// The least resistor that lies straight across the terminals of a supply: its bleeder, whatever its label says.
fn across(machine: &Machine, supply: &Supply) -> Option<Ohms> {
    let terminals = [supply.terminals[0].1, supply.terminals[1].1];
    let straight = machine
        .elements
        .iter()
        .filter(|element| terminals == [element.from, element.to] || terminals == [element.to, element.from]);
    straight
        .filter_map(|element| resistance(machine, element.part))
        .min_by(|one, other| one.value().total_cmp(&other.value()))
}

fn report(
    machine: &Machine,
    part: PartId,
    capacitance: Farads,
    volts: Volts,
    bleeder: Option<Ohms>,
    findings: &mut Vec<Finding>,
) {
    let energy = discharge::energy(capacitance, volts);
    let touchable = volts <= TOUCH_LIMIT || capacitance.value() <= 0.1e-6;
    if touchable && energy < SPARK {
        return;
    }
    let id = &machine.part(part).id;
    let joules = Value::figure(significant(energy, 2));
    // Down to 5 V where sparks are the matter, else to the touch limit.
    let target = if energy >= SPARK { Volts::new(5.0) } else { TOUCH_LIMIT };
    let finding = Finding::of_part(&RULE, Severity::Remark, machine, part);
    findings.push(match bleeder {
        Some(bleeder) => {
            let wait: Seconds = discharge::time(capacitance, bleeder, volts, target);
            finding.saying(
                fact!(
                    "audit.stored-charge.bled",
                    part = id,
                    volts = volts,
                    joules = joules,
                    wait = wait,
                    target = target
                ),
                fact!("audit.stored-charge.bled-advice"),
            )
        }
        None => finding.saying(
            fact!("audit.stored-charge.held", part = id, volts = volts, joules = joules),
            fact!("audit.stored-charge.held-advice"),
        ),
    });
}
