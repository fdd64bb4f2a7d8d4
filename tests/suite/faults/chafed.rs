//! A wire that has chafed on the frame: where the machine names its frame, in the dictionary, in the order of checks, and
//! found by `narrow`. Worked by hand with Ohm's law.

use std::path::{Path, PathBuf};
use std::process::Command;

use benchleaf::circuit::{Change, Effort, Solver};
use benchleaf::faults::analyse;
use benchleaf::faults::kinds::{FaultKind, UsualCheck, catalogue};
use benchleaf::faults::order::CheckKind;
use benchleaf::faults::search::symptom::Effect;
use benchleaf::machine;
use benchleaf::machine::model::Machine;

fn spec() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/worksheets/chafed.toml")
}

/// The machine with one text of its description replaced by another.
fn varied(before: &str, after: &str) -> Machine {
    let text = std::fs::read_to_string(spec()).unwrap();
    assert!(text.contains(before));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("varied.toml");
    std::fs::write(&path, text.replace(before, after)).unwrap();
    match machine::open(&path) {
        Ok(opened) => opened.machine,
        Err(refused) => panic!("{}", refused.report.render(&refused.sources, false)),
    }
}

#[test]
fn a_chafed_wire_shorts_its_feed_to_the_frame() {
    let machine = varied("40 A", "40 A");
    let solver = Solver::new(&machine).unwrap();
    let solution = solver.solve(Effort::Bands);
    let findings = analyse(&machine, &solver, &solution);
    let faults = &findings.dictionary.faults;
    let place = faults.iter().position(|fault| fault.kind == FaultKind::Chafed).unwrap();
    assert!(matches!(faults[place].changes[..], [Change::Bridge(..)]));
    assert_eq!((faults[place].weight, faults[place].minutes), (1.0, 8.0));
    let row = findings.dictionary.sequences[0].row(place);
    assert_eq!(row.effect, Effect::Fails);
    assert!(row.opened.is_empty());
    // 24 V over 0.5 + 0.08 + 0.05 + 0.05 Ω; the coil beside the short takes next to nothing.
    let amperes = 24.0 / 0.68;
    for (point, ohms_below) in [0.18, 0.1, 0.05].into_iter().enumerate() {
        let expected = amperes * ohms_below;
        assert!(
            (row.readings[point] - expected).abs() < 1e-3 * expected,
            "{point}: {} {expected}",
            row.readings[point]
        );
    }
    let order = findings.sequences[0].order.as_ref().unwrap();
    assert!(order.offers.iter().any(|offer| matches!(offer.kind, CheckKind::Usual(_, UsualCheck::ToFrame))));
}

#[test]
fn an_ordinary_fuse_opens_and_the_rest_is_dead() {
    let machine = varied("40 A", "2 A");
    let solver = Solver::new(&machine).unwrap();
    let solution = solver.solve(Effort::Nominal);
    let faults = catalogue(&machine);
    let chafed = faults.iter().find(|fault| fault.kind == FaultKind::Chafed).unwrap();
    let outcome = solver.faulted(&solution, solution.sequences[0].sequence, &chafed.changes);
    assert_eq!(outcome.opened.len(), 1);
    assert!((outcome.opened[0].current - 24.0 / 0.68).abs() < 0.05, "{}", outcome.opened[0].current);
    assert!(outcome.readings[1..].iter().all(|reading| reading.volts.abs() < 1e-9));
}

#[test]
fn weight_and_minutes_can_be_stated_and_no_frame_means_no_such_fault() {
    let machine = varied("[[run]]", "[[fault]]\nkind = \"chafed\"\nweight = 7\nminutes = 3\n\n[[run]]");
    let chafed: Vec<_> = catalogue(&machine).into_iter().filter(|fault| fault.kind == FaultKind::Chafed).collect();
    assert_eq!(chafed.len(), 1);
    assert_eq!((chafed[0].weight, chafed[0].minutes), (7.0, 3.0));
    let machine = varied("frame = \"N\"\n", "");
    assert!(catalogue(&machine).iter().all(|fault| fault.kind != FaultKind::Chafed));
}

#[test]
fn narrow_names_the_chafed_wire_in_both_languages() {
    for (language, wanted) in [("en", "touches the frame"), ("de", "berührt das Gestell")] {
        let output = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
            .args(["narrow", spec().to_str().unwrap(), "--language", language, "--sequence", "1"])
            .args(["--read", "TP1=6.35", "TP2=3.53", "TP3=1.76"])
            .output()
            .unwrap();
        let said = String::from_utf8(output.stdout).unwrap();
        let first = said.lines().find(|line| line.contains(" %  ")).unwrap_or_default();
        assert!(first.contains(wanted), "{said}{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn a_frame_that_is_no_joint_is_refused_by_name() {
    let text = std::fs::read_to_string(spec()).unwrap().replace("frame = \"N\"", "frame = \"NOWHERE\"");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("nowhere.toml");
    std::fs::write(&path, text).unwrap();
    let refused = machine::open(&path).unwrap_err();
    assert!(refused.report.render(&refused.sources, false).contains("NOWHERE"));
}
