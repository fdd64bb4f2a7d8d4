//! How much of its rating a fuse carries, and when it must open.

use super::entry::{Entry, Given, Input, SumError, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use super::tables::fuses;
use crate::machine::model::FuseStandard;
use crate::spec::units::Amperes;

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "fuse-load",
    title: "Load on a fuse",
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
        format!(
            "{}, opening times as makers print them; loading to {} % of the rating at room temperature",
            standard_name(standard),
            100.0 * fuses::continuous_share(standard)
        ),
    )
    .given("rated", rated)
    .given("current", current)
    .given_as(Amount::words("standard", standard_name(standard)))
    .answer_by("I / rated", format!("{current} / {rated}"), Amount::number("load", 100.0 * share, "%"))
    .answer_by(
        "rated × share",
        format!("{rated} × {}", fuses::continuous_share(standard)),
        Amount::of("may carry for long", limit),
    )
    .answer(Amount::of("must carry for an hour or more", rated * fuses::carries_multiple(standard)))
    .answer(Amount::of("sure to open in time from", rated * fuses::opens_multiple(standard)));
    let gates = match standard {
        FuseStandard::Ul => Some(fuses::ul_gates()),
        FuseStandard::Iec => fuses::iec_gates(speed.unwrap_or("T"), breaking, rated),
    };
    for gate in gates.unwrap_or_default() {
        let name = format!("at {} × ({})", gate.multiple, rated * gate.multiple);
        sum = sum.answer(Amount::words(name, gate_words(&gate)));
    }
    Ok(sum.judged(judge(current, rated, standard)))
}

fn gate_words(gate: &fuses::Gate) -> String {
    match (gate.at_least, gate.at_most) {
        (Some(least), Some(most)) => format!("opens in {} to {}", duration(least.value()), duration(most.value())),
        (Some(least), None) => format!("carries for {} at least", duration(least.value())),
        (None, Some(most)) => format!("opens within {}", duration(most.value())),
        (None, None) => String::new(),
    }
}

/// Seconds as a person says them.
fn duration(seconds: f64) -> String {
    let (value, unit) = match seconds {
        s if s >= 3600.0 => (s / 3600.0, "h"),
        s if s >= 60.0 => (s / 60.0, "min"),
        s if s >= 1.0 => (s, "s"),
        s => (s * 1000.0, "ms"),
    };
    format!("{} {unit}", crate::spec::units::significant(value, 3))
}

fn judge(current: Amperes, rated: Amperes, standard: FuseStandard) -> Judgement {
    let mut judgement = Judgement::default();
    let limit = rated * fuses::continuous_share(standard);
    if current >= rated * fuses::opens_multiple(standard) {
        judgement.add(Verdict::Refused, "this current opens it");
    } else if current > rated {
        judgement.add(Verdict::Refused, "above its rating: it ages and may open at any time");
    } else if current > limit {
        judgement.add(Verdict::WithCare, format!("above the {limit} that its makers allow for long"));
    } else if current > limit * 0.9 {
        judgement
            .add(Verdict::WithCare, "within a tenth of what it may carry for long: a warm cabinet takes that away");
    } else {
        judgement.add(Verdict::Accepted, "within what it may carry for long");
    }
    judgement
}
