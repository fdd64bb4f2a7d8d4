//! Whether two parts that are called twins may stand in for each other.

use super::model::{Coil, Contact, Machine, PartId, PartKind, Toleranced};
use crate::spec::units::{Ohms, Unit};

/// What keeps two parts from being swapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Difference {
    /// They are parts of different kinds, such as a relay and a switch.
    Kind,
    /// Their coils differ in volts, current or ohms.
    Coil,
    /// One has a second coil, or the second coils differ.
    ResetCoil,
    /// The same terminals are contacts of different forms.
    Contacts,
    /// Their rated values differ.
    Values,
}

impl Difference {
    /// Name of its words.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Kind => "kind",
            Self::Coil => "coil",
            Self::ResetCoil => "reset-coil",
            Self::Contacts => "contacts",
            Self::Values => "values",
        }
    }
}

/// The first difference that matters between two parts; none where one may be put in the place of the other.
#[must_use]
pub fn difference(machine: &Machine, one: PartId, other: PartId) -> Option<Difference> {
    let found = |same: bool, difference: Difference| (!same).then_some(difference);
    match (&machine.part(one).kind, &machine.part(other).kind) {
        (PartKind::Relay(one), PartKind::Relay(other)) => {
            let resets = match (&one.reset, &other.reset) {
                (Some(one), Some(other)) => same_coil(one, other),
                (None, None) => true,
                _ => false,
            };
            found(same_coil(&one.coil, &other.coil), Difference::Coil)
                .or(found(resets, Difference::ResetCoil))
                .or(found(same_contacts(&one.contacts, &other.contacts), Difference::Contacts))
        }
        (PartKind::Solenoid(one), PartKind::Solenoid(other)) | (PartKind::Motor(one), PartKind::Motor(other)) => {
            found(same_coil(one, other), Difference::Coil)
        }
        (PartKind::Resistor(one), PartKind::Resistor(other)) => {
            found(same(&one.resistance, &other.resistance), Difference::Values)
        }
        (PartKind::Lamp(one), PartKind::Lamp(other)) => {
            found(one.nominal == other.nominal && same(&one.current, &other.current), Difference::Values)
        }
        (PartKind::Fuse(one), PartKind::Fuse(other)) => {
            found(one.rated == other.rated && one.speed == other.speed, Difference::Values)
        }
        (PartKind::Speaker(one), PartKind::Speaker(other)) => {
            found(same(&one.impedance, &other.impedance), Difference::Values)
        }
        (PartKind::Capacitor(one), PartKind::Capacitor(other)) => {
            found(same(&one.capacitance, &other.capacitance), Difference::Values)
        }
        (one, other) => found(std::mem::discriminant(one) == std::mem::discriminant(other), Difference::Kind),
    }
}

/// Coils for the same volts and current whose healthy ohms are the same but for rounding: one value on two papers may
/// differ by that.
fn same_coil(one: &Coil, other: &Coil) -> bool {
    one.nominal == other.nominal && one.current == other.current && same::<Ohms>(&one.resistance, &other.resistance)
}

/// Values within a twentieth of each other; common practice, no source.
fn same<U: Unit>(one: &Toleranced<U>, other: &Toleranced<U>) -> bool {
    let (one, other) = (one.nominal.value(), other.nominal.value());
    (one - other).abs() <= 0.05 * one.abs().max(other.abs())
}

/// No terminals in different forms. A contact that only one of them lists says nothing: a description names the contacts
/// that are wired.
fn same_contacts(one: &[Contact], other: &[Contact]) -> bool {
    let contradicts =
        |mine: &Contact| other.iter().any(|theirs| theirs.terminals == mine.terminals && theirs.form != mine.form);
    !one.iter().any(contradicts)
}
