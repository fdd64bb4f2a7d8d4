//! Bench sums: the small calculations of a repair, each in a file of its own.
//!
//! Every sum is a pure function on units that returns a [`Sum`]: formula, numbers put in, answer, source. The command line
//! asks for them by name through [`run`]; sheets call the functions themselves. [`tables`] holds published figures.

pub mod ac_coil;
pub mod added_resistance;
pub mod clip_drop;
pub mod coil_release;
pub mod coil_rise;
pub mod colours;
pub mod combined;
pub mod crossover;
pub mod delay;
pub mod diode_replacement;
pub mod discharge;
pub mod dropping_resistor;
pub mod entry;
pub mod fuse_load;
pub mod fuse_replacement;
pub mod l_pad;
pub mod lamp;
pub mod meter_loading;
pub mod preferred;
pub mod rectifier;
pub mod resistor_replacement;
pub mod speaker_pad;
pub mod speaker_replacement;
pub mod sum;
pub mod tables;
pub mod warm_coil;
pub mod wire_drop;

pub use entry::{Entry, Given, Input, Need, SumError};
pub use sum::{Amount, Judgement, Step, Sum, Verdict};

/// All sums, in the order in which they are listed.
pub static ALL: [&Entry; 32] = [
    &added_resistance::ENTRY,
    &clip_drop::ENTRY,
    &combined::SERIES_ENTRY,
    &combined::PARALLEL_ENTRY,
    &dropping_resistor::ENTRY,
    &preferred::ENTRY,
    &colours::BANDS_ENTRY,
    &colours::CODE_ENTRY,
    &resistor_replacement::ENTRY,
    &fuse_load::ENTRY,
    &fuse_replacement::ENTRY,
    &wire_drop::ENTRY,
    &wire_drop::MELTING_ENTRY,
    &warm_coil::ENTRY,
    &warm_coil::TEMPERATURE_ENTRY,
    &coil_rise::ENTRY,
    &coil_release::ENTRY,
    &diode_replacement::ENTRY,
    &ac_coil::ENTRY,
    &lamp::ENTRY,
    &lamp::REPLACEMENT_ENTRY,
    &rectifier::ENTRY,
    &discharge::ENTRY,
    &discharge::BLEEDER_ENTRY,
    &delay::ENTRY,
    &delay::RESISTOR_ENTRY,
    &meter_loading::ENTRY,
    &speaker_pad::ENTRY,
    &l_pad::ENTRY,
    &speaker_replacement::ENTRY,
    &crossover::ENTRY,
    &crossover::FREQUENCY_ENTRY,
];

/// The sum of this name.
///
/// # Errors
/// No sum has this name.
pub fn find(name: &str) -> Result<&'static Entry, SumError> {
    ALL.into_iter().find(|entry| entry.name == name).ok_or_else(|| SumError::UnknownSum {
        name: name.to_string(),
        nearest: entry::nearest_name(name, ALL.into_iter().map(|entry| entry.name)),
    })
}

/// Does the sum of this name with inputs written as `name=value`.
///
/// # Errors
/// An unknown name, or whatever is wrong with the inputs: all of it, as far as it can be told at once.
pub fn run(name: &str, words: &[String]) -> Result<Sum, Vec<SumError>> {
    let entry = find(name).map_err(|error| vec![error])?;
    let given = Given::from_words(entry, words)?;
    (entry.compute)(&given).and_then(finite).map_err(|error| vec![error])
}

/// Refuses a sum whose inputs lie so far apart that an answer is no number any more.
fn finite(sum: Sum) -> Result<Sum, SumError> {
    let amounts = sum.results.iter().chain(sum.steps.iter().map(|step| &step.result));
    let endless = amounts.into_iter().find(|amount| amount.value.is_some_and(|value| !value.is_finite()));
    match endless.map(|amount| amount.name.replace('-', " ")) {
        Some(amount) => Err(SumError::Endless { amount }),
        None => Ok(sum),
    }
}
