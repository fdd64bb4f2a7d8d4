//! `sum`: one bench sum, or the list of them.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::answer::{Answer, Ending};
use super::args::{Format, SumArguments};
use super::{options, sum_text};
use crate::sums::{self, Entry, Input, Need, SumError};
use crate::words::Words;

/// Does a sum, or lists the sums where none is named.
#[must_use]
pub fn run(arguments: &SumArguments) -> Answer {
    let format = arguments.format.format;
    let words = match options::words(&arguments.language) {
        Ok(words) => words,
        Err(complaint) => return complaint.into(),
    };
    let Some(name) = &arguments.name else { return list(format, &words) };
    match sums::run(name, &arguments.inputs) {
        Ok(sum) => Answer::output(match format {
            Format::Text => sum_text::text(&sum, &words),
            Format::Json => pretty(&sum_text::report(&sum, &words)),
        }),
        Err(errors) => refusal(name, &errors),
    }
}

fn list(format: Format, words: &Words) -> Answer {
    Answer::output(match format {
        Format::Text => list_text(words),
        Format::Json => pretty(&Value::Array(sums::ALL.into_iter().map(|entry| entry_json(entry, words)).collect())),
    })
}

fn pretty(value: &Value) -> String {
    format!("{value:#}\n")
}

fn list_text(words: &Words) -> String {
    let width = sums::ALL.iter().map(|entry| entry.name.len()).max().unwrap_or(0);
    let mut text = String::new();
    for entry in sums::ALL {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{:width$}  {}", entry.name, words.say(&entry.title()));
        let _ = writeln!(text, "{:width$}  benchleaf sum {} {}", "", entry.name, quoted(entry.example));
    }
    text
}

/// The example with what a shell would take apart in quotes.
fn quoted(example: &str) -> String {
    let words = example
        .split_whitespace()
        .map(|word| if word.contains(|c: char| !c.is_ascii()) { format!("'{word}'") } else { word.to_string() });
    words.collect::<Vec<_>>().join(" ")
}

fn entry_json(entry: &Entry, words: &Words) -> Value {
    let inputs: Vec<_> = entry
        .inputs
        .iter()
        .map(|input| {
            json!({
                "name": input.name,
                "form": input.form,
                "meaning": input.meaning,
                "required": input.need == Need::Required,
                "usual": if let Need::Preset(usual) = input.need { Some(usual) } else { None },
            })
        })
        .collect();
    json!({ "name": entry.name, "title": words.say(&entry.title()), "example": entry.example, "inputs": inputs })
}

/// All that is wrong, and below it what the sum asks for.
fn refusal(name: &str, errors: &[SumError]) -> Answer {
    let mut messages = String::new();
    for error in errors {
        let _ = writeln!(messages, "error: {error}");
        if let Some(hint) = error.hint() {
            let _ = writeln!(messages, "  = hint: {hint}");
        }
    }
    if let Ok(entry) = sums::find(name) {
        messages.push_str(&usage(entry));
    }
    Answer { output: String::new(), messages, ending: Ending::Unusable }
}

/// What a sum asks for, line by line, with an example.
fn usage(entry: &Entry) -> String {
    let mut text = format!("\n`{}` asks for\n", entry.name);
    let width = entry.inputs.iter().map(|input| heading(input).chars().count()).max().unwrap_or(0);
    for input in entry.inputs {
        let _ = writeln!(text, "  {:width$}  {}{}", heading(input), input.meaning, need_in_words(input));
    }
    let _ = writeln!(text, "for example\n  benchleaf sum {} {}", entry.name, quoted(entry.example));
    text
}

fn heading(input: &Input) -> String {
    format!("{}=<{}>", input.name, input.form)
}

fn need_in_words(input: &Input) -> String {
    match input.need {
        Need::Required => String::new(),
        Need::Optional => " [optional]".into(),
        Need::Preset(usual) => format!(" [otherwise {usual}]"),
    }
}
