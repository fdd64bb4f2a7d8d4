//! `docs/reports.md` against what the commands give: every field is named with its type, and none is named that never comes.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use super::page::{part, quoted, tables};

const PAGE: &str = include_str!("../../../docs/reports.md");

/// The demonstration machines.
const DEMOS: [&str; 4] = ["gull-gallery", "lesson-board-12", "old-barnabas", "tern-48"];

/// Fields that come only with input that no machine here has; the types of these are not seen.
const RARE: [&str; 7] = [
    "warnings[].related[]",
    "warnings[].related[].message",
    "warnings[].related[].file",
    "warnings[].related[].line",
    "warnings[].related[].column",
    "warnings[].related[].end-line",
    "warnings[].related[].end-column",
];

fn spec(name: &str) -> String {
    let path: PathBuf = [env!("CARGO_MANIFEST_DIR"), "specs", &format!("{name}.toml")].iter().collect();
    path.to_string_lossy().into_owned()
}

/// Runs a command with `--format json` and gives what it reports, and its exit code.
fn run(arguments: &[&str]) -> (Value, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args(arguments)
        .args(["--format", "json"])
        .output()
        .expect("the program starts");
    let shown = String::from_utf8_lossy(&output.stderr);
    let report = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{arguments:?}: {shown}"));
    (report, output.status.code().expect("an exit code"))
}

/// The fields that a table names, each with its type.
fn fields(table: &[Vec<String>]) -> BTreeMap<String, String> {
    let mut fields = BTreeMap::new();
    for row in &table[1..] {
        assert_eq!(row.len(), 3, "a row has three cells: {row:?}");
        for path in quoted(&row[0]) {
            assert!(fields.insert(path.clone(), row[1].clone()).is_none(), "`{path}` is told twice");
        }
    }
    fields
}

/// The fields of a command: those of the table with this number under its heading, amounts spread out.
fn documented(command: &str, table: usize) -> BTreeMap<String, String> {
    let of_fields = |table: &Vec<Vec<String>>| table[0][0] == "field";
    let all: Vec<_> = tables(part(PAGE, "##", command)).into_iter().filter(of_fields).collect();
    let mut named = fields(&all[table]);
    for (path, form) in named.clone() {
        let inner = match form.as_str() {
            "amount" => path,
            "list of amounts" => format!("{path}[]"),
            _ => continue,
        };
        let amount = fields(all.last().expect("a table of amounts"));
        named.extend(amount.into_iter().map(|(field, form)| (format!("{inner}.{field}"), form)));
    }
    named
}

/// Whether a value has the type that the page tells.
fn fits(form: &str, value: &Value) -> bool {
    if value.is_null() {
        return form.contains("or null");
    }
    let form = form.trim_end_matches(" or null");
    match form {
        "amount" => value.is_object(),
        "true or false" | "true, false" => value.is_boolean(),
        "whole number" => value.is_i64() || value.is_u64(),
        "whole number or list" => value.is_u64() || value.is_array() || value.is_string(),
        "list of text" => value.as_array().is_some_and(|list| list.iter().all(Value::is_string)),
        "list of whole numbers" => value.as_array().is_some_and(|list| list.iter().all(Value::is_i64)),
        "number, 0 to 1" => value.as_f64().is_some_and(|share| (0.0..=1.0 + 1e-9).contains(&share)),
        form if form.starts_with("number") => value.is_number(),
        form if form.starts_with("text") => value.is_string(),
        form if form.starts_with("list") => value.is_array(),
        form if form.starts_with("object") => value.is_object(),
        other => panic!("the page names a type that is not known here: {other}"),
    }
}

/// Walks through a report and compares every field with the page; gives the fields that came.
struct Walk<'d> {
    documented: &'d BTreeMap<String, String>,
    seen: BTreeSet<String>,
}

impl Walk<'_> {
    fn object(&mut self, prefix: &str, value: &Value) {
        for (key, value) in value.as_object().expect("an object") {
            let path = if prefix.is_empty() { key.clone() } else { format!("{prefix}.{key}") };
            let form = self.documented.get(&path).unwrap_or_else(|| panic!("the page does not name `{path}`"));
            assert!(fits(form, value), "`{path}` is told to be {form}, found {value}");
            self.seen.insert(path.clone());
            self.inside(&path, value);
        }
    }

    fn inside(&mut self, path: &str, value: &Value) {
        match value {
            Value::Object(_) => self.object(path, value),
            Value::Array(entries) => {
                for entry in entries.iter().filter(|entry| entry.is_object()) {
                    self.object(&format!("{path}[]"), entry);
                }
            }
            _ => {}
        }
    }
}

/// Compares reports with the page, both ways.
fn compare(documented: &BTreeMap<String, String>, reports: &[Value]) {
    assert!(!reports.is_empty());
    let mut walk = Walk { documented, seen: BTreeSet::new() };
    for report in reports {
        walk.object("", report);
    }
    let missing: Vec<&String> =
        documented.keys().filter(|path| !walk.seen.contains(*path) && !RARE.contains(&path.as_str())).collect();
    assert!(missing.is_empty(), "no report has {missing:?}");
}

#[test]
fn fields_of_check() {
    let folder = tempfile::tempdir().expect("a folder");
    // A wire that leads nowhere: a warning.
    let lesson = fs::read_to_string(spec("lesson-board-12")).expect("a description");
    let path = folder.path().join("dead-end.toml");
    fs::write(&path, lesson + "\n[[run]]\nroute = \"TP1 > wire BK\"\n").expect("written");
    let mut specs: Vec<String> = DEMOS.map(spec).to_vec();
    specs.push(path.to_string_lossy().into_owned());
    let arguments: Vec<&str> = std::iter::once("check").chain(specs.iter().map(String::as_str)).collect();
    let (reports, code) = run(&arguments);
    assert_eq!(code, 1, "something is found");
    let reports = reports.as_array().expect("a list");
    assert_eq!(reports.len(), specs.len());
    compare(&documented("check", 0), reports);
}

#[test]
fn fields_of_solve() {
    let mut reports: Vec<Value> = Vec::new();
    for name in DEMOS {
        let (report, code) = run(&["solve", &spec(name)]);
        assert_eq!(code, 0, "{name} comes to rest");
        reports.push(report);
    }
    // A shorted coil opens the fuse; there are no bands.
    let (faulty, _) = run(&["solve", &spec("lesson-board-12"), "--sequence", "3", "--fault", "K1=shorted"]);
    assert!(!faulty["sequences"][0]["opened"].as_array().expect("a list").is_empty());
    assert!(faulty["sequences"][0]["readings"][0]["min"].is_null());
    reports.push(faulty);
    compare(&documented("solve", 0), &reports);
}

#[test]
fn fields_of_narrow() {
    let board = spec("lesson-board-12");
    let (added, code) = run(&["narrow", &board, "--sequence", "3", "--read", "TP3=7"]);
    assert_eq!(code, 0);
    assert!(added["suspects"][0]["added"].is_object());
    let (doubtful, code) = run(&["narrow", &board, "--sequence", "3", "--read", "TP2=9", "TP3=2"]);
    assert_eq!(code, 1, "the readings contradict each other");
    assert!(!doubtful["doubts"].as_array().expect("a list").is_empty());
    let (dead, _) = run(&["narrow", &board, "--ohms", "K1=118", "F1=open"]);
    assert!(dead["sequence"].is_null());
    compare(&documented("narrow", 0), &[added, doubtful, dead]);
}

#[test]
fn fields_of_sum() {
    let (list, code) = run(&["sum"]);
    assert_eq!(code, 0);
    let list = list.as_array().expect("a list");
    compare(&documented("sum", 0), list);
    let done: Vec<Value> = list
        .iter()
        .map(|entry| {
            let text = |key: &str| entry[key].as_str().expect("text");
            let mut arguments = vec!["sum", text("name")];
            arguments.extend(text("example").split_whitespace());
            let (sum, code) = run(&arguments);
            assert_eq!(code, 0, "{arguments:?}");
            sum
        })
        .collect();
    compare(&documented("sum", 1), &done);
}

#[test]
fn fields_of_a_score() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("log.toml");
    let log = format!(
        "spec = '{}'\nset = {{ count = 3, seed = 1 }}\nexercise = 1\nchecks = [1, 2, 3, 3]\nanswer = \"\"\n\
         wrong-parts = 1\nunsafe-steps = 1\n",
        spec("lesson-board-12")
    );
    fs::write(&path, log).expect("written");
    let (score, code) = run(&["drill", "--score", &path.to_string_lossy()]);
    assert_eq!(code, 0);
    compare(&documented("drill --score", 0), &[score]);
}

#[test]
fn keys_of_a_log_are_those_that_are_read() {
    let all = tables(part(PAGE, "##", "drill --score"));
    let told = all.iter().find(|table| table[0][0] == "key").expect("a table of keys");
    let told: BTreeSet<String> = told[1..].iter().flat_map(|row| quoted(&row[0])).collect();
    // The reader names the keys that it knows when it meets one that it does not.
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("log.toml");
    fs::write(&path, "elephant = 1\n").expect("written");
    let output = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args([Path::new("drill"), Path::new("--score"), &path])
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(2));
    let message = String::from_utf8_lossy(&output.stderr).into_owned();
    let known = message.split("expected").nth(1).unwrap_or_else(|| panic!("no list of keys: {message}"));
    assert_eq!(told, quoted(known).into_iter().collect());
}

#[test]
fn fields_of_verify_code() {
    let (report, code) = run(&["verify-code", &spec("lesson-board-12"), "X"]);
    assert_eq!(code, 2, "a mistyped code");
    assert_eq!(report["state"], "mistyped");
    compare(&documented("verify-code", 0), &[report]);
}

#[test]
fn unreadable_input_ends_with_two_and_the_others_are_reported() {
    let (reports, code) = run(&["check", &spec("lesson-board-12"), "no-such-machine.toml"]);
    assert_eq!(code, 2);
    assert_eq!(reports.as_array().map(Vec::len), Some(1));
}
