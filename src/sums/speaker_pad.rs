//! A resistor in series with a loudspeaker: load, level and where the power goes.

use super::entry::{Entry, Given, Input, SumError, not_negative, positive};
use super::sum::{Amount, Sum};
use super::tables::ratings;
use crate::fact;
use crate::spec::units::{Ohms, Watts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "speaker-pad",
    inputs: &[
        Input::required("speaker", "resistance", "nominal impedance of the loudspeaker"),
        Input::required("series", "resistance", "the resistor"),
        Input::optional("power", "power", "power that the amplifier puts into the two together"),
    ],
    example: "speaker=8ohm series=8ohm power=10W",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(given.quantity("speaker")?, given.quantity("series")?, given.maybe("power")?)
}

/// The sum; with `power` it also says what the resistor must stand.
///
/// # Errors
/// A speaker that is not above zero ohms, or a negative resistor or power.
pub fn sum(speaker: Ohms, series: Ohms, power: Option<Watts>) -> Result<Sum, SumError> {
    let (speaker, series) = (positive("speaker", speaker)?, not_negative("series", series)?);
    let load = speaker + series;
    let share = speaker / load;
    let level = 20.0 * share.log10();
    let sum = Sum::new(&ENTRY, fact!("sums.source.speaker-pad"))
        .given("speaker", speaker)
        .given("series", series)
        .answer_by("R + Z", format!("{series} + {speaker}"), Amount::of("load", load))
        .answer_by(
            "20 log10(Z / (Z + R))",
            format!("20 log10({speaker} / {load})"),
            Amount::number("level", level, "dB"),
        )
        .answer_by(
            "(Z / (Z + R))²",
            format!("({speaker} / {load})²"),
            Amount::number("loudspeaker-power-against-without-the-resistor", 100.0 * share * share, "%"),
        )
        .answer_by(
            "R / (R + Z)",
            format!("{series} / {load}"),
            Amount::number("resistors-share-of-the-power-drawn", 100.0 * (1.0 - share), "%"),
        );
    let Some(power) = power else { return Ok(sum) };
    Ok(with_power(sum, positive("power", power)?, speaker, series))
}

/// Adds what resistor and loudspeaker take of the power that goes into both.
fn with_power(sum: Sum, power: Watts, speaker: Ohms, series: Ohms) -> Sum {
    let load = speaker + series;
    let heat = power * (series / load);
    let sum = sum
        .given("power", power)
        .answer_by("P × R / (R + Z)", format!("{power} × {series} / {load}"), Amount::of("heat-in-the-resistor", heat))
        .answer_by(
            "P × Z / (R + Z)",
            format!("{power} × {speaker} / {load}"),
            Amount::of("power-in-the-loudspeaker", power * (speaker / load)),
        );
    match ratings::resistor_power(heat) {
        Some(rating) if heat.value() > 0.0 => {
            sum.answer(Amount::of("resistor-rating", rating)).caution(fact!("sums.caution.twice-the-heat"))
        }
        _ => sum,
    }
}
