//! What the circuit room refuses to answer, with the parts concerned.

use std::error::Error;
use std::fmt;

use crate::machine::model::{PartId, SequenceId};

/// A circuit that this room cannot answer rightly, and so does not answer at all.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitError {
    /// The sequence in which it shows; none where it holds for the whole machine.
    pub sequence: Option<SequenceId>,
    /// Why.
    pub reason: Reason,
}

/// Why a circuit is refused.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// A diode outside a supply's rectifier gets AC that switches it within each cycle: neither the DC nor the AC
    /// reading could be trusted.
    DiodeUnderAlternating {
        /// The diode, or the rectified supply.
        diode: PartId,
        /// Supplies whose AC reaches it.
        supplies: Vec<PartId>,
    },
    /// Sources without internal resistance work against each other or into a dead short.
    SourcesConflict {
        /// The parts that would carry the endless current.
        parts: Vec<PartId>,
    },
    /// An inductance and a capacitance without any loss resonate exactly, so the voltage has no limit.
    Resonance {
        /// The parts at the joint concerned.
        parts: Vec<PartId>,
    },
    /// A value that no part can have, such as a negative resistance.
    Impossible {
        /// The part.
        part: PartId,
        /// What is wrong with it.
        what: &'static str,
    },
    /// Something switches within each cycle of rectified supplies - capacitors hold them up, or another supply does - and
    /// no steady cycle was found, or they are of different frequencies.
    NoSteadyCycle {
        /// The rectified supplies.
        parts: Vec<PartId>,
    },
    /// No consistent set of conducting diodes, or no steady lamp, was found.
    Unsettled {
        /// The parts concerned.
        parts: Vec<PartId>,
    },
}

impl CircuitError {
    /// The parts that the message should name.
    #[must_use]
    pub fn parts(&self) -> Vec<PartId> {
        match &self.reason {
            Reason::DiodeUnderAlternating { diode, supplies } => {
                std::iter::once(*diode).chain(supplies.iter().copied()).collect()
            }
            Reason::SourcesConflict { parts }
            | Reason::Resonance { parts }
            | Reason::NoSteadyCycle { parts }
            | Reason::Unsettled { parts } => parts.clone(),
            Reason::Impossible { part, .. } => vec![*part],
        }
    }

    /// The message with the names of a machine's parts.
    #[must_use]
    pub fn describe(&self, machine: &crate::machine::model::Machine) -> String {
        let names =
            |parts: &[PartId]| parts.iter().map(|&part| machine.part(part).id.as_str()).collect::<Vec<_>>().join(", ");
        let what = match &self.reason {
            Reason::DiodeUnderAlternating { diode, supplies } => format!(
                "{} is fed with alternating current by {}: describe a rectifier as part of its supply",
                names(&[*diode]),
                names(supplies)
            ),
            Reason::SourcesConflict { parts } => format!(
                "{} would carry a current without limit: give each supply its internal resistance",
                names(parts)
            ),
            Reason::Resonance { parts } => {
                format!("{} resonate without any loss: give the inductance its resistance", names(parts))
            }
            Reason::Impossible { part, what } => format!("{}: {what}", names(&[*part])),
            Reason::NoSteadyCycle { parts } => format!(
                "no steady cycle was found behind {}: state a smoothing capacitor as the `reservoir` of its supply, and \
                 keep supplies of different frequencies apart",
                names(parts)
            ),
            Reason::Unsettled { parts } => {
                format!("no steady state was found for {}", names(parts))
            }
        };
        match self.sequence {
            Some(sequence) => format!("sequence {}: {what}", machine.sequences[sequence.0].number),
            None => what,
        }
    }
}

impl fmt::Display for CircuitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self.reason {
            Reason::DiodeUnderAlternating { .. } => {
                "a diode outside a rectified supply is fed with alternating current"
            }
            Reason::SourcesConflict { .. } => "supplies without internal resistance work against each other",
            Reason::Resonance { .. } => "an inductance and a capacitance resonate without any loss",
            Reason::Impossible { what, .. } => what,
            Reason::NoSteadyCycle { .. } => "no steady cycle of rectified supplies was found",
            Reason::Unsettled { .. } => "no steady state was found",
        })
    }
}

impl Error for CircuitError {}
