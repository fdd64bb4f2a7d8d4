//! What a meter shows at the middle of a divider, its own resistance included.

use super::entry::{Entry, Given, Input, SumError, positive};
use super::sum::{Amount, Sum};
use crate::fact;
use crate::spec::units::{Ohms, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "meter-loading",
    inputs: &[
        Input::required("supply", "voltage", "volts across both resistances"),
        Input::required("upper", "resistance", "from the supply to the point"),
        Input::required("lower", "resistance", "from the point to the black lead, where the meter is"),
        Input::preset("meter", "resistance", "10Mohm", "of a digital meter, or ohms per volt of an analogue one"),
        Input::optional("range", "voltage", "full scale of an analogue meter: `meter` then counts for each volt of it"),
    ],
    example: "supply=24V upper=100kohm lower=100kohm meter=20kohm range=50V",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let (meter, range): (Ohms, Option<Volts>) = (given.quantity("meter")?, given.maybe("range")?);
    let meter = match range {
        Some(range) => meter * positive("range", range)?.value(),
        None => meter,
    };
    sum(given.quantity("supply")?, given.quantity("upper")?, given.quantity("lower")?, meter)
}

/// The sum for a meter of so many ohms in all.
///
/// # Errors
/// Values that are not above zero.
pub fn sum(supply: Volts, upper: Ohms, lower: Ohms, meter: Ohms) -> Result<Sum, SumError> {
    let supply = positive("supply", supply.abs())?;
    let (upper, lower, meter) = (positive("upper", upper)?, positive("lower", lower)?, positive("meter", meter)?);
    let loaded = lower * (meter / (lower + meter));
    let reads = supply * (loaded / (upper + loaded));
    let without = supply * (lower / (upper + lower));
    Ok(Sum::new(&ENTRY, fact!("sums.source.meter-loading"))
        .given("supply", supply)
        .given("upper", upper)
        .given("lower", lower)
        .given("meter", meter)
        .step(
            "R Rm / (R + Rm)",
            format!("{lower} × {meter} / ({lower} + {meter})"),
            Amount::of("lower-with-meter", loaded),
        )
        .answer_by(
            "V R / (R1 + R)",
            format!("{supply} × {loaded} / ({upper} + {loaded})"),
            Amount::of("meter-reads", reads),
        )
        .answer_by(
            "V R2 / (R1 + R2)",
            format!("{supply} × {lower} / ({upper} + {lower})"),
            Amount::of("without-a-meter", without),
        )
        .answer_by(
            "V / V0 − 1",
            format!("{reads} / {without} − 1"),
            Amount::number("error", 100.0 * (reads / without - 1.0), "%"),
        ))
}
