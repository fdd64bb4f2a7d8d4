//! Touch limits, and what stands at the terminals of a supply.
//!
//! Read in restatements, not in the standards: nothing here says that a machine complies.

use crate::machine::model::{Current, Machine, PartId, PartKind, Supply};
use crate::spec::units::Volts;
use crate::sums::rectifier;
pub use crate::sums::tables::touch::LIVE_LIMIT;

/// The same limit for a sine: its peak of 42.43 V is that of 30 V RMS, the round figure of IEC 62368-1 table 4.
pub const LIVE_RMS: Volts = Volts::new(30.0);
/// DC volts up to which no cover is asked for where it is not dry (IEC 60364-4-41 clause 414.4.5).
pub const MOIST_LIMIT: Volts = Volts::new(30.0);
/// DC volts up to which no cover is asked for in dry places (same clause).
pub const DRY_LIMIT: Volts = Volts::new(60.0);
/// Volts below which an ohmmeter may be joined to a capacitor; common practice, no source.
pub const METER_LIMIT: Volts = Volts::new(5.0);

/// What of a supply is live.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Live {
    /// Its terminals: so many volts DC, or the peak of AC.
    Terminals(Volts),
    /// Only the winding before its rectifier: so many volts peak.
    Winding(Volts),
}

impl Live {
    /// The volts that are live.
    #[must_use]
    pub fn volts(self) -> Volts {
        match self {
            Self::Terminals(volts) | Self::Winding(volts) => volts,
        }
    }
}

/// What of a supply is live when its source has so many `volts`; none if it may be touched.
#[must_use]
pub fn live(supply: &Supply, volts: Volts) -> Option<Live> {
    let winding = supply.current == Current::Alternating && volts.abs() > LIVE_RMS;
    let terminals = terminal_peak(supply, volts);
    match (is_direct(supply), winding) {
        (true, _) if terminals > LIVE_LIMIT => Some(Live::Terminals(terminals)),
        (true, true) => Some(Live::Winding(volts.abs() * std::f64::consts::SQRT_2)),
        (false, true) => Some(Live::Terminals(terminals)),
        _ => None,
    }
}

/// The volts of the source of a supply that are farthest from zero on a healthy machine.
#[must_use]
pub fn highest(supply: &Supply) -> Volts {
    let (low, high) = (supply.voltage.low.abs(), supply.voltage.high.abs());
    if low > high { low } else { high }
}

/// Peak of what stands at a supply's terminals without load when its source has `volts`.
#[must_use]
pub fn terminal_peak(supply: &Supply, volts: Volts) -> Volts {
    let peak = match supply.current {
        Current::Direct => return volts.abs(),
        Current::Alternating => volts.abs() * std::f64::consts::SQRT_2,
    };
    match &supply.rectifier {
        Some(own) => Volts::new((peak - rectifier::total_drop(own.form, own.forward)).value().max(0.0)),
        None => peak,
    }
}

/// Whether a supply's terminals carry DC, smoothed or not.
#[must_use]
pub fn is_direct(supply: &Supply) -> bool {
    supply.current == Current::Direct || supply.rectifier.is_some()
}

/// Every supply of a machine.
pub fn supplies(machine: &Machine) -> impl Iterator<Item = (PartId, &Supply)> {
    machine.parts.iter().enumerate().filter_map(|(index, part)| match &part.kind {
        PartKind::Supply(supply) => Some((PartId(index), supply)),
        _ => None,
    })
}
