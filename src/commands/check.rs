//! `check`: what is wrong with descriptions, and what the audit finds in the machines. Prints no paper.

use std::fmt::Write as _;
use std::path::Path;

use serde_json::{Value, json};

use super::answer::{Answer, Ending};
use super::args::{CheckArguments, Format};
use super::source::{self, Source};
use super::table;
use super::terminal::Terminal;
use crate::audit::{self, Finding, Severity};
use crate::circuit::{Effort, Solver};
use crate::fact;
use crate::words::Words;

/// Checks all descriptions.
#[must_use]
pub fn run(arguments: &CheckArguments, terminal: Terminal) -> Answer {
    let specs = match source::find(&arguments.specs) {
        Ok(specs) => specs,
        Err(complaint) => return complaint.into(),
    };
    let mut answer = Answer::default();
    let mut reports = Vec::new();
    for spec in &specs {
        let words = match arguments.language.words(spec) {
            Ok(words) => words,
            Err(complaint) => return complaint.into(),
        };
        match source::open(spec, terminal) {
            Ok(source) => {
                let (one, report) = check(spec, &source, &words, arguments.format.format, terminal);
                answer.join(&one);
                reports.push(report);
            }
            Err(refused) => answer.join(&refused),
        }
    }
    if arguments.format.format == Format::Json {
        answer.output = table::json(&Value::from(reports));
    }
    answer
}

/// Findings of one machine, for people and for programs.
fn check(spec: &Path, source: &Source, words: &Words, format: Format, terminal: Terminal) -> (Answer, Value) {
    let opened = &source.opened;
    let machine = &opened.machine;
    let (findings, refusal) = match Solver::new(machine) {
        Ok(solver) => (audit::audit(machine, &solver, &solver.solve(Effort::Nominal)), None),
        Err(error) => (audit::audit_description(machine), Some(error.describe(machine))),
    };
    let report = json!({
        "machine": machine.identity.id,
        "file": spec.display().to_string(),
        "refused": refusal,
        "warnings": opened.warnings.to_json(&opened.sources),
        "unprintable": opened.unprintable.to_json(&opened.sources),
        "findings": findings.iter().map(|finding| located(finding, source, words)).collect::<Vec<_>>(),
    });
    let sound = findings.is_empty() && opened.warnings.is_empty() && opened.unprintable.is_empty();
    let mut answer = Answer {
        // What keeps `build` from printing is said here, too.
        messages: opened.warnings.render(&opened.sources, terminal.colour)
            + &opened.unprintable.render(&opened.sources, terminal.colour),
        ending: if sound { Ending::Fine } else { Ending::Findings },
        ..Answer::default()
    };
    if let Some(refusal) = &refusal {
        // Writing to a string cannot fail.
        let _ = writeln!(answer.messages, "error: {}: {refusal}", spec.display());
        answer.ending = Ending::Findings;
    }
    if format == Format::Text {
        answer.output = text(spec, &findings, source, words);
    }
    (answer, report)
}

/// A finding with the line and column that a person looks for.
fn located(finding: &Finding, source: &Source, words: &Words) -> Value {
    let mut report = finding.to_json(&source.opened.machine, words);
    let sources = &source.opened.sources;
    let (line, column) = sources.line_column(finding.at);
    report["at"]["name"] = json!(sources.name(finding.at.file));
    report["at"]["line"] = json!(line);
    report["at"]["column"] = json!(column);
    report
}

fn text(spec: &Path, findings: &[Finding], source: &Source, words: &Words) -> String {
    let mut text = String::new();
    for finding in findings {
        describe(&mut text, finding, source, words);
    }
    let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
    let counts = [
        fact!("check.hazards", count = count(Severity::Hazard)),
        fact!("check.defects", count = count(Severity::Defect)),
        fact!("check.remarks", count = count(Severity::Remark)),
    ];
    let counts: Vec<String> = counts.iter().map(|fact| words.say(fact)).collect();
    let _ = writeln!(text, "{}: {}", spec.display(), counts.join(", "));
    text
}

/// A finding with its place, what to do, and where its rule comes from.
fn describe(text: &mut String, finding: &Finding, source: &Source, words: &Words) {
    let sources = &source.opened.sources;
    let (line, column) = sources.line_column(finding.at);
    let name = sources.name(finding.at.file);
    let severity = words.get(&format!("check.severity.{}", finding.severity.name()));
    let place = fact!("check.at", place = format!("{name}:{line}:{column}"));
    let rule = fact!("check.rule", rule = finding.rule, source = finding.source.clone());
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{severity}: {}", words.say(&finding.message));
    let _ = writeln!(text, "  {}", words.say(&place));
    let _ = writeln!(text, "  = {}", words.say(&finding.advice));
    let _ = writeln!(text, "  = {}", words.say(&rule));
}
