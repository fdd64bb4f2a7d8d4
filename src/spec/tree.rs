//! The raw tree of a TOML file: values with the place of every key and value, owned, so that files can be laid over each
//! other.
//!
//! The TOML reader recovers from syntax errors, so one run reports several. Text values remember only where they stand;
//! [`TextPlaces`] maps a stretch of the text they mean back to the bytes of the file, through escapes and line ends.

use std::ops::Range;

use serde_json::Value as Json;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::diagnostic::{Diagnostic, Place};
use super::kind::Kind;
use super::sources::Sources;

/// A value and where it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// The value.
    pub value: Value,
    /// Where it is; for a table with a header, the header.
    pub place: Place,
}

/// A TOML value.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Text.
    Text(String),
    /// Whole number.
    Integer(i64),
    /// Number with a fraction, or a whole one that is too large.
    Float(f64),
    /// True or false.
    Boolean(bool),
    /// Date, time or both, as TOML writes it.
    Date(String),
    /// List.
    List(Vec<Node>),
    /// Table.
    Table(Table),
}

impl Value {
    /// What messages call it.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Value::Text(_) => "text",
            Value::Integer(_) | Value::Float(_) => "a bare number",
            Value::Boolean(_) => "`true` or `false`",
            Value::Date(_) => "a date",
            Value::List(_) => "a list",
            Value::Table(_) => "a table",
        }
    }
}

/// A key and where it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Key {
    /// The key.
    pub name: String,
    /// Where it is.
    pub place: Place,
}

/// Keys with their values in the order of the file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    /// The entries.
    pub entries: Vec<(Key, Node)>,
    /// For one of several alike parts such as `S10..S17`: the id as written.
    pub group: Option<String>,
}

impl Table {
    /// The value of a key.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Node> {
        self.entries.iter().find(|(key, _)| key.name == name).map(|(_, node)| node)
    }

    /// The text of a key, where it is text.
    #[must_use]
    pub fn text(&self, name: &str) -> Option<&str> {
        match &self.get(name)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The value of a key, to change it.
    pub fn get_mut(&mut self, name: &str) -> Option<&mut Node> {
        self.entries.iter_mut().find(|(key, _)| key.name == name).map(|(_, node)| node)
    }
}

/// Parses the text of a file of the run. Syntax errors are added to `problems`; what could be read is returned anyway.
#[must_use]
pub fn parse(sources: &Sources, file: usize, problems: &mut Vec<Diagnostic>) -> Table {
    let text = sources.text(file);
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut last_line = None;
    for error in errors {
        let span = error.span().unwrap_or(text.len()..text.len());
        let at = Place::new(file, span.start, span.end);
        // What follows on the same line follows from the first.
        let line = Some(sources.line_column(at).0);
        if line != last_line {
            problems.push(Diagnostic::error(Kind::Syntax { message: error.message().to_string() }, at));
        }
        last_line = line;
    }
    own_table(table.get_ref(), file)
}

fn own_table(table: &DeTable<'_>, file: usize) -> Table {
    let entries = table
        .iter()
        .map(|(key, value)| {
            let key = Key { name: key.get_ref().to_string(), place: place(file, &key.span()) };
            (key, own_node(value, file))
        })
        .collect();
    Table { entries, group: None }
}

fn own_node(value: &Spanned<DeValue<'_>>, file: usize) -> Node {
    let owned = match value.get_ref() {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(integer) => match i64::from_str_radix(integer.as_str(), integer.radix()) {
            Ok(integer) => Value::Integer(integer),
            Err(_) => Value::Float(integer.as_str().parse().unwrap_or(f64::NAN)),
        },
        DeValue::Float(float) => Value::Float(float.as_str().parse().unwrap_or(f64::NAN)),
        DeValue::Boolean(boolean) => Value::Boolean(*boolean),
        DeValue::Datetime(date) => Value::Date(date.to_string()),
        DeValue::Array(items) => Value::List(items.iter().map(|item| own_node(item, file)).collect()),
        DeValue::Table(table) => Value::Table(own_table(table, file)),
    };
    Node { value: owned, place: place(file, &value.span()) }
}

fn place(file: usize, span: &Range<usize>) -> Place {
    Place::new(file, span.start, span.end)
}

/// The tree as JSON, in the order of the file; what the spec says after everything it builds on is laid under it.
#[must_use]
pub fn to_json(table: &Table) -> Json {
    Json::Object(table.entries.iter().map(|(key, node)| (key.name.clone(), node_to_json(node))).collect())
}

fn node_to_json(node: &Node) -> Json {
    match &node.value {
        Value::Text(text) | Value::Date(text) => Json::String(text.clone()),
        Value::Integer(integer) => Json::from(*integer),
        Value::Float(float) => Json::from(*float),
        Value::Boolean(boolean) => Json::Bool(*boolean),
        Value::List(items) => items.iter().map(node_to_json).collect(),
        Value::Table(table) => to_json(table),
    }
}

/// Where a stretch of a text value stands in the file. `at` is the place of the whole value with its quotes, `inside` a
/// byte range of the text that it means.
#[must_use]
pub fn inside_text(sources: &Sources, at: Place, inside: Range<usize>) -> Place {
    TextPlaces::new(sources, at).place(inside)
}

/// From a text value back to the file, for values in which many stretches are looked up.
#[derive(Debug)]
pub struct TextPlaces {
    at: Place,
    offsets: Offsets,
}

/// Offsets in the raw TOML string, quotes included, of byte offsets in the text that it means.
#[derive(Debug)]
enum Offsets {
    /// Without escapes they differ by the opening quotes.
    Shift(usize),
    /// With escapes each has its own.
    Table(Vec<usize>),
    /// The value is no string.
    Unknown,
}

impl TextPlaces {
    /// Prepares to look up stretches of the value at a place.
    #[must_use]
    pub fn new(sources: &Sources, at: Place) -> Self {
        Self { at, offsets: offsets(sources.slice(at)) }
    }

    /// Where a stretch of the text stands in the file.
    #[must_use]
    pub fn place(&self, inside: Range<usize>) -> Place {
        let offset = |meant: usize| match &self.offsets {
            Offsets::Shift(shift) => Some(meant + shift),
            Offsets::Table(table) => table.get(meant).copied(),
            Offsets::Unknown => None,
        };
        match (offset(inside.start), offset(inside.end)) {
            (Some(start), Some(end)) => {
                Place::new(self.at.file, self.at.start + start, (self.at.start + end.max(start)).min(self.at.end))
            }
            _ => self.at,
        }
    }
}

fn offsets(raw: &str) -> Offsets {
    let Some(quote) = raw.chars().next().filter(|quote| matches!(quote, '"' | '\'')) else {
        return Offsets::Unknown;
    };
    let triple = [quote; 3].iter().collect::<String>();
    let multi_line = raw.starts_with(&triple) && raw.len() >= 6;
    let mut position = if multi_line { 3 } else { 1 };
    if multi_line {
        // A line end right after the opening quotes is not part of the text.
        position += ["\r\n", "\n"].iter().find(|end| raw[position..].starts_with(**end)).map_or(0, |end| end.len());
    }
    if quote == '\'' || !raw.contains('\\') {
        return Offsets::Shift(position);
    }
    let mut table = Vec::with_capacity(raw.len());
    loop {
        position += skipped_line_end(&raw[position..]);
        let Some((raw_length, length)) = next_character(&raw[position..]) else { break };
        table.extend(std::iter::repeat_n(position, length));
        position += raw_length;
    }
    table.push(raw.len());
    Offsets::Table(table)
}

/// Length of a backslash at the end of a line with all white space that it swallows; zero if there is none.
fn skipped_line_end(raw: &str) -> usize {
    let Some(rest) = raw.strip_prefix('\\') else {
        return 0;
    };
    let trimmed = rest.trim_start_matches([' ', '\t', '\r', '\n']);
    let swallowed = &rest[..rest.len() - trimmed.len()];
    if swallowed.contains('\n') { 1 + swallowed.len() } else { 0 }
}

/// Raw length and meant length in bytes of the next character of a TOML string with escapes.
fn next_character(raw: &str) -> Option<(usize, usize)> {
    let first = raw.chars().next()?;
    if first != '\\' {
        return Some((first.len_utf8(), first.len_utf8()));
    }
    let digits = match raw.chars().nth(1)? {
        'x' => 2,
        'u' => 4,
        'U' => 8,
        _ => return Some((2, 1)),
    };
    let code = u32::from_str_radix(raw.get(2..2 + digits)?, 16).ok()?;
    Some((2 + digits, char::from_u32(code)?.len_utf8()))
}
