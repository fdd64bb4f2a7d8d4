//! Resistances in series and in parallel, with currents and drops where volts are given.

use super::entry::{Entry, Input, SumError, positive};
use super::sum::{Amount, Sum};
use crate::fact;
use crate::spec::units::{Ohms, Volts};
use crate::words::Value;

/// The entry of the series sum.
pub const SERIES_ENTRY: Entry = Entry {
    name: "series",
    inputs: &[
        Input::required("values", "resistance,resistance,...", "the resistances"),
        Input::optional("volts", "voltage", "volts across all of them"),
    ],
    example: "values=3kohm,10kohm,5kohm volts=9V",
    compute: |given| series(&given.list("values")?, given.maybe("volts")?),
};

/// The entry of the parallel sum.
pub const PARALLEL_ENTRY: Entry = Entry {
    name: "parallel",
    inputs: &[
        Input::required("values", "resistance,resistance,...", "the resistances"),
        Input::optional("volts", "voltage", "volts across all of them"),
    ],
    example: "values=90ohm,45ohm,180ohm volts=9V",
    compute: |given| parallel(&given.list("values")?, given.maybe("volts")?),
};

fn checked(values: &[Ohms]) -> Result<(), SumError> {
    values.iter().try_for_each(|value| positive("values", *value).map(|_| ()))
}

fn joined(values: &[Ohms], by: &str) -> String {
    values.iter().map(ToString::to_string).collect::<Vec<_>>().join(by)
}

/// The sum of resistances in series.
///
/// # Errors
/// A resistance that is not above zero.
pub fn series(values: &[Ohms], volts: Option<Volts>) -> Result<Sum, SumError> {
    checked(values)?;
    let total = values.iter().fold(Ohms::ZERO, |sum, value| sum + *value);
    let mut sum = Sum::new(&SERIES_ENTRY, fact!("sums.source.series"))
        .given_as(Amount::words("values", Value::figure(joined(values, ", "))))
        .answer_by("R1 + R2 + ...", joined(values, " + "), Amount::of("total", total));
    let Some(volts) = volts else { return Ok(sum) };
    let current = volts / total;
    sum = sum.given("volts", volts).answer_by("V / R", format!("{volts} / {total}"), Amount::of("current", current));
    for (index, value) in values.iter().enumerate() {
        let drop = current * *value;
        sum = sum
            .answer_by("I × R", format!("{current} × {value}"), Amount::of("drop", drop).numbered(index + 1))
            .answer(Amount::of("heat", drop * current).numbered(index + 1));
    }
    Ok(sum)
}

/// The sum of resistances in parallel.
///
/// # Errors
/// A resistance that is not above zero.
pub fn parallel(values: &[Ohms], volts: Option<Volts>) -> Result<Sum, SumError> {
    checked(values)?;
    let total = Ohms::new(1.0 / values.iter().map(|value| 1.0 / value.value()).sum::<f64>());
    let mut sum = Sum::new(&PARALLEL_ENTRY, fact!("sums.source.parallel"))
        .given_as(Amount::words("values", Value::figure(joined(values, ", "))))
        .answer_by(
            "1 / (1/R1 + 1/R2 + ...)",
            format!("1 / (1/{})", joined(values, " + 1/")),
            Amount::of("total", total),
        );
    let Some(volts) = volts else { return Ok(sum) };
    sum = sum.given("volts", volts).answer_by(
        "V / R",
        format!("{volts} / {total}"),
        Amount::of("current", volts / total),
    );
    for (index, value) in values.iter().enumerate() {
        let current = volts / *value;
        sum = sum
            .answer_by("V / R", format!("{volts} / {value}"), Amount::of("current", current).numbered(index + 1))
            .answer(Amount::of("heat", volts * current).numbered(index + 1));
    }
    Ok(sum)
}
