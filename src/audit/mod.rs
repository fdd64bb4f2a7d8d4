//! The audit: what is dangerous, contradictory or idle in a description, found before it is printed.
//!
//! In go a machine and its solved circuit; out come [`Finding`]s, the gravest first, each with its rule, place, numbers,
//! advice and source. Each rule is a file in [`rules`]. Nominal values serve most of them; for the few that
//! need the worst case the bands that they look at are found once, on all cores.

mod facts;
mod finding;
mod rule;
pub mod rules;
mod wiring;

pub use facts::{Circuit, Description};
pub use finding::{Finding, Severity};
pub use rule::{Check, Rule};

use crate::circuit::Solver;
use crate::circuit::results::Solution;
use crate::machine::model::Machine;

/// All findings about a machine and its solved circuit: gravest first, then by place in the description.
#[must_use]
pub fn audit(machine: &Machine, solver: &Solver<'_>, solution: &Solution) -> Vec<Finding> {
    let description = Description::new(machine);
    let circuit = Circuit::new(&description, solver, solution);
    let mut findings = Vec::new();
    for rule in rules::ALL {
        match rule.check {
            Check::Description(check) => check(&description, &mut findings),
            Check::Circuit(check) => check(&circuit, &mut findings),
        }
    }
    sorted(findings)
}

/// The findings that need no solved circuit, for a machine whose circuit cannot be solved.
#[must_use]
pub fn audit_description(machine: &Machine) -> Vec<Finding> {
    let description = Description::new(machine);
    let mut findings = Vec::new();
    for rule in rules::ALL {
        if let Check::Description(check) = rule.check {
            check(&description, &mut findings);
        }
    }
    sorted(findings)
}

fn sorted(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|finding| (finding.severity, finding.at));
    findings
}
