//! A fuse in the clips that is not the one called for.

use super::prelude::*;
use crate::sums::tables::fuses;

/// The rule.
pub static RULE: Rule = Rule {
    name: "wrong-fuse-fitted",
    summary: "the fuse that was found is not the one called for",
    source: "the maker's rating; IEC 60127 speed letters",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for (part, entry) in description.parts() {
        let PartKind::Fuse(fuse) = &entry.kind else { continue };
        let Some(fitted) = &fuse.fitted else { continue };
        let finding = |severity| Finding::of_part(&RULE, severity, description.machine, part);
        let ratio = fitted.rated / fuse.rated;
        if ratio > 1.001 {
            findings.push(finding(Severity::Hazard).saying(
                format!(
                    "fuse `{}` has {} in its clips where {} is called for: {} times over",
                    entry.id,
                    fitted.rated,
                    fuse.rated,
                    significant(ratio, 3)
                ),
                format!(
                    "fit {} and look for what made somebody fit a larger one; look at the wiring behind it",
                    fuse.rated
                ),
            ));
        } else if ratio < 0.999 {
            findings.push(finding(Severity::Remark).saying(
                format!("fuse `{}` has {} in its clips where {} is called for", entry.id, fitted.rated, fuse.rated),
                format!("fit {}: the smaller one may open in normal use", fuse.rated),
            ));
        }
        if let Some((severity, message)) = speed_differs(&entry.id, fuse, fitted) {
            findings.push(finding(severity).saying(message, "fit the speed that is called for"));
        }
    }
}

fn speed_differs(id: &str, fuse: &Fuse, fitted: &FittedFuse) -> Option<(Severity, String)> {
    let (called, found) = (fuse.speed.as_deref()?, fitted.speed.as_deref()?);
    let (want, have) = (fuses::speed_rank(called)?, fuses::speed_rank(found)?);
    let message = |what: &str| {
        format!("fuse `{id}` has a link of speed {found} in its clips where {called} is called for: {what}")
    };
    match have.cmp(&want) {
        std::cmp::Ordering::Greater => Some((Severity::Hazard, message("a fault burns longer before it opens"))),
        std::cmp::Ordering::Less => Some((Severity::Remark, message("it may open when something starts"))),
        std::cmp::Ordering::Equal => None,
    }
}
