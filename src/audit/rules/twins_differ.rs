//! Parts that are said to be of the same make and are not: swapping them would mislead or do harm.

use super::prelude::*;
use crate::machine::twins::difference;

/// The rule.
pub static RULE: Rule = Rule {
    name: "twins-differ",
    summary: "two parts are called twins, but their coils, contacts, values or kinds differ",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    let machine = description.machine;
    for (part, entry) in description.parts() {
        for &twin in entry.twins.iter().filter(|twin| twin.0 < part.0) {
            let Some(difference) = difference(machine, twin, part) else { continue };
            findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).saying(
                fact!(
                    "audit.twins-differ.message",
                    one = &machine.part(twin).id,
                    other = &entry.id,
                    what = Fact::new(format!("audit.twins-differ.{}", difference.key())),
                ),
                fact!("audit.twins-differ.advice"),
            ));
        }
    }
}
