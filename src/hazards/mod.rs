//! What can hurt: how far a voltage may be touched, and which charge stays after the plug is out.
//!
//! The audit and the papers both ask here, so that a finding and a caution about one thing say the same.

mod charge;
pub mod limits;

pub use charge::{StoredCharge, Wait, highest_volts, stored_charges, wait};
