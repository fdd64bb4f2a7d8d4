//! Messages about what was written: each has a place, says what was found and what was expected, and a hint to act on.
//!
//! Helpers describe the problem; the caller that knows the place adds it. A [`Report`] gathers all problems of a run.

use super::kind::Kind;

/// Where something is written: a file of the run and a byte range in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// Index of the file among those that were read (a spec and its bases).
    pub file: usize,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Place {
    /// A byte range in a file.
    #[must_use]
    pub const fn new(file: usize, start: usize, end: usize) -> Self {
        Self { file, start, end }
    }
}

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The spec has no single meaning; nothing is printed from it.
    Error,
    /// The spec can be used, but something in it is probably not what its writer wants.
    Warning,
}

/// Most problems that are gathered in one go. A file with more is not the file that was meant.
pub const MOST_PROBLEMS: usize = 1000;

/// One problem with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// How bad it is.
    pub severity: Severity,
    /// What it is, as data.
    pub kind: Kind,
    /// Where it is.
    pub at: Place,
    /// Other places that belong to it, each with a word on why.
    pub related: Vec<(Place, String)>,
}

impl Diagnostic {
    /// A problem that keeps the spec from being used.
    #[must_use]
    pub fn error(kind: Kind, at: Place) -> Self {
        Self { severity: Severity::Error, kind, at, related: Vec::new() }
    }

    /// A problem that leaves the spec usable.
    #[must_use]
    pub fn warning(kind: Kind, at: Place) -> Self {
        Self { severity: Severity::Warning, kind, at, related: Vec::new() }
    }

    /// The same with another place that belongs to it.
    #[must_use]
    pub fn with(mut self, place: Place, word: impl Into<String>) -> Self {
        self.related.push((place, word.into()));
        self
    }

    /// The sentence that says what was found and what was expected.
    #[must_use]
    pub fn message(&self) -> String {
        self.kind.to_string()
    }

    /// What to do about it, each hint a line of its own.
    #[must_use]
    pub fn hints(&self) -> Vec<String> {
        self.kind.hints()
    }
}

/// All problems of a run, sorted by place, none twice.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Report {
    diagnostics: Vec<Diagnostic>,
}

impl Report {
    /// Sorts problems by place and drops repetitions.
    #[must_use]
    pub fn new(mut diagnostics: Vec<Diagnostic>) -> Self {
        diagnostics.sort_by_key(|diagnostic| (diagnostic.at, diagnostic.severity));
        diagnostics.dedup_by(|one, other| one.at == other.at && one.kind == other.kind);
        Self { diagnostics }
    }

    /// Whether something keeps the spec from being used.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.diagnostics.iter().any(|diagnostic| diagnostic.severity == Severity::Error)
    }

    /// Whether there is nothing to say.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.diagnostics.is_empty()
    }

    /// How many problems there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.diagnostics.len()
    }

    /// The problems in the order of their places.
    pub fn iter(&self) -> std::slice::Iter<'_, Diagnostic> {
        self.diagnostics.iter()
    }
}

impl<'a> IntoIterator for &'a Report {
    type Item = &'a Diagnostic;
    type IntoIter = std::slice::Iter<'a, Diagnostic>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}
