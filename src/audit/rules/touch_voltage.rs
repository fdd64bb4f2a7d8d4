//! Supplies above the volts up to which bare parts of such a machine may be within reach.
//!
//! The clauses are quoted at second hand (test-house forums, trade pages); nothing here says that a machine complies.

use super::prelude::*;
use crate::hazards::limits::{self, DRY_LIMIT, LIVE_LIMIT, Live};

/// The rule.
pub static RULE: Rule = Rule {
    name: "touch-voltage",
    summary: "a supply is above the volts up to which bare parts may be touched",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for (part, supply) in limits::supplies(description.machine) {
        let highest = limits::highest(supply);
        let Some(live) = limits::live(supply, highest) else { continue };
        let nominal = limits::live(supply, supply.voltage.nominal);
        let message = said(description.machine, part, supply, nominal.unwrap_or(live), nominal.is_some());
        let grave = nominal.is_some_and(|live| live.volts() > DRY_LIMIT);
        let severity = if grave { Severity::Hazard } else { Severity::Remark };
        let finding = Finding::of_part(&RULE, severity, description.machine, part);
        findings.push(finding.saying(message, advice(live.volts())));
    }
}

/// What is live, at nominal volts or only at the highest.
fn said(machine: &Machine, part: PartId, supply: &Supply, live: Live, always: bool) -> Fact {
    let kind = match live {
        Live::Terminals(_) if is_direct(supply) => fact!("audit.touch-voltage.direct"),
        Live::Terminals(_) => fact!("audit.touch-voltage.peak"),
        Live::Winding(_) => fact!("audit.touch-voltage.winding"),
    };
    let key = if always { "audit.touch-voltage.has" } else { "audit.touch-voltage.reaches" };
    fact!(key, supply = &machine.part(part).id, volts = live.volts(), kind = kind, limit = LIVE_LIMIT)
}

fn advice(highest: Volts) -> Fact {
    if highest > DRY_LIMIT {
        fact!("audit.touch-voltage.advice-dry", limit = DRY_LIMIT)
    } else {
        fact!("audit.touch-voltage.advice")
    }
}
