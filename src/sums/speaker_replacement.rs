//! Whether a loudspeaker, with or without a resistor in series, may replace another.
//!
//! The amplifier decides: a load below what it was made for overloads it; one a little above is harmless.

use super::entry::{Entry, Given, Input, SumError, not_negative, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use super::tables::{e_series::Series, ratings};
use crate::fact;
use crate::machine::model::SpeakerRange;
use crate::spec::units::{Ohms, Watts};
use crate::words::Value;

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "speaker-replacement",
    inputs: &[
        Input::required("original", "resistance", "nominal impedance called for"),
        Input::required("offered", "resistance", "nominal impedance of the one at hand"),
        Input::optional("series", "resistance", "resistor in series with it; 0 ohm for none; left out: one is chosen"),
        Input::optional("minimum", "resistance", "lowest load the amplifier may drive; else the original impedance"),
        Input::optional("power", "power", "what the amplifier put into the original"),
        Input::preset("range", "full|woofer|midrange|tweeter", "full", "what it plays"),
    ],
    example: "original=16ohm offered=8ohm series=10ohm power=10W range=tweeter",
    compute: from_given,
};

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeakerSwap {
    /// Nominal impedance called for.
    pub original: Ohms,
    /// Nominal impedance at hand.
    pub offered: Ohms,
    /// Resistor in series; none lets the sum choose one.
    pub series: Option<Ohms>,
    /// Lowest load of the amplifier; none means the original impedance.
    pub minimum: Option<Ohms>,
    /// Power that went into the original.
    pub power: Option<Watts>,
    /// What it plays.
    pub range: SpeakerRange,
}

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let ranges = [
        ("full", SpeakerRange::Full),
        ("woofer", SpeakerRange::Woofer),
        ("midrange", SpeakerRange::Midrange),
        ("tweeter", SpeakerRange::Tweeter),
    ];
    sum(&SpeakerSwap {
        original: given.quantity("original")?,
        offered: given.quantity("offered")?,
        series: given.maybe("series")?,
        minimum: given.maybe("minimum")?,
        power: given.maybe("power")?,
        range: given.choice("range", &ranges)?,
    })
}

/// The resistor that brings a speaker of lower impedance up to the original: the preferred value at or above the
/// difference, or none where the impedance is enough.
#[must_use]
pub fn series_for(original: Ohms, offered: Ohms) -> Ohms {
    let lacking = (original - offered).value();
    Ohms::new(if lacking > 0.0 { Series::E12.at_least(lacking).unwrap_or(lacking) } else { 0.0 })
}

/// The sum.
///
/// # Errors
/// Impedances or a power that are not above zero, or a negative resistor.
pub fn sum(swap: &SpeakerSwap) -> Result<Sum, SumError> {
    let original = positive("original", swap.original)?;
    let offered = positive("offered", swap.offered)?;
    let minimum = positive("minimum", swap.minimum.unwrap_or(original))?;
    let series = not_negative("series", swap.series.unwrap_or_else(|| series_for(original, offered)))?;
    let load = offered + series;
    let share = offered / load;
    let level = 10.0 * (share * (original / load)).log10();
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.speaker-replacement"))
        .given("original", original)
        .given("offered", offered)
        .given("series", series)
        .given("minimum", minimum)
        .answer_by("Z + R", format!("{offered} + {series}"), Amount::of("load", load))
        .answer_by(
            "Zl / Z0",
            format!("{load} / {original}"),
            Amount::number("of-the-original", 100.0 * (load / original), "%"),
        )
        .answer_by(
            "10 log10(Z / Zl × Z0 / Zl)",
            format!("10 log10({offered} / {load} × {original} / {load})"),
            Amount::number("power-in-the-loudspeaker-against-the-original", level, "dB"),
        );
    if let Some(power) = swap.power {
        sum = with_power(sum, positive("power", power)?, original, offered, series);
    }
    let tweeter = swap.range == SpeakerRange::Tweeter;
    Ok(sum
        .judged(judge(load, original, minimum))
        .caution_if(tweeter, fact!("sums.caution.tweeter-capacitor"))
        .caution_if(series.value() > 0.0, fact!("sums.caution.warm-resistor")))
}

/// Heat in resistor and speaker from an amplifier that keeps its output voltage.
fn with_power(sum: Sum, power: Watts, original: Ohms, offered: Ohms, series: Ohms) -> Sum {
    let load = offered + series;
    let drawn = power * (original / load);
    let heat = drawn * (series / load);
    let sum = sum
        .given("power", power)
        .answer_by("P × Z0 / Zl", format!("{power} × {original} / {load}"), Amount::of("power-drawn", drawn))
        .answer_by("P × R / Zl", format!("{drawn} × {series} / {load}"), Amount::of("heat-in-the-resistor", heat))
        .answer_by(
            "P × Z / Zl",
            format!("{drawn} × {offered} / {load}"),
            Amount::of("power-in-the-loudspeaker", drawn * (offered / load)),
        );
    match ratings::resistor_power(heat) {
        Some(rating) if heat.value() > 0.0 => sum.answer(Amount::of("resistor-rating", rating)),
        _ => sum,
    }
}

fn judge(load: Ohms, original: Ohms, minimum: Ohms) -> Judgement {
    let mut judgement = Judgement::default();
    let ratio = load / original;
    if load.value() < minimum.value() * (1.0 - 1e-9) {
        judgement.add(Verdict::Refused, fact!("sums.reason.load-low", load = load, least = minimum));
    } else if ratio <= 1.05 {
        judgement.add(Verdict::Accepted, fact!("sums.reason.load-suits", load = load));
    } else if ratio <= 1.25 + 1e-9 {
        judgement.add(Verdict::Accepted, fact!("sums.reason.load-a-little-high", load = load));
    } else {
        judgement.add(
            Verdict::WithCare,
            fact!("sums.reason.load-high", load = load, times = Value::figure(format!("{ratio:.2}"))),
        );
    }
    judgement
}
