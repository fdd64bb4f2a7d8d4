//! Rules about what lies across coils.

use super::*;

const DIODE: &str = "[[diode]]\nid = \"D1\"\nacross = \"K1\"\nreverse = \"200 V\"\nforward = \"1 A\"\n";

#[test]
fn missing() {
    says(&trips("suppressor-missing", &with(DIODE, "")), &["`K1`"]);
    is_silent("suppressor-missing", SOUND);
    // A resistor with a capacitor serves as well.
    let snubber = "[[joint]]\nid = \"J\"\n\n[[resistor]]\nid = \"R1\"\nvalue = \"100 ohm\"\n\n[[capacitor]]\nid = \"C1\"\nvalue = \"0.1 uF\"\n\n[[run]]\nroute = \"J > R1 > C1 > COM\"\n";
    let text = format!("{}\n{snubber}", replaced(&with(DIODE, ""), "S1 > K1", "S1 > J > K1"));
    is_silent("suppressor-missing", &text);
}

#[test]
fn a_plug_away_is_still_across() {
    let text = replaced(
        &with(DIODE, "[[diode]]\nid = \"D1\"\n\n[[plug]]\nid = \"J3\"\n\n[[joint]]\nid = \"J\"\n"),
        "S1 > K1",
        "S1 > J > K1",
    );
    let text = format!("{text}\n[[run]]\nroute = \"COM > D1:A-K > J3:6 > wire RD > J\"\n");
    is_silent("suppressor-missing", &text);
}

fn by_hand(route: &str) -> String {
    let text = replaced(&with(DIODE, "[[diode]]\nid = \"D1\"\n\n[[joint]]\nid = \"J\"\n"), "S1 > K1", "S1 > J > K1");
    format!("{text}\n[[run]]\nroute = \"{route}\"\n")
}

#[test]
fn reversed() {
    let wrong = trips("suppressor-reversed", &by_hand("J > D1:A-K > COM"));
    assert_eq!(wrong.severity, Severity::Hazard);
    says(&wrong, &["`D1`", "`K1`"]);
    is_silent("suppressor-reversed", &by_hand("COM > D1:A-K > J"));
}

#[test]
fn reversed_behind_a_large_fuse() {
    // With nothing to open, the diode simply holds the coil down.
    let text = replaced(&by_hand("J > D1:A-K > COM"), "rated = \"2 A\"", "rated = \"100 A\"");
    trips("suppressor-reversed", &text);
}

#[test]
fn too_small() {
    let current = trips("suppressor-too-small", &with("forward = \"1 A\"", "forward = \"0.1 A\""));
    says(&current, &["`D1` may carry 100 mA"]);
    let volts = trips("suppressor-too-small", &with("reverse = \"200 V\"", "reverse = \"40 V\""));
    assert_eq!(volts.severity, Severity::Remark);
    assert_eq!(
        trips("suppressor-too-small", &with("reverse = \"200 V\"", "reverse = \"20 V\"")).severity,
        Severity::Defect
    );
    is_silent("suppressor-too-small", &with("reverse = \"200 V\"", "reverse = \"50 V\""));
}
