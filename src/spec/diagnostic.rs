//! Messages about what was written: each has a place, says what was found and what was expected, and a hint to act on.
//!
//! Helpers describe the problem; the caller that knows the place adds it. A [`Report`] gathers all problems of a run.

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
