//! The bench sums against published tables and worked examples; the source stands beside each check.
//!
//! Tolerances are half a unit of the last digit that the source prints, or 1e-4 where the source gives its inputs and the
//! result was worked out again from them in closed form.

#![expect(clippy::approx_constant, reason = "printed figures, not constants")]

mod asking;
mod codes;
mod coils;
mod copper;
mod fuse_links;
mod lamps;
mod loudspeakers;
mod resistances;
mod supplies;

use benchleaf::sums::tables::{conductors, e_series::Series, fuses};
use benchleaf::sums::{self, Sum, SumError, Verdict};

use super::support::{english, english_value};

/// Does a sum from words separated by spaces.
fn sum(name: &str, words: &str) -> Sum {
    attempt(name, words).unwrap_or_else(|errors| panic!("{name} {words}: {errors:?}"))
}

fn attempt(name: &str, words: &str) -> Result<Sum, Vec<SumError>> {
    let words: Vec<String> = words.split_whitespace().map(str::to_string).collect();
    sums::run(name, &words)
}

/// The name of an answer for programs from its English words.
fn key(name: &str) -> String {
    let plain = name.to_lowercase().replace('\'', "");
    let parts: Vec<&str> = plain.split(|letter: char| !letter.is_ascii_alphanumeric()).collect();
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-")
}

/// What is printed for an answer, in English.
fn text(sum: &Sum, name: &str) -> String {
    english_value(sum.text(&key(name)).unwrap_or_else(|| panic!("no `{name}` in\n{sum:?}")))
}

fn value(sum: &Sum, name: &str) -> f64 {
    sum.value(&key(name)).unwrap_or_else(|| panic!("no `{name}` in\n{sum:?}"))
}

/// The answer `name` of a sum is `expected`, give or take `within` (absolute).
fn check(sum: &Sum, name: &str, expected: f64, within: f64) {
    let found = value(sum, name);
    assert!((found - expected).abs() <= within, "{name}: expected {expected} ± {within}, found {found}\n{sum:?}");
}

/// The same, relative: 1e-4.
fn check_exact(sum: &Sum, name: &str, expected: f64) {
    check(sum, name, expected, 1e-4 * expected.abs());
}

fn verdict(sum: &Sum) -> Verdict {
    sum.judgement.as_ref().unwrap_or_else(|| panic!("no verdict in\n{sum:?}")).verdict
}

fn refusal(name: &str, words: &str) -> String {
    match attempt(name, words) {
        Ok(sum) => panic!("{name} {words} should be refused, found\n{sum:?}"),
        Err(errors) => errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "),
    }
}
