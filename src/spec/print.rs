//! Prints a report: for a person with the lines underlined, for a program as JSON.

use codespan_reporting::diagnostic as codespan;
use codespan_reporting::term;
use codespan_reporting::term::{Config, termcolor};
use serde_json::{Value, json};

use super::diagnostic::{Diagnostic, Place, Report, Severity};
use super::sources::Sources;

impl Report {
    /// The report as text for a terminal, each problem with its line and the offending text underlined.
    #[must_use]
    pub fn render(&self, sources: &Sources, colour: bool) -> String {
        let files = sources.for_printing();
        let config = Config::default();
        let mut text = String::new();
        for diagnostic in self {
            let printable = printable(diagnostic, sources);
            let rendered = if colour {
                let mut buffer = termcolor::Ansi::new(Vec::new());
                term::emit_to_write_style(&mut buffer, &config, &files, &printable)
                    .map(|()| String::from_utf8_lossy(buffer.get_ref()).into_owned())
            } else {
                term::emit_into_string(&config, &files, &printable)
            };
            text.push_str(&rendered.unwrap_or_else(|_| format!("error: {}\n\n", diagnostic.kind)));
        }
        text
    }

    /// The report for a program: one object a problem, lines and columns counted from one.
    #[must_use]
    pub fn to_json(&self, sources: &Sources) -> Value {
        self.iter().map(|diagnostic| as_json(diagnostic, sources)).collect()
    }
}

/// The problem in the form of the diagnostic printer. A file of which there is no text has no line to show, so its
/// message stands alone.
fn printable(diagnostic: &Diagnostic, sources: &Sources) -> codespan::Diagnostic<usize> {
    let severity = match diagnostic.severity {
        Severity::Error => codespan::Severity::Error,
        Severity::Warning => codespan::Severity::Warning,
    };
    let mut labels = Vec::new();
    if !sources.text(diagnostic.at.file).is_empty() {
        labels.push(codespan::Label::primary(diagnostic.at.file, within(diagnostic.at, sources)));
    }
    for (place, word) in &diagnostic.related {
        labels.push(codespan::Label::secondary(place.file, within(*place, sources)).with_message(word));
    }
    let mut notes: Vec<String> = diagnostic.hints().into_iter().map(|hint| format!("hint: {hint}")).collect();
    let name = sources.name(diagnostic.at.file);
    if labels.is_empty() && !diagnostic.message().contains(name) {
        notes.insert(0, format!("file: {name}"));
    }
    codespan::Diagnostic::new(severity).with_message(&diagnostic.kind).with_labels(labels).with_notes(notes)
}

/// The byte range of a place, moved onto whole characters inside the file.
fn within(place: Place, sources: &Sources) -> std::ops::Range<usize> {
    let text = sources.text(place.file);
    let mut start = place.start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let mut end = place.end.clamp(start, text.len());
    while !text.is_char_boundary(end) {
        end += 1;
    }
    start..end
}

fn as_json(diagnostic: &Diagnostic, sources: &Sources) -> Value {
    let mut object = json!({
        "severity": match diagnostic.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        },
        "kind": diagnostic.kind.code(),
        "message": diagnostic.message(),
        "hints": diagnostic.hints(),
    });
    add_place(&mut object, diagnostic.at, sources);
    object["related"] = diagnostic
        .related
        .iter()
        .map(|(place, word)| {
            let mut related = json!({ "message": word });
            add_place(&mut related, *place, sources);
            related
        })
        .collect();
    object
}

fn add_place(object: &mut Value, place: Place, sources: &Sources) {
    let (line, column) = sources.line_column(place);
    let (end_line, end_column) = sources.line_column(Place::new(place.file, place.end, place.end));
    object["file"] = sources.name(place.file).into();
    object["line"] = line.into();
    object["column"] = column.into();
    object["end-line"] = end_line.into();
    object["end-column"] = end_column.into();
}
