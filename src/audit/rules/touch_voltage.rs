//! Supplies above the volts up to which bare parts of such a machine may be within reach.
//!
//! The clauses are quoted at second hand (test-house forums, trade pages); nothing here says that a machine complies.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "touch-voltage",
    summary: "a supply is above the volts up to which bare parts may be touched",
    source: "IEC 60335-1 cl. 8.1.4, which IEC 60335-2-82 (coin amusement machines) refers to: 42.4 V peak or DC; quoted at second hand",
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
        let kind = if is_direct(supply) { "DC" } else { "peak" };
        let reaches = if nominal > TOUCH_LIMIT {
            format!("has {nominal} {kind} at its terminals")
        } else {
            format!("can reach {highest} {kind} at its highest")
        };
        let severity = if nominal > DRY_LIMIT { Severity::Hazard } else { Severity::Remark };
        findings.push(Finding::of_part(&RULE, severity, description.machine, part).saying(
            format!("supply `{}` {reaches}, above the {TOUCH_LIMIT} up to which bare parts may be touched", entry.id),
            advice(highest),
        ));
    }
}

/// Highest peak over the supply's tolerance.
fn highest_peak(supply: &Supply) -> Volts {
    let (low, high) = (terminal_peak(supply, supply.voltage.low), terminal_peak(supply, supply.voltage.high));
    if low > high { low } else { high }
}

fn advice(highest: Volts) -> String {
    let further = if highest > DRY_LIMIT {
        "; it is also above the 60 V DC of IEC 60364-4-41 cl. 414.4.5 for dry places"
    } else {
        ""
    };
    format!("keep bare terminals covered, probe with one hand, and print the caution{further}")
}
