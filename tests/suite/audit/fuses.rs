//! Rules about fuses and supplies.

use super::*;

#[test]
fn wrong_fuse_fitted() {
    // Common practice, no source: 10 A or 20 A found where 1.6 A or 3 A is called for.
    for (called, found, times) in [
        ("1.6 A", "10 A", "6.25 times"),
        ("3 A", "20 A", "6.67 times"),
        ("1.6 A", "20 A", "12.5 times"),
        ("3 A", "10 A", "3.33 times"),
    ] {
        let text = with("rated = \"2 A\"", &format!("rated = \"{called}\"\nfitted = \"{found} T\""));
        let finding = trips("wrong-fuse-fitted", &text);
        says(&finding, &["`F1`", called, found, times]);
        assert_eq!(finding.severity, Severity::Hazard);
    }
    is_silent("wrong-fuse-fitted", &with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"2 A T\""));
    let lower = trips("wrong-fuse-fitted", &with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"1 A T\""));
    assert_eq!(lower.severity, Severity::Remark);
    let slower = trips("wrong-fuse-fitted", &with("rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"2 A TT\""));
    assert_eq!(slower.severity, Severity::Hazard);
}

#[test]
fn fuse_above_wire() {
    // FAA AC 43.13-1B table 11-9: AWG 24 of 105 °C in a bundle carries 2.5 A, AWG 20 4 A.
    let wired = with("S1 > K1 > COM", "S1 > wire RD AWG 24 1 m > K1 > COM");
    is_silent("fuse-above-wire", &wired);
    let finding = trips("fuse-above-wire", &replaced(&wired, "rated = \"2 A\"", "rated = \"3.15 A\""));
    says(&finding, &["`F1`", "AWG 24", "2.5 A"]);
    let thicker = replaced(&wired, "AWG 24", "AWG 20");
    is_silent("fuse-above-wire", &replaced(&thicker, "rated = \"2 A\"", "rated = \"3.15 A\""));
    // What is found in the clips counts too.
    trips("fuse-above-wire", &replaced(&thicker, "rated = \"2 A\"", "rated = \"2 A\"\nfitted = \"10 A T\""));
}

#[test]
fn a_wire_before_the_fuse_is_not_its_affair() {
    let before = with("P24 > F1", "P24 > wire RD AWG 24 1 m > F1");
    is_silent("fuse-above-wire", &replaced(&before, "rated = \"2 A\"", "rated = \"5 A\""));
}

#[test]
fn fuse_above_supply() {
    let rated = |va: &str| with("internal = \"0.5 ohm\"", &format!("internal = \"0.5 ohm\"\nrating = \"{va}\""));
    says(&trips("fuse-above-supply", &rated("24 VA")), &["`F1`", "`PS1`", "1 A"]);
    is_silent("fuse-above-supply", &rated("60 VA"));
}

/// 60 VA at 24 V are 2.5 A, whatever the winding gives without load: volt-amperes of a transformer are those at rated load
/// (IEC 61558-1, rated output; the reading of a rating plate).
#[test]
fn volt_amperes_count_at_rated_load() {
    let text =
        with("24 V dc ±10 %\"\ninternal = \"0.5 ohm\"", "24 V dc ±10 %\"\nrating = \"60 VA\"\nregulation = \"12 %\"");
    is_silent("fuse-above-supply", &replaced(&text, "rated = \"2 A\"", "rated = \"2.5 A\""));
    trips("fuse-above-supply", &replaced(&text, "rated = \"2 A\"", "rated = \"3.15 A\""));
}

/// Common practice, no source: a fuse at every supply.
#[test]
fn a_supply_without_a_fuse() {
    let bare = with("P24 > F1 > TP1", "P24 > TP1");
    let text = replaced(
        &bare,
        "[[fuse]]\nid = \"F1\"\nrated = \"2 A\"\nspeed = \"T\"\nbreaking = \"H\"\ncold = \"0.05 ohm\"\n",
        "",
    );
    let finding = trips("supply-unfused", &text);
    assert_eq!(finding.severity, Severity::Remark);
    says(&finding, &["`PS1`", "no fuse"]);
    is_silent("supply-unfused", SOUND);
    // A bleeder of a few milliamps may lie before the fuse.
    is_silent(
        "supply-unfused",
        &and("[[resistor]]\nid = \"R1\"\nvalue = \"1 kohm\"\n\n[[run]]\nroute = \"P24 > R1 > COM\"\n"),
    );
}

#[test]
fn breaking_capacity_and_voltage() {
    // Makers' data sheets: L breaks the greater of 35 A and ten times the rating. 26.4 V behind 0.5 Ω can draw more.
    says(&trips("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"L\"")), &["35 A", "52.8 A"]);
    is_silent("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"E\""));
    says(
        &trips("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"H\"\nvoltage = \"12 V\"")),
        &["12 V", "26.4 V"],
    );
    is_silent("fuse-unsuited", &with("breaking = \"H\"", "breaking = \"H\"\nvoltage = \"32 V\""));
}

const LAMP: &str = r#"
[[lamp]]
id = "L1"
nominal = "24 V"
current = "1 A"

[[run]]
route = "TP1 > L1 > COM"
"#;

#[test]
fn quick_fuse_before_a_lamp() {
    is_silent("fuse-speed", &and(LAMP));
    let quick = replaced(&and(LAMP), "speed = \"T\"", "speed = \"F\"");
    says(&trips("fuse-speed", &quick), &["`F1`", "quick"]);
    is_silent("fuse-speed", &with("speed = \"T\"", "speed = \"F\""));
}

#[test]
fn fuse_below_load() {
    // 24 V over 120 Ω: 0.2 A less a little.
    let over = trips("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.16 A\""));
    assert_eq!(over.severity, Severity::Defect);
    is_silent("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.2 A\""));
    // UL 248-14 links: three quarters of the rating.
    let ul = trips("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.25 A\"\nstandard = \"UL\""));
    assert_eq!(ul.severity, Severity::Remark);
    is_silent("fuse-below-load", &with("rated = \"2 A\"", "rated = \"0.3 A\"\nstandard = \"UL\""));
}

fn shunted(ohms: &str) -> String {
    and(&format!("[[resistor]]\nid = \"R1\"\nvalue = \"{ohms}\"\n\n[[run]]\nroute = \"TP1 > R1 > COM\"\n"))
}

#[test]
fn fuse_opens() {
    // 24 V over 2.5 Ω is 9.6 A; a 2 A IEC link is sure to open from 4.2 A.
    says(&trips("fuse-opens", &shunted("2 ohm")), &["`F1`", "sequence 1"]);
    is_silent("fuse-opens", &shunted("20 ohm"));
}

#[test]
fn supply_overloaded() {
    let short = "[[switch]]\nid = \"S2\"\nrest = \"open\"\n\n[[run]]\nroute = \"P24 > S2 > COM\"\n";
    let shorted = replaced(&and(short), "set = [\"S1\"]", "set = [\"S1\", \"S2\"]");
    says(&trips("supply-overloaded", &shorted), &["`PS1` is shorted"]);
    is_silent("supply-overloaded", &and(short));
    let limited = |amps: &str| with("internal = \"0.5 ohm\"", &format!("internal = \"0.5 ohm\"\nmaximum = \"{amps}\""));
    says(&trips("supply-overloaded", &limited("100 mA")), &["`PS1` delivers", "100 mA"]);
    is_silent("supply-overloaded", &limited("3 A"));
}
