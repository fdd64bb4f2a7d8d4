//! Coil and contact table: what every winding measures and gets, and which sequences every contact serves.
//!
//! Ohms stand cold with one lead lifted, warm by the copper rule R (234.5 + T)/(234.5 + T0), and in circuit as an ohmmeter
//! shows them past everything that lies in parallel. Volts are those of the sequence in which the winding gets
//! least at worst.

use serde::Serialize;
use serde_json::{Value, json};

use super::common::{self, mark};
use super::{DocumentKind, Material, Sheet, signal_paths};
use crate::circuit::results::DeviceReading;
use crate::drawing;
use crate::machine::model::{
    Coil, Contact, ContactForm, Current, ElementId, Gate, Law, Machine, NoteSubject, PartId, PartKind, SequenceId,
};
use crate::spec::units::Ohms;
use crate::sums::tables::conductors::{self, WARM_WINDING};
use crate::words::figures;

/// A reading in circuit is told apart from one with a lead lifted when they differ by more than this share.
const DIFFERS: f64 = 0.02;

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Winding {
    id: String,
    label: Option<String>,
    location: Option<String>,
    kind: &'static str,
    current: String,
    cold: String,
    cold_low: String,
    cold_high: String,
    /// None where nobody knows the ohms.
    mark: Option<&'static str>,
    warm: String,
    in_circuit: String,
    /// Whether something in parallel changes what an ohmmeter shows unless a lead is lifted.
    lift: bool,
    nominal: String,
    operate: String,
    release: String,
    gets: String,
    gets_low: String,
    gets_high: String,
    milliamps: String,
    sequences: String,
    /// Whether it gets less than it needs on some healthy machine.
    short_of_volts: bool,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Stack {
    id: String,
    label: Option<String>,
    location: Option<String>,
    moved_by: Option<String>,
    moves_in: String,
    rows: Vec<ContactRow>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct ContactRow {
    terminals: String,
    form: &'static str,
    from: String,
    to: String,
    wires: Vec<String>,
    closed_in: String,
    serves: String,
    used: bool,
}

/// Composes the table.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    let mut drawings = Vec::new();
    let mut body = body(material);
    body["selectors"] = selectors(material, &mut drawings).into();
    super::sheet(material, DocumentKind::CoilTable, body, drawings)
}

/// Every selector, drawn as it stands in the first sequence that sets it, with the sequences of every position.
fn selectors(material: &Material<'_>, drawings: &mut Vec<(String, String)>) -> Vec<Value> {
    let machine = material.machine;
    let parts = (0..machine.parts.len()).map(PartId);
    parts
        .filter_map(|id| {
            let position = machine.sequences.iter().find_map(|sequence| sequence.setting.positions.get(&id));
            let drawn = drawing::selector(machine, id, position.map_or(&[], Vec::as_slice), &material.options.words)?;
            let part = machine.part(id);
            Some(json!({
                "name": common::part_name(part),
                "location": part.location,
                "figure": signal_paths::figure(drawn, drawings),
            }))
        })
        .collect()
}

/// Data of the table.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let numerals = material.options.words.numerals;
    json!({
        "ambient": numerals.quantity(material.machine.identity.ambient),
        "warm": numerals.quantity(WARM_WINDING),
        "meter": common::meter_text(&material.machine.meter, &material.options.words),
        "windings": windings(material),
        "stacks": stacks(material),
        "remarks": common::remarks(material),
    })
}

fn windings(material: &Material<'_>) -> Vec<Winding> {
    let machine = material.machine;
    let mut rows = Vec::new();
    for (index, part) in machine.parts.iter().enumerate() {
        let id = PartId(index);
        for &element in &part.elements {
            let coil = match (&machine.element(element).law, &part.kind) {
                (Law::Winding, PartKind::Relay(relay)) => Some((&relay.coil, "relay")),
                (Law::ResetWinding, PartKind::Relay(relay)) => relay.reset.as_ref().map(|coil| (coil, "reset")),
                (Law::Winding, PartKind::Solenoid(coil)) => Some((coil, "solenoid")),
                (Law::Winding, PartKind::Motor(coil)) => Some((coil, "motor")),
                _ => None,
            };
            if let Some((coil, kind)) = coil {
                rows.push(winding(material, id, element, coil, kind));
            }
        }
    }
    rows
}

fn winding(material: &Material<'_>, id: PartId, element: ElementId, coil: &Coil, kind: &'static str) -> Winding {
    let numerals = material.options.words.numerals;
    let part = material.machine.part(id);
    let cold = &coil.resistance;
    let least = least_served(material, element);
    let in_circuit = material.dead_ohms(element).filter(|_| coil.ohms_known);
    let ohms = |ohms: Ohms| if coil.ohms_known { numerals.ohms(ohms.value()) } else { figures::UNKNOWN.into() };
    let working: Vec<SequenceId> = working_in(material, element);
    Winding {
        id: part.id.clone(),
        label: part.label.clone(),
        location: part.location.clone(),
        kind,
        current: common::current(&material.options.words, coil.current),
        cold: ohms(cold.nominal),
        cold_low: ohms(cold.low),
        cold_high: ohms(cold.high),
        mark: coil.ohms_known.then(|| mark(cold.origin)),
        warm: ohms(conductors::copper_at(cold.nominal, material.machine.identity.ambient, WARM_WINDING)),
        lift: coil.ohms_known && in_circuit.is_some_and(|ohms| (ohms - cold.nominal).abs() > cold.nominal * DIFFERS),
        in_circuit: in_circuit.map_or_else(|| figures::UNKNOWN.into(), |ohms| numerals.ohms(ohms.value())),
        nominal: numerals.three_figures(coil.nominal.value()),
        operate: numerals.three_figures(coil.operate.value()),
        release: numerals.three_figures(coil.release.value()),
        gets: least.map_or_else(|| figures::UNKNOWN.into(), |device| numerals.volts(device.volts.abs())),
        gets_low: band_edge(material, least, true),
        gets_high: band_edge(material, least, false),
        milliamps: least.map_or_else(|| figures::UNKNOWN.into(), |device| numerals.milliamps(device.amps.abs())),
        sequences: common::sequence_numbers(material.machine, &working),
        short_of_volts: devices(material, element).any(|device| device.operates_at_worst == Some(false)),
        notes: winding_notes(material, id, coil),
    }
}

fn winding_notes(material: &Material<'_>, id: PartId, coil: &Coil) -> Vec<String> {
    let words = &material.options.words;
    let mut notes = Vec::new();
    if !coil.ohms_known {
        notes.push(words.get("coils.ohms-unknown"));
    }
    if coil.current == Current::Alternating {
        notes.push(match &coil.impedance {
            Some(impedance) => words.fill("coils.impedance", &[("ohms", &words.numerals.quantity(impedance.nominal))]),
            None => words.get("coils.alternating"),
        });
    }
    if let Some(duty) = &coil.duty {
        notes.push(words.fill("coils.duty", &[("duty", duty)]));
    }
    notes.extend(common::notes_about(material.machine, NoteSubject::Part(id)));
    notes.extend(common::findings_of_part(material, id).into_iter().map(|finding| format!("▲ {finding}")));
    notes
}

/// Sequences in which the winding does its work.
fn working_in(material: &Material<'_>, element: ElementId) -> Vec<SequenceId> {
    let sequences = material.solution.sequences.iter();
    sequences
        .filter(|solved| solved.devices.iter().any(|device| device.element == element && device.operates == Some(true)))
        .map(|solved| solved.sequence)
        .collect()
}

/// A winding in all sequences.
fn devices<'a>(material: &'a Material<'_>, element: ElementId) -> impl Iterator<Item = &'a DeviceReading> {
    let devices = material.solution.sequences.iter().flat_map(|solved| &solved.devices);
    devices.filter(move |device| device.element == element)
}

/// The winding in the sequence in which it does its work on the fewest volts, on the healthy machine that gives it least.
fn least_served<'a>(material: &'a Material<'_>, element: ElementId) -> Option<&'a DeviceReading> {
    devices(material, element)
        .filter(|device| device.operates == Some(true))
        .min_by(|one, other| one.least_volts().total_cmp(&other.least_volts()))
}

/// One edge of the band of a device's volts, as a magnitude.
fn band_edge(material: &Material<'_>, device: Option<&DeviceReading>, low: bool) -> String {
    let numerals = material.options.words.numerals;
    device.filter(|device| device.band.is_some()).map_or_else(
        || figures::UNKNOWN.into(),
        |device| numerals.volts(if low { device.least_volts() } else { device.most_volts() }),
    )
}

/// Every relay, switch and cam with its contacts.
fn stacks(material: &Material<'_>) -> Vec<Stack> {
    let machine = material.machine;
    let parts = (0..machine.parts.len()).map(PartId);
    parts
        .filter_map(|id| {
            let part = machine.part(id);
            let (contacts, moved_by): (&[Contact], Option<String>) = match &part.kind {
                PartKind::Relay(relay) => (&relay.contacts, None),
                PartKind::Switch(switch) | PartKind::Cam(switch) => {
                    let motor = switch.driven_by.map(|motor| machine.part(motor).id.clone());
                    (&switch.contacts, switch.operated_by.clone().or(switch.timing.clone()).or(motor))
                }
                _ => return None,
            };
            Some(Stack {
                id: part.id.clone(),
                label: part.label.clone(),
                location: part.location.clone(),
                moved_by,
                moves_in: common::sequence_numbers(machine, &moved_in(material, id)),
                rows: contact_rows(material, id, contacts),
            })
        })
        .filter(|stack| !stack.rows.is_empty())
        .collect()
}

/// Sequences in which a relay is in, or a switch or cam is operated.
fn moved_in(material: &Material<'_>, id: PartId) -> Vec<SequenceId> {
    let solved = material.solution.sequences.iter();
    solved
        .filter(|solved| {
            solved.energised.contains(&id)
                || material.machine.sequences[solved.sequence.0].setting.operated.contains(&id)
        })
        .map(|solved| solved.sequence)
        .collect()
}

fn contact_rows(material: &Material<'_>, id: PartId, contacts: &[Contact]) -> Vec<ContactRow> {
    let machine = material.machine;
    let mut rows: Vec<ContactRow> = machine
        .part(id)
        .elements
        .iter()
        .filter_map(|&element| match &machine.element(element).law {
            Law::Contact { gate, .. } => Some(contact_row(material, element, gate)),
            _ => None,
        })
        .collect();
    rows.extend(contacts.iter().filter(|contact| !is_wired(machine, id, contact)).map(|contact| ContactRow {
        terminals: contact.terminals.clone(),
        form: match contact.form {
            ContactForm::Make => "make",
            ContactForm::Break => "break",
            ContactForm::ChangeOver => "change-over",
        },
        from: figures::UNKNOWN.into(),
        to: figures::UNKNOWN.into(),
        wires: Vec::new(),
        closed_in: String::new(),
        serves: String::new(),
        used: false,
    }));
    rows
}

/// Whether a run goes through a contact.
fn is_wired(machine: &Machine, id: PartId, contact: &Contact) -> bool {
    let terminals: Vec<&str> = contact.terminals.split('-').collect();
    machine.part(id).elements.iter().any(|&element| {
        let element = machine.element(element);
        let Some((_, used)) = element.name.split_once(':') else {
            return matches!(element.law, Law::Contact { .. });
        };
        matches!(element.law, Law::Contact { .. }) && used.split('-').all(|terminal| terminals.contains(&terminal))
    })
}

fn contact_row(material: &Material<'_>, id: ElementId, gate: &Gate) -> ContactRow {
    let machine = material.machine;
    let element = machine.element(id);
    let make = match gate {
        Gate::Relay { when_energised, .. } => *when_energised,
        Gate::Hand { when_operated, .. } => *when_operated,
        Gate::Wiper { .. } => true,
    };
    let sequences = |wanted: &dyn Fn(SequenceId) -> bool| {
        let chosen: Vec<SequenceId> =
            material.solution.sequences.iter().map(|solved| solved.sequence).filter(|id| wanted(*id)).collect();
        common::sequence_numbers(machine, &chosen)
    };
    let mut wires = common::wires_at(machine, element.from);
    wires.extend(common::wires_at(machine, element.to));
    ContactRow {
        terminals: element.name.split_once(':').map_or_else(|| element.name.clone(), |(_, pins)| pins.to_string()),
        form: if make { "make" } else { "break" },
        from: common::beyond(machine, element.from, id),
        to: common::beyond(machine, element.to, id),
        wires,
        closed_in: sequences(&|sequence| common::is_closed(material, gate, sequence)),
        serves: common::sequence_numbers(machine, &common::carrying(material, id)),
        used: true,
    }
}
