//! Signal paths against circuits worked by hand, and drawings that never put one label on another.

mod bench;

use std::path::Path;

use benchleaf::circuit::{self, Effort, Solution};
use benchleaf::drawing::{FaultProfile, Style, SymbolStyle, path_sheets};
use benchleaf::machine;
use benchleaf::machine::model::{Machine, SequenceId};
use benchleaf::sheets::words::Words;

use self::bench::gallery;

/// Writes every picture of the gallery into the folder that `DRAW_TO` names, to be looked at.
#[test]
fn pictures_to_look_at() {
    let Ok(folder) = std::env::var("DRAW_TO") else { return };
    let words = Words::of("en").unwrap();
    for (name, (bench, energised)) in gallery() {
        let solution = bench.solved(&energised);
        for (style_name, symbols) in [("iec", SymbolStyle::Iec), ("na", SymbolStyle::NorthAmerican)] {
            let style = Style { symbols, width: 257.0, height: 170.0, shelf: false, words: &words };
            let points = bench.machine.test_points.len();
            let profiles = [
                FaultProfile {
                    label: "one of S10…S17 open".into(),
                    volts: vec![Some(-27.0), Some(-27.0), Some(0.0), Some(0.0)],
                },
                FaultProfile { label: "tired clip at F2, +60 Ω".into(), volts: vec![Some(-18.0); points] },
            ];
            for sequence in 0..bench.machine.sequences.len() {
                let sheets = path_sheets(&bench.machine, &solution, SequenceId(sequence), &style, &profiles);
                for (page, drawing) in sheets.iter().enumerate() {
                    let file = format!("{folder}/{name}-{}-{page}-{style_name}.svg", sequence + 1);
                    std::fs::write(file, &drawing.svg).unwrap();
                    std::fs::write(format!("{folder}/{name}-{}-{page}.txt", sequence + 1), &drawing.alt).unwrap();
                }
            }
        }
    }
    for (name, machine, solution) in demo_machines() {
        let style = Style { symbols: SymbolStyle::Iec, width: 263.0, height: 145.0, shelf: false, words: &words };
        for (index, sequence) in machine.sequences.iter().enumerate() {
            for (page, drawing) in path_sheets(&machine, &solution, SequenceId(index), &style, &[]).iter().enumerate() {
                let file = format!("{folder}/demo-{name}-{:02}-{page}.svg", sequence.number);
                std::fs::write(file, &drawing.svg).unwrap();
            }
        }
    }
}

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
            let solution = circuit::solve(&opened.machine, Effort::Bands).unwrap();
            (file.file_stem().unwrap().to_string_lossy().into_owned(), opened.machine, solution)
        })
        .collect()
}
