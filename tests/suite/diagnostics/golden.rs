//! Every `tests/bad/NAME.toml` is refused, or warned of, with exactly the text in `NAME.stderr`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::{env, fs};

use benchleaf::machine;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad")
}

/// What is said about a spec, with paths as seen from the project's folder.
fn said(path: &Path) -> String {
    let (report, sources) = match machine::open(path) {
        Ok(opened) => (opened.warnings, opened.sources),
        Err(refused) => (refused.report, refused.sources),
    };
    report.render(&sources, false).replace(concat!(env!("CARGO_MANIFEST_DIR"), "/"), "")
}

fn names(ending: &str) -> BTreeSet<String> {
    let entries = fs::read_dir(folder()).expect("the folder of bad specs").filter_map(Result::ok);
    let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    names.filter_map(|name| name.strip_suffix(ending).map(String::from)).collect()
}

#[test]
fn every_bad_spec_brings_its_message() {
    let update = env::var_os("UPDATE_GOLDEN").is_some();
    let mut differences = Vec::new();
    let specs = names(".toml");
    for name in specs.iter().filter(|name| !name.starts_with("base-of-")) {
        let found = said(&folder().join(format!("{name}.toml")));
        let golden = folder().join(format!("{name}.stderr"));
        if update {
            fs::write(&golden, &found).expect("the expected text");
        }
        let expected = fs::read_to_string(&golden).unwrap_or_default();
        if found.is_empty() || found != expected {
            differences.push(format!("--- {name}, expected\n{expected}\n+++ {name}, found\n{found}"));
        }
    }
    assert!(differences.is_empty(), "{}\nUPDATE_GOLDEN=1 writes the expected texts anew", differences.join("\n"));
    assert!(specs.len() >= 40, "there are {} bad specs", specs.len());
}

#[test]
fn no_expected_text_is_left_over() {
    let left_over: Vec<String> = names(".stderr").difference(&names(".toml")).cloned().collect();
    assert!(left_over.is_empty(), "no spec brings {left_over:?}");
}

/// The tone: starts small, no full stop, no apology, no blame.
#[test]
fn messages_keep_the_house_style() {
    for name in names(".toml").iter().filter(|name| !name.starts_with("base-of-")) {
        let text = said(&folder().join(format!("{name}.toml")));
        for line in text.lines() {
            let Some((head, sentence)) = line.split_once(": ").filter(|(head, _)| ["error", "warning"].contains(head))
            else {
                continue;
            };
            let first = sentence.chars().next().unwrap_or('X');
            assert!(!first.is_uppercase(), "{name}: {head} starts large: {sentence}");
            assert!(!sentence.ends_with('.'), "{name}: {head} ends in a full stop: {sentence}");
            for word in ["sorry", "please", "invalid", "simply", "illegal"] {
                assert!(!sentence.to_lowercase().contains(word), "{name}: `{word}` in: {sentence}");
            }
        }
    }
}
