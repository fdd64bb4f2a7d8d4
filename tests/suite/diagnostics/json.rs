//! The report for programs.

use benchleaf::machine;

#[test]
fn the_json_report_has_places_hints_and_relations() {
    let text = "[machine]\nid = \"x\"\nname = \"x\"\n[[fuse]]\nid = \"F1\"\nrated = \"2,5 A\"\n[[fuse]]\nid = \"F1\"\nrated = \"2 A\"\n";
    let refused = machine::from_text("twice.toml", text).expect_err("it is refused");
    let json = refused.report.to_json(&refused.sources);
    let entries = json.as_array().expect("a list");
    let comma = entries.iter().find(|entry| entry["hints"][0] == "write `2.5 A`").expect("the comma is told");
    assert_eq!((&comma["file"], &comma["line"], &comma["column"]), (&"twice.toml".into(), &6.into(), &10.into()));
    assert_eq!((&comma["end-line"], &comma["end-column"]), (&6.into(), &13.into()));
    assert_eq!((&comma["severity"], &comma["kind"]), (&"error".into(), &"decimal-comma".into()));
    let twice = entries.iter().find(|entry| entry["message"] == "name `F1` is given twice").expect("the name is told");
    assert_eq!(twice["related"][0]["message"], "first defined here");
    assert_eq!((&twice["line"], &twice["related"][0]["line"]), (&8.into(), &5.into()));
}

#[test]
fn colour_adds_nothing_but_colour() {
    let refused = machine::from_text("x.toml", "[machine]\nid = 3\n").expect_err("it is refused");
    let (plain, coloured) =
        (refused.report.render(&refused.sources, false), refused.report.render(&refused.sources, true));
    assert!(coloured.contains("\u{1b}[") && !plain.contains('\u{1b}'));
    let mut stripped = String::new();
    let mut rest = coloured.as_str();
    while let Some(start) = rest.find('\u{1b}') {
        stripped.push_str(&rest[..start]);
        let end = rest[start..].find('m').expect("the end of a colour");
        rest = &rest[start + end + 1..];
    }
    stripped.push_str(rest);
    assert_eq!(stripped, plain);
}
