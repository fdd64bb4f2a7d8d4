//! What lies across coils: nothing, a diode the wrong way round or too small, or a plain diode across an AC coil.

use super::prelude::*;
use crate::sums::diode_replacement::REVERSE_MARGIN;

/// The rule for coils without any suppression.
pub static MISSING: Rule = Rule {
    name: "suppressor-missing",
    summary: "nothing takes the kick of a DC coil that a contact switches",
    check: Check::Description(check_missing),
};

/// The rule for plain diodes across AC coils.
pub static ACROSS_AC: Rule = Rule {
    name: "diode-across-ac-coil",
    summary: "a plain diode lies across a coil made for AC",
    check: Check::Description(check_across_ac),
};

/// The rule for ratings.
pub static TOO_SMALL: Rule = Rule {
    name: "suppressor-too-small",
    summary: "a suppressor diode stands less than its coil's current or twice the supply",
    check: Check::Circuit(check_ratings),
};

/// The rule for direction.
pub static REVERSED: Rule = Rule {
    name: "suppressor-reversed",
    summary: "a suppressor diode conducts while its coil should be energised",
    check: Check::Circuit(check_reversed),
};

/// The chains of suppressor parts across a winding, such as a diode, or a resistor and a capacitor.
fn across(description: &Description, winding: &Element) -> Vec<Vec<ElementId>> {
    let machine = description.machine;
    let (from, to) = description.wiring.nodes(winding);
    description.wiring.chains(machine, from, to, 3, |_, element| {
        matches!(machine.part(element.part).kind, PartKind::Diode(_) | PartKind::Capacitor(_) | PartKind::Resistor(_))
    })
}

/// Windings of relays and solenoids, with their part and data.
fn windings<'a>(description: &Description<'a>) -> Vec<(PartId, &'a Element, &'a Coil)> {
    let machine = description.machine;
    description
        .elements()
        .filter_map(|(_, element)| match (&machine.part(element.part).kind, &element.law) {
            (PartKind::Relay(relay), Law::Winding) => Some((element.part, element, &relay.coil)),
            (PartKind::Relay(relay), Law::ResetWinding) => Some((element.part, element, relay.reset.as_ref()?)),
            (PartKind::Solenoid(coil), Law::Winding) => Some((element.part, element, coil)),
            _ => None,
        })
        .collect()
}

/// One finding for all such coils: a machine of the 1950s has none at all, and one line says so.
fn check_missing(description: &Description, findings: &mut Vec<Finding>) {
    let bare: Vec<_> = windings(description)
        .into_iter()
        .filter(|(_, element, coil)| coil.current == Current::Direct && across(description, element).is_empty())
        .collect();
    let Some((first, ..)) = bare.first() else { return };
    let names = Value::all(bare.iter().map(|(_, element, _)| format!("`{}`", element.name)));
    findings.push(Finding::of_part(&MISSING, Severity::Remark, description.machine, *first).saying(
        fact!("audit.suppressor-missing.message", count = bare.len(), coils = names),
        fact!("audit.suppressor-missing.advice"),
    ));
}

/// The plain diodes of a chain; a Zener diode is not plain.
fn plain_diodes<'a>(machine: &'a Machine, chain: &[ElementId]) -> Vec<(ElementId, &'a Diode)> {
    chain
        .iter()
        .filter_map(|id| match &machine.part(machine.element(*id).part).kind {
            PartKind::Diode(diode) if diode.zener.is_none() => Some((*id, diode)),
            _ => None,
        })
        .collect()
}

fn check_across_ac(description: &Description, findings: &mut Vec<Finding>) {
    let machine = description.machine;
    for (_, element, coil) in windings(description) {
        if coil.current != Current::Alternating {
            continue;
        }
        for chain in across(description, element) {
            // One diode alone rectifies; two against each other, or one behind a resistor, do less harm.
            let [only] = chain.as_slice() else { continue };
            for (id, _) in plain_diodes(machine, &[*only]) {
                let diode = machine.element(id).part;
                findings.push(Finding::of_part(&ACROSS_AC, Severity::Hazard, machine, diode).saying(
                    fact!("audit.diode-across-ac-coil.message", diode = &machine.part(diode).id, coil = &element.name),
                    fact!("audit.diode-across-ac-coil.advice"),
                ));
            }
        }
    }
}

fn check_ratings(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, element, coil) in windings(circuit.description) {
        if coil.current != Current::Direct {
            continue;
        }
        let devices = circuit.devices(part);
        let largest = |amount: fn(&DeviceReading) -> f64| {
            devices.iter().map(|(_, device)| amount(device).abs()).fold(0.0, f64::max)
        };
        let (volts, amps) = (largest(|device| device.volts), largest(|device| device.amps));
        for chain in across(circuit.description, element) {
            for (id, diode) in plain_diodes(machine, &chain) {
                let owner = machine.element(id).part;
                rate(machine, owner, diode, Volts::new(volts), Amperes::new(amps), findings);
            }
        }
    }
}

fn rate(machine: &Machine, part: PartId, diode: &Diode, volts: Volts, amps: Amperes, findings: &mut Vec<Finding>) {
    let id = &machine.part(part).id;
    if let Some(forward) = diode.forward.filter(|forward| *forward < amps) {
        findings.push(Finding::of_part(&TOO_SMALL, Severity::Defect, machine, part).saying(
            fact!("audit.suppressor-too-small.forward", diode = id, forward = forward, current = amps),
            fact!("audit.suppressor-too-small.advice", least = amps),
        ));
    }
    if let Some(reverse) = diode.reverse.filter(|reverse| *reverse < volts * REVERSE_MARGIN) {
        let severity = if reverse < volts { Severity::Defect } else { Severity::Remark };
        findings.push(Finding::of_part(&TOO_SMALL, severity, machine, part).saying(
            fact!("audit.suppressor-too-small.reverse", diode = id, reverse = reverse, volts = volts),
            fact!("audit.suppressor-too-small.advice", least = volts * REVERSE_MARGIN),
        ));
    }
}

fn check_reversed(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for (part, element, coil) in windings(circuit.description) {
        if coil.current != Current::Direct {
            continue;
        }
        for chain in across(circuit.description, element) {
            let [only] = chain.as_slice() else { continue };
            for (id, _) in plain_diodes(machine, &[*only]) {
                let solved = circuit.solution.sequences.iter();
                let sequences: Vec<_> =
                    solved.filter(|solved| shorts(circuit, solved, id, coil)).map(|solved| solved.sequence).collect();
                if !sequences.is_empty() {
                    report_reversed(machine, machine.element(id).part, part, sequences, findings);
                }
            }
        }
    }
}

/// Whether a diode takes the current of the coil that it lies across: it conducts, or a fuse opened, and without the diode
/// the coil would have its volts with the anode on the positive side.
fn shorts(circuit: &Circuit, solved: &SequenceSolution, diode: ElementId, coil: &Coil) -> bool {
    if !solved.conducting.contains(&diode) && solved.opened.is_empty() {
        return false;
    }
    let element = circuit.machine().element(diode);
    let without = circuit.solver.faulted(circuit.solution, solved.sequence, &[Change::Open(diode)]);
    let volts = without.joints[element.from.0].direct - without.joints[element.to.0].direct;
    volts > 0.25 * coil.nominal.value().abs()
}

fn report_reversed(
    machine: &Machine,
    diode: PartId,
    coil: PartId,
    sequences: Vec<SequenceId>,
    findings: &mut Vec<Finding>,
) {
    let when = during(machine, &sequences);
    findings.push(Finding::of_part(&REVERSED, Severity::Hazard, machine, diode).during(sequences).saying(
        fact!(
            "audit.suppressor-reversed.message",
            diode = &machine.part(diode).id,
            coil = &machine.part(coil).id,
            when = when,
        ),
        fact!("audit.suppressor-reversed.advice"),
    ));
}
