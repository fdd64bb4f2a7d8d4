//! A fact: which sentence, and with what in it.

use serde::Serialize;

use crate::spec::units::Unit;

use super::figures::UNKNOWN;

/// Something to be said: the key of its pattern and the values in it.
///
/// Facts are compared as what they say, whatever the language: two places are the same place if their facts are equal.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Fact {
    /// Dotted key of the pattern.
    pub key: String,
    /// Values by the name of their place in it.
    pub values: Vec<(&'static str, Value)>,
}

/// What stands at a place of a pattern.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Value {
    /// A name or text of the machine's own, or of a standard: the same in every language.
    Name(String),
    /// Numbers with their units or signs, written with a decimal point.
    Figure(String),
    /// A whole number; under the name `count` it decides between the forms for one and for more.
    Count(i64),
    /// Another fact, as a part of the sentence.
    Said(Box<Fact>),
    /// Several, of which all are meant.
    All(Vec<Value>),
    /// Several, of which one is meant.
    Any(Vec<Value>),
}

impl Fact {
    /// A fact without values yet.
    #[must_use]
    pub fn new(key: impl Into<String>) -> Self {
        Self { key: key.into(), values: Vec::new() }
    }

    /// Puts a value at a place.
    #[must_use]
    pub fn with(mut self, place: &'static str, value: impl Into<Value>) -> Self {
        self.values.push((place, value.into()));
        self
    }
}

impl Value {
    /// A number, or several with signs between them, written with a decimal point.
    #[must_use]
    pub fn figure(text: impl Into<String>) -> Self {
        Self::Figure(text.into())
    }

    /// Several, of which one is meant.
    pub fn any<V: Into<Value>>(values: impl IntoIterator<Item = V>) -> Self {
        Self::Any(values.into_iter().map(Into::into).collect())
    }

    /// Several, of which all are meant.
    pub fn all<V: Into<Value>>(values: impl IntoIterator<Item = V>) -> Self {
        Self::All(values.into_iter().map(Into::into).collect())
    }
}

impl From<&str> for Value {
    fn from(name: &str) -> Self {
        Self::Name(name.into())
    }
}

impl From<&String> for Value {
    fn from(name: &String) -> Self {
        Self::Name(name.clone())
    }
}

impl From<String> for Value {
    fn from(name: String) -> Self {
        Self::Name(name)
    }
}

impl From<i64> for Value {
    fn from(count: i64) -> Self {
        Self::Count(count)
    }
}

impl From<usize> for Value {
    fn from(count: usize) -> Self {
        Self::Count(i64::try_from(count).unwrap_or(i64::MAX))
    }
}

impl From<Fact> for Value {
    fn from(fact: Fact) -> Self {
        Self::Said(Box::new(fact))
    }
}

impl<U: Unit> From<U> for Value {
    fn from(quantity: U) -> Self {
        Self::Figure(if quantity.value().is_finite() { quantity.to_string() } else { UNKNOWN.into() })
    }
}

/// A fact by its key, with values by the names of their places: `fact!("faults.wire", id = part.id)`.
#[macro_export]
macro_rules! fact {
    ($key:expr $(, $place:ident = $value:expr)* $(,)?) => {
        $crate::words::Fact::new($key)$(.with(stringify!($place), $value))*
    };
}
