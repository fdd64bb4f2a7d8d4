//! The volts that a length of copper wire takes, and the short-circuit heat that it stands.

use super::entry::{Entry, Given, Input, SumError, not_negative, positive};
use super::sum::{Amount, Sum};
use super::tables::conductors::{self, Build};
use crate::fact;
use crate::spec::units::{Amperes, Celsius, Metres, SquareMillimetres};

/// The entry of the drop.
pub const ENTRY: Entry = Entry {
    name: "wire-drop",
    inputs: &[
        Input::required("size", "cross-section or AWG", "of the conductor, such as 0.75mm2 or AWG20"),
        Input::required("length", "length", "of all conductor in the path, there and back"),
        Input::required("current", "current", "that it carries"),
        Input::preset("build", "flexible|solid", "flexible", "IEC 60228 class 5 and 6, or 1 and 2"),
        Input::preset("at", "temperature", "20 °C", "of the conductor"),
    ],
    example: "size=0.75mm2 length=2.4m current=2A",
    compute: from_given,
};

/// The entry of the melting integral.
pub const MELTING_ENTRY: Entry = Entry {
    name: "wire-melting",
    inputs: &[Input::required("size", "cross-section or AWG", "of the conductor, such as 0.75mm2 or AWG20")],
    example: "size=AWG22",
    compute: |given| melting_sum(read_size(given)?),
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let build = given.choice("build", &[("flexible", Build::Flexible), ("solid", Build::Solid)])?;
    sum(read_size(given)?, build, given.quantity("length")?, given.quantity("current")?, given.quantity("at")?)
}

/// A cross-section, or a gauge such as `AWG 22`.
fn read_size(given: &Given) -> Result<SquareMillimetres, SumError> {
    let text = given.text("size").unwrap_or_default();
    let upper = text.to_ascii_uppercase();
    let Some(gauge) = upper.strip_prefix("AWG") else { return given.quantity("size") };
    match gauge.trim().parse::<f64>() {
        Ok(gauge) if (0.0..=40.0).contains(&gauge) => Ok(conductors::awg_area(gauge)),
        _ => Err(SumError::Unreadable {
            name: "size".into(),
            found: text.to_string(),
            expected: "a gauge from AWG 0 to AWG 40, or a cross-section such as 0.75 mm2".into(),
        }),
    }
}

/// The sum of the drop.
///
/// # Errors
/// Values that are not above zero.
pub fn sum(
    size: SquareMillimetres,
    build: Build,
    length: Metres,
    current: Amperes,
    at: Celsius,
) -> Result<Sum, SumError> {
    let (size, length) = (positive("size", size)?, positive("length", length)?);
    let current = not_negative("current", current.abs())?;
    let cold = conductors::resistance_per_metre(size, build);
    let per_metre = conductors::copper_at(cold, Celsius::new(20.0), at);
    let resistance = conductors::resistance_of(per_metre, length);
    let drop = current * resistance;
    let source =
        if conductors::is_tabled(size) { fact!("sums.source.wire-tabled") } else { fact!("sums.source.wire-computed") };
    let sum = Sum::new(&ENTRY, source)
        .given("size", size)
        .given("length", length)
        .given("current", current)
        .given("at", at)
        .step(
            "r20 × (234.5 + T) / 254.5",
            format!("{cold} × {} / 254.5", 234.5 + at.value()),
            Amount::of("ohms-a-metre", per_metre),
        )
        .answer_by("r × l", format!("{per_metre}/m × {length}"), Amount::of("wire-resistance", resistance))
        .answer_by("I × R", format!("{current} × {resistance}"), Amount::of("drop", drop))
        .answer_by("V × I", format!("{drop} × {current}"), Amount::of("heat-along-it", drop * current));
    Ok(match conductors::ampacity(size) {
        Some(limit) => sum.caution_if(current > limit, fact!("sums.caution.above-ampacity", limit = limit)),
        None => sum,
    })
}

/// The sum of what a wire stands.
///
/// # Errors
/// A cross-section that is not above zero.
pub fn melting_sum(size: SquareMillimetres) -> Result<Sum, SumError> {
    let size = positive("size", size)?;
    let sum = Sum::new(&MELTING_ENTRY, fact!("sums.source.wire-melting"))
        .given("size", size)
        .answer_by(
            "(115 × A)²",
            format!("(115 × {})²", size.value()),
            Amount::of("pvc-insulation-stands", conductors::pvc_integral(size)),
        )
        .answer(Amount::of("copper-melts-at", conductors::melting_integral(size)))
        .caution(fact!("sums.caution.ratings-differ"));
    Ok(match conductors::ampacity(size) {
        Some(limit) => sum.answer(Amount::of("carries-for-long-in-a-loom", limit)),
        None => sum,
    })
}
