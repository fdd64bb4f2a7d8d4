//! A spec that builds on another: what is overridden, added and removed.

use std::fs;

use benchleaf::machine::model::{ContactForm, PartKind};
use benchleaf::machine::{self, Refused};
use tempfile::TempDir;

use super::resolution::spec;

const BASE: &str = r#"
[[relay]]
id = "K1"
label = "credit relay"
coil = "120 ohm"
nominal = "24 V dc"
place = "left"
[[switch]]
id = "S1..S3"
rest = "closed"
[[lamp]]
id = "H1"
nominal = "24 V"
current = "40 mA"
[[run]]
label = "main"
route = "P24 > S1..S3 > K1 > COM"
[[run]]
label = "lamp"
route = "P24 > H1 > COM"
"#;

fn folder(files: &[(&str, &str)]) -> TempDir {
    let folder = TempDir::new().expect("a temporary folder");
    for (name, text) in files {
        fs::write(folder.path().join(name), text).expect("a file in it");
    }
    folder
}

fn refuse(folder: &TempDir, name: &str) -> Refused {
    machine::open(&folder.path().join(name)).expect_err("it is refused")
}

#[test]
fn values_are_overridden_key_by_key() {
    let child = r#"
base = "base.toml"
remove = ["H1", "run lamp"]
[machine]
id = "bench-2"
serial = "0042"
[[relay]]
id = "K1"
coil = "160 ohm ±5 %"
[[switch]]
id = "S2"
rest = "open"
[[run]]
label = "main"
route = "P24 > S1 > S3 > S2 > K1 > COM"
[[sequence]]
number = 1
title = "At rest"
"#;
    let folder = folder(&[("base.toml", &spec(BASE)), ("child.toml", child)]);
    let opened = machine::open(&folder.path().join("child.toml"))
        .unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
    let machine = &opened.machine;
    assert_eq!((machine.identity.id.as_str(), machine.identity.name.as_str()), ("bench-2", "Bench"));
    assert_eq!(machine.identity.serial.as_deref(), Some("0042"));
    let relay = machine.part_named("K1").expect("a relay");
    let coil = machine.coil(relay).expect("a coil");
    assert!((coil.resistance.nominal.value() - 160.0).abs() < 1e-12 && (coil.nominal.value() - 24.0).abs() < 1e-12);
    assert_eq!(machine.part(relay).label.as_deref(), Some("credit relay"));
    assert!(machine.part_named("H1").is_none());
    assert_eq!(machine.runs.len(), 1);
    assert_eq!(machine.sequences[0].title, "At rest");
    // One of three alike switches was changed; the others are as they were.
    let rest = |id: &str| {
        let part = machine.part_named(id).expect("a switch");
        match &machine.part(part).kind {
            PartKind::Switch(switch) => switch.contacts[0].form,
            kind => panic!("{kind:?}"),
        }
    };
    let (open, closed) = (ContactForm::Make, ContactForm::Break);
    assert_eq!((rest("S1"), rest("S2"), rest("S3")), (closed, open, closed));
    // The document for the card code holds the merged text.
    assert_eq!(opened.document["relay"][0]["coil"], "160 ohm ±5 %");
    assert!(opened.document.get("lamp").and_then(|lamps| lamps.as_array()).is_none_or(Vec::is_empty));
}

#[test]
fn problems_name_the_file_in_which_they_are_written() {
    let base = spec(BASE).replace("120 ohm", "120 V");
    let child = "base = \"base.toml\"\n[machine]\nid = \"x\"\n[[relay]]\nid = \"K1\"\nnominal = \"24\"\n";
    let folder = folder(&[("base.toml", &base), ("child.toml", child)]);
    let refused = refuse(&folder, "child.toml");
    let found: Vec<(String, String)> = refused
        .report
        .iter()
        .map(|problem| {
            let name = refused.sources.name(problem.at.file).rsplit('/').next().unwrap_or_default().to_string();
            (name, refused.sources.slice(problem.at).to_string())
        })
        .collect();
    assert_eq!(found, [("child.toml".into(), "24".into()), ("base.toml".into(), "V".into())]);
}

#[test]
fn loops_and_missing_bases_are_told() {
    let folder = folder(&[
        ("a.toml", "base = \"b.toml\"\n[machine]\nid = \"a\"\n"),
        ("b.toml", "base = \"a.toml\"\n[machine]\nid = \"b\"\n"),
        ("self.toml", "base = \"self.toml\"\n[machine]\nid = \"s\"\n"),
        ("lost.toml", "base = \"nowhere.toml\"\n[machine]\nid = \"l\"\n"),
    ]);
    let first = |name: &str| {
        let refused = refuse(&folder, name);
        let problem = refused.report.iter().next().expect("a problem").clone();
        (problem.message(), refused.sources.slice(problem.at).to_string())
    };
    let circle = "the specs build on each other in a circle: ";
    let of = |report: Refused| report.report.iter().map(benchleaf::spec::Diagnostic::message).collect::<Vec<_>>();
    assert!(of(refuse(&folder, "a.toml")).contains(&format!("{circle}a.toml → b.toml → a.toml")));
    assert!(of(refuse(&folder, "self.toml")).contains(&format!("{circle}self.toml → self.toml")));
    let (message, at) = first("lost.toml");
    assert!(message.starts_with("there is no file `") && message.ends_with("nowhere.toml`"), "{message}");
    assert_eq!(at, "\"nowhere.toml\"");
}
