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

fn tern(arguments: &[&str]) -> Output {
    narrow("specs/tern-48.toml", arguments)
}

/// Refused on the large machine with all of these words.
fn refused_on_tern(arguments: &[&str], wanted: &[&str]) {
    let output = tern(arguments);
    let messages = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{messages}");
    for wanted in wanted {
        assert!(messages.contains(wanted), "{wanted:?} not in {messages}");
    }
}

#[test]
fn the_wrong_kind_of_current_is_refused() {
    // TP12 stands on the control supply, -28 V dc; TP31 on the motor supply, 25 V ac.
    refused_on_tern(&["--sequence", "5", "--read", "TP12=12 V ac"], &["no ac comes there", "PS1", "to dc"]);
    refused_on_tern(&["--sequence", "5", "--read", "TP31=25 V dc"], &["no dc comes there", "PS2", "to ac"]);
    refused_on_tern(&["--sequence", "5", "--read", "TP31=-25"], &["ac has no sign", "25 V"]);
    refused_on_tern(&["--sequence", "5", "--read", "TP31=-25 V ac"], &["ac has no sign"]);
    // Across a coil neither end is named, so a sign says nothing.
    assert_eq!(
        tern(&["--sequence", "5", "--read", "K1=27"]).stdout,
        tern(&["--sequence", "5", "--read", "K1=-27"]).stdout
    );
}

#[test]
fn a_reading_is_bounded_by_the_supplies_that_reach_its_place() {
    // 28 V + 10 % with a fifth of room: no more than some 37 V, though all supplies together give over a hundred.
    refused_on_tern(&["--sequence", "5", "--read", "TP12=-45"], &["cannot read", "PS1", "decimal point"]);
    refused_on_tern(&["--sequence", "5", "--read", "TP12=27"], &["cannot read", "leads the wrong way round"]);
    refused_on_tern(&["--sequence", "5", "--read", "TP44=25"], &["cannot read", "PS3", "no more than"]);
    refused_on_tern(&["--sequence", "5", "--read", "TP41=60"], &["cannot read", "PS4"]);
    for sound in ["TP12=-30.8", "TP12=0.2", "TP44=7", "TP31=29", "TP41=25.4", "TP12=-0.3 V"] {
        assert_eq!(tern(&["--sequence", "5", "--read", sound]).status.code(), Some(0), "{sound}");
    }
}

#[test]
fn sequences_may_be_given_as_ranges() {
    let (range, list) = (tern(&["--works", "1-3", "--fails", "5"]), tern(&["--works", "1,2,3", "--fails", "5"]));
    assert_eq!(range.status.code(), Some(0), "{}", text(&range.stderr));
    assert_eq!(range.stdout, list.stdout);
    assert_eq!(tern(&["--works", "1–2,3", "--fails", "5"]).stdout, list.stdout);
    refused_on_tern(&["--fails", "3-1"], &["goes down", "`1-3`"]);
    refused_on_tern(&["--sequence", "1-3", "--read", "TP1=-27"], &["one sequence such as `5`, found `1-3`"]);
    refused_on_tern(&["--fails", "five"], &["`five`", "`1-3`", "sequences: 1, 2"]);
    refused_on_tern(&["--fails", "1-99"], &["no sequence 99"]);
    refused_on_tern(&["--works", "1-4", "--fails", "3"], &["sequence 3 is said both"]);
    refused_on_tern(&["--sequence", "five", "--read", "TP12=0"], &["`five`"]);
}

#[test]
fn an_unknown_place_gets_the_nearest_names_and_the_list() {
    refused_on_tern(&["--sequence", "5", "--read", "TP99=12"], &["`TP9`", "`TP19` or `TP29`", "TP1 to TP54"]);
    refused_on_tern(&["--ohms", "TP4/TP77=3"], &["`TP77`", "TP1 to TP54"]);
    refused_on_tern(&["--sequence", "5", "--read", "K1=118 ohm"], &["--ohms"]);
    refused_on_tern(&["--ohms", "K1=12 V"], &["--read"]);
    let (small, large) = (&["--sequence", "5", "--read", "tp12=0"], &["--sequence", "5", "--read", "TP12=0"]);
    assert_eq!(tern(small).stdout, tern(large).stdout);
}

#[test]
fn all_that_is_wrong_on_the_large_machine_is_said_at_once() {
    refused_on_tern(
        &["--read", "TP99=1", "TP31=-25", "TP12=12 V ac", "TP12=90", "--ohms", "K1=-4", "--fails", "9-7", "77"],
        &[
            "`TP99`",
            "no sign",
            "no ac",
            "cannot read 90",
            "below zero",
            "goes down",
            "no sequence 77",
            "need the sequence",
        ],
    );
}

#[test]
fn the_next_check_names_its_sequence() {
    let said = text(&tern(&["--works", "1,2", "--fails", "5"]).stdout);
    let next = said.lines().find(|line| line.starts_with("Next")).unwrap();
    assert!(next.contains("in sequence 5 (Number 2 pressed") && next.contains("TP"), "{next}");
    // A table of a page at most: what is left over is counted.
    assert!(said.lines().count() < 30 && said.contains("more places with"), "{said}");
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
