//! Signal paths against circuits taken apart by hand, and drawings that never put one label on another.

mod bench;
mod labels;
mod paths;
mod pictures;
mod random;

use std::path::Path;

use benchleaf::circuit::{self, Effort, Solution};
use benchleaf::drawing::{Drawing, FaultProfile, Style, SymbolStyle, path_sheets};
use benchleaf::machine;
use benchleaf::machine::model::{Machine, SequenceId};
use benchleaf::words::Words;

/// Every drawing style that a user can choose.
const STYLES: [(SymbolStyle, bool); 4] = [
    (SymbolStyle::Iec, false),
    (SymbolStyle::NorthAmerican, false),
    (SymbolStyle::Iec, true),
    (SymbolStyle::NorthAmerican, true),
];

/// The demonstration machines, solved.
fn demo_machines() -> Vec<(String, Machine, Solution)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|file| file.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    files
        .iter()
        .map(|file| {
            let opened =
                machine::open(file).unwrap_or_else(|refused| panic!("{}: {:?}", file.display(), refused.report));
            let solution = circuit::solve(&opened.machine, Effort::Nominal).unwrap();
            (file.file_stem().unwrap().to_string_lossy().into_owned(), opened.machine, solution)
        })
        .collect()
}

/// All drawings of a sequence at the width and height of an A4 page across.
fn drawn(machine: &Machine, solution: &Solution, sequence: usize, look: (SymbolStyle, bool)) -> Vec<Drawing> {
    let words = Words::of("en").unwrap();
    let style = Style { symbols: look.0, width: 257.0, height: 145.0, shelf: look.1, words: &words };
    path_sheets(machine, solution, SequenceId(sequence), &style, &profiles(machine))
}

/// Two made-up fault profiles: half the volts everywhere, and nothing from the third point on.
fn profiles(machine: &Machine) -> Vec<FaultProfile> {
    let points = machine.test_points.len();
    vec![
        FaultProfile { label: "half the supply, 40 % of its load".into(), volts: vec![Some(-12.0); points] },
        FaultProfile {
            label: "open behind the second point".into(),
            volts: (0..points).map(|point| Some(if point < 2 { -27.0 } else { 0.0 })).collect(),
        },
    ]
}
