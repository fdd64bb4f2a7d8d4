//! The kinds of value that keys have: text, names, quantities, lists, tables with free keys.

use serde_json::{Value as Json, json};

use super::diagnostic::Place;
use super::kind::Kind;
use super::quantity::{self, Flaw, Measure, Scanned};
use super::reader::{FromNode, Reader};
use super::tree::{Node, Value};
use super::units::{
    Amperes, Celsius, Farads, Henries, Hertz, Metres, Minutes, Ohms, Seconds, SquareMillimetres, Unit, VoltAmperes,
    Volts, Watts,
};
use crate::machine::model::{Current, Origin, Toleranced};

mod electrical;
mod free;

pub use electrical::{CrossSection, FittedText, Level, MeterText, Voltage};
pub use free::{Date, Entries, MinutesText, Number};

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Located<T> {
    /// The value.
    pub value: T,
    /// Where it is written; for text, quotes included.
    pub place: Place,
}

/// The text of a value, or a message that there is none.
pub fn text(node: &Node, reader: &mut Reader<'_>) -> Option<String> {
    if let Value::Text(text) = &node.value {
        return Some(text.clone());
    }
    reader.wrong_type("text in quotes", node);
    None
}

impl FromNode for String {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let text = text(node, reader)?;
        if text.trim().is_empty() {
            reader.error(Kind::EmptyText, node.place);
            return None;
        }
        Some(text)
    }

    fn placeholder() -> Self {
        Self::new()
    }

    fn schema() -> Json {
        json!({ "type": "string" })
    }
}

impl FromNode for i64 {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        if let Value::Integer(integer) = node.value {
            return Some(integer);
        }
        reader.wrong_type("a whole number", node);
        None
    }

    fn placeholder() -> Self {
        0
    }

    fn schema() -> Json {
        json!({ "type": "integer" })
    }
}

impl<T: FromNode> FromNode for Located<T> {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        Some(Self { value: T::read(node, reader)?, place: node.place })
    }

    fn placeholder() -> Self {
        Self { value: T::placeholder(), place: Place::default() }
    }

    fn schema() -> Json {
        T::schema()
    }
}

impl<T: FromNode> FromNode for Vec<T> {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let Value::List(items) = &node.value else {
            let kind = match &node.value {
                Value::Table(_) if reader.sources.slice(node.place).starts_with('[') => {
                    Kind::SingleTable { header: reader.sources.slice(node.place).to_string() }
                }
                other => Kind::NotAList { found: other.kind() },
            };
            reader.error(kind, node.place);
            return None;
        };
        Some(items.iter().filter_map(|item| T::read(item, reader)).collect())
    }

    fn placeholder() -> Self {
        Self::new()
    }

    fn schema() -> Json {
        json!({ "type": "array", "items": T::schema() })
    }
}

/// A quantity with its span and provenance.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity<U> {
    /// The value.
    pub nominal: U,
    /// Lowest and highest value, where the text says.
    pub span: Option<(U, U)>,
    /// Where the value comes from, where it says.
    pub origin: Option<Origin>,
    /// The page or paper that it names.
    pub source: Option<String>,
    /// Where it is written.
    pub place: Place,
}

impl<U: Unit> Quantity<U> {
    /// The value with its own span, or else with a relative one, such as 0.1 for ±10 %.
    #[must_use]
    pub fn toleranced(&self, spread: f64, origin: Origin) -> Toleranced<U> {
        let nominal = self.nominal.value();
        let around = (U::new(nominal - nominal.abs() * spread), U::new(nominal + nominal.abs() * spread));
        let (low, high) = self.span.unwrap_or(around);
        Toleranced {
            nominal: self.nominal,
            low,
            high,
            origin: self.origin.unwrap_or(origin),
            source: self.source.clone(),
        }
    }
}

/// Which measure a unit type is read as.
pub trait Measured: Unit {
    /// The measure.
    const MEASURE: &'static Measure;
}

macro_rules! measured {
    ($($unit:ident: $measure:ident,)*) => {$(
        impl Measured for $unit {
            const MEASURE: &'static Measure = &quantity::$measure;
        }
    )*};
}

measured! {
    Volts: VOLTAGE,
    Amperes: CURRENT,
    Ohms: RESISTANCE,
    Watts: POWER,
    VoltAmperes: APPARENT_POWER,
    Farads: CAPACITANCE,
    Henries: INDUCTANCE,
    Minutes: BENCH_TIME,
    SquareMillimetres: CROSS_SECTION,
    Celsius: TEMPERATURE,
    Hertz: FREQUENCY,
    Metres: LENGTH,
    Seconds: DURATION,
}

/// The text of a quantity with what a table around it says.
struct Written<'n> {
    text: &'n str,
    place: Place,
    origin: Option<Origin>,
    source: Option<String>,
}

/// A quantity is text, or a table of `value`, `origin` and `source`.
fn written<'n>(node: &'n Node, measure: &Measure, reader: &mut Reader<'_>) -> Option<Written<'n>> {
    let table = match &node.value {
        Value::Text(text) => {
            return Some(Written { text, place: node.place, origin: None, source: None });
        }
        Value::Table(table) => table,
        Value::Integer(_) | Value::Float(_) => {
            let found = reader.sources.slice(node.place).to_string();
            let kind = Kind::BareNumber { quantity: measure.name, example: measure.example, found };
            reader.error(kind, node.place);
            return None;
        }
        _ => {
            reader.wrong_type(format!("a {} such as `\"{}\"`", measure.name, measure.example), node);
            return None;
        }
    };
    let mut result = Written { text: "", place: node.place, origin: None, source: None };
    for (key, value) in &table.entries {
        match (key.name.as_str(), &value.value) {
            ("value", Value::Text(text)) => (result.text, result.place) = (text, value.place),
            ("value", _) => return written(value, measure, reader),
            ("origin", _) => result.origin = OriginWord::read(value, reader).map(OriginWord::origin),
            ("source", _) => result.source = String::read(value, reader),
            (name, _) => {
                let known = ["value", "origin", "source"];
                let nearest = super::reader::nearest(name, known);
                let kind = Kind::UnknownKey {
                    section: "a value",
                    key: name.into(),
                    nearest,
                    known: known.map(String::from).to_vec(),
                };
                reader.error(kind, key.place);
            }
        }
    }
    if table.get("value").is_none() {
        reader.error(Kind::MissingKey { section: "a value", key: "value".into() }, node.place);
        return None;
    }
    Some(result)
}

/// Scans a quantity; a flaw becomes a message at its place.
fn scanned(written: &Written<'_>, measure: &'static Measure, reader: &mut Reader<'_>) -> Option<Scanned> {
    match measure.scan(written.text) {
        Ok(scanned) => Some(scanned),
        Err(flaw) => {
            reader.flaw(flaw, written.place);
            None
        }
    }
}

/// Reads a quantity of any measure and what its text says beside the value.
fn quantity<U: Measured>(node: &Node, reader: &mut Reader<'_>) -> Option<(Quantity<U>, Scanned)> {
    let written = written(node, U::MEASURE, reader)?;
    let scanned = scanned(&written, U::MEASURE, reader)?;
    let quantity = Quantity {
        nominal: U::new(scanned.nominal),
        span: scanned.span.map(|(low, high)| (U::new(low), U::new(high))),
        origin: written.origin,
        source: written.source,
        place: written.place,
    };
    Some((quantity, scanned))
}

impl<U: Measured> FromNode for Quantity<U> {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        quantity(node, reader).map(|(quantity, _)| quantity)
    }

    fn placeholder() -> Self {
        Self { nominal: U::new(1.0), span: None, origin: None, source: None, place: Place::default() }
    }

    fn stand_in() -> Option<Self> {
        Some(Self::placeholder())
    }

    fn schema() -> Json {
        quantity_schema(U::MEASURE)
    }
}

fn quantity_schema(measure: &Measure) -> Json {
    json!({
        "description": format!("{} such as `{}`, with or without its tolerance", measure.name, measure.example),
        "anyOf": [
            { "type": "string", "examples": [measure.example] },
            { "$ref": "#/$defs/value" },
        ],
    })
}

super::section::words! {
    /// Where a value comes from.
    OriginWord {
        /// A manual, schematic or rating plate says so.
        Stated = "stated",
        /// Measured on a machine known to be good.
        Measured = "measured",
        /// Somebody's estimate.
        Estimated = "estimated",
    }
}

impl OriginWord {
    /// As the machine model has it.
    #[must_use]
    pub fn origin(self) -> Origin {
        match self {
            Self::Stated => Origin::Stated,
            Self::Measured => Origin::Measured,
            Self::Estimated => Origin::Estimated,
        }
    }
}

/// A share of one, such as `75 %`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The share, 0.75 for `75 %`.
    pub value: f64,
    /// Where it is written.
    pub place: Place,
}

/// An angle in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angle(pub f64);

/// Reads a measure that has no unit type.
fn plain(node: &Node, measure: &'static Measure, reader: &mut Reader<'_>) -> Option<(f64, Place)> {
    let written = written(node, measure, reader)?;
    Some((scanned(&written, measure, reader)?.nominal, written.place))
}

impl FromNode for Share {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        plain(node, &quantity::SHARE, reader).map(|(value, place)| Self { value, place })
    }

    fn placeholder() -> Self {
        Self { value: 0.5, place: Place::default() }
    }

    fn schema() -> Json {
        quantity_schema(&quantity::SHARE)
    }
}

impl FromNode for Angle {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        plain(node, &quantity::ANGLE, reader).map(|(value, _)| Self(value))
    }

    fn placeholder() -> Self {
        Self(0.0)
    }

    fn schema() -> Json {
        quantity_schema(&quantity::ANGLE)
    }
}
