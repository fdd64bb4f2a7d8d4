//! Two resistors that make a loudspeaker quieter while the amplifier still sees its impedance.

use super::entry::{Entry, Given, Input, SumError, positive};
use super::sum::{Amount, Sum};
use super::tables::e_series::Series;
use super::tables::ratings;
use crate::fact;
use crate::spec::units::{Ohms, Watts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "l-pad",
    inputs: &[
        Input::required("speaker", "resistance", "nominal impedance of the loudspeaker"),
        Input::required("level", "decibels", "how many dB quieter, such as 6"),
        Input::optional("power", "power", "power that the amplifier puts into it all"),
    ],
    example: "speaker=8ohm level=6dB power=10W",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(given.quantity("speaker")?, given.number("level", "dB")?, given.maybe("power")?)
}

/// Series and shunt resistor for a voltage ratio `k` below one: Z(1−k) and Z k/(1−k).
#[must_use]
pub fn resistors(speaker: Ohms, ratio: f64) -> (Ohms, Ohms) {
    (speaker * (1.0 - ratio), speaker * (ratio / (1.0 - ratio)))
}

/// The sum. `quieter` is in dB; its sign does not matter.
///
/// # Errors
/// A speaker that is not above zero ohms, or a level of zero or above 60 dB.
pub fn sum(speaker: Ohms, quieter: f64, power: Option<Watts>) -> Result<Sum, SumError> {
    let speaker = positive("speaker", speaker)?;
    let quieter = quieter.abs();
    if !(quieter > 0.0 && quieter <= 60.0) {
        return Err(SumError::Unsuitable {
            name: "level".into(),
            found: format!("{quieter} dB"),
            expected: "above 0 dB and at most 60 dB".into(),
        });
    }
    let ratio = 10f64.powf(-quieter / 20.0);
    let (series, shunt) = resistors(speaker, ratio);
    // Of the power drawn: the series resistor takes 1−k, the speaker k², the shunt what is left.
    let shares = [1.0 - ratio, ratio - ratio * ratio, ratio * ratio];
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.l-pad"))
        .given("speaker", speaker)
        .given_as(Amount::number("level", -quieter, "dB"))
        .step("k = 10^(−dB / 20)", format!("10^(−{quieter} / 20)"), Amount::number("voltage-ratio", ratio, ""))
        .answer_by("Z × (1 − k)", format!("{speaker} × (1 − {ratio:.4})"), Amount::of("series-resistor", series))
        .answer_by(
            "Z × k / (1 − k)",
            format!("{speaker} × {ratio:.4} / (1 − {ratio:.4})"),
            Amount::of("shunt-resistor", shunt),
        );
    for (name, exact) in [("series-e24", series), ("shunt-e24", shunt)] {
        if let Some(preferred) = Series::E24.nearest(exact.value()) {
            sum = sum.answer(Amount::of(name, Ohms::new(preferred)));
        }
    }
    for (name, share) in
        ["series-share-of-power", "shunt-share-of-power", "loudspeaker-share-of-power"].into_iter().zip(shares)
    {
        sum = sum.answer(Amount::number(name, 100.0 * share, "%"));
    }
    let Some(power) = power else { return Ok(sum) };
    let power = positive("power", power)?;
    let names = [("series-heat", "series-heat-rating"), ("shunt-heat", "shunt-heat-rating")];
    for ((name, rating_name), share) in names.into_iter().zip(shares) {
        let heat = power * share;
        sum = sum.answer(Amount::of(name, heat));
        if let Some(rating) = ratings::resistor_power(heat) {
            sum = sum.answer(Amount::of(rating_name, rating));
        }
    }
    Ok(sum.given("power", power))
}
