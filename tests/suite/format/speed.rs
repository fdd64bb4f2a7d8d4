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

#[test]
fn careless_ranges_do_not_fill_the_memory() {
    let mut text = String::new();
    for block in 0..2000 {
        let _ = write!(text, "[[switch]]\nid = \"S{block}x1..S{block}x1000\"\n");
    }
    let refused = machine::from_text("many.toml", &spec(&text)).expect_err("it is refused");
    let told = |sentence: &str| refused.report.iter().any(|problem| problem.message() == sentence);
    assert!(told("the ranges of this file stand for more than 50000 parts"));
}

#[test]
fn thousands_of_problems_end_in_a_word() {
    let mut text = String::new();
    for number in 0..20_000 {
        let _ = writeln!(text, "[[run]]\nroute = \"P24 > X{number} > COM\"");
    }
    let refused = machine::from_text("many.toml", &spec(&text)).expect_err("it is refused");
    assert!(refused.report.len() <= 1001, "{} problems", refused.report.len());
    let told = refused.report.iter().any(|problem| problem.message() == "there are more problems than can be listed");
    assert!(told);
}

/// One long route with escapes, one long chain of sequences: each is followed once.
#[test]
fn long_routes_and_chains_take_their_time_only_once() {
    let names: Vec<String> = (1..=9000).map(|number| format!("R{number}")).collect();
    let mut text = String::new();
    for block in 0..9 {
        let _ =
            write!(text, "[[resistor]]\nid = \"R{}..R{}\"\nvalue = \"1 ohm\"\n", block * 1000 + 1, block * 1000 + 1000);
    }
    let _ = write!(text, "[[run]]\nroute = \"P24 \\u003E {} > COM\"\n", names.join(" > "));
    for number in 2..9000 {
        let _ = write!(text, "[[sequence]]\nnumber = {number}\ntitle = \"x\"\nafter = {}\n", number - 1);
    }
    let opened = open(&spec(&text));
    assert_eq!((opened.machine.elements.len(), opened.machine.sequences.len()), (9001, 8999));
    let circle = spec(&text).replace("title = \"Rest\"", "title = \"Rest\"\nafter = 8999");
    let refused = machine::from_text("circle.toml", &circle).expect_err("the sequences go round");
    assert_eq!(refused.report.len(), 1);
}
