//! Files that cannot be read as a spec at all.

use std::fs;
use std::path::Path;

use benchleaf::machine;
use benchleaf::spec::{Kind, Place};
use tempfile::TempDir;

/// The one problem of a file: its kind, its line and column, its sentence.
fn only_problem(path: &Path) -> (Kind, Place, (usize, usize), String) {
    let refused = machine::open(path).expect_err("it is refused");
    assert_eq!(refused.report.len(), 1, "{}", refused.report.render(&refused.sources, false));
    let problem = refused.report.iter().next().expect("one problem");
    let place = refused.sources.line_column(problem.at);
    assert!(refused.report.render(&refused.sources, false).starts_with("error: "));
    (problem.kind.clone(), problem.at, place, problem.message())
}

fn file(bytes: &[u8]) -> (TempDir, std::path::PathBuf) {
    let folder = TempDir::new().expect("a temporary folder");
    let path = folder.path().join("spec.toml");
    fs::write(&path, bytes).expect("a file");
    (folder, path)
}

#[test]
fn a_missing_file_and_a_folder_are_told_apart() {
    let folder = TempDir::new().expect("a temporary folder");
    let (kind, ..) = only_problem(&folder.path().join("nothing.toml"));
    assert!(matches!(kind, Kind::FileMissing { .. }));
    let (kind, .., sentence) = only_problem(folder.path());
    assert!(matches!(kind, Kind::Directory { .. }));
    assert!(sentence.ends_with("is a folder, expected a TOML file"));
}

#[test]
fn a_bad_byte_has_a_line_and_a_column() {
    let (_folder, path) = file(b"[machine]\nid = \"caf\xE9\"\nname = \"x\"\n");
    let (kind, at, place, _) = only_problem(&path);
    assert_eq!(kind, Kind::InvalidUtf8 { byte: 0xE9, offset: 19 });
    assert_eq!((at.start, place), (19, (2, 10)));
}

#[test]
fn binary_and_utf_16_files_are_recognised() {
    let (_folder, path) = file(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR");
    assert!(matches!(only_problem(&path).0, Kind::Binary));
    let (_folder, path) = file(b"\xFF\xFE[\x00m\x00]\x00");
    assert!(matches!(only_problem(&path).0, Kind::Utf16));
    let (_folder, path) = file(b"a\x00b");
    let refused = machine::open(&path).expect_err("a control character is no TOML");
    assert!(refused.report.has_errors());
}

#[test]
fn a_file_that_says_nothing_is_told() {
    for text in ["", "\n\n", "# only a remark\n", "\u{feff}"] {
        let (_folder, path) = file(text.as_bytes());
        assert!(matches!(only_problem(&path).0, Kind::EmptyFile), "{text:?}");
    }
}

#[test]
fn a_byte_order_mark_is_no_problem() {
    let text = format!("\u{feff}{}", benchleaf::spec::template("mark"));
    let (_folder, path) = file(text.as_bytes());
    assert!(machine::open(&path).is_ok());
}

#[test]
fn windows_line_ends_are_no_problem() {
    let text = benchleaf::spec::template("crlf").replace('\n', "\r\n");
    let (_folder, path) = file(text.as_bytes());
    assert!(machine::open(&path).is_ok());
}

#[test]
fn a_file_that_is_far_too_large_is_not_read() {
    let (_folder, path) = file(&vec![b'#'; 5 << 20]);
    let (kind, .., sentence) = only_problem(&path);
    assert!(matches!(kind, Kind::TooLarge { .. }));
    assert!(sentence.contains("5 MB"), "{sentence}");
}

#[test]
fn all_problems_of_a_file_come_in_one_run() {
    let text = r#"
[machine]
id = "many"
nmae = "Many"
[[supply]]
id = "PS1"
voltage = "24 V"
terminals = { "+" = "P24", "-" = "COM" }
[[relay]]
id = "K1"
coil = "160"
nominal = "24 V dc"
[[run]]
route = "P24 > F9 > K1 > COM"
[[sequence]]
number = 1
title = "One"
set = ["S1"]
acts = ["K2"]
"#;
    let refused = machine::from_text("many.toml", text).expect_err("it is refused");
    let places: Vec<&str> = refused.report.iter().map(|problem| refused.sources.slice(problem.at)).collect();
    assert_eq!(places, ["[machine]", "nmae", "\"24 V\"", "160", "F9", "\"S1\"", "\"K2\""]);
}

#[test]
fn several_syntax_errors_come_in_one_run() {
    let text = "[machine]\nid = = \"x\"\nname = \"x\n[[fuse]\nid = \"F1\"\n";
    let refused = machine::from_text("syntax.toml", text).expect_err("it is refused");
    let lines: Vec<usize> = refused.report.iter().map(|problem| refused.sources.line_column(problem.at).0).collect();
    assert!(lines.len() >= 3 && lines.contains(&2) && lines.contains(&3) && lines.contains(&4), "{lines:?}");
}
