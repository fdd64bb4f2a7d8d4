//! Limits of what may be touched and of what sparks, shared by sums, the audit and paper.

use crate::spec::units::Volts;

/// DC volts up to which an accessible part counts as not live: IEC 60335-1 clause 8.1.4, to which IEC 60335-2-82 (coin
/// amusement machines) refers; read in a restatement.
pub const LIVE_LIMIT: Volts = Volts::new(42.4);
/// Energy from which a discharge sparks, pits a contact or ruins a meter, in joules; common practice, no source.
pub const SPARK: f64 = 0.05;
