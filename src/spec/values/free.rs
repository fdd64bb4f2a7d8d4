//! Values without electrical meaning: tables with free keys, dates, plain numbers, minutes.

use super::{FromNode, Json, Kind, Located, Minutes, Node, Quantity, Reader, Value, json};

/// A table whose keys the writer chooses, in the order of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Entries<T>(pub Vec<(Located<String>, T)>);

impl<T> Default for Entries<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: FromNode> FromNode for Entries<T> {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let Value::Table(table) = &node.value else {
            reader.wrong_type("a table such as `{ name = \"...\" }`", node);
            return None;
        };
        let mut entries = Vec::new();
        for (key, value) in &table.entries {
            if let Some(value) = T::read(value, reader) {
                entries.push((Located { value: key.name.clone(), place: key.place }, value));
            }
        }
        Some(Self(entries))
    }

    fn placeholder() -> Self {
        Self::default()
    }

    fn schema() -> Json {
        json!({ "type": "object", "additionalProperties": T::schema() })
    }
}

/// A calendar date as ISO 8601 text.
#[derive(Debug, Clone, PartialEq)]
pub struct Date(pub String);

impl FromNode for Date {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        match &node.value {
            Value::Date(date) | Value::Text(date) if is_date(date) => Some(Self(date.clone())),
            Value::Date(found) | Value::Text(found) => {
                reader.error(Kind::NotADate { found: found.clone() }, node.place);
                None
            }
            _ => {
                reader.wrong_type("a date such as `2026-02-11`", node);
                None
            }
        }
    }

    fn placeholder() -> Self {
        Self(String::new())
    }

    fn schema() -> Json {
        json!({ "type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "examples": ["2026-02-11"] })
    }
}

/// Whether a text is a date of the Gregorian calendar in the form `2026-02-11`.
fn is_date(text: &str) -> bool {
    let fields: Vec<&str> = text.split('-').collect();
    let [year, month, day] = fields[..] else {
        return false;
    };
    let number = |field: &str, width: usize| {
        (field.len() == width && field.bytes().all(|byte| byte.is_ascii_digit()))
            .then(|| field.parse::<u32>().ok())
            .flatten()
    };
    let (Some(year), Some(month), Some(day)) = (number(year, 4), number(month, 2), number(day, 2)) else {
        return false;
    };
    let leap = year % 4 == 0 && year % 100 != 0 || year % 400 == 0;
    let days = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 0,
    };
    (1..=days).contains(&day)
}

/// A plain number without a unit, not below zero: a relative weight, a power factor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// The number.
    pub value: f64,
    /// Where it is written.
    pub place: crate::spec::diagnostic::Place,
}

impl FromNode for Number {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        #[expect(clippy::cast_precision_loss, reason = "a weight is a small number")]
        let value = match node.value {
            Value::Integer(integer) => integer as f64,
            Value::Float(float) => float,
            _ => {
                reader.wrong_type("a number without quotes", node);
                return None;
            }
        };
        let found = || reader.sources.slice(node.place).to_string();
        let kind = match value {
            value if !value.is_finite() => Kind::NotFinite { found: found() },
            value if value < 0.0 => Kind::Negative { quantity: "number", found: found() },
            value => {
                return Some(Self { value, place: node.place });
            }
        };
        reader.error(kind, node.place);
        None
    }

    fn placeholder() -> Self {
        Self { value: 1.0, place: crate::spec::diagnostic::Place::default() }
    }

    fn schema() -> Json {
        json!({ "type": "number", "minimum": 0 })
    }
}

/// Minutes on the bench: a plain number of minutes, or text with a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MinutesText(pub Minutes);

impl FromNode for MinutesText {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        if let Value::Integer(_) | Value::Float(_) = node.value {
            return Number::read(node, reader).map(|number| Self(Minutes::new(number.value)));
        }
        Quantity::<Minutes>::read(node, reader).map(|quantity| Self(quantity.nominal))
    }

    fn placeholder() -> Self {
        Self(Minutes::ZERO)
    }

    fn schema() -> Json {
        json!({ "description": "minutes, or text such as `2 min`", "anyOf": [{ "type": "number", "minimum": 0 }, { "type": "string" }] })
    }
}
