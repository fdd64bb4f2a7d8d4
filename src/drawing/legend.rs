//! The symbols that a machine's drawings use, each with its name: the legend of a pack.

use super::canvas::{Anchor, Canvas};
use super::symbols::{Actuator, Form, Symbol, SymbolStyle};
use super::text::{Face, width};
use super::{Drawing, NOTE, Style};
use crate::machine::model::{Current, Machine, PartKind};

/// Height of a row.
const ROW: f64 = 15.5;
/// Room for a symbol before its name.
const SYMBOL: f64 = 22.0;
/// Between two columns.
const GUTTER: f64 = 6.0;
/// Height above a symbol's line within its row.
const ABOVE: f64 = 10.0;

/// One symbol, drawn alone.
#[must_use]
pub fn symbol(symbol: Symbol, style: SymbolStyle, name: &str) -> Drawing {
    let extent = symbol.extent(style);
    let (wide, high) = (2.0 * extent.half + 1.0, extent.up + extent.down + 1.0);
    let mut canvas = Canvas::new();
    symbol.draw(&mut canvas, style, (wide / 2.0, extent.up + 0.5));
    canvas.finish(name.to_string(), wide, high)
}

/// All symbols that a machine's drawings use, in columns over the width of the style. None for a machine without parts.
#[must_use]
pub fn legend(machine: &Machine, style: &Style<'_>) -> Option<Drawing> {
    let entries = entries(machine);
    let words = style.words;
    let names: Vec<String> = entries.iter().map(|(key, _)| words.get(key)).collect();
    let widest = names.iter().map(|name| width(name, Face::Regular, NOTE)).fold(0.0, f64::max);
    let column = SYMBOL + widest + GUTTER;
    let columns = columns_in(style.width, column).min(entries.len());
    if columns == 0 {
        return None;
    }
    let rows = entries.len().div_ceil(columns);
    let mut canvas = Canvas::new();
    for (index, ((_, symbol), name)) in entries.iter().zip(&names).enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a few dozen symbols")]
        let (x, y) = ((index / rows) as f64 * column, (index % rows) as f64 * ROW + ABOVE);
        symbol.draw(&mut canvas, style.symbols, (x + SYMBOL / 2.0 - 1.0, y));
        canvas.text((x + SYMBOL, y + 1.1), Anchor::Start, Face::Regular, NOTE, name);
    }
    #[expect(clippy::cast_precision_loss, reason = "a few dozen symbols")]
    let (wide, high) = (columns as f64 * column - GUTTER, rows as f64 * ROW + 2.0);
    let alt = words.fill("drawing.alt-legend", &[("symbols", &names.join(", "))]);
    Some(canvas.finish(alt, wide, high))
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a page holds a handful of columns")]
fn columns_in(wide: f64, column: f64) -> usize {
    ((wide + GUTTER) / column).floor().max(1.0) as usize
}

/// Symbols in use, by the key of their name, in a fixed order.
fn entries(machine: &Machine) -> Vec<(&'static str, Symbol)> {
    let has = |test: fn(&PartKind) -> bool| machine.parts.iter().any(|part| test(&part.kind));
    all().into_iter().filter(|(_, _, test)| has(*test)).map(|(key, symbol, _)| (key, symbol)).collect()
}

type Entry = (&'static str, Symbol, fn(&PartKind) -> bool);

fn contact(form: Form, closed: bool, actuator: Actuator) -> Symbol {
    Symbol::Contact { form, closed, actuator, hinge_right: false }
}

/// Every symbol of a legend and the kind of part that brings it.
fn all() -> Vec<Entry> {
    vec![
        (
            "symbol.direct",
            Symbol::Direct { positive_left: false },
            |kind| matches!(kind, PartKind::Supply(supply) if supply.current == Current::Direct && supply.rectifier.is_none()),
        ),
        (
            "symbol.alternating",
            Symbol::Alternating,
            |kind| matches!(kind, PartKind::Supply(supply) if supply.current == Current::Alternating && supply.rectifier.is_none()),
        ),
        (
            "symbol.rectified",
            Symbol::Rectified,
            |kind| matches!(kind, PartKind::Supply(supply) if supply.rectifier.is_some()),
        ),
        ("symbol.fuse", Symbol::Fuse { opened: false }, |kind| matches!(kind, PartKind::Fuse(_))),
        ("symbol.pin", Symbol::Pin, |kind| matches!(kind, PartKind::Plug(_))),
        ("symbol.make-open", contact(Form::Make, false, Actuator::Relay), |kind| matches!(kind, PartKind::Relay(_))),
        ("symbol.make-closed", contact(Form::Make, true, Actuator::Relay), |kind| matches!(kind, PartKind::Relay(_))),
        ("symbol.break-closed", contact(Form::Break, true, Actuator::Relay), |kind| matches!(kind, PartKind::Relay(_))),
        ("symbol.break-open", contact(Form::Break, false, Actuator::Relay), |kind| matches!(kind, PartKind::Relay(_))),
        ("symbol.change-over", contact(Form::ChangeOverMake, true, Actuator::Relay), |kind| {
            matches!(kind, PartKind::Relay(_))
        }),
        ("symbol.switch", contact(Form::Break, true, Actuator::Hand), |kind| matches!(kind, PartKind::Switch(_))),
        ("symbol.cam", contact(Form::Make, true, Actuator::Cam), |kind| matches!(kind, PartKind::Cam(_))),
        ("symbol.bank", Symbol::Bank { form: Form::Break, closed: true, actuator: Actuator::Hand }, |kind| {
            matches!(kind, PartKind::Switch(_))
        }),
        ("symbol.selector", Symbol::Selector { two_rings: true, closed: true }, |kind| {
            matches!(kind, PartKind::Selector(_))
        }),
        ("symbol.relay", Symbol::RelayCoil, |kind| matches!(kind, PartKind::Relay(_))),
        ("symbol.solenoid", Symbol::Solenoid, |kind| matches!(kind, PartKind::Solenoid(_))),
        ("symbol.motor", Symbol::Motor { alternating: true }, |kind| matches!(kind, PartKind::Motor(_))),
        ("symbol.lamp", Symbol::Lamp, |kind| matches!(kind, PartKind::Lamp(_))),
        ("symbol.resistor", Symbol::Resistor, |kind| matches!(kind, PartKind::Resistor(_))),
        ("symbol.capacitor", Symbol::Capacitor, |kind| matches!(kind, PartKind::Capacitor(_))),
        ("symbol.inductor", Symbol::Inductor, |kind| matches!(kind, PartKind::Inductor(_))),
        (
            "symbol.diode",
            Symbol::Diode { forward: true, zener: false },
            |kind| matches!(kind, PartKind::Diode(diode) if diode.zener.is_none()),
        ),
        (
            "symbol.zener",
            Symbol::Diode { forward: true, zener: true },
            |kind| matches!(kind, PartKind::Diode(diode) if diode.zener.is_some()),
        ),
        ("symbol.speaker", Symbol::Speaker, |kind| matches!(kind, PartKind::Speaker(_))),
    ]
}
