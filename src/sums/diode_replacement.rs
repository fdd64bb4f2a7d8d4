//! Whether a diode may replace a diode, and what a suppressor diode must stand.

use super::entry::{Entry, Input, SumError, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use crate::spec::units::{Amperes, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "diode-replacement",
    title: "What a coil's suppressor diode must stand",
    inputs: &[
        Input::required("supply", "voltage", "highest supply of the coil"),
        Input::required("coil", "current", "current of the coil"),
        Input::optional("reverse", "voltage", "reverse voltage of the diode at hand"),
        Input::optional("forward", "current", "forward current of the diode at hand"),
    ],
    example: "supply=28V coil=0.25A reverse=200V forward=1A",
    compute: |given| {
        sum(given.quantity("supply")?, given.quantity("coil")?, given.maybe("reverse")?, given.maybe("forward")?)
    },
};

/// How many times the supply a suppressor's reverse voltage should be at least (common practice).
pub const REVERSE_MARGIN: f64 = 2.0;

/// The sum: reverse voltage of at least twice the supply, forward current of at least the coil's.
///
/// # Errors
/// Values that are not above zero.
pub fn sum(supply: Volts, coil: Amperes, reverse: Option<Volts>, forward: Option<Amperes>) -> Result<Sum, SumError> {
    let (supply, coil) = (positive("supply", supply.abs())?, positive("coil", coil.abs())?);
    let mut judgement = Judgement::default();
    judge(&mut judgement, "reverse voltage", reverse, supply * REVERSE_MARGIN);
    judge(&mut judgement, "forward current", forward, coil);
    let mut sum = Sum::new(&ENTRY, "a suppressor carries the coil's current and blocks the supply; twice the supply for surges: common practice, no source")
        .given("supply", supply)
        .given("coil", coil)
        .answer_by("2 × supply", format!("2 × {supply}"), Amount::of("reverse voltage at least", supply * REVERSE_MARGIN))
        .answer_by("coil current", coil.to_string(), Amount::of("forward current at least", coil));
    if let Some(reverse) = reverse {
        sum = sum.given("reverse", reverse);
    }
    if let Some(forward) = forward {
        sum = sum.given("forward", forward);
    }
    Ok(sum
        .judged(judgement)
        .caution("band to the positive side; the other way round it shorts the supply")
        .caution("only on DC: across an AC coil a plain diode is a short circuit on every other half cycle")
        .caution(
            "a plain diode makes the coil let go later; if that upsets the timing, add a Zener diode in series with it",
        ))
}

fn judge<U: crate::spec::units::Unit>(judgement: &mut Judgement, what: &str, has: Option<U>, needs: U) {
    match has {
        None => judgement.add(Verdict::WithCare, format!("its {what} is not known; at least {needs} is needed")),
        Some(has) if has < needs => judgement.add(Verdict::Refused, format!("{what} {has} is less than {needs}")),
        Some(has) => judgement.add(Verdict::Accepted, format!("{what} {has} is enough for {needs}")),
    }
}
