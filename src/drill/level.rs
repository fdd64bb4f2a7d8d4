//! How hard an exercise is. It follows from the circuit: how many checks the best order needs, how many places look
//! alike, whether the fault is a clean open or something else, whether a part is wrong or gone, and whether there are two.

use serde::{Deserialize, Serialize};

use crate::circuit::Change;
use crate::faults::kinds::{Fault, FaultKind};

/// How hard an exercise is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// A clean open, found by few checks, at one place.
    Beginner,
    /// More checks, two places that look alike, a few ohms too many, or a fault that opens nothing: a short, a contact
    /// that does not open, a mechanism.
    Intermediate,
    /// Many checks, three look-alikes, a wrong or missing part, or two faults.
    Advanced,
}

/// Checks of the best order up to which an exercise is for beginners, and for the middle.
const FEW_CHECKS: (usize, usize) = (4, 6);
/// Most places that may look alike in any exercise.
pub(super) const MOST_ALIKE: usize = 3;
/// Lines of the log on a learner's leaf, and so the longest search that is set. The same for every exercise: their number
/// must not tell how long the best order is.
pub const LOG_LINES: usize = 14;

impl Level {
    /// All levels, easiest first.
    pub const ALL: [Self; 3] = [Self::Beginner, Self::Intermediate, Self::Advanced];

    /// Its name as it is typed and as its words are found.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Beginner => "beginner",
            Self::Intermediate => "intermediate",
            Self::Advanced => "advanced",
        }
    }

    /// The level of a single fault.
    #[must_use]
    pub(super) fn of(fault: &Fault, checks: usize, places: usize) -> Self {
        let changed = matches!(
            fault.kind,
            FaultKind::Missing
                | FaultKind::Reversed
                | FaultKind::HighValue
                | FaultKind::ShortedTurns
                | FaultKind::WrongFuse
        );
        let clean_open =
            !fault.changes.is_empty() && fault.changes.iter().all(|change| matches!(change, Change::Open(_)));
        if changed || checks > FEW_CHECKS.1 || places >= MOST_ALIKE {
            Self::Advanced
        } else if !clean_open || checks > FEW_CHECKS.0 || places > 1 {
            Self::Intermediate
        } else {
            Self::Beginner
        }
    }
}
