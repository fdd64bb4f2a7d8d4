//! How much of its rating a fuse carries, and when it must open.

use super::entry::{Entry, Given, Input, SumError, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use super::tables::fuses;
use crate::fact;
use crate::machine::model::FuseStandard;
use crate::spec::units::{Amperes, Seconds};
use crate::words::{Fact, Value};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "fuse-load",
    inputs: &[
        Input::required("rated", "current", "rating of the fuse"),
        Input::required("current", "current", "what flows for long"),
        Input::preset("standard", "IEC|UL", "IEC", "whose fuse it is"),
        Input::preset("speed", "FF|F|M|T|TT", "T", "speed letter, for the opening times of an IEC fuse"),
        Input::optional("breaking", "L|E|H", "breaking-capacity letter of an IEC fuse"),
    ],
    example: "rated=2A current=1.2A",
    compute: from_given,
};

/// The two standards by the words for them.
pub(super) const STANDARDS: [(&str, FuseStandard); 2] = [("IEC", FuseStandard::Iec), ("UL", FuseStandard::Ul)];

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let standard = given.choice("standard", &STANDARDS)?;
    sum(given.quantity("rated")?, given.quantity("current")?, standard, given.text("speed"), given.text("breaking"))
}

/// The name of a standard as it is printed.
#[must_use]
pub fn standard_name(standard: FuseStandard) -> &'static str {
    match standard {
        FuseStandard::Iec => "IEC 60127-2",
        FuseStandard::Ul => "UL 248-14",
    }
}

/// The sum, with the opening times that the standard's gates promise.
///
/// # Errors
/// A rating or a current that is not above zero.
pub fn sum(
    rated: Amperes,
    current: Amperes,
    standard: FuseStandard,
    speed: Option<&str>,
    breaking: Option<&str>,
) -> Result<Sum, SumError> {
    let (rated, current) = (positive("rated", rated)?, positive("current", current.abs())?);
    let limit = rated * fuses::continuous_share(standard);
    let share = current / rated;
    let mut sum = Sum::new(
        &ENTRY,
        fact!(
            "sums.source.fuse-load",
            standard = standard_name(standard),
            percent = Value::figure(format!("{}", 100.0 * fuses::continuous_share(standard))),
        ),
    )
    .given("rated", rated)
    .given("current", current)
    .given_as(Amount::words("standard", standard_name(standard)))
    .answer_by("I / In", format!("{current} / {rated}"), Amount::number("load", 100.0 * share, "%"))
    .answer_by(
        "In × k",
        format!("{rated} × {}", fuses::continuous_share(standard)),
        Amount::of("may-carry-for-long", limit),
    )
    .answer(Amount::of("must-carry-for-an-hour-or-more", rated * fuses::carries_multiple(standard)))
    .answer(Amount::of("sure-to-open-in-time-from", rated * fuses::opens_multiple(standard)));
    let gates = match standard {
        FuseStandard::Ul => Some(fuses::ul_gates()),
        FuseStandard::Iec => fuses::iec_gates(speed.unwrap_or("T"), breaking, rated),
    };
    for gate in gates.unwrap_or_default() {
        let Some(opens) = gate_said(&gate) else { continue };
        let label = fact!(
            "sums.at-multiple",
            multiple = Value::figure(gate.multiple.to_string()),
            current = rated * gate.multiple,
        );
        sum = sum.answer(Amount::words("at-multiple", opens).called(format!("at-{}-times", gate.multiple), label));
    }
    Ok(sum.judged(judge(current, rated, standard)))
}

fn gate_said(gate: &fuses::Gate) -> Option<Fact> {
    Some(match (gate.at_least.map(duration), gate.at_most.map(duration)) {
        (Some(least), Some(most)) => fact!("sums.opens-between", least = least, most = most),
        (Some(least), None) => fact!("sums.carries-for", least = least),
        (None, Some(most)) => fact!("sums.opens-within", most = most),
        (None, None) => return None,
    })
}

/// Seconds as a person says them.
fn duration(time: Seconds) -> Value {
    let (value, unit) = match time.value() {
        s if s >= 3600.0 => (s / 3600.0, "h"),
        s if s >= 60.0 => (s / 60.0, "min"),
        s if s >= 1.0 => (s, "s"),
        s => (s * 1000.0, "ms"),
    };
    Value::figure(format!("{} {unit}", crate::spec::units::significant(value, 3)))
}

fn judge(current: Amperes, rated: Amperes, standard: FuseStandard) -> Judgement {
    let mut judgement = Judgement::default();
    let limit = rated * fuses::continuous_share(standard);
    if current >= rated * fuses::opens_multiple(standard) {
        judgement.add(Verdict::Refused, fact!("sums.reason.opens"));
    } else if current > rated {
        judgement.add(Verdict::Refused, fact!("sums.reason.above-rating"));
    } else if current > limit {
        judgement.add(Verdict::WithCare, fact!("sums.reason.above-makers", limit = limit));
    } else if current > limit * 0.9 {
        judgement.add(Verdict::WithCare, fact!("sums.reason.near-limit"));
    } else {
        judgement.add(Verdict::Accepted, fact!("sums.reason.within-limit"));
    }
    judgement
}
