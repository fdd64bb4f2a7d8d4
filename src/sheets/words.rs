//! Printed words: one TOML file a language, looked up by a dotted key, with `{name}` where a finished value goes.
//!
//! The templates read their fixed words (heads, labels) from the same file. A key that is missing is a mistake of this
//! project, not of the user: the test suite looks every key up that the sources name, in every language.

use std::collections::BTreeMap;

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
        values.iter().fold(self.get(key), |text, (name, value)| text.replace(&format!("{{{name}}}"), value))
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
