//! Worked examples of open textbooks, from their descriptions to their printed answers; and the demonstration machines.
//!
//! Each file of `tests/examples` holds one network as a user would write it. The answers stand here, not there. Values are
//! the exact ones of the networks; where the book rounds, both agree to the digits that the book prints.
//!
//! Sources, by the names used below:
//! - *Lessons*: T. Kuphaldt, *Lessons In Electric Circuits*, volumes I (DC), II (AC) and III (Semiconductors).
//! - *College Physics*: `OpenStax`, *College Physics 2e*.
//! - *University Physics*: `OpenStax`, *University Physics*, volume 2.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use benchleaf::circuit::results::{DeviceReading, SequenceSolution, Solution};
use benchleaf::circuit::{self, Effort};
use benchleaf::machine::model::{ElementId, Machine, PartId, PartKind, SequenceId};
use benchleaf::machine::{self, Opened};

/// What a book says of a network, sequence 1 unless another is named.
#[derive(Debug, Clone, Copy)]
enum Answer {
    /// A test point reads so many volts.
    Reads(&'static str, f64),
    /// So many volts lie across a part.
    Volts(&'static str, f64),
    /// A part carries so many amperes.
    Amps(&'static str, f64),
    /// A part takes so many watts.
    Watts(&'static str, f64),
    /// A test point leads the supply by so many degrees.
    Degrees(&'static str, f64),
    /// The current of a resistor leads the supply by so many degrees.
    Leads(&'static str, f64),
    /// A part has so many ohms, as its volts over its amperes.
    Ohms(&'static str, f64),
    /// What follows holds in this sequence.
    Sequence(i64),
}

use Answer::{Amps, Degrees, Leads, Ohms, Reads, Sequence, Volts, Watts};

/// One worked example.
struct Example {
    file: &'static str,
    source: &'static str,
    answers: &'static [Answer],
}

/// The tolerance of every answer, relative.
const RELATIVE: f64 = 1e-4;

const EXAMPLES: &[Example] = &[
    Example {
        file: "dc5-series",
        source: "Lessons I, chapter 5",
        answers: &[
            Volts("R1", 1.5),
            Volts("R2", 5.0),
            Volts("R3", 2.5),
            Amps("E", 0.5e-3),
            Reads("TP1", 7.5),
            Reads("TP2", 2.5),
        ],
    },
    Example {
        file: "dc5-series-faults",
        source: "Lessons I, chapter 5",
        answers: &[
            Volts("R1", 2.0),
            Volts("R2", 6.0),
            Volts("R3", 1.0),
            Amps("E", 20e-3),
            Sequence(2),
            Volts("R1", 6.0),
            Volts("R2", 0.0),
            Volts("R3", 3.0),
            Amps("E", 60e-3),
            Sequence(3),
            Volts("R1", 0.0),
            Reads("TP1", 9.0),
            Reads("TP2", 0.0),
            Amps("E", 0.0),
        ],
    },
    Example {
        file: "dc5-parallel",
        source: "Lessons I, chapter 5",
        answers: &[Amps("R1", 0.9e-3), Amps("R2", 4.5e-3), Amps("R3", 9e-3), Amps("E", 14.4e-3), Reads("TP1", 9.0)],
    },
    Example {
        file: "dc5-coils",
        source: "Lessons I, chapter 5",
        answers: &[Amps("Y1", 100e-3), Amps("Y2", 200e-3), Amps("Y3", 50e-3), Amps("E", 350e-3)],
    },
    Example {
        file: "dc6-divider",
        source: "Lessons I, chapter 6",
        answers: &[Volts("R1", 10.0), Volts("R2", 20.0), Volts("R3", 15.0), Amps("E", 2e-3), Reads("TP1", 35.0)],
    },
    Example {
        file: "dc7-series-parallel",
        source: "Lessons I, chapter 7",
        answers: &[
            Volts("R1", 8.627_451),
            Volts("R3", 15.372_549),
            Amps("R1", 86.274_51e-3),
            Amps("R2", 34.509_80e-3),
            Amps("R3", 43.921_57e-3),
            Amps("R4", 76.862_75e-3),
            Amps("E", 120.784_3e-3),
            Reads("TP1", 15.372_549),
        ],
    },
    Example {
        file: "dc8-meter-loading",
        source: "Lessons I, chapter 8: the meter shows 0.8889 V where 12 V belong",
        answers: &[Reads("TP1", 0.888_888_9), Volts("R2", 12.0)],
    },
    Example {
        file: "dc10-bridge",
        source: "Lessons I, chapter 10",
        answers: &[
            Volts("R1", 6.344_828),
            Volts("R2", 4.689_655),
            Volts("R3", 1.655_172),
            Volts("R4", 17.655_172),
            Volts("R5", 19.310_345),
            Reads("TP1", 17.655_172),
            Reads("TP2", 19.310_345),
        ],
    },
    Example {
        file: "dc12-long-wires-20c",
        source: "Lessons I, chapter 12",
        answers: &[Amps("R2", 50e-3), Reads("TP1", 12.5), Volts("R1", 0.75)],
    },
    Example {
        file: "dc12-long-wires-35c",
        source: "Lessons I, chapter 12",
        answers: &[Amps("R2", 49.677e-3), Reads("TP1", 12.419_3), Volts("R1", 0.790_3)],
    },
    Example {
        file: "dc12-short-circuit",
        source: "Lessons I, chapter 12",
        answers: &[Amps("E", 20.352), Reads("TP1", 115.0)],
    },
    Example {
        file: "ac3-resistor-inductor",
        source: "Lessons II, chapter 3",
        answers: &[
            Amps("E", 1.597_0),
            Ohms("E", 6.262_0),
            Ohms("L1", 3.769_9),
            Leads("R1", -37.016),
            Volts("R1", 7.985),
            Volts("L1", 6.020),
            Reads("TP1", 6.020),
            Degrees("TP1", 52.984),
        ],
    },
    Example {
        file: "ac4-resistor-capacitor",
        source: "Lessons II, chapter 4",
        answers: &[
            Amps("E", 0.370_47),
            Ohms("E", 26.993),
            Ohms("C1", 26.526),
            Leads("R1", 79.325),
            Volts("R1", 1.852_3),
            Volts("C1", 9.826_9),
            Reads("TP1", 9.826_9),
            Degrees("TP1", -10.675),
        ],
    },
    Example {
        file: "ac5-series",
        source: "Lessons II, chapter 5",
        answers: &[
            Amps("E", 77.734e-3),
            Leads("R1", 80.68),
            Volts("R1", 19.434),
            Volts("L1", 19.048),
            Volts("C1", 137.46),
            Reads("TP2", 137.46),
            Degrees("TP2", -9.32),
        ],
    },
    Example {
        file: "ac5-parallel",
        source: "Lessons II, chapter 5",
        answers: &[
            Amps("R1", 480e-3),
            Amps("L1", 489.71e-3),
            Amps("C1", 67.858e-3),
            Amps("E", 639.03e-3),
            Leads("R0", -41.31),
        ],
    },
    Example {
        file: "rlc-60hz",
        source: "College Physics 23.12",
        answers: &[
            Amps("E", 0.226_03),
            Ohms("E", 530.89),
            Ohms("L1", 1.131_0),
            Ohms("C1", 530.52),
            Volts("R1", 9.041_3),
            Watts("R1", 2.043_6),
            // Power factor 0.07534, leading: the current leads by arccos of it.
            Leads("R1", 85.679_4),
        ],
    },
    Example { file: "rlc-10khz", source: "College Physics 23.12", answers: &[Amps("E", 0.632_98), Ohms("E", 189.58)] },
    Example {
        file: "rlc-resonance",
        source: "College Physics 23.12",
        answers: &[Amps("E", 3.0), Volts("R1", 120.0), Watts("R1", 360.0)],
    },
    Example {
        file: "rlc-200hz",
        source: "University Physics 15.3: 0.607 rad between supply and current",
        answers: &[
            Amps("E", 20.540e-3),
            // 0.100 V is a peak; the ratio is that of the effective values as well.
            Ohms("E", 4.868_44),
            Ohms("C1", 0.994_72),
            Ohms("L1", 3.769_91),
            // 0.60655 rad behind the supply.
            Leads("R1", -34.752_75),
            Degrees("TP2", -34.753 - 90.0),
        ],
    },
    Example {
        file: "diode-forward",
        source: "Lessons III, chapter 3",
        answers: &[Volts("D1", 0.7), Volts("H1", 5.3), Reads("TP1", 5.3)],
    },
    Example {
        file: "diode-reversed",
        source: "Lessons III, chapter 3",
        answers: &[Volts("D1", 6.0), Reads("TP1", 0.0)],
    },
    Example {
        file: "led-6v",
        source: "Lessons III, chapter 3",
        answers: &[Amps("R1", 20e-3), Volts("D1", 1.6), Watts("R1", 88e-3)],
    },
    Example {
        file: "led-24v",
        source: "Lessons III, chapter 3",
        answers: &[Amps("R1", 20e-3), Volts("D1", 1.6), Watts("R1", 448e-3)],
    },
    Example {
        file: "zener-regulator",
        source: "Lessons III, chapter 3",
        answers: &[
            Amps("R1", 32.4e-3),
            Watts("R1", 1.049_76),
            Watts("D1", 408.24e-3),
            Reads("TP1", 12.6),
            Sequence(2),
            Amps("R2", 25.2e-3),
            Amps("D1", 7.2e-3),
            Reads("TP1", 12.6),
        ],
    },
    Example {
        file: "physics-series",
        source: "College Physics 21.1",
        answers: &[
            Amps("E", 0.6),
            Volts("R1", 0.6),
            Volts("R2", 3.6),
            Volts("R3", 7.8),
            Watts("R1", 0.36),
            Watts("R2", 2.16),
            Watts("R3", 4.68),
        ],
    },
    Example {
        file: "physics-parallel",
        source: "College Physics 21.1",
        answers: &[
            Amps("R1", 12.0),
            Amps("R2", 2.0),
            Amps("R3", 0.923_077),
            Amps("E", 14.923_077),
            Watts("R1", 144.0),
            Watts("R2", 24.0),
            Watts("R3", 11.076_9),
        ],
    },
    Example {
        file: "physics-mixed",
        source: "College Physics 21.1 (prints 5.11 ohm where University Physics 10.2 prints 5.10)",
        answers: &[Amps("E", 2.350_5), Ohms("E", 5.105_3), Amps("R2", 1.608_2), Watts("R2", 15.519)],
    },
    Example {
        file: "physics-voltmeter",
        source: "College Physics 21.4, exercise on a voltmeter",
        answers: &[Reads("TP1", 1.584_842)],
    },
];

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// The descriptions of a folder, sorted by name.
fn specs_in(name: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder(name)).expect("the folder is there");
    let mut paths: Vec<_> = entries
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .collect();
    paths.sort();
    paths
}

/// Opens a description that must be without errors and without warnings.
fn open(path: &Path) -> Opened {
    let opened =
        machine::open(path).unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
    let warnings = opened.warnings.render(&opened.sources, false);
    assert!(warnings.is_empty(), "{}: {warnings}", path.display());
    opened
}

fn solve(machine: &Machine, effort: Effort) -> Solution {
    circuit::solve(machine, effort).unwrap_or_else(|error| panic!("{}: {error}", machine.identity.id))
}

/// The magnitude of the current through the first element of a part.
fn amps(machine: &Machine, solved: &SequenceSolution, part: PartId) -> f64 {
    solved.currents[machine.part(part).elements[0].0].abs()
}

/// The magnitude of the voltage across the first element of a part.
fn volts(machine: &Machine, solved: &SequenceSolution, part: PartId) -> f64 {
    let element = machine.element(machine.part(part).elements[0]);
    let (from, to) = (solved.joints[element.from.0], solved.joints[element.to.0]);
    (from.direct - to.direct).hypot(from.real - to.real).hypot(from.imaginary - to.imaginary)
}

/// What the solved machine says to an answer, and how far it may be off beside the relative tolerance.
fn found(machine: &Machine, solved: &SequenceSolution, answer: Answer) -> (f64, f64, f64) {
    let part = |id: &str| machine.part_named(id).unwrap_or_else(|| panic!("no part {id}"));
    let point = |id: &str| machine.test_point_named(id).unwrap_or_else(|| panic!("no test point {id}"));
    match answer {
        Reads(id, wanted) => {
            let reading =
                solved.readings.iter().find(|reading| reading.at == point(id)).expect("every point has a reading");
            (reading.nominal, wanted, 1e-6)
        }
        Volts(id, wanted) => (volts(machine, solved, part(id)), wanted, 1e-6),
        Amps(id, wanted) => (amps(machine, solved, part(id)), wanted, 1e-9),
        Watts(id, wanted) => (volts(machine, solved, part(id)) * amps(machine, solved, part(id)), wanted, 1e-9),
        Degrees(id, wanted) => {
            let joint = solved.joints[machine.test_points[point(id).0].joint.0];
            // The books print hundredths of a degree.
            (joint.imaginary.atan2(joint.real).to_degrees(), wanted, 0.01)
        }
        Leads(id, wanted) => {
            let element = machine.element(machine.part(part(id)).elements[0]);
            let (from, to) = (solved.joints[element.from.0], solved.joints[element.to.0]);
            let angle = (from.imaginary - to.imaginary).atan2(from.real - to.real);
            (angle.to_degrees(), wanted, 0.01)
        }
        Ohms(id, wanted) => (volts(machine, solved, part(id)) / amps(machine, solved, part(id)), wanted, 1e-9),
        Sequence(_) => (0.0, 0.0, 0.0),
    }
}

#[test]
fn worked_examples_come_out_as_printed() {
    let mut wrong = Vec::new();
    for example in EXAMPLES {
        let opened = open(&folder("tests/examples").join(example.file).with_extension("toml"));
        let machine = &opened.machine;
        let solution = solve(machine, Effort::Nominal);
        let mut number = 1;
        for &answer in example.answers {
            if let Sequence(next) = answer {
                number = next;
            }
            let sequence = machine.sequence_numbered(number).expect("the sequence is there");
            let (found, wanted, absolute) = found(machine, solution.sequence(sequence), answer);
            let near = (found - wanted).abs() <= absolute + RELATIVE * wanted.abs();
            if !near {
                wrong
                    .push(format!("{} ({}): {answer:?} in sequence {number} is {found}", example.file, example.source));
            }
        }
    }
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_example_file_is_checked_once() {
    let mut files: Vec<_> = specs_in("tests/examples")
        .iter()
        .map(|path| path.file_stem().expect("a name").to_string_lossy().into_owned())
        .collect();
    files.sort();
    let mut checked: Vec<_> = EXAMPLES.iter().map(|example| example.file.to_string()).collect();
    checked.sort();
    assert_eq!(files, checked);
    assert!(checked.len() >= 22);
}

/// A part, as messages name it.
fn named(machine: &Machine, part: PartId) -> &str {
    &machine.part(part).id
}

/// What a sequence of a demonstration machine does otherwise than its description says.
fn contradictions(machine: &Machine, solution: &Solution, id: SequenceId) -> Vec<String> {
    let sequence = &machine.sequences[id.0];
    let solved = solution.sequence(id);
    let mut list = Vec::new();
    if !solved.settling.is_settled() {
        list.push(format!("does not settle: {:?}", solved.settling));
    }
    let stated: BTreeSet<_> = sequence.pulled_in.iter().copied().collect();
    if stated != solved.energised {
        let names = |set: &BTreeSet<PartId>| set.iter().map(|&part| named(machine, part)).collect::<Vec<_>>().join(" ");
        list.push(format!("in: {}, stated: {}", names(&solved.energised), names(&stated)));
    }
    for fuse in &solved.opened {
        list.push(format!("{} opens at {} A", named(machine, fuse.fuse), fuse.current));
    }
    for &part in &sequence.acts {
        let devices: Vec<_> = solved.devices.iter().filter(|device| device.part == part).collect();
        // A loudspeaker has no voltage below which it fails.
        let has_worst_case = !matches!(machine.part(part).kind, PartKind::Speaker(_));
        let acts = |device: &&DeviceReading| {
            device.operates == Some(true) && (!has_worst_case || device.operates_at_worst == Some(true))
        };
        if !devices.iter().any(acts) {
            list.push(format!("{} does not act: {devices:?}", named(machine, part)));
        }
    }
    list.into_iter().map(|text| format!("{} sequence {}: {text}", machine.identity.id, sequence.number)).collect()
}

/// The statements of a demonstration machine's papers that lie outside the computed band.
fn disappointed_expectations(machine: &Machine, solution: &Solution) -> Vec<String> {
    let mut list = Vec::new();
    for expectation in &machine.expectations {
        let readings = &solution.sequence(expectation.sequence).readings;
        let inside = readings.iter().any(|reading| {
            reading.at == expectation.at
                && reading.quantity == expectation.current
                && reading.band.low <= expectation.reads.high.value()
                && expectation.reads.low.value() <= reading.band.high
        });
        if !inside {
            let point = &machine.test_points[expectation.at.0].id;
            let number = machine.sequences[expectation.sequence.0].number;
            list.push(format!("{} {point} in sequence {number}: {:?}", machine.identity.id, expectation.reads));
        }
    }
    list
}

/// Test points that read nothing in any sequence.
fn silent_points(machine: &Machine, solution: &Solution) -> Vec<String> {
    let speaks = |index: usize| {
        solution
            .sequences
            .iter()
            .flat_map(|solved| &solved.readings)
            .any(|reading| reading.at.0 == index && reading.nominal.abs() > 0.1)
    };
    let silent = (0..machine.test_points.len()).filter(|&index| !speaks(index));
    silent.map(|index| format!("{} {} is always dead", machine.identity.id, machine.test_points[index].id)).collect()
}

#[test]
fn demonstration_machines_do_what_their_papers_say() {
    let mut wrong = Vec::new();
    for path in specs_in("specs") {
        let opened = open(&path);
        let machine = &opened.machine;
        let solution = solve(machine, Effort::Bands);
        wrong.extend(
            (0..machine.sequences.len()).flat_map(|index| contradictions(machine, &solution, SequenceId(index))),
        );
        wrong.extend(disappointed_expectations(machine, &solution));
        wrong.extend(silent_points(machine, &solution));
    }
    assert!(wrong.is_empty(), "{} contradictions:\n{}", wrong.len(), wrong.join("\n"));
}

/// The kind of a part as a word, to count kinds.
fn kind(part: &PartKind) -> &'static str {
    match part {
        PartKind::Supply(_) => "supply",
        PartKind::Fuse(_) => "fuse",
        PartKind::Relay(_) => "relay",
        PartKind::Solenoid(_) => "solenoid",
        PartKind::Motor(_) => "motor",
        PartKind::Lamp(_) => "lamp",
        PartKind::Switch(_) => "switch",
        PartKind::Cam(_) => "cam",
        PartKind::Selector(_) => "selector",
        PartKind::Resistor(_) => "resistor",
        PartKind::Capacitor(_) => "capacitor",
        PartKind::Inductor(_) => "inductor",
        PartKind::Diode(_) => "diode",
        PartKind::Speaker(_) => "speaker",
        PartKind::Plug(_) => "plug",
        PartKind::Wire(_) => "wire",
    }
}

#[test]
fn demonstration_machines_cover_every_kind_of_part() {
    let machines: Vec<_> = specs_in("specs").iter().map(|path| open(path).machine).collect();
    assert_eq!(machines.len(), 5);
    let kinds: BTreeSet<_> = machines.iter().flat_map(|machine| &machine.parts).map(|part| kind(&part.kind)).collect();
    assert_eq!(kinds.len(), 16, "{kinds:?}");
    // Every form of rectifier, with and without a reservoir, and wires by both systems.
    let parts = || machines.iter().flat_map(|machine| &machine.parts);
    let rectifiers: BTreeSet<String> = parts()
        .filter_map(|part| match &part.kind {
            PartKind::Supply(supply) => supply.rectifier.as_ref(),
            _ => None,
        })
        .map(|rectifier| format!("{:?} {}", rectifier.form, rectifier.reservoir.is_some()))
        .collect();
    for wanted in ["HalfWave false", "FullWave true", "Bridge true", "Bridge false"] {
        assert!(rectifiers.contains(wanted), "{wanted} is not in {rectifiers:?}");
    }
    let sizes: Vec<&String> = parts()
        .filter_map(|part| match &part.kind {
            PartKind::Wire(wire) => wire.size_text.as_ref(),
            _ => None,
        })
        .collect();
    for system in ["AWG", "mm"] {
        assert!(sizes.iter().any(|size| size.contains(system)), "no wire in {system}: {sizes:?}");
    }
    let texts: Vec<String> =
        specs_in("specs").iter().map(|path| std::fs::read_to_string(path).expect("readable")).collect();
    assert!(texts.iter().any(|text| text.lines().any(|line| line.starts_with("base = "))), "no spec has a base");
}

#[test]
fn large_machine_is_large() {
    let machine = open(&folder("specs/tern-48.toml")).machine;
    let count = |wanted: &str| machine.parts.iter().filter(|part| kind(&part.kind) == wanted).count();
    assert!(machine.parts.len() - count("wire") >= 70);
    assert!(count("supply") >= 3 && count("fuse") >= 6 && count("plug") >= 5);
    assert!(machine.test_points.len() >= 40);
    assert!(machine.sequences.len() >= 12);
    let choices: usize = machine
        .parts
        .iter()
        .filter_map(|part| match &part.kind {
            PartKind::Selector(selector) if selector.rings.len() == 2 => Some(&selector.rings),
            _ => None,
        })
        .map(|rings| rings.iter().map(|(_, segments)| segments.len()).product::<usize>())
        .sum();
    assert_eq!(choices, 48);
    assert!(
        machine.parts.iter().any(|part| matches!(&part.kind, PartKind::Supply(supply) if supply.rectifier.is_some()))
    );
}

/// Parts that are declared together are a bank only where a run passes them one after the other.
#[test]
fn only_contacts_in_series_are_a_bank() {
    let machine = open(&folder("specs/tern-48.toml")).machine;
    let bank = |name: &str| {
        let element = machine.elements.iter().position(|element| element.name == name).expect("the element is there");
        machine.bank(ElementId(element)).len()
    };
    assert_eq!(bank("S12:3-4"), 8, "break contacts of the letter keys, in series");
    assert_eq!(bank("S12:1-2"), 1, "make contact of one letter key");
    assert_eq!(bank("H10"), 1, "gallery lamps, in parallel");
    assert_eq!(bank("K1:13-14"), 1);
}
