//! Rules about test points, stated readings and idle parts.

use super::*;

fn expecting(reads: &str) -> String {
    and(&format!("[[expect]]\nat = \"TP1\"\nsequence = 1\nreads = \"{reads}\"\nsource = \"manual p. 31\"\n"))
}

#[test]
fn manual_disagrees() {
    // 21.6 to 26.4 V behind half an ohm.
    says(
        &trips("manual-disagrees", &expecting("12 V dc")),
        &["`TP1`", "12 V DC", "manual p. 31", "on a healthy machine"],
    );
    says(&trips("manual-disagrees", &expecting("-23.9 V dc")), &["the sign differs"]);
    says(&trips("manual-disagrees", &expecting("24 V ac")), &["the circuit makes 23.9 V DC there"]);
    for reads in ["23.9 V dc", "21.6 V dc", "26.2 V dc", "20 V dc ±10 %"] {
        is_silent("manual-disagrees", &expecting(reads));
    }
}

/// A Zener diode holds a point where it is, however the supply moves: 20 V is far above what 12 V ±0 can become, though
/// the supply's own share would allow it.
#[test]
fn a_stabilised_point_is_not_excused_by_the_supply() {
    let held = and(
        "[[diode]]\nid = \"D9\"\npreset = \"zener 12 V\"\n\n[[resistor]]\nid = \"R9\"\nvalue = \"100 ohm ±1 %\"\n\n[[test-point]]\nid = \"TP9\"\n\n[[run]]\nroute = \"P24 > R9 > TP9 > D9:K-A > COM\"\n\n[[expect]]\nat = \"TP9\"\nsequence = 1\nreads = \"13 V dc\"\n",
    );
    says(&trips("manual-disagrees", &held), &["`TP9`", "13 V"]);
    is_silent("manual-disagrees", &held.replace("reads = \"13 V dc\"", "reads = \"12 V dc\""));
}

#[test]
fn floating_test_point() {
    let hanging = and(
        "[[test-point]]\nid = \"TP9\"\n\n[[switch]]\nid = \"S8..S9\"\nrest = \"open\"\n\n[[run]]\nroute = \"P24 > S8 > TP9 > S9 > COM\"\n",
    );
    says(&trips("test-point-floats", &hanging), &["`TP9`"]);
    is_silent("test-point-floats", &replaced(&hanging, "set = [\"S1\"]", "set = [\"S1\", \"S8\"]"));
}

#[test]
fn silent_test_point() {
    let silent = and("[[test-point]]\nid = \"TP9\"\nat = \"COM\"\n");
    says(&trips("test-point-silent", &silent), &["`TP9` reads nothing against `COM`"]);
    is_silent("test-point-silent", SOUND);
}

#[test]
fn unused_part() {
    let idle = and(
        "[[lamp]]\nid = \"L9\"\nnominal = \"24 V\"\ncurrent = \"0.1 A\"\n\n[[switch]]\nid = \"S9\"\nrest = \"open\"\n\n[[run]]\nroute = \"TP1 > S9 > L9 > COM\"\n",
    );
    let found: Vec<_> = findings(&idle)
        .into_iter()
        .filter(|finding| finding.rule == "part-unused")
        .map(|finding| crate::support::english(&finding.message))
        .collect();
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(
        found.iter().any(|message| message.contains("`L9`")) && found.iter().any(|message| message.contains("`S9`"))
    );
    is_silent("part-unused", &replaced(&idle, "set = [\"S1\"]", "set = [\"S1\", \"S9\"]"));
}
