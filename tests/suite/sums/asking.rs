//! The command, its messages, and wild input.

use super::*;
use benchleaf::commands::{self, Answer, Arguments, Ending, sum_text, terminal::Terminal};
use benchleaf::words::Words;
use clap::Parser;

/// The answer of the command to what was typed.
fn typed(words: &[&str]) -> Answer {
    let all = ["benchleaf", "sum"].into_iter().chain(words.iter().copied());
    commands::run(&Arguments::try_parse_from(all).unwrap(), Terminal::unattended())
}

#[test]
fn the_command_lists_all_sums() {
    let list = typed(&[]);
    assert_eq!(list.ending, Ending::Fine);
    assert!(
        sums::ALL
            .iter()
            .all(|entry| list.output.contains(entry.name) && list.output.contains(&english(&entry.title())))
    );
    let json: serde_json::Value = serde_json::from_str(&typed(&["--format", "json"]).output).unwrap();
    assert_eq!(json.as_array().unwrap().len(), sums::ALL.len());
}

#[test]
fn the_command_answers_in_text_and_json() {
    let words = ["added-resistance", "supply=33 V", "reading=17 V", "device=145 ohm"];
    let text = typed(&words);
    assert!(text.output.contains("added resistance") && text.output.contains("136 Ω"), "{}", text.output);
    let json = typed(&[&words[..], &["--format", "json"]].concat());
    let json: serde_json::Value = serde_json::from_str(&json.output).unwrap();
    assert!((json["results"][0]["value"].as_f64().unwrap() - 136.470_588).abs() < 1e-6);
    assert_eq!(json["results"][0]["unit"], "Ω");
}

#[test]
fn the_command_says_what_is_wrong_and_what_it_asks_for() {
    let answer = typed(&["discharge", "capacitor=10", "bleeder=1k"]);
    assert_eq!(answer.ending, Ending::Unusable);
    assert!(answer.output.is_empty());
    for part in ["error: `from` is missing", "from=<voltage>", "[otherwise 5V]", "for example"] {
        assert!(answer.messages.contains(part), "{}", answer.messages);
    }
    assert!(typed(&["discharg"]).messages.contains("did you mean `discharge`?"));
}

#[test]
fn every_example_works_and_prints() {
    let words = Words::of("en").expect("built in");
    for entry in sums::ALL {
        let done = sum(entry.name, entry.example);
        assert_eq!(done.name, entry.name);
        assert!(!done.results.is_empty() && !english(&done.source).is_empty() && !done.given.is_empty(), "{done:?}");
        let text = sum_text::text(&done, &words);
        assert!(text.starts_with(&english(&entry.title())) && text.contains("source: "), "{text}");
        let json = sum_text::report(&done, &words);
        assert_eq!(json["results"].as_array().unwrap().len(), done.results.len());
        for amount in done.results.iter().chain(done.steps.iter().map(|step| &step.result)) {
            assert!(amount.value.is_none_or(f64::is_finite), "{amount:?}");
        }
    }
}

/// What to type for a quantity of this size.
fn quantity(form: &str, size: f64) -> Option<String> {
    let unit = match form {
        "voltage" => "V",
        "current" => "A",
        "resistance" | "resistance or capacitance" => "ohm",
        "resistance,resistance,..." => return Some(format!("{size}ohm,{}ohm", size * 3.0)),
        "power" => "W",
        "capacitance" => "F",
        "inductance" => "H",
        "frequency" => "Hz",
        "time" => "s",
        "length" => "m",
        "temperature" => "°C",
        "cross-section or AWG" => "mm2",
        "decibels" => "dB",
        "per cent" | "20|10|5|2|1" => "",
        _ => return None,
    };
    Some(format!("{size}{unit}"))
}

#[test]
fn wild_values_are_answered_with_numbers_or_refused() {
    // A simple linear congruence (Numerical Recipes' constants) draws the sizes: the same ones in every run.
    let mut state = 20_260_105_u32;
    let mut draw = |choices: &[f64]| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        choices[(state >> 16) as usize % choices.len()]
    };
    let sizes = [1e-12, 1e-6, 0.001, 0.5, 1.0, 24.0, 47.0, 1e3, 1e6, 1e12, 0.0, -5.0];
    let english = Words::of("en").expect("built in");
    let mut answered = 0;
    for entry in sums::ALL {
        for _ in 0..300 {
            let words: Vec<String> = entry
                .inputs
                .iter()
                .filter_map(|input| Some(format!("{}={}", input.name, quantity(input.form, draw(&sizes))?)))
                .chain((entry.name == "colour-code").then(|| "bands=red-red-red".to_string()))
                .collect();
            let Ok(done) = sums::run(entry.name, &words) else { continue };
            answered += 1;
            let amounts = done.results.iter().chain(done.steps.iter().map(|step| &step.result));
            for amount in amounts {
                assert!(amount.value.is_none_or(f64::is_finite), "{words:?}: {amount:?}");
            }
            let text = sum_text::text(&done, &english);
            assert!(
                !text.contains("NaN")
                    && !text.contains("inf ")
                    && !text.contains("–")
                    && !text.contains('{')
                    && !text.contains("[sums"),
                "{words:?}\n{text}"
            );
        }
    }
    assert!(answered > 1_000, "only {answered} were answered");
}

#[test]
fn large_capacitors_print_in_microfarads() {
    // Common practice, no source: on old drawings mF stands for microfarad.
    let sum = sum("discharge", "capacitor=10mF bleeder=1kohm from=35V");
    assert_eq!(english_value(&sum.given[0].text), "10000 µF");
}

#[test]
fn names_are_unique() {
    let mut names: Vec<_> = sums::ALL.iter().map(|entry| entry.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), sums::ALL.len());
}

#[test]
fn what_is_wrong_is_said_all_at_once() {
    let said = refusal("discharge", "capacitor=10uF capacitr=3uF bleeder from=35V from=36V");
    for part in [
        "`discharge` has no input named `capacitr`",
        "expected an input such as `supply=24V`, found `bleeder`",
        "`from` is given twice",
        "`bleeder` is missing: what it discharges through (resistance)",
    ] {
        assert!(said.contains(part), "{said}");
    }
}

#[test]
fn near_names_are_offered() {
    let Err(errors) = attempt("dischrge", "") else { panic!("no such sum") };
    assert_eq!(errors[0].hint().as_deref(), Some("did you mean `discharge`?"));
    let Err(errors) = attempt("discharge", "capacitr=3uF") else { panic!("no such input") };
    assert_eq!(errors[0].hint().as_deref(), Some("did you mean `capacitor`?"));
}

#[test]
fn values_are_read_as_units() {
    for words in [
        "supply=33 reading=17V device=145ohm",
        "supply=33A reading=17V device=145ohm",
        "supply=33,5V reading=17V device=145ohm",
    ] {
        assert!(refusal("added-resistance", words).contains("supply"), "{words}");
    }
    assert!(refusal("rectifier", "winding=24V form=triangle").contains("one of `bridge`"));
    for extreme in ["supply=1e300V reading=1e-12V device=1e-12ohm", "supply=33V reading=17V device=-145ohm"] {
        if let Ok(done) = attempt("added-resistance", extreme) {
            assert!(
                done.results
                    .iter()
                    .all(|amount| !["NaN", "inf"].iter().any(|bad| english_value(&amount.text).contains(bad))),
                "{done:?}"
            );
        }
    }
}
