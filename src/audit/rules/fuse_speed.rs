//! A quick fuse before things that draw a rush of current when they start.

use super::prelude::*;
use crate::sums::tables::fuses;

/// The rule.
pub static RULE: Rule = Rule {
    name: "fuse-speed",
    summary: "a quick fuse carries lamps, a motor or an AC coil whose rush of current may open it",
    check: Check::Circuit(check),
};

/// A quick link is sure to open within a third of a second at this multiple of its rating (IEC 60127-2 sheet 2).
const QUICK: f64 = 4.0;

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let PartKind::Fuse(fuse) = &entry.kind else { continue };
        let Some(speed) = fuse.speed.as_deref() else { continue };
        if !matches!(fuses::speed_rank(speed), Some(0 | 1)) {
            continue;
        }
        for (sequence, device) in circuit.devices(part) {
            let rush = rush_in(circuit, *sequence, device.amps.abs());
            if rush <= fuse.rated.value() * QUICK {
                continue;
            }
            let rush = Amperes::new(rush);
            findings.push(Finding::of_part(&RULE, Severity::Remark, machine, part).during([*sequence]).saying(
                fact!(
                    "audit.fuse-speed.message",
                    fuse = &entry.id,
                    speed = fuses::speed_words(speed),
                    letter = speed,
                    rush = rush
                ),
                fact!("audit.fuse-speed.advice"),
            ));
            break;
        }
    }
}

/// Momentary current of the lamps, motors and AC coils that run in a sequence, no more of them than the fuse carries.
fn rush_in(circuit: &Circuit, sequence: SequenceId, carried: f64) -> f64 {
    let machine = circuit.machine();
    let devices = &circuit.solution.sequence(sequence).devices;
    let starting = devices.iter().filter_map(|device| {
        let times = match machine.part(device.part).kind {
            PartKind::Lamp(_) => 10.0,
            PartKind::Motor(_) => 5.0,
            PartKind::Solenoid(_) if device.quantity == Current::Alternating => 5.0,
            _ => return None,
        };
        Some((device.amps.abs(), times))
    });
    let (amps, rush) = starting.fold((0.0, 0.0), |(amps, rush), (each, times)| (amps + each, rush + each * times));
    if amps > 0.0 { rush * (carried / amps).min(1.0) } else { 0.0 }
}
