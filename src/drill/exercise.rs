//! What an exercise is: plain data for sheets, booklet, key and score.

use crate::faults::order::{Baselines, CheckKind};
use crate::faults::search::{Problem, Tree};
use crate::machine::model::SequenceId;
use crate::words::Fact;

use super::level::Level;
use super::request::Request;
use super::showing::Showing;

/// All exercises of a request.
#[derive(Debug, Clone)]
pub struct Set {
    /// What was asked for.
    pub request: Request,
    /// The exercises, numbered from 1 in this order.
    pub exercises: Vec<Exercise>,
}

/// One exercise: one fault, or two of which the first shows first.
#[derive(Debug, Clone)]
pub struct Exercise {
    /// Its number in the set.
    pub number: usize,
    /// How hard it is.
    pub level: Level,
    /// One a fault, in the order in which they show.
    pub stages: Vec<Stage>,
}

/// One fault to be found.
#[derive(Debug, Clone)]
pub struct Stage {
    /// The sequence that fails first.
    pub sequence: SequenceId,
    /// The fault, as an index of the dictionary.
    pub fault: usize,
    /// Places that count as right: that of the fault and those that no check on offer tells from it.
    pub places: Vec<Fact>,
    /// Faults that no check on offer tells from it, itself among them, as indices of the dictionary.
    pub alike: Vec<usize>,
    /// What is told of each sequence.
    pub told: Vec<Told>,
    /// The checks on offer in the order of the sheet, numbered from 1.
    pub checks: Vec<Listed>,
    /// The search as a problem over `suspects`, whose checks are those of `checks`, same index.
    pub problem: Problem,
    /// Faults of the dictionary that explain what is told, same index as in the problem.
    pub suspects: Vec<usize>,
    /// Place of the fault in `suspects`.
    pub culprit: usize,
    /// The best order, over the checks of `checks`.
    pub tree: Tree,
    /// Checks of the best order for this fault.
    pub best: Vec<usize>,
    /// Their minutes.
    pub best_minutes: f64,
    /// Expected minutes of the best order over all suspects, and of the usual orders.
    pub expected_minutes: f64,
    /// Expected minutes of other usual orders.
    pub baselines: Baselines,
    /// Whether the best order is proved best.
    pub proved: bool,
}

/// A check on offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// What it is.
    pub kind: CheckKind,
    /// What it shows.
    pub showing: Showing,
    /// Whether it can tell any suspects apart; others are there so that nothing can be read off the list.
    pub informs: bool,
}

/// What the sheet tells of a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// The sequence.
    pub sequence: SequenceId,
    /// What is told.
    pub outlook: Outlook,
}

/// Whether a sequence works.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outlook {
    /// It works.
    Works,
    /// It fails: the symptom.
    Fails,
    /// It may be tried: one of the checks.
    Ask,
    /// It is not reached, since it follows from the one that fails.
    NotReached,
}
