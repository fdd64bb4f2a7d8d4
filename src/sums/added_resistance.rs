//! How many ohms a low reading at a device means somewhere in its series path.
//!
//! The device itself is the measuring resistor: its current is reading over resistance, and the same current makes the
//! missing volts in whatever was added.

use super::entry::{Entry, Given, Input, SumError, positive, unsuitable};
use super::sum::{Amount, Sum};
use crate::fact;
use crate::spec::units::{Ohms, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "added-resistance",
    inputs: &[
        Input::required("supply", "voltage", "what the supply reads under this load"),
        Input::required("reading", "voltage", "what the device gets"),
        Input::required("device", "resistance", "ohms of the device, such as a coil"),
        Input::optional("operate", "voltage", "least volts at which the device operates"),
    ],
    example: "supply=33V reading=17V device=145ohm",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(given.quantity("supply")?, given.quantity("reading")?, given.quantity("device")?, given.maybe("operate")?)
}

/// Ohms in series that turn `supply` into `reading` across `device`.
#[must_use]
pub fn added(supply: Volts, reading: Volts, device: Ohms) -> Ohms {
    (supply - reading) / (reading / device)
}

/// Share of its rated volts at which a relay usually operates (relay makers' terms: at the latest at 75 to 80 %).
const USUAL_OPERATE: f64 = 0.75;

/// The sum, with a caution where the device gets less than `operate`.
///
/// # Errors
/// A reading that is zero (a circuit without current says nothing about ohms) or not below the supply.
pub fn sum(supply: Volts, reading: Volts, device: Ohms, operate: Option<Volts>) -> Result<Sum, SumError> {
    let (supply, device) = (positive("supply", supply.abs())?, positive("device", device)?);
    let reading = positive("reading", reading.abs())?;
    if reading >= supply {
        return Err(unsuitable("reading", reading, format!("below the supply of {supply}")));
    }
    let current = reading / device;
    let added = added(supply, reading, device);
    let heat = (supply - reading) * current;
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.added-resistance"))
        .given("supply", supply)
        .given("reading", reading)
        .given("device", device)
        .step("I = V / R", format!("{reading} / {device}"), Amount::of("current", current))
        .answer_by(
            "R = (Vs − V) / I",
            format!("({supply} − {reading}) / {current}"),
            Amount::of("added-resistance", added),
        )
        .answer_by(
            "P = (Vs − V) × I",
            format!("({supply} − {reading}) × {current}"),
            Amount::of("heat-at-the-bad-place", heat),
        )
        .caution(fact!("sums.caution.one-place-or-several"));
    if let Some(operate) = operate {
        sum = sum.given("operate", operate.abs());
    }
    let sum = match operate {
        Some(operate) => {
            sum.caution_if(reading < operate.abs(), fact!("sums.caution.too-little", needs = operate.abs()))
        }
        // Nobody said what it needs: relays are made to operate at 75 to 80 % of their rated volts.
        None => sum.caution_if(reading / supply < USUAL_OPERATE, fact!("sums.caution.too-little-usually")),
    };
    Ok(sum.caution_if(heat.value() > 1.0, fact!("sums.caution.hot-place")))
}
