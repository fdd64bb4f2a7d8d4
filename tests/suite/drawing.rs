//! Signal paths against circuits worked by hand, and drawings that never put one label on another.

mod bench;

use benchleaf::drawing::{FaultProfile, Style, SymbolStyle, path_sheets};
use benchleaf::machine::model::SequenceId;
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
}
