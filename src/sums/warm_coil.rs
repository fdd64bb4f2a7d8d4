//! A copper coil when it is warm: more ohms, and more volts needed to pull in.

use super::entry::{Entry, Given, Input, SumError, positive, unsuitable};
use super::sum::{Amount, Sum};
use super::tables::conductors;
use crate::fact;
use crate::spec::units::{Celsius, Ohms, Volts};

/// The entry of the ohms when warm.
pub const ENTRY: Entry = Entry {
    name: "warm-coil",
    inputs: &[
        Input::required("coil", "resistance", "its ohms when cold"),
        Input::preset("at", "temperature", "20 °C", "temperature of the cold ohms"),
        Input::required("to", "temperature", "temperature of the winding when warm"),
        Input::optional("operate", "voltage", "volts at which it pulls in when cold"),
    ],
    example: "coil=120ohm to=70°C operate=18V",
    compute: from_given,
};

/// The entry of the temperature from warm ohms.
pub const TEMPERATURE_ENTRY: Entry = Entry {
    name: "coil-temperature",
    inputs: &[
        Input::required("cold", "resistance", "its ohms when cold"),
        Input::preset("at", "temperature", "20 °C", "temperature of the cold ohms"),
        Input::required("warm", "resistance", "its ohms now"),
    ],
    example: "cold=120ohm warm=144ohm",
    compute: temperature_from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(given.quantity("coil")?, given.quantity("at")?, given.quantity("to")?, given.maybe("operate")?)
}

fn temperature_from_given(given: &Given) -> Result<Sum, SumError> {
    temperature_sum(given.quantity("cold")?, given.quantity("at")?, given.quantity("warm")?)
}

/// Refuses temperatures where the straight line no longer holds or a winding no longer exists.
fn plausible(name: &str, temperature: Celsius) -> Result<Celsius, SumError> {
    if (-60.0..=250.0).contains(&temperature.value()) {
        Ok(temperature)
    } else {
        Err(unsuitable(name, temperature, "between −60 °C and 250 °C"))
    }
}

/// The sum of the ohms when warm.
///
/// # Errors
/// Ohms or volts that are not above zero; temperatures outside −60 to 250 °C.
pub fn sum(coil: Ohms, at: Celsius, to: Celsius, operate: Option<Volts>) -> Result<Sum, SumError> {
    let (coil, at, to) = (positive("coil", coil)?, plausible("at", at)?, plausible("to", to)?);
    let warm = conductors::copper_at(coil, at, to);
    let factor = warm / coil;
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.warm-coil"))
        .given("coil", coil)
        .given("at", at)
        .given("to", to)
        .step(
            "(234.5 + T2) / (234.5 + T1)",
            format!("(234.5 + {}) / (234.5 + {})", to.value(), at.value()),
            Amount::number("factor", factor, ""),
        )
        .answer_by("R × k", format!("{coil} × {factor:.4}"), Amount::of("warm-coil", warm));
    if let Some(operate) = operate {
        let operate = positive("operate", operate.abs())?;
        sum = sum.given("operate", operate).answer_by(
            "V × k",
            format!("{operate} × {factor:.4}"),
            Amount::of("pull-in-volts-when-warm", operate * factor),
        );
    }
    Ok(sum)
}

/// The sum of the temperature.
///
/// # Errors
/// Ohms that are not above zero, or that make a temperature outside −60 to 250 °C.
pub fn temperature_sum(cold: Ohms, at: Celsius, warm: Ohms) -> Result<Sum, SumError> {
    let (cold, at, warm) = (positive("cold", cold)?, plausible("at", at)?, positive("warm", warm)?);
    let temperature = conductors::copper_temperature(cold, at, warm);
    if !(-60.0..=250.0).contains(&temperature.value()) {
        return Err(unsuitable(
            "warm",
            warm,
            format!("the same winding as the {cold} coil (this would be {temperature})"),
        ));
    }
    Ok(Sum::new(&TEMPERATURE_ENTRY, fact!("sums.source.warm-coil"))
        .given("cold", cold)
        .given("at", at)
        .given("warm", warm)
        .answer_by(
            "(234.5 + T1) × R2 / R1 − 234.5",
            format!("(234.5 + {}) × {warm} / {cold} − 234.5", at.value()),
            Amount::of("winding-temperature", temperature),
        )
        .caution(fact!("sums.caution.mean-temperature")))
}
