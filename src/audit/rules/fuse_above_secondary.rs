//! A fuse rated above what the supply before it may deliver for long.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "fuse-above-supply",
    summary: "a fuse is rated above what its transformer winding or supply may deliver for long",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    for (part, entry) in description.parts() {
        let PartKind::Fuse(fuse) = &entry.kind else { continue };
        for source in supplies_before(description, part) {
            let Some(limit) = supply(description.machine.part(source)).and_then(supply_limit) else { continue };
            if fuse.rated.value() <= limit.value() * 1.05 {
                continue;
            }
            let name = &description.machine.part(source).id;
            findings.push(Finding::of_part(&RULE, Severity::Hazard, description.machine, part).saying(
                fact!(
                    "audit.fuse-above-supply.message",
                    fuse = &entry.id,
                    rated = fuse.rated,
                    supply = name,
                    limit = limit
                ),
                fact!("audit.fuse-above-supply.advice", limit = limit),
            ));
        }
    }
}

/// Supplies whose terminals a side of the fuse reaches through conductors without meeting another fuse.
fn supplies_before(description: &Description, fuse: PartId) -> BTreeSet<PartId> {
    let (machine, wiring) = (description.machine, &description.wiring);
    let passes = |_: ElementId, element: &Element| {
        is_conductor(machine, element) && !matches!(machine.part(element.part).kind, PartKind::Fuse(_))
    };
    let mut found = BTreeSet::new();
    for (_, element) in description.elements_of(fuse) {
        let (from, to) = wiring.nodes(element);
        let reached: Vec<_> = [from, to].into_iter().map(|side| wiring.reach(machine, side, passes)).collect();
        for source in machine.elements.iter().filter(|element| matches!(element.law, Law::Source)) {
            let (plus, minus) = wiring.nodes(source);
            // The fuse is in this supply's way if one side of it is a pole of the supply and the other is not.
            let touches = |side: &BTreeSet<usize>| side.contains(&plus) || side.contains(&minus);
            if touches(&reached[0]) != touches(&reached[1]) {
                found.insert(source.part);
            }
        }
    }
    found
}
