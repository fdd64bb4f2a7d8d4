//! What makes a practice set fair: a guess is not quick, a right answer counts however it is written, levels are what they
//! say, readings are those of a bench meter, and paper alone is enough to search and to score.

use std::path::Path;

use benchleaf::circuit::Change;
use benchleaf::drill::{self, Deduction, Level, LogError, Places, Request};
use benchleaf::faults::search::Mode;
use benchleaf::sheets::practice::{self, LOG_LINES};
use benchleaf::words::Words;
use serde_json::Value;

use super::{Worked, benchleaf, log, open, request, specs, support, worked_tree};

/// Each machine is analysed once for all that is checked on it.
#[test]
fn sets_of_every_machine_are_fair() {
    let mut for_beginners = 0;
    for path in specs() {
        let demo = open(&path);
        let worked = demo.work();
        guesses_earn_no_points_for_speed(&worked);
        a_place_may_be_named_in_any_way_that_means_no_other(&worked);
        for_beginners += beginners_get_clean_opens_only(&worked);
        readings_have_the_resolution_of_a_bench_meter(&worked);
        a_leaf_has_lines_for_the_longest_search(&worked);
        practice_paths_hold_neither_order_nor_suspects(&worked);
        what_the_key_lists_for_scoring_by_hand_is_what_the_program_scores(&worked);
    }
    assert!(for_beginners > 50, "{for_beginners} exercises for beginners");
}

#[test]
fn a_guess_earns_no_points_for_speed() {
    let (stage, _) = worked_tree();
    // Without a check five other rows of the worked tree are left; check 3 shows 0 for rows 1, 2, 3 and 6.
    for (checks, left) in [(&[][..], 5), (&[3], 3), (&[3, 4], 0)] {
        let score = drill::score(&stage, &log(checks, "K1:5-6")).expect("checks of the sheet");
        assert_eq!(score.left, left);
        assert!((score.points - if left == 0 { 100.0 } else { 60.0 }).abs() < 1e-9, "{checks:?}: {}", score.points);
    }
}

fn guesses_earn_no_points_for_speed(worked: &Worked<'_>) {
    for exercise in &worked.most(request(40, 7)).exercises {
        let stage = &exercise.stages[0];
        let answer = support::english(&stage.places[0]);
        let guess = drill::score(stage, &log(&[], &answer)).expect("no check");
        assert!(guess.named && guess.for_speed == 0.0 && guess.left > 0, "exercise {}", exercise.number);
        // One check short of the best order something is still open: else the last would not be in it.
        let short: Vec<usize> = stage.best[..stage.best.len() - 1].iter().map(|check| check + 1).collect();
        let short = drill::score(stage, &log(&short, &answer)).expect("checks of the sheet");
        assert_eq!(short.for_speed, 0.0, "exercise {}", exercise.number);
    }
}

fn a_place_may_be_named_in_any_way_that_means_no_other(worked: &Worked<'_>) {
    let dictionary = &worked.findings.dictionary;
    let places = Places::of(worked.machine, dictionary);
    let languages = ["en", "de"].map(|code| Words::of(code).expect("a language"));
    for fault in &dictionary.faults {
        let place = fault.site.label(worked.machine);
        for words in &languages {
            for said in [words.say(&place), words.say(&fault.label(worked.machine)).to_uppercase()] {
                assert_eq!(places.named(&said), Ok(Some(place.clone())), "`{said}`");
            }
        }
    }
}

#[test]
fn the_usual_ways_to_write_a_place_are_understood_and_unclear_ones_refused() {
    let path = specs().into_iter().find(|path| path.ends_with("tern-48.toml")).expect("the large machine");
    let demo = open(&path);
    let worked = demo.work();
    let places = Places::of(worked.machine, &worked.findings.dictionary);
    let named = |answer: &str| places.named(answer);
    let said = |answer: &str| named(answer).map(|place| support::english(&place.expect("a place")));
    for (answer, place) in [
        ("W54", "wire W54 BK"),
        ("w 54", ""),
        ("wire W54", "wire W54 BK"),
        ("Draht W54", "wire W54 BK"),
        ("W54 broken", "wire W54 BK"),
        ("J3 pin 7", "J3:7"),
        ("pin 7 of J3", "J3:7"),
        ("j3-7", "J3:7"),
        ("F4", "F4 or its clips"),
        ("fuse F4", "F4 or its clips"),
        ("K6:22-21", "K6:21-22"),
        ("S12", "S10..S17"),
        ("coil K8", "K8 coil"),
        ("Spule K8", "K8 coil"),
        ("K8 mechanism", "K8 mechanism"),
    ] {
        if place.is_empty() {
            assert!(said(answer).is_err(), "{answer}");
        } else {
            assert_eq!(said(answer).as_deref(), Ok(place), "{answer}");
        }
    }
    assert_eq!(named("  "), Ok(None));
    let Err(LogError::UnclearPlace { several: false, near, .. }) = named("K8") else { panic!("K8 is a whole relay") };
    let near: Vec<String> = near.iter().map(support::english).collect();
    assert!(near.contains(&"K8 coil".into()) && near.contains(&"K8 mechanism".into()), "{near:?}");
    assert!(matches!(named("the flux capacitor"), Err(LogError::UnclearPlace { near, .. }) if near.is_empty()));
}

#[test]
fn an_unclear_answer_is_refused_with_a_hint() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let spec = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs/lesson-board-12.toml");
    let log = format!(
        "spec = {:?}\nset = {{ count = 3, seed = 3 }}\nexercise = 2\nchecks = [1]\nanswer = \"K1\"\n",
        spec.to_str().expect("a path in Unicode")
    );
    std::fs::write(folder.path().join("log.toml"), log).expect("a log");
    let (code, output, errors) = benchleaf(folder.path(), &["drill", "--score", "log.toml"]);
    assert_eq!(code, 2, "{output}{errors}");
    assert!(errors.contains("`K1`") && errors.contains("K1 coil"), "{errors}");
}

/// Beginners search for something that does not conduct at all; nothing has become shorter, weaker or slower.
fn beginners_get_clean_opens_only(worked: &Worked<'_>) -> usize {
    let set = worked.most(Request { level: Some(Level::Beginner), ..request(10_000, 1) });
    for exercise in &set.exercises {
        let fault = &worked.findings.dictionary.faults[exercise.stages[0].fault];
        let opens = |change: &Change| matches!(change, Change::Open(_));
        assert!(!fault.changes.is_empty() && fault.changes.iter().all(opens), "{:?}", fault.label(worked.machine));
    }
    set.exercises.len()
}

/// A hand-held meter shows tenths of an ohm at best.
fn readings_have_the_resolution_of_a_bench_meter(worked: &Worked<'_>) {
    let set = worked.most(request(60, 5));
    worked.with_material(|material| {
        for check in set.exercises.iter().flat_map(|exercise| &exercise.stages[0].checks) {
            let text = practice::showing_text(material, check.showing);
            let Some(number) = text.strip_suffix(" Ω") else { continue };
            let Ok(ohms) = number.parse::<f64>() else {
                assert_eq!(number, "under 0.1");
                continue;
            };
            let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            assert!(ohms >= 0.1 && decimals <= 1, "{text}");
        }
    });
}

fn a_leaf_has_lines_for_the_longest_search(worked: &Worked<'_>) {
    let longest = worked.most(request(10_000, 1)).exercises.iter().map(|exercise| exercise.stages[0].best.len()).max();
    assert!(longest.is_some_and(|longest| longest <= LOG_LINES), "{longest:?} checks");
}

/// What a learner takes along says what is where, not what to do.
fn practice_paths_hold_neither_order_nor_suspects(worked: &Worked<'_>) {
    let set = worked.most(request(6, 2));
    let sheets = worked.sheets(&set, &[]);
    let paths = sheets.iter().find(|sheet| sheet.kind.name() == "practice-paths").expect("the paths");
    let sequences = paths.data["body"]["sequences"].as_array().expect("sequences");
    let failing: std::collections::BTreeSet<String> =
        set.exercises.iter().map(|one| worked.machine.sequences[one.stages[0].sequence.0].number.to_string()).collect();
    let shown: std::collections::BTreeSet<String> =
        sequences.iter().map(|sequence| sequence["number"].as_str().expect("a number").into()).collect();
    assert_eq!(failing, shown);
    for sequence in sequences {
        assert!(sequence["order"].is_null() && sequence["suspects"].is_null());
        let empty = |key: &str| sequence[key].as_array().is_some_and(Vec::is_empty);
        assert!(empty("alike") && empty("cleared") && empty("findings"));
        assert!(sequence["roll"].as_array().is_some_and(|roll| !roll.is_empty()), "the roll call stays");
    }
    let drawn: String = paths.figures.iter().map(|(_, svg)| svg.as_str()).collect();
    assert!(!drawn.contains("dirty") && !paths.data.to_string().contains("dirty or out of line"));
}

/// Numbers of checks as the key prints them: `3, 5–8`.
fn listed(value: &Value) -> Vec<usize> {
    let text = value.as_str().expect("text");
    let number = |text: &str| text.parse::<usize>().expect("a number");
    text.split(", ")
        .filter(|part| !part.is_empty())
        .flat_map(|part| match part.split_once('–') {
            Some((first, last)) => number(first)..=number(last),
            None => number(part)..=number(part),
        })
        .collect()
}

/// The lists of the key by which paper is scored agree with the score of the program.
fn what_the_key_lists_for_scoring_by_hand_is_what_the_program_scores(worked: &Worked<'_>) {
    let set = worked.most(request(20, 13));
    let sheets = worked.sheets(&set, &[]);
    let key = sheets.iter().find(|sheet| sheet.kind.name() == "practice-key").expect("the key");
    let exercises = key.data["body"]["exercises"].as_array().expect("exercises");
    let mut settled = 0;
    for (exercise, printed) in set.exercises.iter().zip(exercises) {
        let stage = &exercise.stages[0];
        let answer = support::english(&stage.places[0]);
        let printed = &printed["stages"][0];
        let score = |check: usize| drill::score(stage, &log(&[check], &answer)).expect("a check of the sheet");
        let (dead, idle, settles) = (listed(&printed["dead"]), listed(&printed["idle"]), listed(&printed["settles"]));
        for check in 1..=stage.checks.len() {
            assert_eq!(dead.contains(&check), stage.problem.checks[check - 1].mode == Mode::Dead);
            let one = score(check);
            let told_nothing = one.deductions.iter().any(|off| matches!(off, Deduction::IdleCheck { .. }));
            assert_eq!(idle.contains(&check), told_nothing, "check {check} of exercise {}", exercise.number);
            assert_eq!(settles.contains(&check), one.for_speed > 0.0, "check {check} of {}", exercise.number);
        }
        settled += usize::from(!settles.is_empty());
    }
    assert!(settled * 2 > set.exercises.len(), "most faults have a check that settles them");
}
