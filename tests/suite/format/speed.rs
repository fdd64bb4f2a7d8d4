//! Large and hostile input: it ends, and it says something.

use std::fmt::Write;

use benchleaf::machine;

use super::resolution::{open, spec};

/// Far more than any machine has: a chain of 20 000 parts resolves, so nothing in the way is quadratic or recursive.
#[test]
fn twenty_thousand_parts_resolve() {
    let mut text = String::new();
    for block in 0..40 {
        let _ = write!(text, "[[resistor]]\nid = \"R{block}_1..R{block}_500\"\nvalue = \"1 ohm\"\n");
        let _ = write!(text, "[[run]]\nroute = \"P24 > R{block}_1..R{block}_500 > COM\"\n");
    }
    let opened = open(&spec(&text));
    assert_eq!(opened.machine.elements.len(), 20_001);
}

#[test]
fn deep_nesting_is_refused_with_a_place() {
    let text = format!("[machine]\nid = \"x\"\nname = {}{}\n", "[".repeat(10_000), "]".repeat(10_000));
    let refused = machine::from_text("deep.toml", &text).expect_err("it is refused");
    assert!(refused.report.has_errors());
    assert!(refused.report.iter().any(|problem| problem.at.start > 0));
}

#[test]
fn a_range_of_a_million_parts_is_refused() {
    let text = spec("[[switch]]\nid = \"S1..S1000000\"\n");
    let refused = machine::from_text("wide.toml", &text).expect_err("it is refused");
    let told =
        refused.report.iter().any(|problem| problem.message() == "`S1..S1000000` stands for more than 1000 names");
    assert!(told);
}
