//! A fuse that lets more current pass than the wires behind it may carry.
//!
//! Behind a fuse lies what can be reached from its far side through wires, pins and contacts without meeting another fuse
//! or a supply: a short circuit at the far end of such a wire is cleared by this fuse alone.

use super::prelude::*;
use crate::sums::tables::conductors;

/// The rule.
pub static RULE: Rule = Rule {
    name: "fuse-above-wire",
    summary: "a fuse is rated above what the thinnest wire behind it may carry",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for (part, entry) in description.parts() {
        let PartKind::Fuse(fuse) = &entry.kind else { continue };
        let Some((wire, limit)) = weakest_wire(description, part) else { continue };
        let rated = fitted_or_rated(fuse);
        if rated <= limit {
            continue;
        }
        let wire = wire_said(description.machine, wire);
        let message = if rated > fuse.rated {
            fact!("audit.fuse-above-wire.fitted", fuse = &entry.id, rated = rated, wire = wire, limit = limit)
        } else {
            fact!("audit.fuse-above-wire.called-for", fuse = &entry.id, rated = rated, wire = wire, limit = limit)
        };
        findings.push(
            Finding::of_part(&RULE, Severity::Hazard, description.machine, part)
                .saying(message, fact!("audit.fuse-above-wire.advice", limit = limit)),
        );
    }
}

/// What stands in the clips, if it is known, else what is called for.
fn fitted_or_rated(fuse: &Fuse) -> Amperes {
    fuse.fitted.as_ref().map_or(fuse.rated, |fitted| if fitted.rated > fuse.rated { fitted.rated } else { fuse.rated })
}

/// The wire behind a fuse that may carry least, with what it may carry.
fn weakest_wire(description: &Description, fuse: PartId) -> Option<(PartId, Amperes)> {
    let protected = protected_nodes(description, fuse);
    let machine = description.machine;
    let wires = description.parts().filter_map(|(part, entry)| {
        let PartKind::Wire(wire) = &entry.kind else { return None };
        let touches =
            entry.elements.iter().any(|id| protected.contains(&description.wiring.node(machine.element(*id).from)));
        Some((part, conductors::ampacity(wire.size?)?)).filter(|_| touches)
    });
    wires.min_by(|one, other| one.1.value().total_cmp(&other.1.value()))
}

/// The nodes on the far side of a fuse.
fn protected_nodes(description: &Description, fuse: PartId) -> BTreeSet<usize> {
    let (machine, wiring) = (description.machine, &description.wiring);
    let sources: BTreeSet<usize> = machine
        .elements
        .iter()
        .filter(|element| matches!(element.law, Law::Source))
        .flat_map(|element| [wiring.node(element.from), wiring.node(element.to)])
        .collect();
    let passes = |_: ElementId, element: &Element| {
        is_conductor(machine, element) && !matches!(machine.part(element.part).kind, PartKind::Fuse(_))
    };
    let mut protected = BTreeSet::new();
    for (_, element) in description.elements_of(fuse) {
        let (from, to) = wiring.nodes(element);
        for side in [from, to] {
            let reached = wiring.reach(machine, side, passes);
            if reached.is_disjoint(&sources) {
                protected.extend(reached);
            }
        }
    }
    protected
}

fn wire_said(machine: &Machine, wire: PartId) -> Fact {
    let data = if let PartKind::Wire(data) = &machine.part(wire).kind { Some(data) } else { None };
    let size = data.and_then(|data| data.size_text.clone().or_else(|| data.size.map(|size| size.to_string())));
    let size = Value::figure(size.unwrap_or_default());
    match data.and_then(|data| data.colour.as_ref()) {
        Some((base, Some(tracer))) => {
            fact!("audit.fuse-above-wire.coloured-wire", colour = format!("{base}/{tracer}"), size = size)
        }
        Some((base, None)) => fact!("audit.fuse-above-wire.coloured-wire", colour = base, size = size),
        None => fact!("audit.fuse-above-wire.wire", size = size),
    }
}
