//! Wire table: every wire by its number, with colour, size, both ends, and the sequences in which it carries current.

use serde::Serialize;
use serde_json::{Value, json};

use super::common;
use super::{DocumentKind, Material, Sheet};
use crate::machine::model::{ElementId, PartKind};

#[derive(Debug, Serialize)]
struct WireLine {
    id: String,
    colour: Option<String>,
    /// Empty where all wires are of one size, which is then said once.
    size: Option<String>,
    from: String,
    to: String,
    carries: String,
}

/// Composes the table.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::WireTable, body(material), Vec::new())
}

/// Data of the table.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let mut wires: Vec<WireLine> =
        (0..material.machine.elements.len()).filter_map(|index| wire(material, ElementId(index))).collect();
    let first = wires.first().and_then(|wire| wire.size.clone());
    let uniform = wires.iter().all(|wire| wire.size == first);
    if uniform {
        for wire in &mut wires {
            wire.size = None;
        }
    }
    json!({ "sizes": !uniform, "size": first.filter(|_| uniform), "wires": wires })
}

fn wire(material: &Material<'_>, id: ElementId) -> Option<WireLine> {
    let machine = material.machine;
    let element = machine.element(id);
    let PartKind::Wire(wire) = &machine.part(element.part).kind else { return None };
    let numerals = material.options.words.numerals;
    let carries = common::carrying(material, id);
    let size = wire.size_text.clone().or_else(|| wire.size.map(|size| numerals.quantity(size)));
    Some(WireLine {
        id: machine.part(element.part).id.clone(),
        colour: common::wire_colour(wire),
        size: size.map(|size| size.replace("mm2", "mm²")),
        from: common::beyond(machine, element.from, id),
        to: common::beyond(machine, element.to, id),
        carries: common::sequence_numbers(machine, &carries),
    })
}
