//! The nearest preferred value, and resistor colours both ways.

use super::entry::{Entry, Given, Input, SumError, positive};
use super::sum::{Amount, Sum};
use super::tables::e_series::Series;
use crate::fact;
use crate::spec::units::{Farads, Ohms, Unit};

/// The entry of the nearest preferred value.
pub const ENTRY: Entry = Entry {
    name: "preferred-value",
    inputs: &[
        Input::required("value", "resistance or capacitance", "the value that is wanted"),
        Input::preset("series", "E6|E12|E24", "E12", "series of preferred values"),
    ],
    example: "value=1120ohm series=E12",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let series = given.choice("series", &[("E6", Series::E6), ("E12", Series::E12), ("E24", Series::E24)])?;
    match (given.maybe::<Ohms>("value"), given.maybe::<Farads>("value")) {
        (Err(_), Ok(Some(capacitance))) => sum(capacitance, series),
        (resistance, _) => sum(resistance?.unwrap_or_default(), series),
    }
}

/// The sum: nearest member, the ones on either side, and how far off the nearest is.
///
/// # Errors
/// A value that is not above zero.
pub fn sum<U: Unit>(wanted: U, series: Series) -> Result<Sum, SumError> {
    let wanted = positive("value", wanted)?;
    let value = wanted.value();
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.preferred-value"))
        .given("value", wanted)
        .given_as(Amount::words("series", series.name()));
    if let Some(nearest) = series.nearest(value) {
        sum = sum.answer(Amount::of("nearest", U::new(nearest))).answer_by(
            "(x2 − x1) / x1",
            format!("({} − {wanted}) / {wanted}", U::new(nearest)),
            Amount::number("off-by", 100.0 * (nearest / value - 1.0), "%"),
        );
    }
    for (name, member) in [("next-above", series.at_least(value)), ("next-below", series.at_most(value))] {
        if let Some(member) = member {
            sum = sum.answer(Amount::of(name, U::new(member)));
        }
    }
    Ok(sum)
}
