//! Stored charge in words: names, waiting times and discharge tools as paper says them.

use super::Material;
use crate::hazards::{self, StoredCharge};
use crate::words::figures::UNKNOWN;

/// All charges of a machine worth a word, in the order of the parts.
#[must_use]
pub fn stored_charges(material: &Material<'_>) -> Vec<StoredCharge> {
    hazards::stored_charges(material.solver, material.solution)
}

/// How paper names what holds a charge.
#[must_use]
pub fn name(material: &Material<'_>, charge: &StoredCharge) -> String {
    let part = &material.machine.part(charge.part).id;
    if charge.reservoir {
        material.options.words.fill("discharge.reservoir", &[("supply", part)])
    } else {
        part.clone()
    }
}

/// The waiting time as it is printed: until an ohmmeter may be joined.
#[must_use]
pub fn wait_text(material: &Material<'_>, charge: &StoredCharge) -> String {
    let numerals = material.options.words.numerals;
    charge.wait.map_or_else(|| UNKNOWN.into(), |wait| numerals.duration(wait.to_meter.value()))
}

/// The discharge tool in words.
#[must_use]
pub fn tool_text(material: &Material<'_>, charge: &StoredCharge) -> String {
    let words = &material.options.words;
    words.fill("discharge.tool", &[("ohms", &words.numerals.quantity(charge.tool()))])
}
