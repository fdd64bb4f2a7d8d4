//! From evidence to suspects, doubts, and the next check: what is said, and the way there.

use serde::Serialize;

use crate::circuit::{Solution, Solver};
use crate::machine::model::Machine;
use crate::words::Fact;

use super::super::kinds::{FaultKind, catalogue};
use super::super::order::CheckKind;
use super::super::search::ranking::{RankingError, rank};
use super::evidence::Evidence;
use super::guess::Room;
use super::predict::Predictor;

/// How often one reading is misread or taken at a wrong point: common practice, no source.
const MISREADING: f64 = 0.02;
/// The same where there is one reading alone: then there is nothing that could speak against it.
const LONE_MISREADING: f64 = 1e-9;

/// What evidence leaves.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Narrowing {
    /// Who is left, likeliest first.
    pub suspects: Vec<NarrowSuspect>,
    /// Share of a machine without any fault that this program knows.
    pub no_fault: f64,
    /// Readings that do not fit the others.
    pub doubts: Vec<Doubt>,
    /// Whether no single fault explains the readings, even without the doubtful one.
    pub unexplained: bool,
    /// Whether no single fault stops exactly the sequences that fail.
    pub sequences_disagree: bool,
    /// Whether the two likeliest are too close to name one of them.
    pub undecided: bool,
    /// The best next check; none where one place is left.
    pub next: Option<NextCheck>,
}

/// A place that is left.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NarrowSuspect {
    /// The place.
    pub place: Fact,
    /// Its part.
    pub part: String,
    /// Where the part sits.
    pub location: Option<String>,
    /// Its share.
    pub share: f64,
    /// Its likeliest fault.
    pub fault: Fact,
    /// The kind of that.
    pub kind: FaultKind,
    /// Ohms added, where its likeliest fault is a bad contact of some size.
    pub added: Option<AddedOhms>,
    /// Suspects of one number predict the same for all that was read and seen: nobody could tell them apart by it.
    pub group: usize,
}

/// Ohms that a bad contact adds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct AddedOhms {
    /// Mean.
    pub mean: f64,
    /// Five percent lie below.
    pub low: f64,
    /// Five percent lie above.
    pub high: f64,
}

/// A reading that does not fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Doubt {
    /// Where, as it was named.
    pub at: String,
    /// What was read, in volts or ohms; none for no continuity.
    pub reads: Option<f64>,
    /// What the likeliest fault predicts there, in volts or ohms.
    pub expected: f64,
    /// How likely the reading is wrong.
    pub chance: f64,
}

/// The best next check.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct NextCheck {
    /// What it is.
    pub kind: CheckKind,
    /// The same, to be said.
    pub text: Fact,
    /// Number of the sequence in which it is made.
    pub sequence: i64,
    /// Its minutes.
    pub minutes: f64,
    /// Expected minutes until the fault is found, this check included.
    pub expected_minutes: f64,
}

/// Ranks all faults by the evidence and looks for the best next check.
///
/// # Errors
/// When all faults have a weight of zero.
pub fn narrow(
    machine: &Machine,
    solver: &Solver,
    solution: &Solution,
    evidence: &Evidence,
) -> Result<Narrowing, RankingError> {
    let faults = catalogue(machine);
    if faults.iter().map(|fault| fault.weight).sum::<f64>() <= 0.0 {
        return Err(RankingError::NoWeight);
    }
    let predictor = Predictor::new(machine, solver, solution, evidence);
    let mut room = Room { predictor, faults: &faults, tried: Vec::new(), guesses: Vec::new() };
    let observations = room.predictor.observations();
    let misreading = if observations.len() < 2 { LONE_MISREADING } else { MISREADING };
    // Where something was read, it leaves few faults; only these need be solved in the other sequences.
    let mut left: Vec<usize> = (0..faults.len()).collect();
    if !observations.is_empty() {
        room.guess();
        left = room.left(&rank(&room.hypotheses(), &observations, misreading)?);
    }
    room.tried = room.predictor.tried(room.faults, &left);
    if observations.is_empty() {
        room.guess();
    } else {
        room.agree();
    }
    let first = rank(&room.hypotheses(), &observations, misreading)?;
    room.refine(&first);
    let hypotheses = room.hypotheses();
    let ranking = rank(&hypotheses, &observations, misreading)?;
    Ok(room.answer(&ranking, &hypotheses))
}
