//! What the circuit room says of a machine: plain data, one [`SequenceSolution`] a sequence.
//!
//! Voltages and currents are in volts and amperes as plain numbers (`f64`), AC ones as RMS magnitudes; everything that
//! reaches paper is finite. Indices are those of the [`Machine`](crate::machine::model::Machine).

use std::collections::BTreeSet;

use crate::machine::model::{Current, ElementId, JointId, PartId, SequenceId, TestPointId};

/// All sequences of a machine, solved in the order of their numbers.
#[derive(Debug, Clone)]
pub struct Solution {
    /// One for each sequence of the machine, same index.
    pub sequences: Vec<SequenceSolution>,
}

impl Solution {
    /// The solution of a sequence.
    #[must_use]
    pub fn sequence(&self, id: SequenceId) -> &SequenceSolution {
        &self.sequences[id.0]
    }
}

/// One sequence, settled.
#[derive(Debug, Clone)]
pub struct SequenceSolution {
    /// Which one.
    pub sequence: SequenceId,
    /// How the relays came to rest.
    pub settling: Settling,
    /// Relays whose contacts are in the energised position.
    pub energised: BTreeSet<PartId>,
    /// Diodes that conduct.
    pub conducting: BTreeSet<ElementId>,
    /// Fuses that opened, with the current that opened them.
    pub opened: Vec<OpenedFuse>,
    /// One for each test point of the machine, same index; two where a point carries both kinds of current.
    pub readings: Vec<Reading>,
    /// Every coil, motor, lamp, speaker, resistor, capacitor and fuse.
    pub devices: Vec<DeviceReading>,
    /// Voltage of every joint against the machine's reference without a meter, same index as the joints.
    pub joints: Vec<JointVoltage>,
    /// Current of every element from its `from` to its `to` side, same index as the elements; AC as magnitude.
    pub currents: Vec<f64>,
    /// What limits the trust in these numbers, in words for paper: models left out, estimates used.
    pub remarks: Vec<Remark>,
}

/// How the relays came to rest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Settling {
    /// Nothing moves any more.
    Settled {
        /// Rounds until then.
        rounds: usize,
    },
    /// The relays never come to rest: the two states between which they go.
    Chatters {
        /// Relays that are energised in one state.
        first: BTreeSet<PartId>,
        /// Relays that are energised in the other.
        second: BTreeSet<PartId>,
    },
    /// Several relays move at once, and in which state they come to rest depends on which is quicker; numbers are those of
    /// the first outcome, bands join all.
    Races {
        /// Relays that are energised in each state in which the machine may come to rest.
        outcomes: Vec<BTreeSet<PartId>>,
    },
}

impl Settling {
    /// Its name in reports.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Settling::Settled { .. } => "settled",
            Settling::Chatters { .. } => "chatters",
            Settling::Races { .. } => "races",
        }
    }

    /// The states between which the relays go, or in one of which they end; none where they come to rest.
    #[must_use]
    pub fn states(&self) -> Vec<&BTreeSet<PartId>> {
        match self {
            Settling::Settled { .. } => Vec::new(),
            Settling::Chatters { first, second } => vec![first, second],
            Settling::Races { outcomes } => outcomes.iter().collect(),
        }
    }

    /// Whether the relays came to rest.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        matches!(self, Settling::Settled { .. })
    }
}

/// A fuse that carried more than it may.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenedFuse {
    /// The fuse.
    pub fuse: PartId,
    /// The current that opened it, in amperes.
    pub current: f64,
}

/// How far a band can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Certainty {
    /// Proved: every corner of the tolerances that matter was solved, or the signs of the sensitivities hold over the whole box.
    Exact,
    /// Not proved: the machine was solved at corners of the tolerances, for every stand of a relay or a diode in doubt.
    Searched,
}

/// Lowest to highest healthy value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
    /// How far it can be trusted.
    pub certainty: Certainty,
}

/// What the stated meter shows between a test point and its reference.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The test point.
    pub at: TestPointId,
    /// Where the black lead is.
    pub against: JointId,
    /// Kind of current: the range of the meter. A point without any is `Direct` and reads zero.
    pub quantity: Current,
    /// The reading on a machine at nominal values, in volts.
    pub nominal: f64,
    /// The span over all healthy machines.
    pub band: Band,
    /// Where relays race or chatter and it matters here: the reading in each of the states in which they may be found, in
    /// their order; else empty.
    pub outcomes: Vec<f64>,
    /// The reading minus that at the supply's own point, with its band: smaller by far than `band`.
    pub drop: Option<Drop>,
    /// Ripple, peak to peak in volts, of an unsmoothed or part-smoothed supply.
    pub ripple: Option<f64>,
    /// True RMS of the whole wave, where it differs from the reading.
    pub rms: Option<f64>,
    /// Whether nothing but the meter holds this point: open circuits on all sides.
    pub floating: bool,
}

/// The drop from the supply point to a test point.
#[derive(Debug, Clone, PartialEq)]
pub struct Drop {
    /// The supply point: the test point nearest to the source on the path.
    pub from: TestPointId,
    /// The drop at nominal values, in volts: what the meter shows with its red lead at `from` and its black one at `at`.
    pub nominal: f64,
    /// Its span.
    pub band: Band,
}

/// Volts and amps of a device.
#[derive(Debug, Clone, PartialEq)]
pub struct DeviceReading {
    /// The part.
    pub part: PartId,
    /// The element (a latching relay has two).
    pub element: ElementId,
    /// Kind of current.
    pub quantity: Current,
    /// Volts across it (DC: from `from` to `to`; AC: RMS).
    pub volts: f64,
    /// Amps through it.
    pub amps: f64,
    /// Watts turned to heat in it.
    pub watts: f64,
    /// Span of the volts over all healthy machines, for devices that must operate.
    pub band: Option<Band>,
    /// Whether a coil, motor or lamp does its work at this voltage; none for parts that do not operate.
    pub operates: Option<bool>,
    /// Whether it operates on every healthy machine; `None` where that was not computed.
    pub operates_at_worst: Option<bool>,
}

impl DeviceReading {
    /// The least volts across it on any healthy machine, whichever way round; its own where no band is known.
    #[must_use]
    pub fn least_volts(&self) -> f64 {
        self.band.map_or(self.volts.abs(), |band| {
            if band.low <= 0.0 && band.high >= 0.0 { 0.0 } else { band.low.abs().min(band.high.abs()) }
        })
    }

    /// The most volts across it on any healthy machine, whichever way round; its own where no band is known.
    #[must_use]
    pub fn most_volts(&self) -> f64 {
        self.band.map_or(self.volts.abs(), |band| band.low.abs().max(band.high.abs()))
    }
}

/// Voltage of a joint against the machine's reference; where it floats, against a joint of its own island: the reference
/// of a test point there, else the second terminal of a supply, else its first joint.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct JointVoltage {
    /// DC part (the average behind a rectifier), in volts.
    pub direct: f64,
    /// Real part of the AC phasor, RMS volts.
    pub real: f64,
    /// Imaginary part of the AC phasor, RMS volts.
    pub imaginary: f64,
    /// Whether no conducting path leads from it to the reference.
    pub floating: bool,
}

impl Certainty {
    /// Its name in reports.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Certainty::Exact => "exact",
            Certainty::Searched => "searched",
        }
    }
}

/// What limits the trust in a sequence's numbers.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Remark {
    /// An AC coil of which only the ohms are known was taken as resistive.
    ImpedanceEstimated(PartId),
    /// Readings behind this supply are the average of an unsmoothed wave.
    AverageOfUnsmoothed(PartId),
    /// The inductance of this coil is unknown; the reading assumes it does not matter.
    InductanceAssumed(PartId),
    /// A lamp runs so far from its rated voltage that its law is rough.
    LampLawRough(PartId),
    /// Fuse between its rating and its opening current: it may open in time.
    FuseMayOpen(PartId),
    /// On a healthy machine this relay may stand otherwise; bands join both stands.
    RelayInDoubt(PartId),
    /// This relay may stand otherwise together with so many others that not all stands were joined.
    StandsLeftOut(PartId),
}

impl Remark {
    /// Its name in reports and language files, and the part concerned.
    #[must_use]
    pub fn name(&self) -> (&'static str, PartId) {
        match *self {
            Remark::ImpedanceEstimated(part) => ("impedance-estimated", part),
            Remark::AverageOfUnsmoothed(part) => ("average-of-unsmoothed", part),
            Remark::InductanceAssumed(part) => ("inductance-assumed", part),
            Remark::LampLawRough(part) => ("lamp-law-rough", part),
            Remark::FuseMayOpen(part) => ("fuse-may-open", part),
            Remark::RelayInDoubt(part) => ("relay-in-doubt", part),
            Remark::StandsLeftOut(part) => ("stands-left-out", part),
        }
    }
}
