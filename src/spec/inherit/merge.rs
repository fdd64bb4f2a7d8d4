//! Lays one tree over another.

use super::NAMED;
use crate::spec::diagnostic::{Diagnostic, Place};
use crate::spec::kind::Kind;
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
    for item in over {
        let name = identity(section, &item);
        let same = items.iter_mut().find(|known| name.is_some() && identity(section, known) == name);
        match (same, item) {
            (Some(Node { value: Value::Table(table), .. }), Node { value: Value::Table(over), .. }) => {
                lay_table(table, over);
            }
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
    let Some(Node { value: Value::List(names), .. }) = over.get("remove") else {
        return;
    };
    for node in names {
        let Value::Text(name) = &node.value else {
            continue;
        };
        let names = match crate::spec::range::expand(name) {
            Some(Ok(names)) => names,
            _ => vec![name.clone()],
        };
        for name in names {
            remove_one(base, &name, node.place, problems);
        }
    }
}

fn remove_one(base: &mut Table, name: &str, at: Place, problems: &mut Vec<Diagnostic>) {
    let before = count(base);
    for (key, node) in &mut base.entries {
        let Value::List(items) = &mut node.value else {
            continue;
        };
        let section = key.name.as_str();
        let wanted = match section {
            _ if NAMED.contains(&section) => Some(name),
            "sequence" | "run" => name.strip_prefix(section).and_then(|rest| rest.strip_prefix(' ')).map(str::trim),
            _ => None,
        };
        items.retain(|item| wanted.is_none() || identity(section, item).as_deref() != wanted);
    }
    if count(base) == before {
        let known = base.entries.iter().flat_map(|(key, node)| match &node.value {
            Value::List(items) => items.iter().filter_map(|item| identity(&key.name, item)).collect(),
            _ => Vec::new(),
        });
        let known: Vec<String> = known.collect();
        let nearest = nearest(name, known.iter().map(String::as_str));
        problems.push(Diagnostic::error(Kind::NothingToRemove { name: name.into(), nearest }, at));
    }
}

fn count(table: &Table) -> usize {
    table.entries.iter().map(|(_, node)| if let Value::List(items) = &node.value { items.len() } else { 0 }).sum()
}
