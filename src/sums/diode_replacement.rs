//! Whether a diode may replace a diode, and what a suppressor diode must stand.

use super::entry::{Entry, Input, SumError, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use crate::fact;
use crate::spec::units::{Amperes, Volts};
use crate::words::Fact;

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "diode-replacement",
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
    judge(&mut judgement, &fact!("sums.reverse-voltage"), reverse, supply * REVERSE_MARGIN);
    judge(&mut judgement, &fact!("sums.forward-current"), forward, coil);
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.diode-replacement"))
        .given("supply", supply)
        .given("coil", coil)
        .answer_by("2 × V", format!("2 × {supply}"), Amount::of("reverse-voltage-at-least", supply * REVERSE_MARGIN))
        .answer_by("I", format!("{coil}"), Amount::of("forward-current-at-least", coil));
    if let Some(reverse) = reverse {
        sum = sum.given("reverse", reverse);
    }
    if let Some(forward) = forward {
        sum = sum.given("forward", forward);
    }
    Ok(sum
        .judged(judgement)
        .caution(fact!("sums.caution.diode-band"))
        .caution(fact!("sums.caution.only-on-dc"))
        .caution(fact!("sums.caution.slow-release")))
}

fn judge<U: crate::spec::units::Unit>(judgement: &mut Judgement, what: &Fact, has: Option<U>, needs: U) {
    match has {
        None => judgement.add(Verdict::WithCare, fact!("sums.reason.not-known", what = what.clone(), needs = needs)),
        Some(has) if has < needs => {
            judgement.add(Verdict::Refused, fact!("sums.reason.less", what = what.clone(), has = has, needs = needs));
        }
        Some(has) => {
            judgement
                .add(Verdict::Accepted, fact!("sums.reason.enough", what = what.clone(), has = has, needs = needs));
        }
    }
}
