//! What can go wrong between data and paper. Faults of the templates are this program's, never the user's.

use std::fmt::{self, Write as _};

use typst::diag::SourceDiagnostic;
use typst::{World, WorldExt};

use super::world::Job;

/// Why a document could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PressError {
    /// A template or its data is at fault: a bug of this program.
    Internal {
        /// File stem of the document.
        document: String,
        /// What the typesetter says, each with its place.
        faults: Vec<String>,
    },
    /// A template file cannot be used.
    Template {
        /// Its path.
        path: String,
        /// Why not.
        fault: String,
    },
    /// A page could not be written as a picture.
    Picture(String),
    /// A file could not be written.
    File {
        /// Its path.
        path: String,
        /// What the system says.
        fault: String,
    },
}

impl PressError {
    /// From the typesetter's diagnostics, with their places in the templates.
    pub(super) fn from_typst(job: &Job<'_>, name: &str, diagnostics: &[SourceDiagnostic]) -> Self {
        Self::Internal {
            document: name.into(),
            faults: diagnostics.iter().map(|diagnostic| describe(job, diagnostic)).collect(),
        }
    }
}

/// One line: place, message, hints, and the calls that led there.
fn describe(job: &Job<'_>, diagnostic: &SourceDiagnostic) -> String {
    let mut text = format!("{}{}", place(job, diagnostic.span), diagnostic.message);
    for hint in &diagnostic.hints {
        // Writing to a string cannot fail.
        let _ = write!(text, "; {}", hint.v);
    }
    for call in &diagnostic.trace {
        let _ = write!(text, "\n  from {}{}", place(job, call.span.into()), call.v);
    }
    text
}

/// `path:line:column: `, or nothing where the typesetter does not know.
fn place(job: &Job<'_>, span: typst::syntax::DiagSpan) -> String {
    let found = span.id().and_then(|id| {
        let source = job.source(id).ok()?;
        let range = job.range(span)?;
        let (line, column) = source.lines().byte_to_line_column(range.start)?;
        Some(format!("{}:{}:{}: ", id.get().vpath().get_without_slash(), line + 1, column + 1))
    });
    found.unwrap_or_default()
}

impl fmt::Display for PressError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Internal { document, faults } => {
                write!(f, "internal fault while printing `{document}`:\n{}", faults.join("\n"))
            }
            Self::Template { path, fault } => write!(f, "template `{path}` cannot be used: {fault}"),
            Self::Picture(fault) => write!(f, "a page cannot be written as a picture: {fault}"),
            Self::File { path, fault } => write!(f, "`{path}` cannot be written: {fault}"),
        }
    }
}

impl std::error::Error for PressError {}
