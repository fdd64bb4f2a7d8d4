//! Reads the raw tree into typed values and gathers every problem on the way.
//!
//! A value that cannot be read leaves a message and a placeholder, so that reading goes on and one run reports all. A
//! placeholder never reaches paper: a spec with an error is refused as a whole.

use serde_json::Value as Json;

use super::diagnostic::{Diagnostic, MOST_PROBLEMS, Place};
use super::kind::Kind;
use super::quantity::Flaw;
use super::sources::Sources;
use super::tree::{Key, Node, Table, inside_text};

/// What can be read from a value of the tree.
pub trait FromNode: Sized {
    /// Reads the value; `None` after a message has been left.
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self>;

    /// Stands in for a value that is missing or could not be read, once a message has been left.
    fn placeholder() -> Self;

    /// Stands in for an optional value that could not be read, where leaving it out would bring a second message.
    #[must_use]
    fn stand_in() -> Option<Self> {
        None
    }

    /// JSON Schema of what is accepted.
    fn schema() -> Json;
}

/// Texts and problems of a run.
#[derive(Debug)]
pub struct Reader<'a> {
    /// The files.
    pub sources: &'a Sources,
    /// What is wrong so far.
    pub problems: Vec<Diagnostic>,
}

impl<'a> Reader<'a> {
    /// A reader without problems.
    #[must_use]
    pub fn new(sources: &'a Sources) -> Self {
        Self { sources, problems: Vec::new() }
    }

    /// Leaves a message about a place.
    pub fn error(&mut self, kind: Kind, at: Place) {
        if self.problems.len() < MOST_PROBLEMS {
            self.problems.push(Diagnostic::error(kind, at));
        }
    }

    /// Leaves a message about a stretch of a text value.
    pub fn flaw(&mut self, flaw: Flaw, text: Place) {
        let at = inside_text(self.sources, text, flaw.range);
        self.error(flaw.kind, at);
    }

    /// Leaves a message that a value is of the wrong type.
    pub fn wrong_type(&mut self, expected: impl Into<String>, node: &Node) {
        self.error(Kind::WrongType { expected: expected.into(), found: node.value.kind() }, node.place);
    }
}

/// A key of a section, for the schema and for messages.
#[derive(Debug, Clone)]
pub struct KeyInfo {
    /// The key as written.
    pub name: String,
    /// What it means.
    pub description: String,
    /// Whether it must be there.
    pub required: bool,
    /// Schema of its value.
    pub schema: Json,
}

/// A section: a table with known keys.
pub trait Section: Sized {
    /// What messages call it, such as `[[relay]]`.
    const NAME: &'static str;
    /// What it is, for the schema.
    const DESCRIPTION: &'static str;

    /// Its keys in the order of the definition.
    fn keys() -> Vec<KeyInfo>;

    /// Reads the keys of a table.
    fn take(table: &mut TableReader<'_, '_, '_>) -> Self;
}

/// Reads the keys of one table and remembers which were asked for.
pub struct TableReader<'t, 'r, 's> {
    table: &'t Table,
    name: &'static str,
    place: Place,
    known: Vec<&'static str>,
    /// Problems go here.
    pub reader: &'r mut Reader<'s>,
}

/// Whether a field name with underscores is a key with hyphens.
fn same_key(field: &str, key: &str) -> bool {
    field.len() == key.len()
        && field.bytes().zip(key.bytes()).all(|(one, other)| one == other || (one == b'_' && other == b'-'))
}

impl<'t, 'r, 's> TableReader<'t, 'r, 's> {
    /// Reads a section from a table and complains of keys that it does not know.
    pub fn section<S: Section>(table: &'t Table, place: Place, reader: &'r mut Reader<'s>) -> S {
        let mut this = TableReader { table, name: S::NAME, place, known: Vec::new(), reader };
        let section = S::take(&mut this);
        this.finish();
        section
    }

    /// Where the table is written.
    #[must_use]
    pub fn place(&self) -> Place {
        self.place
    }

    /// For one of several alike parts: the id as written.
    #[must_use]
    pub fn group(&self) -> Option<String> {
        self.table.group.clone()
    }

    fn find(&mut self, field: &'static str) -> Option<&'t Node> {
        self.known.push(field);
        self.table.entries.iter().find(|(key, _)| same_key(field, &key.name)).map(|(_, node)| node)
    }

    /// A key that must be there.
    pub fn required<T: FromNode>(&mut self, field: &'static str) -> T {
        let Some(node) = self.find(field) else {
            let kind = Kind::MissingKey { section: self.name, key: field.replace('_', "-") };
            self.reader.error(kind, self.place);
            return T::placeholder();
        };
        T::read(node, self.reader).unwrap_or_else(T::placeholder)
    }

    /// A key that may be there.
    pub fn optional<T: FromNode>(&mut self, field: &'static str) -> Option<T> {
        T::read(self.find(field)?, self.reader).or_else(T::stand_in)
    }

    fn finish(self) {
        for (key, _) in &self.table.entries {
            if !self.known.iter().any(|known| same_key(known, &key.name)) {
                let kind = self.unknown(key);
                self.reader.error(kind, key.place);
            }
        }
    }

    fn unknown(&self, key: &Key) -> Kind {
        let known: Vec<String> = self.known.iter().map(|field| field.replace('_', "-")).collect();
        Kind::UnknownKey {
            section: self.name,
            key: key.name.clone(),
            nearest: nearest(&key.name, known.iter().map(String::as_str)),
            known,
        }
    }
}

/// The known name that is close enough to a wrong one to be meant, if any.
#[must_use]
pub fn nearest<'n>(wrong: &str, known: impl IntoIterator<Item = &'n str>) -> Option<String> {
    let wrong = wrong.to_lowercase();
    let length = wrong.chars().count();
    // One letter off in a name of one or two is another name, unless its class letter is the same.
    let alike = |name: &str| length > 2 || length == 2 && name.to_lowercase().chars().next() == wrong.chars().next();
    known
        .into_iter()
        .filter(|name| alike(name))
        .map(|name| (strsim::damerau_levenshtein(&wrong, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= 1.max(length.max(name.chars().count()) / 3))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name.to_string())
}
