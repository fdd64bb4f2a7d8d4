//! How long a capacitor takes through a resistor, and which resistor does it in a given time.

use super::entry::{Entry, Given, Input, SumError, positive, unsuitable};
use super::sum::{Amount, Sum};
use super::tables::{e_series::Series, ratings, touch::SPARK};
use crate::fact;
use crate::spec::units::{Farads, Ohms, Seconds, Volts, Watts};

/// The entry of the waiting time.
pub const ENTRY: Entry = Entry {
    name: "discharge",
    inputs: &[
        Input::required("capacitor", "capacitance", "the capacitor"),
        Input::required("bleeder", "resistance", "what it discharges through"),
        Input::required("from", "voltage", "volts when the power goes off"),
        Input::preset("to", "voltage", "5V", "volts at which one may touch it"),
    ],
    example: "capacitor=10000uF bleeder=1kohm from=35V",
    compute: from_given,
};

/// The entry of the bleeder.
pub const BLEEDER_ENTRY: Entry = Entry {
    name: "bleeder",
    inputs: &[
        Input::required("capacitor", "capacitance", "the capacitor"),
        Input::required("from", "voltage", "volts when the power goes off"),
        Input::preset("to", "voltage", "5V", "volts at which one may touch it"),
        Input::required("time", "time", "how long it may take"),
    ],
    example: "capacitor=10000uF from=35V time=10s",
    compute: bleeder_from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(given.quantity("capacitor")?, given.quantity("bleeder")?, given.quantity("from")?, given.quantity("to")?)
}

fn bleeder_from_given(given: &Given) -> Result<Sum, SumError> {
    bleeder_sum(given.quantity("capacitor")?, given.quantity("from")?, given.quantity("to")?, given.quantity("time")?)
}

/// Seconds for a capacitor to fall from one voltage to another through a resistor; zero if it is there already.
#[must_use]
pub fn time(capacitor: Farads, through: Ohms, from: Volts, to: Volts) -> Seconds {
    decay(Seconds::new(capacitor.value() * through.value()), from, to)
}

/// Seconds to fall from one voltage to another with a time constant; zero if it is there already.
#[must_use]
pub fn decay(constant: Seconds, from: Volts, to: Volts) -> Seconds {
    constant * (from.abs() / to.abs()).ln().max(0.0)
}

/// Energy in a charged capacitor, in joules.
#[must_use]
pub fn energy(capacitor: Farads, volts: Volts) -> f64 {
    0.5 * capacitor.value() * volts.value() * volts.value()
}

/// The waiting time with energy, charge, and heat of the bleeder while the power is on.
///
/// # Errors
/// Values that are not above zero.
pub fn sum(capacitor: Farads, bleeder: Ohms, from: Volts, to: Volts) -> Result<Sum, SumError> {
    let (capacitor, bleeder) = (positive("capacitor", capacitor)?, positive("bleeder", bleeder)?);
    let (from, to) = (positive("from", from.abs())?, positive("to", to.abs())?);
    let constant = Seconds::new(capacitor.value() * bleeder.value());
    let sum = Sum::new(&ENTRY, fact!("sums.source.discharge"))
        .given("capacitor", capacitor)
        .given("bleeder", bleeder)
        .given("from", from)
        .given("to", to)
        .step("R × C", format!("{bleeder} × {capacitor}"), Amount::of("time-constant", constant))
        .answer_by(
            "R C ln(V0 / V)",
            format!("{constant} × ln({from} / {to})"),
            Amount::of("waiting-time", time(capacitor, bleeder, from, to)),
        );
    let heat = Watts::new(from.value() * from.value() / bleeder.value());
    Ok(stored(sum, capacitor, from)
        .answer_by("V² / R", format!("({from})² / {bleeder}"), Amount::of("heat-in-the-bleeder", heat))
        .caution(fact!("sums.caution.bleeder-open")))
}

/// The bleeder for a waiting time.
///
/// # Errors
/// Values that are not above zero, or a target that is not below the start.
pub fn bleeder_sum(capacitor: Farads, from: Volts, to: Volts, within: Seconds) -> Result<Sum, SumError> {
    let capacitor = positive("capacitor", capacitor)?;
    let (from, to, within) = (positive("from", from.abs())?, positive("to", to.abs())?, positive("time", within)?);
    if to >= from {
        return Err(unsuitable("to", to, format!("below the {from} it starts from")));
    }
    let exact = Ohms::new(within.value() / (capacitor.value() * (from / to).ln()));
    let mut sum = Sum::new(&BLEEDER_ENTRY, fact!("sums.source.bleeder"))
        .given("capacitor", capacitor)
        .given("from", from)
        .given("to", to)
        .given("time", within)
        .answer_by(
            "t / (C ln(V0 / V))",
            format!("{within} / ({capacitor} × ln({from} / {to}))"),
            Amount::of("bleeder-at-most", exact),
        );
    if let Some(preferred) = Series::E12.at_most(exact.value()).map(Ohms::new) {
        let heat = Watts::new(from.value() * from.value() / preferred.value());
        sum = sum
            .answer(Amount::of("bleeder-e12", preferred))
            .answer_by(
                "R C ln(V0 / V)",
                format!("{preferred} × {capacitor} × ln({from} / {to})"),
                Amount::of("waiting-time-with-it", time(capacitor, preferred, from, to)),
            )
            .answer_by("V² / R", format!("({from})² / {preferred}"), Amount::of("heat-in-it", heat));
        if let Some(rating) = ratings::resistor_power(heat) {
            sum = sum.answer(Amount::of("resistor-rating", rating));
        }
    }
    Ok(stored(sum, capacitor, from))
}

/// Energy and charge, and a word about sparks where there is enough to weld.
fn stored(sum: Sum, capacitor: Farads, from: Volts) -> Sum {
    let joules = energy(capacitor, from);
    let coulombs = capacitor.value() * from.value();
    sum.answer_by("C V² / 2", format!("{capacitor} × ({from})² / 2"), Amount::number("stored-energy", joules, "J"))
        .answer_by("C × V", format!("{capacitor} × {from}"), Amount::number("stored-charge", coulombs, "C"))
        .caution_if(joules >= SPARK, fact!("sums.caution.sparks"))
}
