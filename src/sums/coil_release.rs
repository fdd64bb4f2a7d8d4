//! How long a DC coil holds on through its suppressor after its switch opens.

use super::entry::{Entry, Given, Input, SumError, not_negative, positive, unsuitable};
use super::sum::{Amount, Sum};
use crate::fact;
use crate::spec::units::{Amperes, Henries, Ohms, Seconds, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "coil-release",
    inputs: &[
        Input::required("inductance", "inductance", "of the coil with its armature in"),
        Input::required("coil", "resistance", "of the coil"),
        Input::required("current", "current", "when the switch opens"),
        Input::required("hold", "current", "at which the armature lets go"),
        Input::preset("clamp", "voltage", "0 V", "volts of a Zener diode in series with the suppressor diode"),
    ],
    example: "inductance=0.3H coil=120ohm current=0.2A hold=0.04A",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(
        given.quantity("inductance")?,
        given.quantity("coil")?,
        given.quantity("current")?,
        given.quantity("hold")?,
        given.quantity("clamp")?,
    )
}

/// Time in which the current falls from `current` to `hold` against the coil's own ohms and a constant `clamp` voltage.
#[must_use]
pub fn time(inductance: Henries, coil: Ohms, current: Amperes, hold: Amperes, clamp: Volts) -> Seconds {
    let ratio = (current * coil + clamp) / (hold * coil + clamp);
    Seconds::new(inductance.value() / coil.value() * ratio.ln())
}

/// Energy in the field of a coil, in joules: L I² / 2.
#[must_use]
pub fn energy(inductance: Henries, current: Amperes) -> f64 {
    0.5 * inductance.value() * current.value() * current.value()
}

/// The sum.
///
/// # Errors
/// Values that are not above zero, or a holding current that is not below the first one.
pub fn sum(inductance: Henries, coil: Ohms, current: Amperes, hold: Amperes, clamp: Volts) -> Result<Sum, SumError> {
    let (inductance, coil) = (positive("inductance", inductance)?, positive("coil", coil)?);
    let (current, hold) = (positive("current", current)?, positive("hold", hold)?);
    let clamp = not_negative("clamp", clamp)?;
    if hold >= current {
        return Err(unsuitable("hold", hold, format!("below the current of {current}")));
    }
    let constant = Seconds::new(inductance.value() / coil.value());
    Ok(Sum::new(&ENTRY, fact!("sums.source.coil-release"))
        .given("inductance", inductance)
        .given("coil", coil)
        .given("current", current)
        .given("hold", hold)
        .given("clamp", clamp)
        .step("L / R", format!("{inductance} / {coil}"), Amount::of("time-constant", constant))
        .answer_by(
            "(L/R) ln[(I0 R + V) / (I R + V)]",
            format!("{constant} × ln[({current} × {coil} + {clamp}) / ({hold} × {coil} + {clamp})]"),
            Amount::of("hold-on-time", time(inductance, coil, current, hold, clamp)),
        )
        .answer_by(
            "L I0² / 2",
            format!("{inductance} × ({current})² / 2"),
            Amount::number("energy-in-the-coil", energy(inductance, current), "J"),
        )
        .answer_by(
            "(I / I0)²",
            format!("({hold} / {current})²"),
            Amount::number("energy-left-when-it-lets-go", 100.0 * (hold / current).powi(2), "%"),
        )
        .caution(fact!("sums.caution.armature-moves")))
}
