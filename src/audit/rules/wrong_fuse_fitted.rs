//! A fuse in the clips that is not the one called for.

use super::prelude::*;
use crate::sums::tables::fuses;

/// The rule.
pub static RULE: Rule = Rule {
    name: "wrong-fuse-fitted",
    summary: "the fuse that was found is not the one called for",
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
                fact!(
                    "audit.wrong-fuse-fitted.larger",
                    fuse = &entry.id,
                    fitted = fitted.rated,
                    rated = fuse.rated,
                    times = Value::figure(significant(ratio, 3)),
                ),
                fact!("audit.wrong-fuse-fitted.larger-advice", rated = fuse.rated),
            ));
        } else if ratio < 0.999 {
            findings.push(finding(Severity::Remark).saying(
                fact!("audit.wrong-fuse-fitted.smaller", fuse = &entry.id, fitted = fitted.rated, rated = fuse.rated,),
                fact!("audit.wrong-fuse-fitted.smaller-advice", rated = fuse.rated),
            ));
        }
        if let Some((severity, message)) = speed_differs(&entry.id, fuse, fitted) {
            findings.push(finding(severity).saying(message, fact!("audit.wrong-fuse-fitted.speed-advice")));
        }
    }
}

fn speed_differs(id: &str, fuse: &Fuse, fitted: &FittedFuse) -> Option<(Severity, Fact)> {
    let (called, found) = (fuse.speed.as_deref()?, fitted.speed.as_deref()?);
    let (want, have) = (fuses::speed_rank(called)?, fuses::speed_rank(found)?);
    match have.cmp(&want) {
        std::cmp::Ordering::Greater => Some((
            Severity::Hazard,
            fact!("audit.wrong-fuse-fitted.slower", fuse = id, fitted = found, called = called),
        )),
        std::cmp::Ordering::Less => Some((
            Severity::Remark,
            fact!("audit.wrong-fuse-fitted.quicker", fuse = id, fitted = found, called = called),
        )),
        std::cmp::Ordering::Equal => None,
    }
}
