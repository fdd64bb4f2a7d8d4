//! The circuit room against ngspice, an independent simulator.
//!
//! Netlists are written here and nowhere else. Many circuits go into one deck, on joints of their own, since starting the
//! simulator costs more than solving. Diodes follow the exponential law there and the piecewise-linear one here; networks
//! with diodes are therefore compared within 2 % of the reading and the volts that lie between the two laws at the currents
//! found, all others within 1e-6.

pub(crate) mod demos;
mod netlist;
mod pulses;
mod random;
mod transient;

use std::collections::BTreeMap;
use std::io::Write;
use std::process::{Command, Stdio};

/// Runs a deck and returns everything that it prints.
pub(crate) fn ngspice(deck: &str) -> String {
    let mut file = tempfile::Builder::new().suffix(".cir").tempfile().expect("a temporary file");
    file.write_all(deck.as_bytes()).expect("the deck is written");
    let output =
        Command::new("ngspice").arg("-b").arg(file.path()).stdin(Stdio::null()).output().expect("ngspice starts");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(!errors.to_lowercase().contains("error"), "ngspice says: {errors}\n{text}");
    text
}

/// Node voltages that a deck prints: `name = value` for DC, `name = real,imaginary` for AC.
pub(crate) fn voltages(printed: &str) -> BTreeMap<String, (f64, f64)> {
    let parse = |line: &str| {
        let (name, value) = line.split_once(" = ")?;
        let name = name.trim().trim_start_matches("v(").trim_end_matches(')').to_string();
        let mut parts = value.trim().split(',').map(|part| part.trim().parse::<f64>().ok());
        let real = parts.next()??;
        Some((name, (real, parts.next().flatten().unwrap_or(0.0))))
    };
    printed.lines().filter_map(parse).collect()
}

/// What a `meas` line of a deck printed: `name = value ...`.
pub(crate) fn measured(printed: &str, name: &str) -> f64 {
    let line = printed.lines().find(|line| line.trim_start().starts_with(name)).unwrap_or_else(|| panic!("{printed}"));
    let value = line.split('=').nth(1).and_then(|rest| rest.split_whitespace().next());
    value.and_then(|value| value.parse().ok()).unwrap_or_else(|| panic!("{line}"))
}
