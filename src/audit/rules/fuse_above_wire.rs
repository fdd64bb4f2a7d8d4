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
    source: "FAA AC 43.13-1B table 11-9 (105 °C wire in a bundle), between its sizes by interpolation",
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
        let size = size_in_words(description.machine, wire);
        let found = if rated > fuse.rated { " fitted" } else { "" };
        let message =
            format!("fuse `{}` ({rated}{found}) protects {size}, which may carry {limit} in a loom", entry.id);
        findings.push(Finding::of_part(&RULE, Severity::Hazard, description.machine, part).saying(
            message,
            format!("fit a fuse of {limit} or less, or thicker wire; check the size of the wire first"),
        ));
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

fn size_in_words(machine: &Machine, wire: PartId) -> String {
    let PartKind::Wire(data) = &machine.part(wire).kind else { return String::new() };
    let size = data.size_text.clone().or_else(|| data.size.map(|size| size.to_string())).unwrap_or_default();
    let colour = data.colour.as_ref().map(|(base, tracer)| match tracer {
        Some(tracer) => format!(" {base}/{tracer}"),
        None => format!(" {base}"),
    });
    format!("the wire{} of {size}", colour.unwrap_or_default())
}
