//! The JSON Schema: every spec of the project fits it, and what does not fit is found.
//!
//! A small validator of the keywords that the schema uses stands in for a whole one: it fails on a keyword it does not
//! know, so the schema cannot quietly grow past it.

use std::fs;
use std::path::PathBuf;

use benchleaf::spec::schema;
use serde_json::{Value, json};

/// Everything in `value` that does not fit `schema`, with its path.
fn misfits(root: &Value, schema: &Value, value: &Value, path: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (keyword, rule) in schema.as_object().expect("a schema is an object") {
        match keyword.as_str() {
            "$ref" => {
                let name = rule.as_str().and_then(|name| name.strip_prefix("#/$defs/")).expect("a local reference");
                found.extend(misfits(root, &root["$defs"][name], value, path));
            }
            "type" if !is_type(rule, value) => found.push(format!("{path} is not {rule}")),
            "enum" if !rule.as_array().expect("a list").contains(value) => {
                found.push(format!("{path} is none of {rule}"));
            }
            "pattern" => found.extend(check_pattern(rule, value, path)),
            "minimum" if value.as_f64().is_some_and(|number| number < rule.as_f64().expect("a number")) => {
                found.push(format!("{path} is below {rule}"));
            }
            "anyOf" => {
                let fits = |option: &Value| misfits(root, option, value, path).is_empty();
                if !rule.as_array().expect("a list").iter().any(fits) {
                    found.push(format!("{path} fits none of its forms"));
                }
            }
            "items" => {
                for (index, item) in value.as_array().into_iter().flatten().enumerate() {
                    found.extend(misfits(root, rule, item, &format!("{path}/{index}")));
                }
            }
            "properties" => {
                for (key, rule) in rule.as_object().expect("properties") {
                    if let Some(value) = value.get(key) {
                        found.extend(misfits(root, rule, value, &format!("{path}/{key}")));
                    }
                }
            }
            "required" => {
                for key in rule.as_array().expect("a list").iter().filter_map(Value::as_str) {
                    if value.is_object() && value.get(key).is_none() {
                        found.push(format!("{path} lacks {key}"));
                    }
                }
            }
            "additionalProperties" => found.extend(check_additional(root, schema, rule, value, path)),
            "type" | "enum" | "minimum" | "description" | "examples" | "$schema" | "$defs" | "title" => {}
            other => panic!("the schema uses `{other}`, which this validator does not know"),
        }
    }
    found
}

fn check_additional(root: &Value, schema: &Value, rule: &Value, value: &Value, path: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (key, value) in value.as_object().into_iter().flatten() {
        if schema["properties"].get(key).is_some() {
            continue;
        }
        if rule == &json!(false) {
            found.push(format!("{path} has the unknown key {key}"));
        } else {
            found.extend(misfits(root, rule, value, &format!("{path}/{key}")));
        }
    }
    found
}

fn is_type(rule: &Value, value: &Value) -> bool {
    match rule.as_str().expect("one type") {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "integer" => value.is_i64(),
        "number" => value.is_number(),
        other => panic!("unknown type {other}"),
    }
}

/// The two patterns of the schema, spelled out.
fn check_pattern(rule: &Value, value: &Value, path: &str) -> Option<String> {
    let text = value.as_str()?;
    let fits = match rule.as_str().expect("a pattern") {
        "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" => {
            text.len() == 10
                && text.char_indices().all(|(at, c)| if at == 4 || at == 7 { c == '-' } else { c.is_ascii_digit() })
        }
        "^[\\p{L}\\p{N}_+/.-]+$" => {
            !text.is_empty() && text.chars().all(|c| c.is_alphanumeric() || "_+/.-".contains(c))
        }
        other => panic!("unknown pattern {other}"),
    };
    (!fits).then(|| format!("{path} does not match {rule}"))
}

fn as_json(text: &str) -> Value {
    let table: toml::Table = text.parse().expect("TOML");
    plain(&toml::Value::Table(table))
}

/// TOML as JSON, dates as text.
fn plain(value: &toml::Value) -> Value {
    match value {
        toml::Value::String(text) => json!(text),
        toml::Value::Integer(number) => json!(number),
        toml::Value::Float(number) => json!(number),
        toml::Value::Boolean(truth) => json!(truth),
        toml::Value::Datetime(date) => json!(date.to_string()),
        toml::Value::Array(items) => items.iter().map(plain).collect(),
        toml::Value::Table(table) => {
            Value::Object(table.iter().map(|(key, value)| (key.clone(), plain(value))).collect())
        }
    }
}

fn toml_files(folder: &str) -> Vec<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(folder);
    let files = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok).map(|entry| entry.path());
    let mut files: Vec<PathBuf> =
        files.filter(|path| path.extension().is_some_and(|ending| ending == "toml")).collect();
    files.sort();
    files
}

#[test]
fn every_spec_of_the_project_fits_the_schema() {
    let schema = schema();
    let files: Vec<PathBuf> = ["specs", "tests/examples"].into_iter().flat_map(toml_files).collect();
    assert!(files.len() >= 4, "the demo machines are there");
    for file in files {
        let text = fs::read_to_string(&file).expect("a spec");
        let found = misfits(&schema, &schema, &as_json(&text), "");
        assert!(found.is_empty(), "{}: {found:#?}", file.display());
    }
    let template = as_json(&benchleaf::spec::template("tern-48"));
    assert_eq!(misfits(&schema, &schema, &template, ""), Vec::<String>::new());
}

#[test]
fn what_does_not_fit_is_found() {
    let schema = schema();
    let text = r#"
[machine]
id = "a b"
name = 3
colour = "red"
[[relay]]
nominal = "24 V dc"
contacts = { "1-2" = "closing" }
"#;
    let found = misfits(&schema, &schema, &as_json(text), "").join("\n");
    for part in [
        "/machine/id does not match",
        "/machine/name is not",
        "unknown key colour",
        "/relay/0 lacks id",
        "1-2 is none of",
    ] {
        assert!(found.contains(part), "{part} is not among\n{found}");
    }
}

/// Every key has a description, since an editor shows it.
#[test]
fn every_key_is_described() {
    fn walk(value: &Value, path: &str, bare: &mut Vec<String>) {
        for (key, property) in value["properties"].as_object().into_iter().flatten() {
            let text = property["description"].as_str().unwrap_or_default();
            if text.len() < 5 {
                bare.push(format!("{path}/{key}"));
            }
        }
        let definitions = value["$defs"].as_object().into_iter().flatten();
        for (key, inner) in definitions.filter(|(key, _)| *key != "whole") {
            walk(inner, key, bare);
        }
    }
    let mut bare = Vec::new();
    walk(&schema(), "", &mut bare);
    assert!(bare.is_empty(), "{bare:?}");
}
