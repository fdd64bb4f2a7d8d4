//! Figures on the name plate that nobody can mean, and names that are accepted wherever the reports print them.

use benchleaf::machine::{self, Opened, Refused};

const BOARD: &str = include_str!("../../../specs/lesson-board-12.toml");

fn changed(from: &str, to: &str) -> Result<Opened, Refused> {
    assert!(BOARD.contains(from), "`{from}` is not in the description");
    machine::from_text("board.toml", &BOARD.replacen(from, to, 1))
}

/// What is said about a description, refused or not.
fn said(found: &Result<Opened, Refused>) -> String {
    match found {
        Ok(opened) => opened.warnings.render(&opened.sources, false),
        Err(refused) => refused.report.render(&refused.sources, false),
    }
}

#[test]
fn impossible_figures_are_refused_with_their_place() {
    for (line, message, hint) in [
        ("weight = \"62\"", "expected a weight in kg or lb, found `62`", "weight = \"62 kg\""),
        ("weight = \"9 st\"", "expected a weight in kg or lb, found `9 st`", "weight = \"62 kg\""),
        ("year = 19630", "expected a year from 1700 to 2100, found 19630", "four digits"),
    ] {
        let key = line.split(' ').next().expect("a key");
        let mut lines: Vec<&str> = BOARD.lines().filter(|known| !known.starts_with(&format!("{key} ="))).collect();
        let at = lines.iter().position(|known| *known == "[machine]").expect("a name plate");
        lines.insert(at + 1, line);
        let found = machine::from_text("board.toml", &lines.join("\n"));
        assert!(found.is_err(), "{line}");
        let said = said(&found);
        for part in [message, hint, line] {
            assert!(said.contains(part), "`{part}` is missing in {said}");
        }
    }
    let found = changed("revision = 2\n", "revision = 0\n");
    assert!(found.is_err() && said(&found).contains("revisions count from 1"), "{}", said(&found));
    for weight in ["62 kg", "137lb", "9.5 kg"] {
        assert!(changed("revision = 2\n", &format!("revision = 2\nweight = \"{weight}\"\n")).is_ok(), "{weight}");
    }
}

#[test]
fn odd_revisions_are_warned_of() {
    let later = changed("date = 2025-09-14", "date = 2027-09-14");
    assert!(later.is_ok() && said(&later).contains("dated 2027-09-14, later than the present one of 2026-03-02"));
    let lower = changed("revision = 2\n", "revision = 1\n");
    assert!(lower.is_ok() && said(&lower).contains("revision 2 is listed as an earlier one"), "{}", said(&lower));
    assert!(said(&machine::from_text("board.toml", BOARD)).is_empty());
}

/// A reservoir of picofarads is a slip of the pen (common practice, no source).
#[test]
fn a_tiny_reservoir_is_warned_of() {
    let sailor = include_str!("../../../specs/old-barnabas.toml");
    let found =
        machine::from_text("sailor.toml", &sailor.replace("reservoir = \"4700 uF\"", "reservoir = \"4700 pF\""));
    assert!(found.is_ok() && said(&found).contains("a reservoir of `4700 pF` smooths nothing"), "{}", said(&found));
}

/// The audit prints `K2:B1-B2`, `across` takes it, so `acts` takes it.
#[test]
fn a_reset_coil_may_act() {
    let reset = |acts: &str| {
        format!(
            r#"
machine = {{ id = "t", name = "T", revision = 1, revised = 2026-03-01, reference = "COM" }}
supply = [{{ id = "PS1", voltage = "24 V dc", terminals = {{ "+" = "P", "-" = "COM" }} }}]
relay = [{{ id = "K2", coil = "150 ohm", reset-coil = "150 ohm", nominal = "24 V dc", contacts = {{ "7-8" = "make" }} }}]
switch = [{{ id = "S1", rest = "open" }}]
run = [{{ route = "P > K2:B1-B2 > COM" }}, {{ route = "P > S1 > K2 > COM" }}]
sequence = [{{ number = 1, title = "resets", acts = ["{acts}"] }}]
"#
        )
    };
    let opened = machine::from_text("t.toml", &reset("K2:B1-B2"));
    assert!(opened.is_ok(), "{}", said(&opened));
    let plain = machine::from_text("t.toml", &reset("K2:C1-C2"));
    assert!(plain.is_err(), "another name is still refused");
}
