//! The shape of a rule: what it is called, where it comes from, and what it looks at.

use super::facts::{Circuit, Description};
use super::finding::Finding;

/// A rule of the audit.
#[derive(Debug)]
pub struct Rule {
    /// Its name in reports, such as `wrong-fuse-fitted`.
    pub name: &'static str,
    /// What it looks for, in one sentence.
    pub summary: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// Looks.
    pub check: Check,
}

/// What a rule looks at.
#[derive(Debug, Clone, Copy)]
pub enum Check {
    /// The description alone: works even where the circuit cannot be solved.
    Description(fn(&Description<'_>, &mut Vec<Finding>)),
    /// The solved circuit.
    Circuit(fn(&Circuit<'_>, &mut Vec<Finding>)),
}
