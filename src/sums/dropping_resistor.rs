//! The resistor that leaves a load its rated volts from a higher supply.

use super::entry::{Entry, Given, Input, SumError, positive, unsuitable};
use super::sum::{Amount, Sum};
use super::tables::{e_series::Series, ratings};
use crate::fact;
use crate::spec::units::{Amperes, Ohms, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "dropping-resistor",
    inputs: &[
        Input::required("supply", "voltage", "the supply"),
        Input::required("load", "voltage", "what the load shall get"),
        Input::required("current", "current", "what the load draws then"),
    ],
    example: "supply=24V load=1.6V current=20mA",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    sum(given.quantity("supply")?, given.quantity("load")?, given.quantity("current")?)
}

/// The sum.
///
/// # Errors
/// Values that are not above zero, or a load that wants as much as the supply has.
pub fn sum(supply: Volts, load: Volts, current: Amperes) -> Result<Sum, SumError> {
    let (supply, load) = (positive("supply", supply.abs())?, positive("load", load.abs())?);
    let current = positive("current", current.abs())?;
    if load >= supply {
        return Err(unsuitable("load", load, format!("below the supply of {supply}")));
    }
    let dropped = supply - load;
    let (resistor, heat) = (dropped / current, dropped * current);
    let sum = Sum::new(&ENTRY, fact!("sums.source.dropping-resistor"))
        .given("supply", supply)
        .given("load", load)
        .given("current", current)
        .step("Vs − Vl", format!("{supply} − {load}"), Amount::of("dropped", dropped))
        .answer_by("R = V / I", format!("{dropped} / {current}"), Amount::of("resistor", resistor))
        .answer_by("P = V × I", format!("{dropped} × {current}"), Amount::of("heat", heat));
    Ok(with_preferred(sum, supply, load, current, resistor).caution(fact!("sums.caution.next-above")))
}

/// The next preferred value, its heat, and what a load of constant resistance then gets.
fn with_preferred(sum: Sum, supply: Volts, load: Volts, current: Amperes, exact: Ohms) -> Sum {
    let Some(preferred) = Series::E12.at_least(exact.value()).map(Ohms::new) else { return sum };
    let load_resistance = load / current;
    let flows = supply / (load_resistance + preferred);
    let heat = (flows * preferred) * flows;
    let gets = flows * load_resistance;
    let sum = sum.answer(Amount::of("resistor-e12", preferred)).answer_by(
        "Vs × Rl / (Rl + R)",
        format!("{supply} × {load_resistance} / ({load_resistance} + {preferred})"),
        Amount::of("load-gets-with-it-if-it-is-a-plain-resistance", gets),
    );
    match ratings::resistor_power(heat) {
        Some(rating) => sum.answer(Amount::of("resistor-rating", rating)),
        None => sum.caution(fact!("sums.caution.no-common-resistor")),
    }
}
