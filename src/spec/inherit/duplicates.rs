//! Finds names, numbers and labels that are given twice.

use std::collections::HashMap;

use super::NAMED;
use crate::spec::diagnostic::{Diagnostic, Place};
use crate::spec::kind::Kind;
use crate::spec::tree::{Table, Value};

/// Reports every id, sequence number, revision number and run label that is given a second time.
pub(super) fn check(table: &Table, problems: &mut Vec<Diagnostic>) {
    let mut names = Seen::default();
    let mut sequences = Seen::default();
    let mut revisions = Seen::default();
    let mut runs = Seen::default();
    for (key, node) in &table.entries {
        let Value::List(items) = &node.value else {
            continue;
        };
        for item in items {
            let Value::Table(item) = &item.value else {
                continue;
            };
            match key.name.as_str() {
                name if NAMED.contains(&name) => names.add(item, "id", "name", problems),
                "sequence" => sequences.add(item, "number", "sequence", problems),
                "revision" => revisions.add(item, "number", "revision", problems),
                "run" => runs.add(item, "label", "run", problems),
                _ => {}
            }
        }
    }
}

#[derive(Default)]
struct Seen(HashMap<String, Place>);

impl Seen {
    fn add(&mut self, table: &Table, key: &str, what: &'static str, problems: &mut Vec<Diagnostic>) {
        let Some(node) = table.get(key) else { return };
        let name = match &node.value {
            Value::Text(text) => text.clone(),
            Value::Integer(number) => number.to_string(),
            _ => return,
        };
        if let Some(first) = self.0.get(&name) {
            let kind = Kind::Duplicate { what, name };
            problems.push(Diagnostic::error(kind, node.place).with(*first, "first defined here"));
        } else {
            self.0.insert(name, node.place);
        }
    }
}
