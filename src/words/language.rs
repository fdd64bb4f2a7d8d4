//! Printed words: one TOML file a language, looked up by a dotted key, with `{name}` where a finished value goes.
//!
//! The templates read their fixed words (heads, labels) from the same file. A pattern with a count in it may have two
//! forms, `one` and `other`. A key that is missing is a mistake of this project, not of the user: the test suite looks
//! every key up that the sources name, in every language, with the places in its pattern.

use std::collections::BTreeMap;

use super::fact::{Fact, Value};
use super::figures::Numerals;

/// The printed words of one language.
#[derive(Debug, Clone)]
pub struct Words {
    /// Code by BCP 47, such as `en`.
    pub language: String,
    /// How it writes numbers.
    pub numerals: Numerals,
    entries: BTreeMap<String, String>,
}

impl Words {
    /// The words of a language; none if there is no file for it.
    #[must_use]
    pub fn of(language: &str) -> Option<Self> {
        let (code, text) = crate::assets::languages().find(|(code, _)| *code == language)?;
        Self::read(code, text)
    }

    /// The words of a language file; none if it is no TOML.
    #[must_use]
    pub fn read(code: &str, text: &str) -> Option<Self> {
        let table: toml::Table = toml::from_str(text).ok()?;
        let mut entries = BTreeMap::new();
        collect("", &toml::Value::Table(table), &mut entries);
        let decimal = entries.get("language.decimal").and_then(|text| text.chars().next()).unwrap_or('.');
        Some(Self { language: code.to_string(), numerals: Numerals { decimal }, entries })
    }

    /// The words of a key; the key itself, marked, if there are none.
    #[must_use]
    pub fn get(&self, key: &str) -> String {
        self.entries.get(key).cloned().unwrap_or_else(|| format!("[{key}]"))
    }

    /// Whether the language has this key.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// The words of a key with values put where `{name}` stands.
    #[must_use]
    pub fn fill(&self, key: &str, values: &[(&str, &str)]) -> String {
        filled(&self.get(key), values)
    }

    /// A fact as a sentence, or as the part of one.
    #[must_use]
    pub fn say(&self, fact: &Fact) -> String {
        let values: Vec<(&str, String)> =
            fact.values.iter().map(|(place, value)| (*place, self.say_value(value))).collect();
        let values: Vec<(&str, &str)> = values.iter().map(|(place, text)| (*place, text.as_str())).collect();
        let count = fact.values.iter().find_map(|(place, value)| match value {
            Value::Count(count) if *place == "count" => Some(*count),
            _ => None,
        });
        match count {
            Some(count) if !self.has(&fact.key) => {
                let form = if count == 1 { "one" } else { "other" };
                self.fill(&format!("{}.{form}", fact.key), &values)
            }
            _ => self.fill(&fact.key, &values),
        }
    }

    /// A value as it stands in a sentence.
    #[must_use]
    pub fn say_value(&self, value: &Value) -> String {
        let several = |values: &[Value]| values.iter().map(|value| self.say_value(value)).collect::<Vec<_>>();
        match value {
            Value::Name(name) => name.clone(),
            Value::Figure(figure) => self.numerals.localised(figure),
            Value::Count(count) => count.to_string(),
            Value::Said(fact) => self.say(fact),
            Value::All(values) => self.list(&several(values)),
            Value::Any(values) => self.one_of(&several(values)),
        }
    }

    /// Several names as a list in words: `A`, `A and B`, `A, B and C`.
    #[must_use]
    pub fn list<S: AsRef<str>>(&self, names: &[S]) -> String {
        self.joined("language.and", names)
    }

    fn joined<S: AsRef<str>>(&self, key: &str, names: &[S]) -> String {
        match names {
            [] => String::new(),
            [only] => only.as_ref().to_string(),
            [first @ .., last] => {
                let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
                self.fill(key, &[("first", &first.join(", ")), ("last", last.as_ref())])
            }
        }
    }

    /// Several names of which one holds: `A`, `A or B`, `A, B or C`.
    #[must_use]
    pub fn one_of<S: AsRef<str>>(&self, names: &[S]) -> String {
        self.joined("language.or", names)
    }

    /// All keys, in order.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().map(String::as_str)
    }
}

/// A pattern with its values; what stands in a value is left as it is, braces and all.
fn filled(pattern: &str, values: &[(&str, &str)]) -> String {
    let mut text = String::with_capacity(pattern.len());
    let mut rest = pattern;
    while let Some(open) = rest.find('{') {
        let value = rest[open..].find('}').and_then(|length| {
            let place = &rest[open + 1..open + length];
            let value = values.iter().find(|(name, _)| *name == place)?.1;
            Some((open + length + 1, value))
        });
        let (after, insert) = value.unwrap_or((open + 1, "{"));
        text.push_str(&rest[..open]);
        text.push_str(insert);
        rest = &rest[after..];
    }
    text.push_str(rest);
    text
}

/// Gathers all texts of a table under dotted keys; those of a list under their number.
fn collect(prefix: &str, value: &toml::Value, entries: &mut BTreeMap<String, String>) {
    match value {
        toml::Value::String(text) => {
            entries.insert(prefix.to_string(), text.clone());
        }
        toml::Value::Table(table) => {
            for (name, value) in table {
                let key = if prefix.is_empty() { name.clone() } else { format!("{prefix}.{name}") };
                collect(&key, value, entries);
            }
        }
        toml::Value::Array(items) => {
            for (number, item) in items.iter().enumerate() {
                collect(&format!("{prefix}.{number}"), item, entries);
            }
        }
        _ => {}
    }
}
