//! Practice faults: right answers, true readings, fair chance, and nothing of the answer in a learner's hands.

#![expect(clippy::cast_precision_loss, clippy::float_cmp, reason = "small counts; scores of exactly nothing")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

use benchleaf::circuit::{Effort, Solution, Solver};
use benchleaf::drill::{self, Deduction, Level, Listed, Log, Refusal, Request, Set, Showing, Stage, Weights};
use benchleaf::fact;
use benchleaf::faults::order::{Baselines, CheckKind};
use benchleaf::faults::search::{Check, Limits, Problem, check_order};
use benchleaf::faults::{self, Findings};
use benchleaf::machine::model::{Current, Machine, SequenceId, TestPointId};
use benchleaf::sheets::cards::CardOptions;
use benchleaf::sheets::practice::{self, Practice};
use benchleaf::sheets::{Material, Paper, Sheet, SheetOptions};
use benchleaf::words::Words;

use super::support;

mod fairness;

/// A demonstration machine, opened.
struct Demo {
    machine: Machine,
}

/// The machine solved, with its faults.
struct Worked<'a> {
    machine: &'a Machine,
    solver: Solver<'a>,
    solution: Solution,
    findings: Findings,
}

fn specs() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder of demonstration machines")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .filter(|path| path.file_name().is_some_and(|name| name != "shop.toml"))
        .collect();
    paths.sort();
    paths
}

fn open(path: &Path) -> Demo {
    match benchleaf::machine::open(path) {
        Ok(opened) => Demo { machine: opened.machine },
        Err(refused) => panic!("{}: {}", path.display(), refused.report.render(&refused.sources, false)),
    }
}

impl Demo {
    fn work(&self) -> Worked<'_> {
        let machine = &self.machine;
        let solver = Solver::new(machine).expect("demonstration machines can be solved");
        let solution = solver.solve(Effort::Bands);
        let findings = faults::analyse(machine, &solver, &solution);
        Worked { machine, solver, solution, findings }
    }
}

impl Worked<'_> {
    fn set(&self, request: &Request) -> Result<Set, Refusal> {
        drill::generate(self.machine, &self.solver, &self.solution, &self.findings, request)
    }

    /// As many exercises as the machine gives of a request, at most its count.
    fn most(&self, mut request: Request) -> Set {
        match self.set(&request) {
            Ok(set) => set,
            Err(Refusal::TooFew { available, .. }) => {
                request.count = available;
                self.set(&request).expect("as many as it says it can give")
            }
            Err(refusal) => panic!("{refusal}"),
        }
    }

    fn shows(&self, sequence: SequenceId, faults: &[usize], checks: &[CheckKind]) -> Vec<Showing> {
        drill::showings(self.machine, &self.solver, &self.solution, &self.findings, sequence, (faults, checks))
    }

    fn with_material<R>(&self, act: impl FnOnce(&Material<'_>) -> R) -> R {
        let options = SheetOptions {
            paper: Paper::A4,
            words: Words::of("en").expect("English"),
            north_american: false,
            card_code: "TEST".into(),
            shop: None,
            card: CardOptions::default(),
        };
        act(&Material {
            machine: self.machine,
            solver: &self.solver,
            solution: &self.solution,
            findings: Some(&self.findings),
            audit: &[],
            options: &options,
        })
    }

    fn sheets(&self, set: &Set, names: &[String]) -> Vec<Sheet> {
        self.with_material(|material| {
            let all: Vec<usize> = (0..set.exercises.len()).collect();
            let say = |showing| practice::showing_text(material, showing);
            let symptom = |index| practice::second_symptom(material, set, index);
            let booklets = [drill::booklet(set, &all, &say, &symptom)];
            practice::compose(&Practice {
                material: *material,
                findings: &self.findings,
                set,
                names,
                booklets: &booklets,
            })
        })
    }
}

fn request(count: usize, seed: u64) -> Request {
    Request { count, seed, level: None, sequence: None, faults: 1 }
}

/// The results of a stage's checks that tell something, as a learner reads them in the cells.
fn informing(stage: &Stage) -> Vec<(usize, &Listed)> {
    stage.checks.iter().enumerate().filter(|(_, check)| check.informs).collect()
}

/// All readings on offer, taken together, leave exactly the places that the key calls right: each other suspect would have
/// shown something else at some check, and those that count as right would not have in the classes that a band allows.
/// What the others would show is solved afresh with the fault in the machine.
fn leaves_the_keyed_places(worked: &Worked<'_>, stage: &Stage, known: &mut BTreeMap<(SequenceId, usize), Vec<String>>) {
    let checks = informing(stage);
    let kinds: Vec<CheckKind> = checks.iter().map(|(_, check)| check.kind).collect();
    let shown = |fault: usize, known: &mut BTreeMap<(SequenceId, usize), Vec<String>>| -> Vec<String> {
        let texts = known.entry((stage.sequence, fault)).or_insert_with(|| {
            let showings = worked.shows(stage.sequence, &[fault], &kinds);
            worked.with_material(|material| {
                showings.into_iter().map(|showing| practice::showing_text(material, showing)).collect()
            })
        });
        texts.clone()
    };
    let own = shown(stage.fault, known);
    for (suspect, &fault) in stage.suspects.iter().enumerate() {
        let place = worked.findings.dictionary.faults[fault].site.label(worked.machine);
        let left = checks.iter().all(|&(check, _)| {
            let check = &stage.problem.checks[check];
            check.may(suspect, check.results[stage.culprit])
        });
        assert_eq!(
            left,
            stage.alike.contains(&fault),
            "{place:?}: the readings and the key disagree about who is left in sequence {:?}",
            stage.sequence
        );
        if !stage.places.contains(&place) {
            let other = shown(fault, known);
            assert_ne!(
                own,
                other,
                "{:?} and {:?} read alike in sequence {:?}, but only the first counts as right",
                worked.findings.dictionary.faults[stage.fault].label(worked.machine),
                worked.findings.dictionary.faults[fault].label(worked.machine),
                stage.sequence
            );
        }
    }
}

#[test]
fn two_thousand_exercises_have_one_right_answer_group_each() {
    let mut made = 0;
    let demos: Vec<Demo> = specs().iter().map(|path| open(path)).collect();
    let worked: Vec<Worked<'_>> = demos.iter().map(Demo::work).collect();
    let mut known: Vec<BTreeMap<(SequenceId, usize), Vec<String>>> = vec![BTreeMap::new(); worked.len()];
    let mut seed = 1;
    while made < 2000 {
        for (one, known) in worked.iter().zip(&mut known) {
            let set = one.most(request(60, seed));
            assert!(!set.exercises.is_empty());
            for exercise in &set.exercises {
                assert_eq!(exercise.stages.len(), 1);
                leaves_the_keyed_places(one, &exercise.stages[0], known);
                made += 1;
            }
        }
        seed += 1;
    }
}

#[test]
fn what_the_cells_say_is_a_full_solution_of_the_faulted_machine() {
    for path in specs() {
        let demo = open(&path);
        let worked = demo.work();
        let set = worked.most(request(25, 3));
        for exercise in &set.exercises {
            let stage = &exercise.stages[0];
            let changes = &worked.findings.dictionary.faults[stage.fault].changes;
            let outcome = worked.solver.faulted(&worked.solution, stage.sequence, changes);
            for check in &stage.checks {
                match (check.kind, check.showing) {
                    (CheckKind::Volts(point), Showing::Volts(quantity, volts)) => {
                        let reading = &outcome.readings[point.0];
                        assert_eq!(reading.quantity, quantity);
                        assert!((reading.volts - volts).abs() <= 1e-9 * volts.abs().max(1.0));
                        // The same reading by way of the two joints.
                        let point = &worked.machine.test_points[point.0];
                        let (meter, leads) = (&worked.machine.meter, (point.joint, point.reference));
                        let between = worked
                            .solver
                            .reading_between(&worked.solution, stage.sequence, leads, meter, changes)
                            .expect("a machine that was solved before");
                        assert!(
                            (between.volts - volts).abs() <= 1e-6 * volts.abs().max(1.0),
                            "{}: {volts} V in the cell, {} V solved between its joints",
                            point.id,
                            between.volts
                        );
                    }
                    (CheckKind::Volts(_), other) => panic!("a voltage shows {other:?}"),
                    (CheckKind::Amps(fuse), Showing::Amps(amps)) => {
                        let element = worked.machine.part(fuse).elements[0];
                        assert!((outcome.currents[element.0].abs() - amps).abs() <= 1e-12);
                    }
                    _ => {}
                }
            }
        }
    }
}

/// Readings in the cells of a hundred exercises against ngspice, which is given the state of relays and fuses.
#[test]
fn cells_of_a_hundred_exercises_agree_with_ngspice() {
    if !crate::support::installed("ngspice") {
        return;
    }
    let (mut exercises, mut readings) = (0, 0);
    for path in specs() {
        let demo = open(&path);
        let worked = demo.work();
        let set = worked.most(request(25, 17));
        for exercise in &set.exercises {
            let stage = &exercise.stages[0];
            let changes = &worked.findings.dictionary.faults[stage.fault].changes;
            let outcome = worked.solver.faulted(&worked.solution, stage.sequence, changes);
            let simulated: BTreeMap<usize, f64> =
                crate::faults::spice::direct_volts(worked.machine, stage.sequence, changes, &outcome)
                    .into_iter()
                    .collect();
            assert!(simulated.len() > 3, "ngspice answers nothing: is the package `ngspice` installed?");
            let volts_of = |joint: usize| {
                if joint == worked.machine.reference.0 { Some(0.0) } else { simulated.get(&joint).copied() }
            };
            for check in &stage.checks {
                let (CheckKind::Volts(point), Showing::Volts(Current::Direct, volts)) = (check.kind, check.showing)
                else {
                    continue;
                };
                let point = &worked.machine.test_points[point.0];
                let leads = [point.joint.0, point.reference.0];
                if leads.iter().any(|&joint| outcome.joints[joint].floating) {
                    continue;
                }
                if let (Some(red), Some(black)) = (volts_of(leads[0]), volts_of(leads[1])) {
                    // The meter's own load, a few parts in ten thousand on these circuits, is not in the netlist.
                    let room = 5e-4 * red.abs().max(volts.abs()).max(10.0);
                    assert!(
                        (red - black - volts).abs() < room,
                        "{}, exercise {}: the cell of {} says {volts} V, ngspice {} V",
                        path.display(),
                        exercise.number,
                        point.id,
                        red - black
                    );
                    readings += 1;
                }
            }
            exercises += 1;
        }
    }
    assert!(exercises >= 100 && readings >= 500, "{exercises} exercises, {readings} readings compared");
}

#[test]
fn the_same_request_gives_the_same_bytes_and_another_seed_another_set() {
    let demo = open(&specs().into_iter().next().expect("a demonstration machine"));
    let worked = demo.work();
    let data = |seed| -> Vec<String> {
        let set = worked.most(request(8, seed));
        worked.sheets(&set, &[]).into_iter().map(|sheet| sheet.data.to_string()).collect()
    };
    assert_eq!(data(5), data(5));
    assert_ne!(data(5), data(6));
}

/// DT1 of the worked isolation trees (exhaustive search, 4.80 minutes), as an exercise made by hand.
fn worked_tree() -> (Stage, f64) {
    let rows = ["110011", "100100", "010111", "101000", "101111", "110111"];
    let minutes = [4.0, 2.0, 1.0, 5.0, 6.0, 1.0];
    let checks = (0..6)
        .map(|check| {
            let results = rows.iter().map(|row| usize::from(row.as_bytes()[check] == b'1')).collect();
            Check::plain(minutes[check], results)
        })
        .collect();
    let problem = Problem::plain(vec![0.30, 0.05, 0.10, 0.20, 0.30, 0.05], checks);
    let order = check_order(&problem, Limits::default()).expect("a sound problem");
    let listed = |check: usize| Listed {
        kind: CheckKind::Volts(TestPointId(check)),
        showing: Showing::Volts(Current::Direct, check as f64),
        informs: true,
    };
    let baselines = Baselines { along_the_path: 0.0, from_the_supply: 0.0, from_the_load: 0.0, half_split: 0.0 };
    let stage = Stage {
        sequence: SequenceId(0),
        fault: 0,
        places: vec![fact!("faults.place.name", name = "K1:5-6")],
        alike: vec![0],
        told: Vec::new(),
        checks: (0..6).map(listed).collect(),
        suspects: (0..6).collect(),
        culprit: 0,
        // The tree for the first fault: check 3, then check 4.
        best: vec![2, 3],
        best_minutes: problem.minutes_of(&[2, 3]),
        expected_minutes: order.minutes,
        tree: order.tree,
        baselines,
        proved: true,
        problem,
    };
    (stage, order.minutes)
}

fn log(checks: &[usize], answer: &str) -> Log {
    Log {
        spec: PathBuf::new(),
        set: request(1, 1),
        exercise: 1,
        fault: 1,
        checks: checks.to_vec(),
        answer: answer.into(),
        wrong_parts: 0,
        unsafe_steps: 0,
        weights: Weights::default(),
    }
}

#[test]
fn the_best_order_is_the_worked_optimum_and_earns_all_points() {
    let (stage, minutes) = worked_tree();
    assert!((minutes - 4.80).abs() < 1e-9, "the worked tree costs 4.80 minutes, found {minutes}");
    assert!((stage.best_minutes - 6.0).abs() < 1e-9);
    let score = drill::score(&stage, &log(&[3, 4], "k1 : 5-6")).expect("checks of the sheet");
    assert!(score.named && score.deductions.is_empty());
    assert!((score.points - 100.0).abs() < 1e-9);
}

#[test]
fn the_score_follows_its_rule() {
    let (stage, _) = worked_tree();
    // 60 + 40 * min(1, best over used) - 15 a wrong part - 5 an idle check - 20 an unsafe step, by hand.
    let slow = drill::score(&stage, &log(&[1, 3, 4, 4], "K1:5-6")).expect("checks of the sheet");
    let used = 4.0 + 1.0 + 5.0 + 5.0;
    assert!((slow.minutes - used).abs() < 1e-9);
    let idle = slow.deductions.iter().filter(|one| matches!(one, Deduction::IdleCheck { .. })).count();
    assert!(idle >= 1, "the last check repeats one");
    let by_hand = 60.0 + 40.0 * 6.0 / used - 5.0 * idle as f64;
    assert!((slow.points - by_hand).abs() < 1e-9);
    let mut careless = log(&[3, 4], "K1:5-6");
    (careless.wrong_parts, careless.unsafe_steps) = (1, 2);
    let careless = drill::score(&stage, &careless).expect("checks of the sheet");
    assert!((careless.points - (100.0 - 15.0 - 40.0)).abs() < 1e-9);
    assert_eq!(drill::score(&stage, &log(&[3, 4], "K9")).expect("checks of the sheet").points, 0.0);
    assert_eq!(drill::score(&stage, &log(&[3, 4], "")).expect("checks of the sheet").points, 0.0);
    assert!(drill::score(&stage, &log(&[7], "K1:5-6")).is_err(), "there is no check 7");
    let mut reckless = log(&[3, 4], "K1:5-6");
    reckless.unsafe_steps = 9;
    assert_eq!(drill::score(&stage, &reckless).expect("checks of the sheet").points, 0.0, "never below nothing");
}

#[test]
fn keyed_orders_are_branches_of_their_trees_and_cost_what_they_say() {
    for path in specs() {
        let demo = open(&path);
        let worked = demo.work();
        for exercise in &worked.most(request(40, 11)).exercises {
            for stage in &exercise.stages {
                let by_suspect = stage.problem.minutes_by_suspect(&stage.tree);
                let own = by_suspect.iter().find(|(suspect, _)| *suspect == stage.culprit).expect("it is found");
                assert!((own.1 - stage.best_minutes).abs() < 1e-9);
                assert!((stage.problem.expected_minutes(&stage.tree) - stage.expected_minutes).abs() < 1e-6);
                let numbers: Vec<usize> = stage.best.iter().map(|check| check + 1).collect();
                let score = drill::score(stage, &log(&numbers, &support::english(&stage.places[0])))
                    .expect("checks of the sheet");
                assert!(score.named && score.for_speed >= 39.999, "the best order earns all speed");
            }
        }
    }
}

/// Pearson's test at the 0.1 % level; critical values by the cube-root rule of Wilson and Hilferty (1931).
fn assert_even(counts: &[usize], what: &str) {
    let total: usize = counts.iter().sum();
    let expected = total as f64 / counts.len() as f64;
    assert!(expected >= 5.0, "{what}: too few draws for the test");
    let statistic: f64 = counts.iter().map(|&count| (count as f64 - expected).powi(2) / expected).sum();
    let freedom = (counts.len() - 1) as f64;
    let ninth = 2.0 / (9.0 * freedom);
    let critical = freedom * (1.0 - ninth + 3.0902 * ninth.sqrt()).powi(3);
    assert!(statistic < critical, "{what}: chi-square {statistic:.1} above {critical:.1}: {counts:?}");
}

#[test]
fn chance_favours_no_place_level_or_cell() {
    let path = specs().into_iter().find(|path| path.ends_with("lesson-board-12.toml")).expect("the training board");
    let demo = open(&path);
    let worked = demo.work();
    let all = worked.most(request(10_000, 1));
    let key = |stage: &Stage| (stage.sequence, worked.findings.dictionary.faults[stage.fault].site);
    let mut places: BTreeMap<_, usize> = all.exercises.iter().map(|one| (key(&one.stages[0]), 0)).collect();
    let mut deciles = [0; 10];
    for seed in 0..(12 * places.len() as u64) {
        let set = worked.set(&request(1, seed)).expect("one exercise");
        let stage = &set.exercises[0].stages[0];
        *places.get_mut(&key(stage)).expect("a place that the machine has") += 1;
        let booklet = worked.with_material(|material| {
            let say = |showing| practice::showing_text(material, showing);
            drill::booklet(&set, &[0], &say, &|_| String::new())
        });
        // The cell of the check that ends the best order.
        let telling = booklet.numbers[0][0][*stage.best.last().expect("a check")];
        deciles[(telling - 1) * 10 / booklet.cells.len()] += 1;
    }
    assert_even(&places.values().copied().collect::<Vec<_>>(), "places");
    assert_even(&deciles, "cells");
    let levels: Vec<Level> = all.exercises.iter().map(|one| one.level).collect();
    assert!(Level::ALL.iter().all(|level| levels.contains(level)), "each level occurs on the training board");
}

#[test]
fn no_two_checks_of_an_exercise_share_a_cell_and_each_cell_says_what_was_solved() {
    for path in specs() {
        let demo = open(&path);
        let worked = demo.work();
        let set = worked.most(request(12, 2));
        worked.with_material(|material| {
            let all: Vec<usize> = (0..set.exercises.len()).collect();
            let say = |showing| practice::showing_text(material, showing);
            let booklet = drill::booklet(&set, &all, &say, &|_| String::new());
            for (exercise, numbers) in set.exercises.iter().zip(&booklet.numbers) {
                let mut used: Vec<usize> = numbers.iter().flatten().copied().collect();
                for (check, &cell) in exercise.stages[0].checks.iter().zip(&numbers[0]) {
                    assert_eq!(booklet.cells[cell - 1], say(check.showing));
                }
                used.sort_unstable();
                let count = used.len();
                used.dedup();
                assert_eq!(used.len(), count, "a cell is used twice in exercise {}", exercise.number);
                let some = |wanted: &str| exercise.stages[0].checks.iter().any(|check| say(check.showing) == wanted);
                let nothing = some("0.00 V dc") || some("0.00 V ac");
                assert!(some("as it should be") || nothing, "healthy-looking results are there");
            }
        });
    }
}

/// Sheets and booklet are a function of what is told and offered: with every trace of the key wiped from the set they come
/// out the same, byte for byte.
#[test]
fn a_learner_is_given_nothing_of_the_answer() {
    for path in specs() {
        let demo = open(&path);
        let worked = demo.work();
        let set = worked.most(request(10, 4));
        let mut wiped = set.clone();
        for stage in wiped.exercises.iter_mut().flat_map(|exercise| &mut exercise.stages) {
            stage.fault = 0;
            stage.culprit = 0;
            stage.places = vec![fact!("faults.place.name", name = "nowhere")];
            stage.alike.clear();
            stage.best.clear();
            stage.best_minutes = 0.0;
            stage.tree = benchleaf::faults::search::Tree::Answer(Vec::new());
        }
        let given = |set: &Set| -> Vec<String> {
            let sheets = worked.sheets(set, &["Ann".into()]);
            let learners = ["practice-sheets", "practice-booklet", "practice-paths"];
            sheets
                .into_iter()
                .filter(|sheet| learners.contains(&sheet.kind.name()))
                .map(|sheet| format!("{} {} {}", sheet.file_stem, sheet.title, sheet.data))
                .collect()
        };
        let (with, without) = (given(&set), given(&wiped));
        assert_eq!(with.len(), 3);
        assert_eq!(with, without);
    }
}

#[test]
fn two_faults_show_one_after_the_other() {
    let path = specs().into_iter().find(|path| path.ends_with("tern-48.toml")).expect("the large machine");
    let demo = open(&path);
    let worked = demo.work();
    let set = worked.most(Request { faults: 2, ..request(6, 9) });
    assert_eq!(set.exercises.len(), 6);
    for exercise in &set.exercises {
        let [first, second] = &exercise.stages[..] else { panic!("two faults") };
        assert!(first.sequence < second.sequence, "the first shows first");
        assert_eq!(exercise.level, Level::Advanced);
        // With both in the machine the first is searched as if it were alone.
        for (index, check) in informing(first) {
            let bins = worked.findings.sequences[first.sequence.0].order.as_ref().expect("an order").offers.iter();
            let offer = bins.into_iter().find(|offer| offer.kind == check.kind).expect("a check of the order");
            if let (Some(bins), Showing::Volts(_, volts)) = (&offer.bins, check.showing) {
                let volts = if matches!(check.kind, CheckKind::Drop(_)) { volts.abs() } else { volts };
                assert_eq!(bins.index(volts), first.problem.checks[index].results[first.culprit]);
            }
        }
    }
}

fn benchleaf(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
}

#[test]
fn a_class_set_comes_from_one_command_and_a_log_is_scored() {
    if !["pdftotext", "qpdf"].into_iter().all(crate::support::installed) {
        return;
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    std::fs::copy(root.join("specs/lesson-board-12.toml"), folder.path().join("lesson-board-12.toml")).expect("a copy");
    std::fs::write(folder.path().join("class.txt"), "Ann Lee\nBo Park\nCy Rode\n").expect("names");
    let (code, output, errors) =
        benchleaf(folder.path(), &["drill", "lesson-board-12.toml", "--seed", "3", "--names", "class.txt"]);
    assert_eq!(code, 0, "{errors}");
    assert!(output.contains("3 exercises, 4 files"), "{output}");
    let pdf = |name: &str| folder.path().join("out").join(format!("lesson-board-12-{name}-3.pdf"));
    let text = |name: &str| {
        let output = Command::new("pdftotext").arg("-layout").arg(pdf(name)).arg("-").output().expect("pdftotext");
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let (sheets, key) = (text("practice-sheets"), text("practice-key"));
    for name in ["Ann Lee", "Bo Park", "Cy Rode"] {
        assert!(sheets.contains(name) && key.contains(name), "{name} has a sheet and a line in the register");
    }
    assert!(key.contains("Counts as right") && !sheets.contains("Counts as right"));
    for name in ["practice-sheets", "practice-booklet", "practice-paths"] {
        let output = Command::new("qpdf").arg("--list-attachments").arg(pdf(name)).output().expect("qpdf");
        assert!(String::from_utf8_lossy(&output.stdout).contains("has no embedded files"), "{name} carries a file");
    }
    let log = "spec = \"lesson-board-12.toml\"\nset = { count = 3, seed = 3 }\nexercise = 2\nchecks = [1, 1]\nanswer = \"\"\n";
    std::fs::write(folder.path().join("log.toml"), log).expect("a log");
    let (code, output, errors) = benchleaf(folder.path(), &["drill", "--score", "log.toml", "--format", "json"]);
    assert_eq!(code, 0, "{errors}");
    let score: serde_json::Value = serde_json::from_str(&output).expect("JSON");
    assert_eq!(score["named"], false);
    assert_eq!(score["points"], 0.0);
    let right = score["right"][0].as_str().expect("the place that is right");
    assert!(key.contains(&right.replace("..", "…")), "the key names {right}");
}

#[test]
fn requests_that_cannot_be_met_say_what_can() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let spec = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs/lesson-board-12.toml");
    let spec = spec.to_str().expect("a path in Unicode");
    std::fs::write(folder.path().join("blank.txt"), "Ann\n\nBo\n").expect("names");
    std::fs::write(folder.path().join("many.txt"), "Ann\nBo\nCy\n").expect("names");
    std::fs::write(folder.path().join("log.toml"), "spec = 1").expect("a log");
    let cases: [(&[&str], &str); 9] = [
        (&["drill", spec, "--count", "100000"], "different exercises of this kind; 100000 asked for"),
        (&["drill", spec, "--count", "0"], "at least one exercise"),
        (&["drill", spec, "--sequence", "99"], "no sequence has the number 99"),
        (&["drill", spec, "--faults", "3"], "one or two faults"),
        (&["drill", spec, "--names", "blank.txt"], "line 2 blank"),
        (&["drill", spec, "--names", "many.txt", "--count", "2"], "3 names for 2 exercises"),
        (&["drill", spec, "--names", "absent.txt"], "absent.txt"),
        (&["drill", "--score", "log.toml"], "log `log.toml`"),
        (&["drill", spec, "--faults", "2", "--level", "beginner"], "gives no exercise of this kind"),
    ];
    for (arguments, expected) in cases {
        let (code, output, errors) = benchleaf(folder.path(), arguments);
        assert_eq!(code, 2, "{arguments:?}: {output}{errors}");
        assert!(errors.contains(expected), "{arguments:?} says: {errors}");
        assert!(!errors.contains("panicked"), "{errors}");
    }
    assert!(!folder.path().join("out").exists(), "nothing is written");
}
