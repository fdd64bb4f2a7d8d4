//! A fuse that carries more than it may for long.

use super::prelude::*;
use crate::sums::tables::fuses;

/// The rule.
pub static RULE: Rule = Rule {
    name: "fuse-below-load",
    summary: "the current through a fuse is above what it may carry for long",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, entry) in circuit.description.parts() {
        let PartKind::Fuse(fuse) = &entry.kind else { continue };
        let share = fuses::continuous_share(fuse.standard);
        let limit = fuse.rated * share;
        // A fuse that opened carries nothing any more; another rule speaks of it.
        let Some((most, sequences)) = circuit.above(part, limit.value(), |device| device.amps.abs()) else { continue };
        let most = Amperes::new(most);
        let severity = if most > fuse.rated { Severity::Defect } else { Severity::Remark };
        let when = during(machine, &sequences);
        findings.push(Finding::of_part(&RULE, severity, machine, part).during(sequences).saying(
            fact!(
                "audit.fuse-below-load.message",
                fuse = &entry.id,
                rated = fuse.rated,
                current = most,
                when = when,
                limit = limit
            ),
            fact!("audit.fuse-below-load.advice"),
        ));
    }
}
