//! Parts that no sequence uses, and contacts whose relay never moves.

use super::prelude::*;

/// The rule for parts.
pub static PART: Rule =
    Rule { name: "part-unused", summary: "no sequence uses a part", check: Check::Circuit(check_parts) };

/// The rule for relays.
pub static RELAY: Rule = Rule {
    name: "relay-never-moves",
    summary: "no sequence energises a relay, so that its contacts never move",
    check: Check::Circuit(check_relays),
};

/// Less than this is no current, in amperes.
const NOTHING: f64 = 1e-6;

fn check_relays(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    if circuit.solution.sequences.is_empty() {
        return;
    }
    let moved: BTreeSet<PartId> = circuit.solution.sequences.iter().flat_map(moving).collect();
    for (part, entry) in circuit.description.parts() {
        let PartKind::Relay(relay) = &entry.kind else { continue };
        if moved.contains(&part) {
            continue;
        }
        let contacts = Value::all(relay.contacts.iter().map(|contact| contact.terminals.as_str()));
        let message = if relay.contacts.is_empty() {
            fact!("audit.relay-never-moves.message", relay = &entry.id)
        } else {
            fact!(
                "audit.relay-never-moves.contacts",
                relay = &entry.id,
                count = relay.contacts.len(),
                contacts = contacts
            )
        };
        findings.push(
            Finding::of_part(&RELAY, Severity::Remark, machine, part)
                .saying(message, fact!("audit.relay-never-moves.advice")),
        );
    }
}

/// Relays that are in, or between in and out, in a sequence.
fn moving(solved: &SequenceSolution) -> Vec<PartId> {
    let mut relays: Vec<_> = solved.energised.iter().copied().collect();
    relays.extend(solved.settling.states().into_iter().flatten());
    relays
}

fn check_parts(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    if circuit.solution.sequences.is_empty() {
        return;
    }
    let carrying = carrying_parts(circuit);
    let mentioned = mentioned_parts(machine);
    // A series group such as S10..S17 gets one finding, unless some of its members are used.
    let used = |(part, _): &(PartId, &Part)| carrying[part.0] || mentioned.contains(part);
    let used_groups: BTreeSet<_> =
        circuit.description.parts().filter(used).filter_map(|(_, entry)| entry.group.as_ref()).collect();
    let mut reported = BTreeSet::new();
    for (part, entry) in circuit.description.parts() {
        // Diodes and capacitors work by not conducting, wires and pins belong to what they join, relays have their own rule.
        let counts = matches!(
            entry.kind,
            PartKind::Supply(_)
                | PartKind::Fuse(_)
                | PartKind::Solenoid(_)
                | PartKind::Motor(_)
                | PartKind::Lamp(_)
                | PartKind::Switch(_)
                | PartKind::Cam(_)
                | PartKind::Selector(_)
                | PartKind::Resistor(_)
                | PartKind::Speaker(_)
        );
        if !counts || carrying[part.0] || mentioned.contains(&part) || is_suppressor(circuit.description, part) {
            continue;
        }
        let name = entry.group.as_ref().filter(|group| !used_groups.contains(group)).unwrap_or(&entry.id);
        if !reported.insert(name) {
            continue;
        }
        findings.push(
            Finding::of_part(&PART, Severity::Remark, machine, part)
                .saying(fact!("audit.part-unused.message", part = name), fact!("audit.part-unused.advice")),
        );
    }
}

/// For each part, whether current flows through it in some sequence.
fn carrying_parts(circuit: &Circuit) -> Vec<bool> {
    let machine = circuit.machine();
    let mut carrying = vec![false; machine.parts.len()];
    for solved in &circuit.solution.sequences {
        for (index, _) in solved.currents.iter().enumerate().filter(|(_, amps)| amps.abs() > NOTHING) {
            carrying[machine.elements[index].part.0] = true;
        }
        for opened in &solved.opened {
            carrying[opened.fuse.0] = true;
        }
    }
    carrying
}

/// Parts that some sequence sets or names.
fn mentioned_parts(machine: &Machine) -> BTreeSet<PartId> {
    let steps = machine.sequences.iter();
    steps
        .flat_map(|step| {
            let set = step.setting.operated.iter().chain(step.setting.positions.keys());
            set.chain(&step.pulled_in).chain(&step.acts).copied().collect::<Vec<_>>()
        })
        .collect()
}

/// Whether a resistor shares a chain with a capacitor or diode alone: it works for moments only.
fn is_suppressor(description: &Description, part: PartId) -> bool {
    let machine = description.machine;
    matches!(machine.part(part).kind, PartKind::Resistor(_))
        && description.elements_of(part).any(|(id, element)| {
            let (from, to) = description.wiring.nodes(element);
            [from, to].into_iter().any(|node| {
                let others: Vec<_> = description.wiring.at(node).iter().filter(|other| **other != id).collect();
                matches!(others.as_slice(), [only] if matches!(machine.element(**only).law, Law::Capacitance | Law::Junction))
            })
        })
}
