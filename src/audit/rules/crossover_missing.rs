//! A tweeter that gets low notes, since no capacitor stands before it.
//!
//! A tweeter is guarded if, with all capacitors taken away and all inductors bridged, no path of conductors and resistors
//! leads from each of its two ends to a supply on its own.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "crossover-missing",
    summary: "a tweeter has no capacitor before it",
    check: Check::Description(check),
};

fn check(description: &Description, findings: &mut Vec<Finding>) {
    let machine = description.machine;
    for (part, entry) in description.parts() {
        let PartKind::Speaker(speaker) = &entry.kind else { continue };
        if speaker.range != SpeakerRange::Tweeter {
            continue;
        }
        for (_, element) in description.elements_of(part) {
            if gets_low_notes(description, element) {
                findings.push(Finding::of_part(&RULE, Severity::Defect, machine, part).saying(
                    fact!("audit.crossover-missing.message", tweeter = &entry.id),
                    fact!("audit.crossover-missing.advice"),
                ));
            }
        }
    }
}

fn gets_low_notes(description: &Description, voice_coil: &Element) -> bool {
    let (machine, wiring) = (description.machine, &description.wiring);
    let passes = |_: ElementId, element: &Element| {
        matches!(element.law, Law::Contact { .. } | Law::Resistance(_) | Law::Inductance)
    };
    let (from, to) = wiring.nodes(voice_coil);
    let (one, other) = (wiring.reach(machine, from, passes), wiring.reach(machine, to, passes));
    let fed = |side: &BTreeSet<usize>| {
        machine.elements.iter().filter(|element| matches!(element.law, Law::Source)).any(|source| {
            let (plus, minus) = wiring.nodes(source);
            side.contains(&plus) || side.contains(&minus)
        })
    };
    one.is_disjoint(&other) && fed(&one) && fed(&other)
}
