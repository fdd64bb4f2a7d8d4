//! The rules of the audit, one to a file (a file of its own for each thing that is looked at).

pub mod acts;
pub mod capacitor_volts;
pub mod chatter;
pub mod coil_volts;
pub mod coil_warm;
pub mod contact_current;
pub mod crossover_missing;
pub mod estimated;
pub mod expectation;
pub mod fuse_above_secondary;
pub mod fuse_above_wire;
pub mod fuse_below_load;
pub mod fuse_opens;
pub mod fuse_speed;
pub mod fuse_unsuited;
pub mod lamp_overrun;
pub mod pulled_in;
pub mod resistor_power;
pub mod short_circuit;
pub mod speaker_load;
pub mod stored_charge;
pub mod suppressor;
pub mod test_points;
pub mod touch_voltage;
pub mod twins_differ;
pub mod unfused;
pub mod unused;
pub mod wire_colour;
pub mod wrong_current;
pub mod wrong_fuse_fitted;

use super::rule::Rule;

/// All rules, in the order in which they are listed.
pub static ALL: [&Rule; 35] = [
    &wrong_fuse_fitted::RULE,
    &fuse_above_wire::RULE,
    &fuse_above_secondary::RULE,
    &fuse_unsuited::RULE,
    &fuse_speed::RULE,
    &fuse_below_load::RULE,
    &fuse_opens::RULE,
    &short_circuit::RULE,
    &unfused::RULE,
    &coil_volts::RULE,
    &coil_warm::RULE,
    &wrong_current::RULE,
    &pulled_in::RULE,
    &acts::RULE,
    &chatter::RULE,
    &unused::RELAY,
    &contact_current::RULE,
    &suppressor::MISSING,
    &suppressor::REVERSED,
    &suppressor::TOO_SMALL,
    &suppressor::ACROSS_AC,
    &resistor_power::RULE,
    &capacitor_volts::RULE,
    &lamp_overrun::RULE,
    &speaker_load::RULE,
    &crossover_missing::RULE,
    &wire_colour::RULE,
    &touch_voltage::RULE,
    &twins_differ::RULE,
    &stored_charge::RULE,
    &expectation::RULE,
    &test_points::FLOATING,
    &test_points::SILENT,
    &unused::PART,
    &estimated::RULE,
];

/// What most rules need.
mod prelude {
    pub(super) use std::collections::BTreeSet;

    pub(super) use super::super::facts::{Circuit, Description, is_conductor, must_operate, supply, supply_limit};
    pub(super) use super::super::finding::{Finding, Severity, during};
    pub(super) use super::super::rule::{Check, Rule};
    pub(super) use crate::circuit::Change;
    pub(super) use crate::circuit::results::{DeviceReading, Reading, Remark, SequenceSolution, Settling};
    pub(super) use crate::fact;
    pub(super) use crate::hazards::limits::{is_direct, terminal_peak};
    pub(super) use crate::machine::model::{
        Coil, Current, Diode, Element, ElementId, Expectation, FittedFuse, Fuse, FuseStandard, Law, Machine, Part,
        PartId, PartKind, Run, RunStep, SequenceId, SpeakerRange, Supply, TestPointId, Toleranced,
    };
    pub(super) use crate::spec::units::{Amperes, Ohms, Volts, Watts, significant};
    pub(super) use crate::words::{Fact, Value};
}
