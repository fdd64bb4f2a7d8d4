//! A wire that changes colour on its way although nothing joins there.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "wire-colour-changes",
    summary: "the wire colour changes along a run where no joint is named",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for run in &description.machine.runs {
        check_run(description, run, findings);
    }
}

fn check_run(description: &Description, run: &Run, findings: &mut Vec<Finding>) {
    let machine = description.machine;
    let mut before: Option<PartId> = None;
    for step in &run.steps {
        match step {
            RunStep::Joint(joint) if machine.joint(*joint).named => before = None,
            RunStep::Joint(_) => {}
            RunStep::Element { element, .. } => {
                let part = machine.element(*element).part;
                match &machine.part(part).kind {
                    PartKind::Wire(_) => {
                        if let Some(finding) = before.and_then(|before| compare(machine, run, before, part)) {
                            findings.push(finding);
                        }
                        before = Some(part);
                    }
                    // A pin carries the same lead on; any other part ends it.
                    PartKind::Plug(_) => {}
                    _ => before = None,
                }
            }
        }
    }
}

fn compare(machine: &Machine, run: &Run, before: PartId, after: PartId) -> Option<Finding> {
    let (one, other) = (colour(machine, before)?, colour(machine, after)?);
    if one == other {
        return None;
    }
    let message = match &run.label {
        Some(label) => fact!("audit.wire-colour-changes.message-run", one = one, other = other, run = label),
        None => fact!("audit.wire-colour-changes.message", one = one, other = other),
    };
    Some(
        Finding::of_part(&RULE, Severity::Remark, machine, after)
            .saying(message, fact!("audit.wire-colour-changes.advice")),
    )
}

fn colour(machine: &Machine, wire: PartId) -> Option<String> {
    let PartKind::Wire(wire) = &machine.part(wire).kind else { return None };
    let (base, tracer) = wire.colour.as_ref()?;
    Some(match tracer {
        Some(tracer) => format!("{base}/{tracer}"),
        None => base.clone(),
    })
}
