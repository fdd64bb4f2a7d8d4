//! The capacitor that keeps low notes out of a tweeter, the inductor that keeps high notes out of a woofer.

use std::f64::consts::{PI, SQRT_2};

use super::entry::{Entry, Given, Input, SumError, positive};
use super::sum::{Amount, Sum};
use super::tables::{e_series::Series, ratings};
use crate::fact;
use crate::spec::units::{Farads, Henries, Hertz, Ohms, Volts, Watts};
use crate::words::Fact;

/// The entry of the sum from a frequency.
pub const ENTRY: Entry = Entry {
    name: "crossover",
    inputs: &[
        Input::required("speaker", "resistance", "nominal impedance, with any series resistor"),
        Input::required("frequency", "frequency", "where low and high notes part"),
        Input::preset(
            "slope",
            "first|butterworth|linkwitz-riley",
            "first",
            "first order, or second order of this kind",
        ),
        Input::optional("power", "power", "power that the amplifier puts into the speaker"),
    ],
    example: "speaker=8ohm frequency=5kHz power=10W",
    compute: from_given,
};

/// The entry of the sum from a capacitor.
pub const FREQUENCY_ENTRY: Entry = Entry {
    name: "crossover-frequency",
    inputs: &[
        Input::required("speaker", "resistance", "nominal impedance, with any series resistor"),
        Input::required("capacitor", "capacitance", "the capacitor in series"),
    ],
    example: "speaker=8ohm capacitor=4.7uF",
    compute: frequency_from_given,
};

/// Slope of a crossover.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slope {
    /// One part a way, 6 dB an octave.
    First,
    /// Two parts a way, 12 dB an octave, Butterworth.
    Butterworth,
    /// Two parts a way, 12 dB an octave, Linkwitz-Riley.
    LinkwitzRiley,
}

impl Slope {
    /// By how much the first-order capacitor shrinks and the inductor grows: 1, √2, 2.
    fn factor(self) -> f64 {
        match self {
            Slope::First => 1.0,
            Slope::Butterworth => SQRT_2,
            Slope::LinkwitzRiley => 2.0,
        }
    }

    fn said(self) -> Fact {
        match self {
            Slope::First => fact!("sums.slope.first"),
            Slope::Butterworth => fact!("sums.slope.butterworth"),
            Slope::LinkwitzRiley => fact!("sums.slope.linkwitz-riley"),
        }
    }
}

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let slopes =
        [("first", Slope::First), ("butterworth", Slope::Butterworth), ("linkwitz-riley", Slope::LinkwitzRiley)];
    let slope = given.choice("slope", &slopes)?;
    sum(given.quantity("speaker")?, given.quantity("frequency")?, slope, given.maybe("power")?)
}

fn frequency_from_given(given: &Given) -> Result<Sum, SumError> {
    frequency_sum(given.quantity("speaker")?, given.quantity("capacitor")?)
}

/// Capacitor and inductor that part at `frequency`.
#[must_use]
pub fn parts(speaker: Ohms, frequency: Hertz, slope: Slope) -> (Farads, Henries) {
    let angular = 2.0 * PI * frequency.value();
    (
        Farads::new(1.0 / (angular * speaker.value() * slope.factor())),
        Henries::new(speaker.value() * slope.factor() / angular),
    )
}

/// Frequency at which a capacitor has as many ohms as the speaker behind it.
#[must_use]
pub fn frequency(speaker: Ohms, capacitor: Farads) -> Hertz {
    Hertz::new(1.0 / (2.0 * PI * capacitor.value() * speaker.value()))
}

/// The sum from a frequency; with `power` it also says what voltage the capacitor must stand.
///
/// # Errors
/// An impedance, a frequency or a power that is not above zero.
pub fn sum(speaker: Ohms, at: Hertz, slope: Slope, power: Option<Watts>) -> Result<Sum, SumError> {
    let (speaker, at) = (positive("speaker", speaker)?, positive("frequency", at)?);
    let (capacitor, inductor) = parts(speaker, at, slope);
    let factor = slope.factor();
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.crossover"))
        .given("speaker", speaker)
        .given("frequency", at)
        .given_as(Amount::words("slope", slope.said()))
        .answer_by(
            "1 / (2π f Z q)",
            format!("1 / (2π × {at} × {speaker} × {factor:.3})"),
            Amount::of("capacitor", capacitor),
        )
        .answer_by("Z q / (2π f)", format!("{speaker} × {factor:.3} / (2π × {at})"), Amount::of("inductor", inductor));
    if let Some(preferred) = Series::E12.nearest(capacitor.value()).map(Farads::new) {
        let moved = at * (capacitor / preferred);
        sum = sum.answer(Amount::of("capacitor-e12", preferred)).answer_by(
            "f × C / C(E12)",
            format!("{at} × {capacitor} / {preferred}"),
            Amount::of("frequency-with-it", moved),
        );
    }
    if let Some(power) = power {
        let power = positive("power", power)?;
        let peak = Volts::new((2.0 * power.value() * speaker.value()).sqrt());
        sum = sum.given("power", power).answer_by(
            "√(2 P Z)",
            format!("√(2 × {power} × {speaker})"),
            Amount::of("peak-across-the-capacitor-at-most", peak),
        );
        if let Some(rating) = ratings::capacitor_voltage(peak) {
            sum = sum.answer(Amount::of("capacitor-rating-at-least", rating));
        }
    }
    Ok(sum.caution(fact!("sums.caution.bipolar")).caution(fact!("sums.caution.impedance-moves")))
}

/// The sum from a capacitor.
///
/// # Errors
/// An impedance or a capacitance that is not above zero.
pub fn frequency_sum(speaker: Ohms, capacitor: Farads) -> Result<Sum, SumError> {
    let (speaker, capacitor) = (positive("speaker", speaker)?, positive("capacitor", capacitor)?);
    Ok(Sum::new(&FREQUENCY_ENTRY, fact!("sums.source.crossover-frequency"))
        .given("speaker", speaker)
        .given("capacitor", capacitor)
        .answer_by(
            "1 / (2π C Z)",
            format!("1 / (2π × {capacitor} × {speaker})"),
            Amount::of("frequency", frequency(speaker, capacitor)),
        ))
}
