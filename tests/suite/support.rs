//! Helpers that several modules share.

use std::io::Write;
use std::process::{Command, Stdio};

use benchleaf::words::{Fact, Value, Words};

/// Says that a check was left out for want of an outside tool; where `BENCHLEAF_ALL_TOOLS` is set, that is a failure.
pub(crate) fn skip(tool: &str) {
    assert!(std::env::var_os("BENCHLEAF_ALL_TOOLS").is_none(), "`{tool}` is missing");
    let test = std::thread::current().name().unwrap_or("a test").to_string();
    // Written past the test runner, which would keep a printed line of a passing test to itself. Nothing is left to do
    // where standard error is closed.
    let _ = writeln!(std::io::stderr(), "left out: {test}: `{tool}` is not installed");
}

/// Whether an outside tool is installed; says that the check is left out where it is not.
pub(crate) fn installed(tool: &str) -> bool {
    let found = Command::new(tool)
        .arg("--version")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok();
    if !found {
        skip(tool);
    }
    found
}

/// A fact in English.
pub(crate) fn english(fact: &Fact) -> String {
    Words::of("en").expect("built in").say(fact)
}

/// A value in English.
pub(crate) fn english_value(value: &Value) -> String {
    Words::of("en").expect("built in").say_value(value)
}
