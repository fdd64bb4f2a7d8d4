//! Parts list: every part but the wires, with its values, where each comes from, where it sits, and where it is needed.
//!
//! A value has the mark of its origin and the number of the source that says so, so that it can be looked up. Parts that
//! were declared together share a line.

use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::{Value, json};

use super::{DocumentKind, Material, Sheet, common, sources};
use crate::circuit::path;
use crate::machine::model::{Coil, Origin, Part, PartId, PartKind, SequenceId, Toleranced};
use crate::spec::units::Unit;
use crate::words::Numerals;

#[derive(Debug, Serialize)]
struct PartLine {
    id: String,
    what: String,
    values: Vec<ValueText>,
    place: Option<String>,
    sequences: String,
}

#[derive(Debug, Serialize)]
struct ValueText {
    text: String,
    mark: &'static str,
    source: Option<String>,
}

/// A value of a part in figures, with where it comes from.
pub(super) struct PartValue {
    /// The value with its unit.
    pub(super) text: String,
    /// Where it comes from.
    pub(super) origin: Origin,
    /// The paper that says so.
    pub(super) source: Option<String>,
}

impl PartValue {
    /// The value behind the symbol that tells it from the other values of its part.
    fn under(mut self, symbol: &str) -> Self {
        self.text = format!("{symbol} {}", self.text);
        self
    }
}

/// Composes the list.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::PartsList, body(material), Vec::new())
}

/// Data of the list.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let machine = material.machine;
    let sources = sources::all(machine);
    let needed: Vec<BTreeSet<PartId>> = (0..machine.sequences.len())
        .map(|index| path::needed_parts(machine, material.solution, SequenceId(index)).into_iter().collect())
        .collect();
    let lines: Vec<PartLine> = (0..machine.parts.len())
        .map(PartId)
        .filter(|&id| !matches!(machine.part(id).kind, PartKind::Wire(_)))
        .filter(|&id| machine.declared_with(id).first() == Some(&id))
        .map(|id| line(material, id, &sources, &needed))
        .collect();
    json!({ "parts": lines, "sources": sources })
}

fn line(material: &Material<'_>, id: PartId, sources: &[String], needed: &[BTreeSet<PartId>]) -> PartLine {
    let machine = material.machine;
    let part = machine.part(id);
    let words = &material.options.words;
    let kind = words.get(&format!("parts.kind.{}", part.kind.name()));
    let together = machine.declared_with(id);
    let serves: Vec<SequenceId> = (0..needed.len())
        .filter(|&sequence| together.iter().any(|part| needed[sequence].contains(part)))
        .map(SequenceId)
        .collect();
    PartLine {
        id: common::group_name(part),
        what: part.label.as_ref().map_or_else(|| kind.clone(), |label| format!("{kind}: {label}")),
        values: values(part, words.numerals).into_iter().map(|value| value_text(value, sources)).collect(),
        place: part.location.clone(),
        sequences: common::sequence_numbers(machine, &serves),
    }
}

fn value_text(value: PartValue, sources: &[String]) -> ValueText {
    let number = value.source.and_then(|source| sources.iter().position(|known| *known == source));
    ValueText {
        text: value.text,
        mark: common::mark(value.origin),
        source: number.map(|number| (number + 1).to_string()),
    }
}

/// The values of one part that somebody may have to look up: those that its kind is known by.
pub(super) fn values(part: &Part, numerals: Numerals) -> Vec<PartValue> {
    let list = ValueList { part, numerals };
    match &part.kind {
        PartKind::Supply(supply) => vec![list.own(&supply.rated), list.own(&supply.internal).under("Ri")],
        PartKind::Fuse(fuse) => {
            vec![list.plain([
                fuse.speed.clone(),
                Some(numerals.quantity(fuse.rated)),
                fuse.body.as_ref().map(|body| body.replace('x', "\u{d7}")),
            ])]
        }
        PartKind::Relay(relay) => list
            .coil(&relay.coil)
            .into_iter()
            .chain(
                relay.reset.iter().filter(|coil| coil.ohms_known).map(|coil| list.own(&coil.resistance).under("B1-B2")),
            )
            .collect(),
        PartKind::Solenoid(coil) | PartKind::Motor(coil) => list.coil(coil),
        PartKind::Lamp(lamp) => vec![list.plain([Some(numerals.quantity(lamp.nominal))]), list.own(&lamp.current)],
        PartKind::Resistor(resistor) => {
            let power = resistor.power.map(|power| list.plain([Some(numerals.quantity(power))]));
            std::iter::once(list.own(&resistor.resistance)).chain(power).collect()
        }
        PartKind::Capacitor(capacitor) => {
            let volts = capacitor.voltage.map(|volts| list.plain([Some(numerals.quantity(volts))]));
            std::iter::once(list.own(&capacitor.capacitance)).chain(volts).collect()
        }
        PartKind::Inductor(inductor) => vec![list.own(&inductor.inductance), list.own(&inductor.resistance)],
        PartKind::Speaker(speaker) => vec![list.own(&speaker.impedance), list.own(&speaker.resistance)],
        PartKind::Diode(diode) => {
            let ratings = [
                diode.reverse.map(|volts| numerals.quantity(volts)),
                diode.forward.map(|amps| numerals.quantity(amps)),
            ];
            let given = ratings.iter().any(Option::is_some);
            given.then(|| list.plain(ratings)).into_iter().collect()
        }
        PartKind::Plug(plug) => plug.pattern.iter().map(|pattern| list.plain([Some(pattern.clone())])).collect(),
        PartKind::Switch(_) | PartKind::Cam(_) | PartKind::Selector(_) | PartKind::Wire(_) => Vec::new(),
    }
}

/// Puts values of a part into figures; a value without a source of its own has that of its part.
struct ValueList<'a> {
    part: &'a Part,
    numerals: Numerals,
}

impl ValueList<'_> {
    fn own<U: Unit>(&self, value: &Toleranced<U>) -> PartValue {
        let stated = value.origin != Origin::Default;
        PartValue {
            text: self.numerals.quantity(value.nominal),
            origin: value.origin,
            source: value.source.clone().or_else(|| self.part.source.clone()).filter(|_| stated),
        }
    }

    fn plain<const COUNT: usize>(&self, texts: [Option<String>; COUNT]) -> PartValue {
        let texts: Vec<String> = texts.into_iter().flatten().collect();
        PartValue { text: texts.join(" "), origin: self.part.origin, source: self.part.source.clone() }
    }

    fn coil(&self, coil: &Coil) -> Vec<PartValue> {
        let impedance = coil.impedance.iter().map(|impedance| self.own(impedance).under("Z"));
        let volts = self.plain([Some(self.numerals.quantity(coil.nominal))]);
        std::iter::once(volts).chain(coil.ohms_known.then(|| self.own(&coil.resistance))).chain(impedance).collect()
    }
}
