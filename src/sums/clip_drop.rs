//! What the drop between a fuse's cap and its clip says about the clip.

use super::entry::{Entry, Given, Input, SumError, not_negative, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use crate::fact;
use crate::spec::units::{Amperes, Ohms, Volts};
use crate::words::Value;

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "clip-drop",
    inputs: &[
        Input::required("drop", "voltage", "volts from the fuse's cap to the clip, under load"),
        Input::required("current", "current", "amps that flow meanwhile"),
    ],
    example: "drop=0.3V current=2A",
    compute: from_given,
};

/// Contact resistance that a new panel holder stays under.
pub const NEW_HOLDER: Ohms = Ohms::new(0.005);

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(given.quantity("drop")?, given.quantity("current")?)
}

/// The sum. Up to the figure for a new holder the clip is accepted; above ten times that it is refused.
///
/// # Errors
/// A current that is not above zero, or a negative drop.
pub fn sum(drop: Volts, current: Amperes) -> Result<Sum, SumError> {
    let (drop, current) = (not_negative("drop", drop.abs())?, positive("current", current.abs())?);
    let (resistance, heat) = (drop / current, drop * current);
    let times = resistance / NEW_HOLDER;
    let mut judgement = Judgement::default();
    let (verdict, reason) = if times <= 1.0 {
        (Verdict::Accepted, fact!("sums.reason.new-holder"))
    } else if times <= 10.0 {
        (Verdict::WithCare, fact!("sums.reason.worn-holder"))
    } else {
        (Verdict::Refused, fact!("sums.reason.bad-holder", times = Value::figure(format!("{times:.0}"))))
    };
    judgement.add(verdict, reason);
    Ok(Sum::new(&ENTRY, fact!("sums.source.clip-drop"))
        .given("drop", drop)
        .given("current", current)
        .answer_by("R = V / I", format!("{drop} / {current}"), Amount::of("clip-resistance", resistance))
        .answer_by("P = V × I", format!("{drop} × {current}"), Amount::of("heat-in-the-clip", heat))
        .judged(judgement)
        .caution(fact!("sums.caution.cap-to-clip"))
        .caution_if(heat.value() >= 1.0, fact!("sums.caution.warm-clip")))
}
