//! Reads a spec with everything that it builds on into one document.
//!
//! Each file is parsed, its ranges of alike parts are spread out, and it is laid over its base: tables with the same id
//! (or number, or label) are merged key by key, others are added. This happens on the raw tree, so a spec may change one
//! value of a part and every value keeps the place where it is written.

use std::path::{Path, PathBuf};

use super::diagnostic::{Diagnostic, Place};
use super::format::Document;
use super::kind::Kind;
use super::range;
use super::reader::{FromNode, Reader};
use super::sources::Sources;
use super::tree::{self, Node, Table, Value};

mod duplicates;
mod merge;

/// Most parts that a file may declare. The largest machines have some hundreds; the limit keeps a few careless ranges from
/// filling the memory.
const MOST_PARTS: usize = 50_000;

/// Longest chain of bases.
const DEEPEST_BASE: usize = 16;

/// Sections whose tables declare a name that is unique in the machine.
pub(super) const NAMED: [&str; 18] = [
    "supply",
    "fuse",
    "relay",
    "solenoid",
    "motor",
    "lamp",
    "switch",
    "cam",
    "selector",
    "resistor",
    "capacitor",
    "inductor",
    "diode",
    "speaker",
    "plug",
    "joint",
    "test-point",
    "part",
];

/// A spec as read: the typed document where there is one, the merged tree, and all problems.
#[derive(Debug)]
pub struct Loaded {
    /// The document; absent when no text could be read at all.
    pub document: Option<Document>,
    /// The tree after all bases were laid under it.
    pub tree: Table,
    /// Everything that is wrong.
    pub problems: Vec<Diagnostic>,
    /// Whether a file has broken TOML or could not be read, so that parts of the spec may not have been seen.
    pub broken: bool,
}

/// Reads the spec that is the given file of the run; its bases are read from beside `path`.
pub fn load(sources: &mut Sources, file: usize, path: &Path) -> Loaded {
    let mut problems = Vec::new();
    let mut chain = vec![canonical(path)];
    let tree = load_tree(sources, file, path, &mut chain, &mut problems);
    let syntax: Vec<Place> = problems
        .iter()
        .filter(|problem| matches!(problem.kind, Kind::Syntax { .. }))
        .map(|problem| problem.at)
        .collect();
    let Some(tree) = tree else {
        return Loaded { document: None, tree: Table::default(), problems, broken: true };
    };
    let mut reader = Reader::new(sources);
    let node = Node { value: Value::Table(tree.clone()), place: Place::new(file, 0, 0) };
    let document = Document::read(&node, &mut reader);
    let mut found = reader.problems;
    let broken = !syntax.is_empty() || problems.iter().any(|problem| hides_something(&problem.kind));
    if broken {
        found.retain(|problem| survives_broken_syntax(problem, &syntax, sources));
    }
    problems.append(&mut found);
    Loaded { document, tree, problems, broken }
}

/// Whether a part of the spec was not seen, because a file that it builds on could not be read.
fn hides_something(kind: &Kind) -> bool {
    matches!(
        kind,
        Kind::FileMissing { .. }
            | Kind::Directory { .. }
            | Kind::Unreadable { .. }
            | Kind::TooLarge { .. }
            | Kind::Binary
            | Kind::Utf16
            | Kind::InvalidUtf8 { .. }
            | Kind::EmptyFile
            | Kind::BaseLoop { .. }
            | Kind::BaseTooDeep { .. }
            | Kind::TooManyParts { .. }
    )
}

/// Whether a problem can be trusted in a file with broken TOML: what is missing may stand in the broken part, and the
/// line of a syntax error is misread anyway.
fn survives_broken_syntax(problem: &Diagnostic, syntax: &[Place], sources: &Sources) -> bool {
    let line = |place: Place| (place.file, sources.line_column(place).0);
    !matches!(problem.kind, Kind::MissingKey { .. } | Kind::UnknownKey { .. })
        && problem.at.start < problem.at.end
        && !syntax.iter().any(|broken| line(*broken) == line(problem.at))
}

fn canonical(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_path_buf())
}

fn load_tree(
    sources: &mut Sources,
    file: usize,
    path: &Path,
    chain: &mut Vec<PathBuf>,
    problems: &mut Vec<Diagnostic>,
) -> Option<Table> {
    if says_nothing(sources.text(file)) {
        problems.push(Diagnostic::error(Kind::EmptyFile, Place::new(file, 0, 0)));
        return None;
    }
    let mut table = tree::parse(sources, file, problems);
    spread_ranges(&mut table, problems);
    duplicates::check(&table, problems);
    let Some(base) = base_of(&table) else {
        return Some(table);
    };
    let Some(under) = load_base(sources, &base, path, chain, problems) else {
        return Some(table);
    };
    let merged = merge::lay_over(under, table, problems);
    duplicates::check(&merged, problems);
    Some(merged)
}

/// Whether a file holds nothing but white space, comments and a byte order mark.
fn says_nothing(text: &str) -> bool {
    text.trim_start_matches('\u{feff}').lines().map(str::trim).all(|line| line.is_empty() || line.starts_with('#'))
}

fn base_of(table: &Table) -> Option<(String, Place)> {
    let text = table.text("base")?;
    (!text.trim().is_empty())
        .then(|| (text.to_string(), table.get("base").map_or_else(Place::default, |node| node.place)))
}

fn load_base(
    sources: &mut Sources,
    (name, at): &(String, Place),
    path: &Path,
    chain: &mut Vec<PathBuf>,
    problems: &mut Vec<Diagnostic>,
) -> Option<Table> {
    let base = path.parent().unwrap_or_else(|| Path::new("")).join(name);
    let whole = canonical(&base);
    if let Some(position) = chain.iter().position(|known| *known == whole) {
        let names = chain[position..].iter().chain([&whole]).map(|path| short_name(path)).collect();
        problems.push(Diagnostic::error(Kind::BaseLoop { chain: names }, *at));
        return None;
    }
    if chain.len() >= DEEPEST_BASE {
        problems.push(Diagnostic::error(Kind::BaseTooDeep { limit: DEEPEST_BASE }, *at));
        return None;
    }
    match sources.read(&base) {
        Ok(file) => {
            chain.push(whole);
            let tree = load_tree(sources, file, &base, chain, problems);
            chain.pop();
            tree
        }
        // A base that is not there is the fault of the line that names it.
        Err(problem) if sources.text(problem.at.file).is_empty() => {
            problems.push(Diagnostic::error(problem.kind, *at));
            None
        }
        Err(problem) => {
            problems.push((*problem).with(*at, "it is the base of this spec"));
            None
        }
    }
}

fn short_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

/// Turns each table whose id is a range into one table for each name.
fn spread_ranges(table: &mut Table, problems: &mut Vec<Diagnostic>) {
    let mut count = 0;
    for (key, node) in &mut table.entries {
        if !NAMED.contains(&key.name.as_str()) {
            continue;
        }
        if let Value::List(items) = &mut node.value {
            let mut spread_out = Vec::with_capacity(items.len());
            for item in std::mem::take(items) {
                let at = item.place;
                let alike = spread(item, problems);
                count += alike.len();
                if count > MOST_PARTS {
                    problems.push(Diagnostic::error(Kind::TooManyParts { limit: MOST_PARTS }, at));
                    return;
                }
                spread_out.extend(alike);
            }
            *items = spread_out;
        }
    }
}

fn spread(item: Node, problems: &mut Vec<Diagnostic>) -> Vec<Node> {
    let Value::Table(table) = &item.value else {
        return vec![item];
    };
    let Some((id, at)) = table.text("id").zip(table.get("id").map(|node| node.place)) else {
        return vec![item];
    };
    match range::expand(id) {
        None => vec![item],
        Some(Err(problem)) => {
            problems.push(Diagnostic::error(Kind::BadRange { text: id.to_string(), problem }, at));
            Vec::new()
        }
        Some(Ok(names)) => names.iter().map(|name| alike(&item, table, id, name)).collect(),
    }
}

fn alike(item: &Node, table: &Table, group: &str, name: &str) -> Node {
    let mut table = table.clone();
    table.group = Some(group.to_string());
    if let Some(id) = table.get_mut("id") {
        id.value = Value::Text(name.to_string());
    }
    Node { value: Value::Table(table), place: item.place }
}
