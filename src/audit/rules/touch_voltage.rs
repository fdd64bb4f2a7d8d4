//! Supplies above the volts up to which bare parts of such a machine may be within reach.
//!
//! The clauses are quoted at second hand (test-house forums, trade pages); nothing here says that a machine complies.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "touch-voltage",
    summary: "a supply is above the volts up to which bare parts may be touched",
    check: Check::Description(check),
};

/// Peak or DC volts up to which an accessible part counts as not live.
pub const TOUCH_LIMIT: Volts = Volts::new(42.4);

/// DC volts up to which no cover is asked for in dry places (IEC 60364-4-41 cl. 414.4.5, quoted at second hand).
const DRY_LIMIT: Volts = Volts::new(60.0);

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for (part, entry) in description.parts() {
        let Some(supply) = supply(entry) else { continue };
        // An amplifier's output is a signal, not a supply that stands there all day.
        if supply.minimum_load.is_some() {
            continue;
        }
        let (nominal, highest) = (terminal_peak(supply, supply.voltage.nominal), highest_peak(supply));
        // 30 V AC is the same limit said in RMS: its peak of 42.43 V is not above it.
        if highest.value() < TOUCH_LIMIT.value() + 0.05 {
            continue;
        }
        let kind =
            if is_direct(supply) { fact!("audit.touch-voltage.direct") } else { fact!("audit.touch-voltage.peak") };
        let message = if nominal > TOUCH_LIMIT {
            fact!("audit.touch-voltage.has", supply = &entry.id, volts = nominal, kind = kind, limit = TOUCH_LIMIT)
        } else {
            fact!("audit.touch-voltage.reaches", supply = &entry.id, volts = highest, kind = kind, limit = TOUCH_LIMIT)
        };
        let severity = if nominal > DRY_LIMIT { Severity::Hazard } else { Severity::Remark };
        findings.push(Finding::of_part(&RULE, severity, description.machine, part).saying(message, advice(highest)));
    }
}

/// Highest peak over the supply's tolerance.
fn highest_peak(supply: &Supply) -> Volts {
    let (low, high) = (terminal_peak(supply, supply.voltage.low), terminal_peak(supply, supply.voltage.high));
    if low > high { low } else { high }
}

fn advice(highest: Volts) -> Fact {
    if highest > DRY_LIMIT {
        fact!("audit.touch-voltage.advice-dry", limit = DRY_LIMIT)
    } else {
        fact!("audit.touch-voltage.advice")
    }
}
