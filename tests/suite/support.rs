//! Helpers that several modules share.

use benchleaf::words::{Fact, Value, Words};

/// Says that a check was left out for want of an outside tool; where `BENCHLEAF_ALL_TOOLS` is set, that is a failure.
#[expect(clippy::print_stderr, reason = "whoever runs the tests must see it")]
pub(crate) fn skip(tool: &str) {
    assert!(std::env::var_os("BENCHLEAF_ALL_TOOLS").is_none(), "`{tool}` is missing");
    eprintln!("skipped: `{tool}` is not installed");
}

/// A fact in English.
pub(crate) fn english(fact: &Fact) -> String {
    Words::of("en").expect("built in").say(fact)
}

/// A value in English.
pub(crate) fn english_value(value: &Value) -> String {
    Words::of("en").expect("built in").say_value(value)
}
