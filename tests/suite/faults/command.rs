//! `narrow` through the program itself.

use std::path::Path;
use std::process::{Command, Output};

fn narrow(spec: &str, arguments: &[&str]) -> Output {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    Command::new(env!("CARGO_BIN_EXE_benchleaf")).arg("narrow").arg(root.join(spec)).args(arguments).output().unwrap()
}

fn board(arguments: &[&str]) -> Output {
    narrow("specs/lesson-board-12.toml", arguments)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn refused(arguments: &[&str], wanted: &[&str]) {
    let output = board(arguments);
    let messages = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{messages}");
    assert!(output.stdout.is_empty());
    for wanted in wanted {
        assert!(messages.contains(wanted), "{wanted:?} not in {messages}");
    }
}

#[test]
fn readings_lead_to_a_suspect_and_a_next_check() {
    // Start pressed: the feed is there, the far side of the stop button is dead.
    let output = board(&["--sequence", "2", "--read", "TP2=11.9", "TP3=0", "TP4=0", "--works", "1"]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let first = said.lines().find(|line| line.contains(" %  ")).unwrap();
    assert!(first.contains("S3"), "{said}");
    assert!(said.contains("One fault is assumed."), "{said}");
}

#[test]
fn the_report_is_there_as_json() {
    let output = board(&["--sequence", "2", "--read", "TP2=11.9", "TP3=7.1 V", "--works", "1", "--format", "json"]);
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(value["machine"], "lesson-board-12");
    assert_eq!(value["sequence"], 2);
    let suspects = value["suspects"].as_array().unwrap();
    assert_eq!(suspects[0]["place"], "S3");
    // 160 Ω of coil at 11.9 V, of which 7.1 V are left: some 108 Ω more.
    let added = &suspects[0]["added"];
    let (low, mean, high) =
        (added["low"].as_f64().unwrap(), added["mean"].as_f64().unwrap(), added["high"].as_f64().unwrap());
    assert!(low < 108.0 && 108.0 < high && (80.0..140.0).contains(&mean), "{added}");
    let sum: f64 = suspects.iter().map(|one| one["share"].as_f64().unwrap()).sum();
    assert!(sum <= 1.0 + 1e-9 && sum > 0.95);
}

#[test]
fn sequences_alone_narrow_too() {
    let output = board(&["--works", "1,2", "--fails", "3"]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let first = said.lines().find(|line| line.contains(" %  ")).unwrap();
    assert!(first.contains("K1:13-14"), "{said}");
}

#[test]
fn a_wrong_probe_is_pointed_at() {
    // Everything as it should be up to the relay, except one point in the middle of it all.
    let output = board(&["--sequence", "2", "--read", "TP1=12", "TP2=0", "TP3=11.9", "TP4=11.9"]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("TP2 = 0 V does not fit"), "{said}");
}

#[test]
fn an_open_coil_is_found_with_an_ohmmeter() {
    let output = board(&["--ohms", "K1=open", "--format", "json"]);
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(value["suspects"][0]["place"], "K1 coil");
    assert_eq!(value["suspects"][0]["kind"], "open");
}

#[test]
fn bad_evidence_is_refused_with_the_reason() {
    refused(&[], &["no reading and no sequence", "--read"]);
    refused(&["--read", "TP2=11.9"], &["need the sequence", "--sequence"]);
    refused(&["--sequence", "2", "--read", "TP22=11.9"], &["`TP22`", "did you mean `TP2`?"]);
    refused(&["--sequence", "2", "--read", "TP2=11.9 ohm"], &["TP2=11.9 ohm", "voltage"]);
    refused(&["--sequence", "2", "--read", "TP2"], &["expected a place and its reading"]);
    refused(&["--sequence", "2", "--read", "TP2=230"], &["cannot read 230 V", "decimal point"]);
    refused(&["--sequence", "2", "--read", "TP2=nan"], &["finite number"]);
    refused(&["--sequence", "2", "--read", "TP2=11.9", "TP2=0"], &["given twice"]);
    refused(&["--sequence", "99", "--read", "TP2=11.9"], &["no sequence 99", "1, 2, 3"]);
    refused(&["--works", "1", "--fails", "1"], &["both to work and to fail"]);
    refused(&["--ohms", "K1=-5"], &["below zero"]);
    refused(&["--ohms", "K9=5"], &["`K9`"]);
}

#[test]
fn everything_wrong_is_said_at_once() {
    refused(&["--sequence", "99", "--read", "TP22=1", "TP2=x", "--works", "77"], &["99", "`TP22`", "TP2=x", "77"]);
}

#[test]
fn weights_of_zero_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text_of_board = std::fs::read_to_string(root.join("specs/lesson-board-12.toml")).unwrap();
    let path = folder.path().join("weightless.toml");
    std::fs::write(&path, format!("{text_of_board}\n[[fault]]\nweight = 0\n")).unwrap();
    let output = narrow(path.to_str().unwrap(), &["--works", "1"]);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
    assert!(text(&output.stderr).contains("weights are zero"), "{}", text(&output.stderr));
}

#[test]
fn a_fault_that_does_not_exist_is_refused_by_name() {
    let folder = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let board = std::fs::read_to_string(root.join("specs/lesson-board-12.toml")).unwrap();
    for (written, wanted) in [("kind = \"dirtty\"", ["dirtty", "dirty"]), ("part = \"S33\"", ["S33", "S3"])] {
        let path = folder.path().join("faulty.toml");
        std::fs::write(&path, format!("{board}\n[[fault]]\n{written}\nweight = 5\n")).unwrap();
        let output = narrow(path.to_str().unwrap(), &["--works", "1"]);
        assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
        let messages = text(&output.stderr);
        assert!(wanted.iter().all(|word| messages.contains(word)), "{messages}");
    }
}

#[test]
fn suspects_that_nothing_tells_apart_are_named_together() {
    let output = board(&["--sequence", "2", "--read", "TP4=0", "--works", "1", "--format", "json"]);
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let suspects = value["suspects"].as_array().unwrap();
    let groups: Vec<u64> = suspects.iter().map(|one| one["group"].as_u64().unwrap()).collect();
    assert_eq!(groups[0], 1);
    let mut highest = 1;
    for &group in &groups {
        assert!(group <= highest + 1, "groups are numbered as they appear");
        highest = highest.max(group);
    }
    assert!(
        highest > 1 && usize::try_from(highest).unwrap() < groups.len(),
        "some are told apart, others not: {groups:?}"
    );
}

#[test]
fn the_next_check_takes_at_least_its_own_minutes() {
    // Within the tolerances no check parts these suspects for certain; one that parts them at nominal values is offered.
    let output = board(&["--sequence", "2", "--read", "TP2=9", "--format", "json"]);
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let minutes = |key: &str| value["next"][key].as_f64().unwrap();
    assert!(minutes("expected-minutes") >= minutes("minutes") && minutes("minutes") > 0.0, "{}", value["next"]);
}
