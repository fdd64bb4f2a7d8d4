//! Lays one tree over another.

use std::collections::HashMap;

use super::NAMED;
use crate::spec::diagnostic::{Diagnostic, Place};
use crate::spec::kind::Kind;
use crate::spec::range;
use crate::spec::reader::nearest;
use crate::spec::tree::{Node, Table, Value};

/// What makes two tables of a section the same thing.
fn identity(section: &str, item: &Node) -> Option<String> {
    let Value::Table(table) = &item.value else {
        return None;
    };
    let word = |key: &str| match &table.get(key)?.value {
        Value::Text(text) => Some(text.clone()),
        Value::Integer(number) => Some(number.to_string()),
        _ => None,
    };
    match section {
        name if NAMED.contains(&name) => word("id"),
        "sequence" | "revision" => word("number"),
        "run" => word("label"),
        "expect" => Some(format!("{} in {}", word("at")?, word("sequence")?)),
        "fault" => Some(format!("{:?} {:?}", word("part"), word("kind"))),
        _ => None,
    }
}

/// The base with the removals of `over` taken out and its values laid over.
pub(super) fn lay_over(mut base: Table, over: Table, problems: &mut Vec<Diagnostic>) -> Table {
    base.entries.retain(|(key, _)| key.name != "base" && key.name != "remove");
    remove(&mut base, &over, problems);
    for (key, node) in over.entries {
        let Some(under) = base.get_mut(&key.name) else {
            base.entries.push((key, node));
            continue;
        };
        match (&mut under.value, node.value) {
            (Value::List(items), Value::List(over)) if key.name != "remove" => lay_list(&key.name, items, over),
            (Value::Table(table), Value::Table(over)) => lay_table(table, over),
            (value, over) => *value = over,
        }
    }
    base
}

fn lay_list(section: &str, items: &mut Vec<Node>, over: Vec<Node>) {
    let known: HashMap<String, usize> =
        items.iter().enumerate().filter_map(|(index, item)| Some((identity(section, item)?, index))).collect();
    for item in over {
        let same = identity(section, &item).and_then(|name| known.get(&name).copied());
        match (same.map(|index| &mut items[index].value), item) {
            (Some(Value::Table(table)), Node { value: Value::Table(over), .. }) => lay_table(table, over),
            (_, item) => items.push(item),
        }
    }
}

fn lay_table(table: &mut Table, over: Table) {
    for (key, node) in over.entries {
        match table.entries.iter_mut().find(|(known, _)| known.name == key.name) {
            Some(entry) => *entry = (key, node),
            None => table.entries.push((key, node)),
        }
    }
}

/// Takes out of the base what the spec says that its machine has not.
fn remove(base: &mut Table, over: &Table, problems: &mut Vec<Diagnostic>) {
    let mut wanted: HashMap<String, (Place, bool)> = HashMap::new();
    let mut in_order = Vec::new();
    for (name, at) in removals(over) {
        in_order.push(name.clone());
        wanted.insert(name, (at, false));
    }
    if wanted.is_empty() {
        return;
    }
    let mut known = Vec::new();
    for (key, node) in &mut base.entries {
        let Value::List(items) = &mut node.value else { continue };
        items.retain(|item| {
            let Some(name) = removable(&key.name, item) else { return true };
            let found = wanted.get_mut(&name);
            known.push(name);
            found.map(|(_, done)| *done = true).is_none()
        });
    }
    for name in in_order {
        if let Some((at, false)) = wanted.get(&name) {
            let nearest = nearest(&name, known.iter().map(String::as_str));
            problems.push(Diagnostic::error(Kind::NothingToRemove { name, nearest }, *at));
        }
    }
}

/// Every name under `remove`, ranges spread out.
fn removals(over: &Table) -> Vec<(String, Place)> {
    let Some(Node { value: Value::List(names), .. }) = over.get("remove") else { return Vec::new() };
    let mut removals = Vec::new();
    for node in names {
        let Value::Text(text) = &node.value else { continue };
        let names = match range::expand(text) {
            Some(Ok(names)) => names,
            _ => vec![text.split_whitespace().collect::<Vec<_>>().join(" ")],
        };
        removals.extend(names.into_iter().map(|name| (name, node.place)));
    }
    removals
}

/// How `remove` calls an item: by its id, or `sequence 5`, or `run LABEL`.
fn removable(section: &str, item: &Node) -> Option<String> {
    let name = identity(section, item)?;
    match section {
        "sequence" | "run" => Some(format!("{section} {name}")),
        _ if NAMED.contains(&section) => Some(name),
        _ => None,
    }
}
