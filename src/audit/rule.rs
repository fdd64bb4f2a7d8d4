//! The shape of a rule: what it is called, where it comes from, and what it looks at.

use super::facts::{Circuit, Description};
use super::finding::Finding;
use crate::words::Fact;

/// A rule of the audit.
#[derive(Debug)]
pub struct Rule {
    /// Its name in reports, such as `wrong-fuse-fitted`.
    pub name: &'static str,
    /// What it looks for, in one sentence.
    pub summary: &'static str,
    /// Looks.
    pub check: Check,
}

impl Rule {
    /// Where it comes from.
    #[must_use]
    pub fn source(&self) -> Fact {
        Fact::new(format!("audit.{}.source", self.name))
    }
}

/// What a rule looks at.
#[derive(Debug, Clone, Copy)]
pub enum Check {
    /// The description alone: works even where the circuit cannot be solved.
    Description(fn(&Description<'_>, &mut Vec<Finding>)),
    /// The solved circuit.
    Circuit(fn(&Circuit<'_>, &mut Vec<Finding>)),
}
