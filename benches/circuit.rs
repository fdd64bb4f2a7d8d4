//! How long solving takes: the large demonstration machine, and generated machines of growing size.
//!
//! `cargo bench --bench circuit`. One thread. A generated machine has 50 sequences, each with a bank of switches in series, a
//! relay with its suppressor, and test points along the way; a lamp circuit lies beside them all.

#![expect(clippy::print_stdout, reason = "a benchmark reports on the terminal")]

use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;

use benchleaf::circuit::{Effort, Solver};
use benchleaf::machine::{self, model::Machine};

/// Sequences of a generated machine.
const SEQUENCES: usize = 50;

fn main() {
    let tern = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs/tern-48.toml");
    if let Ok(opened) = machine::open(&tern) {
        report("Tern 48", &opened.machine);
    }
    let mut smaller: Option<f64> = None;
    for parts in [250, 500, 1000, 2000] {
        match machine::from_text("generated.toml", &description(parts)) {
            Ok(opened) => {
                let seconds = report(&format!("{parts} parts"), &opened.machine);
                if let Some(before) = smaller {
                    println!("  {:.2} times the time of half as many", seconds / before);
                }
                smaller = Some(seconds);
            }
            Err(refused) => println!("{}", refused.report.render(&refused.sources, false)),
        }
    }
}

/// Solves a machine without and with bands; gives the seconds of the latter.
fn report(name: &str, machine: &Machine) -> f64 {
    let start = Instant::now();
    let Ok(solver) = Solver::new(machine) else {
        println!("{name}: no solution");
        return f64::NAN;
    };
    let nominal = solver.solve(Effort::Nominal);
    let without = start.elapsed().as_secs_f64();
    let start = Instant::now();
    let banded = solver.solve(Effort::Bands);
    let with = start.elapsed().as_secs_f64();
    assert_eq!(nominal.sequences.len(), banded.sequences.len());
    println!(
        "{name}: {} elements, {} sequences; {:.1} ms without bands, {:.0} ms with them; {} MB at most so far",
        machine.elements.len(),
        machine.sequences.len(),
        without * 1e3,
        with * 1e3,
        peak()
    );
    with
}

/// The most memory that this process has held, in megabytes, where the kernel tells.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let held = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = held.and_then(|text| text.trim().trim_end_matches("kB").trim().parse::<usize>().ok());
    kilobytes.map_or_else(|| "?".into(), |kilobytes| (kilobytes / 1024).to_string())
}

/// A machine of about so many parts.
fn description(parts: usize) -> String {
    let bank = parts / SEQUENCES - 2;
    let mut text = String::from(
        "[machine]\nid = \"generated\"\nname = \"Generated\"\nkind = \"benchmark\"\nrevision = 1\nrevised = 2026-01-01\nreference = \"COM\"\n\
         [[supply]]\nid = \"PS1\"\nvoltage = \"28 V dc ±10 %\"\ninternal = \"0.5 ohm\"\nterminals = { \"+\" = \"P28\", \"-\" = \"COM\" }\n\
         [[fuse]]\nid = \"F1\"\nrated = \"3.15 A\"\nspeed = \"T\"\n[[test-point]]\nid = \"TP0\"\n[[run]]\nroute = \"P28 > F1 > TP0\"\n",
    );
    for number in 1..=SEQUENCES {
        let (first, last) = (number * 1000, number * 1000 + bank - 1);
        let half = first + bank / 2;
        let _ = write!(
            text,
            "[[switch]]\nid = \"S{first}..S{last}\"\nrest = \"open\"\n\
             [[relay]]\nid = \"K{number}\"\ncoil = \"330 ohm ±10 %\"\nnominal = \"24 V dc\"\n\
             [[diode]]\nid = \"D{number}\"\npreset = \"silicon\"\nacross = \"K{number}\"\n\
             [[test-point]]\nid = \"TP{number}\"\n\
             [[run]]\nroute = \"TP0 > S{first}..S{half} > TP{number} > S{}..S{last} > K{number} > COM\"\n\
             [[sequence]]\nnumber = {number}\ntitle = \"step\"\nset = [\"S{first}..S{last}\"]\nacts = [\"K{number}\"]\n",
            half + 1
        );
    }
    text
}
