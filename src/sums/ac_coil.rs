//! An AC coil from its rated volts and amps: impedance, inductance, losses, and why its ohms alone mislead.

use std::f64::consts::PI;

use super::entry::{Entry, Given, Input, SumError, positive, unsuitable};
use super::sum::{Amount, Sum};
use crate::fact;
use crate::spec::units::{Amperes, Henries, Hertz, Ohms, VoltAmperes, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "ac-coil",
    inputs: &[
        Input::required("volts", "voltage", "AC volts across it, armature in"),
        Input::required("current", "current", "AC amps through it then"),
        Input::required("resistance", "resistance", "its DC ohms"),
        Input::preset("frequency", "frequency", "50 Hz", "of the supply"),
    ],
    example: "volts=24V current=0.5A resistance=4ohm frequency=60Hz",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(
        given.quantity("volts")?,
        given.quantity("current")?,
        given.quantity("resistance")?,
        given.quantity("frequency")?,
    )
}

/// Inductance of a coil of this impedance and DC resistance; none if the impedance is not the larger.
#[must_use]
pub fn inductance(impedance: Ohms, resistance: Ohms, frequency: Hertz) -> Option<Henries> {
    let square = impedance.value().powi(2) - resistance.value().powi(2);
    (square >= 0.0).then(|| Henries::new(square.sqrt() / (2.0 * PI * frequency.value())))
}

/// The sum.
///
/// # Errors
/// Values that are not above zero, or an impedance below the DC resistance.
pub fn sum(volts: Volts, current: Amperes, resistance: Ohms, frequency: Hertz) -> Result<Sum, SumError> {
    let (volts, current) = (positive("volts", volts.abs())?, positive("current", current.abs())?);
    let (resistance, frequency) = (positive("resistance", resistance)?, positive("frequency", frequency)?);
    let impedance = volts / current;
    let Some(inductance) = inductance(impedance, resistance, frequency) else {
        return Err(unsuitable("resistance", resistance, format!("below the impedance of {impedance}")));
    };
    let losses = (current * resistance) * current;
    let apparent = VoltAmperes::new(volts.value() * current.value());
    let on_dc = volts / resistance;
    Ok(Sum::new(&ENTRY, fact!("sums.source.ac-coil"))
        .given("volts", volts)
        .given("current", current)
        .given("resistance", resistance)
        .given("frequency", frequency)
        .answer_by("V / I", format!("{volts} / {current}"), Amount::of("impedance", impedance))
        .answer_by(
            "√(Z² − R²) / (2π f)",
            format!("√(({impedance})² − ({resistance})²) / (2π × {frequency})"),
            Amount::of("inductance", inductance),
        )
        .answer_by("I² R", format!("({current})² × {resistance}"), Amount::of("heat-when-held", losses))
        .answer_by("V × I", format!("{volts} × {current}"), Amount::of("apparent-power", apparent))
        .answer_by(
            "P / S",
            format!("{losses} / {apparent}"),
            Amount::number("power-factor", losses.value() / apparent.value(), ""),
        )
        .answer_by("V / R", format!("{volts} / {resistance}"), Amount::of("current-on-dc-of-the-same-volts", on_dc))
        .answer_by(
            "V² / R",
            format!("({volts})² / {resistance}"),
            Amount::of("heat-on-dc-of-the-same-volts", volts * on_dc),
        )
        .caution(fact!("sums.caution.armature-stuck"))
        .caution(fact!("sums.caution.shorted-turns")))
}
