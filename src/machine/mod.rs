//! What the description means: every name resolved, every run turned into joints and elements.
//!
//! In comes a file or a text; out comes an [`Opened`] machine, or a [`Refused`] with everything that is wrong. Nothing in
//! here knows Ohm's law: whether the machine works is asked in the circuit room.

pub mod model;
mod resolve;
pub mod twins;

use std::path::Path;

use crate::spec::diagnostic::{Diagnostic, MOST_PROBLEMS, Place, Report, Severity};
use crate::spec::inherit::{self, Loaded};
use crate::spec::kind::Kind;
use crate::spec::sources::Sources;
use crate::spec::tree;
use model::Machine;

/// A machine whose description has one meaning.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The machine.
    pub machine: Machine,
    /// The files that were read.
    pub sources: Sources,
    /// What is allowed, but probably not meant.
    pub warnings: Report,
    /// What keeps its paper from being printed, though the machine can be solved.
    pub unprintable: Report,
    /// The description after everything that it builds on was laid under it, for the card code.
    pub document: serde_json::Value,
}

/// A description that cannot be used.
#[derive(Debug, Clone)]
pub struct Refused {
    /// Everything that is wrong with it.
    pub report: Report,
    /// The files that were read.
    pub sources: Sources,
}

/// Reads the description in a file, and in the files that it builds on.
///
/// # Errors
/// A report of all problems, at least one of which is an error.
pub fn open(path: &Path) -> Result<Opened, Refused> {
    let mut sources = Sources::new();
    match sources.read(path) {
        Ok(file) => finish(sources, file, path),
        Err(problem) => Err(Refused { report: Report::new(vec![*problem]), sources }),
    }
}

/// Reads a description from a text; `name` stands in messages, and a base is looked for beside it.
///
/// # Errors
/// A report of all problems, at least one of which is an error.
pub fn from_text(name: &str, text: &str) -> Result<Opened, Refused> {
    let mut sources = Sources::new();
    let file = sources.add(name, text);
    finish(sources, file, Path::new(name))
}

fn finish(mut sources: Sources, file: usize, path: &Path) -> Result<Opened, Refused> {
    let Loaded { document, tree, mut problems, broken } = inherit::load(&mut sources, file, path);
    // Where TOML is broken, names may be missing that stand in the broken part: nothing can be said about meaning.
    let head = document.as_ref().map_or_else(Place::default, |document| document.machine.written);
    let machine = document.filter(|_| !broken).and_then(|document| {
        let (machine, mut found) = resolve::resolve(&document, &sources, !has_errors(&problems));
        problems.append(&mut found);
        machine
    });
    if problems.len() >= MOST_PROBLEMS {
        problems.push(Diagnostic::error(Kind::TooManyProblems, Place::new(file, 0, 0)));
    }
    let report = Report::new(problems);
    match machine {
        Some(machine) if !report.has_errors() => {
            // Archival PDF wants a date, and so does whoever finds the page in ten years; the clock would print another
            // one each time.
            let undated = machine.identity.revised.is_empty();
            let unprintable =
                Report::new(undated.then(|| Diagnostic::error(Kind::Undated, head)).into_iter().collect());
            Ok(Opened { machine, sources, warnings: report, unprintable, document: tree::to_json(&tree) })
        }
        _ => Err(Refused { report, sources }),
    }
}

fn has_errors(problems: &[Diagnostic]) -> bool {
    problems.iter().any(|problem| problem.severity == Severity::Error)
}
