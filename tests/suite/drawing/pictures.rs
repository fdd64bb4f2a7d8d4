//! The drawings themselves: clean on every page of every demonstration machine, told in words, the same every time.

use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::time::Instant;

use benchleaf::circuit::path::{signal_paths, spine_elements};
use benchleaf::drawing::{Style, SymbolStyle, legend, selector};
use benchleaf::machine::model::{PartId, PartKind, SequenceId};
use benchleaf::words::Words;

use super::bench::gallery;
use super::{STYLES, demo_machines, drawn, labels};

#[test]
fn every_sequence_of_every_demonstration_machine_is_drawn_clean() {
    for (name, machine, solution) in demo_machines() {
        for (index, sequence) in machine.sequences.iter().enumerate() {
            for look in STYLES {
                let pages = drawn(&machine, &solution, index, look);
                assert!(!pages.is_empty(), "{name} sequence {}: nothing is drawn", sequence.number);
                for (page, drawing) in pages.iter().enumerate() {
                    let name = format!("{name} sequence {} page {page}", sequence.number);
                    labels::check(&name, &drawing.standalone());
                    assert!(drawing.height <= 145.0, "{name} is {} mm high", drawing.height);
                }
            }
        }
    }
}

#[test]
fn words_tell_every_part_of_the_main_path_and_the_page_shows_it() {
    for (name, machine, solution) in demo_machines() {
        for index in 0..machine.sequences.len() {
            let pages = drawn(&machine, &solution, index, STYLES[0]);
            let told: String = pages.iter().map(|page| page.alt.as_str()).collect();
            let shown: Vec<String> =
                pages.iter().flat_map(|page| labels::labels(&page.standalone())).map(|label| label.text).collect();
            for path in signal_paths(&machine, &solution, SequenceId(index)) {
                for element in spine_elements(&path.spine).map(|element| machine.element(element)) {
                    let part = machine.part(element.part);
                    if !matches!(part.kind, PartKind::Wire(_)) {
                        assert!(told.contains(&element.name), "{name}: {} is not told", element.name);
                    }
                    let names_it = |text: &String| {
                        *text == element.name || *text == part.id || part.group.is_some() && text.contains('…')
                    };
                    assert!(
                        matches!(part.kind, PartKind::Wire(_)) || shown.iter().any(names_it),
                        "{name}: {} is not shown",
                        element.name
                    );
                }
            }
        }
    }
}

#[test]
fn the_same_machine_gives_the_same_bytes() {
    for (_, machine, solution) in demo_machines() {
        for index in 0..machine.sequences.len() {
            let [first, second] = [0, 1].map(|_| drawn(&machine, &solution, index, STYLES[0]));
            assert_eq!(first, second);
        }
    }
}

#[test]
fn selectors_and_legends_are_clean() {
    let words = Words::of("en").unwrap();
    for (name, machine, _) in demo_machines() {
        for (symbols, shelf) in STYLES {
            let style = Style { symbols, width: 170.0, height: 250.0, shelf, words: &words };
            let drawing = legend(&machine, &style).unwrap();
            labels::check(&format!("{name} legend"), &drawing.standalone());
            assert!(drawing.width <= 170.0);
        }
        for part in (0..machine.parts.len()).map(PartId) {
            let PartKind::Selector(data) = &machine.part(part).kind else { continue };
            for under in 0..data.rings.iter().map(|(_, segments)| segments.len()).max().unwrap() {
                let position = vec![Some(under); data.rings.len()];
                let drawing = selector(&machine, part, &position, &words).unwrap();
                labels::check(&format!("{name} {} at {under}", machine.part(part).id), &drawing.standalone());
                assert!(drawing.alt.contains(&machine.part(part).id));
            }
        }
    }
}

/// The gallery's drawings as text, one file each. `UPDATE_GOLDEN=1` writes them anew; look at the pictures first.
#[test]
fn golden_drawings_are_unchanged() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/drawing");
    let update = std::env::var_os("UPDATE_GOLDEN").is_some();
    let mut expected: Vec<PathBuf> = Vec::new();
    for (name, (bench, energised)) in gallery() {
        let solution = bench.solved(&energised);
        for (look_name, look) in [("iec", STYLES[0]), ("north-american", STYLES[1])] {
            for (page, drawing) in drawn(&bench.machine, &solution, 0, look).iter().enumerate() {
                let file = folder.join(format!("{name}-{look_name}-{}.svg", page + 1));
                if update {
                    std::fs::create_dir_all(&folder).unwrap();
                    std::fs::write(&file, drawing.standalone()).unwrap();
                }
                let kept = std::fs::read_to_string(&file).unwrap_or_default();
                if kept != drawing.standalone() {
                    let new = std::env::temp_dir().join(file.file_name().unwrap());
                    std::fs::write(&new, drawing.standalone()).unwrap();
                    panic!("{} differs; the new drawing is {}", file.display(), new.display());
                }
                expected.push(file);
            }
        }
    }
    let mut present: Vec<PathBuf> = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    present.sort();
    expected.sort();
    assert_eq!(present, expected, "a golden drawing that no test makes");
}

/// Writes every picture into the folder that `DRAW_TO` names, to be looked at, with the time that drawing took.
#[test]
fn pictures_to_look_at() {
    let Ok(folder) = std::env::var("DRAW_TO") else { return };
    let keep = |name: String, svg: &str| std::fs::write(Path::new(&folder).join(name), svg).unwrap();
    for (name, (bench, energised)) in gallery() {
        let solution = bench.solved(&energised);
        for sequence in 0..bench.machine.sequences.len() {
            for (page, drawing) in drawn(&bench.machine, &solution, sequence, STYLES[0]).iter().enumerate() {
                keep(format!("{name}-{}-{page}.svg", sequence + 1), &drawing.standalone());
            }
        }
    }
    let words = Words::of("en").unwrap();
    let style = Style { symbols: SymbolStyle::Iec, width: 257.0, height: 145.0, shelf: false, words: &words };
    let mut report = String::new();
    for (name, machine, solution) in demo_machines() {
        keep(format!("legend-{name}.svg"), &legend(&machine, &style).unwrap().standalone());
        let start = Instant::now();
        let all: Vec<_> =
            (0..machine.sequences.len()).map(|index| drawn(&machine, &solution, index, STYLES[0])).collect();
        writeln!(report, "{name}: {} sequences in {:?}", all.len(), start.elapsed()).unwrap();
        for (index, pages) in all.iter().enumerate() {
            for (page, drawing) in pages.iter().enumerate() {
                keep(format!("{name}-{:02}-{page}.svg", machine.sequences[index].number), &drawing.standalone());
            }
        }
    }
    keep("times.txt".into(), &report);
}
