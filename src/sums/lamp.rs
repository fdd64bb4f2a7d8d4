//! A filament lamp away from its rated volts, and one lamp in place of another.
//!
//! The re-rating laws are empirical and hold for about 0.7 to 1.2 times the rated volts.

use super::entry::{Entry, Input, SumError, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use crate::fact;
use crate::spec::units::{Amperes, Volts};
use crate::words::Value;

/// The entry of the lamp at another voltage.
pub const ENTRY: Entry = Entry {
    name: "lamp",
    inputs: &[
        Input::required("rated", "voltage", "its rated volts"),
        Input::required("current", "current", "its current at rated volts"),
        Input::required("at", "voltage", "the volts it gets"),
    ],
    example: "rated=6.3V current=0.15A at=5V",
    compute: |given| sum(given.quantity("rated")?, given.quantity("current")?, given.quantity("at")?),
};

/// The entry of the replacement.
pub const REPLACEMENT_ENTRY: Entry = Entry {
    name: "lamp-replacement",
    inputs: &[
        Input::required("rated", "voltage", "rated volts called for"),
        Input::required("current", "current", "current called for"),
        Input::required("offered", "voltage", "rated volts of the lamp at hand"),
        Input::required("offered-current", "current", "its current"),
        Input::optional("at", "voltage", "volts that the socket really has"),
    ],
    example: "rated=6.3V current=0.15A offered=6.3V offered-current=0.25A",
    compute: |given| {
        replacement_sum(
            (given.quantity("rated")?, given.quantity("current")?),
            (given.quantity("offered")?, given.quantity("offered-current")?),
            given.maybe("at")?,
        )
    },
};

/// Current of a lamp away from its rated volts.
#[must_use]
pub fn current_at(rated: Volts, current: Amperes, at: Volts) -> Amperes {
    current * (at / rated).powf(0.55)
}

/// The sum of the lamp at another voltage.
///
/// # Errors
/// Values that are not above zero.
pub fn sum(rated: Volts, current: Amperes, at: Volts) -> Result<Sum, SumError> {
    let (rated, current, at) =
        (positive("rated", rated.abs())?, positive("current", current)?, positive("at", at.abs())?);
    let ratio = at / rated;
    let flows = current_at(rated, current, at);
    let hot = rated / current;
    let cold = (hot / 15.0, hot / 10.0);
    Ok(Sum::new(&ENTRY, fact!("sums.source.lamp"))
        .given("rated", rated)
        .given("current", current)
        .given("at", at)
        .step("x = V / Vn", format!("{at} / {rated}"), Amount::number("voltage-ratio", ratio, ""))
        .answer_by("I × x^0.55", format!("{current} × {ratio:.4}^0.55"), Amount::of("current", flows))
        .answer_by("V / I", format!("{at} / {flows}"), Amount::of("ohms-when-lit", at / flows))
        .answer_by("V × I", format!("{at} × {flows}"), Amount::of("power", at * flows))
        .answer_by("x^3.4", format!("{ratio:.4}^3.4"), Amount::number("light", 100.0 * ratio.powf(3.4), "%"))
        .answer_by("x^−12", format!("{ratio:.4}^−12"), Amount::number("life", ratio.powi(-12), "×"))
        .answer(Amount::words("ohms-when-cold-about", fact!("sums.from-to", low = cold.0, high = cold.1)))
        .caution(fact!("sums.caution.cold-ohms"))
        .caution_if(!(0.7..=1.2).contains(&ratio), fact!("sums.caution.lamp-law-rough")))
}

/// The sum of the replacement. A lamp of more power is refused above a quarter more, since sockets, plastic and the
/// winding were sized for the old one (common practice, no source).
///
/// # Errors
/// Values that are not above zero.
pub fn replacement_sum(
    called: (Volts, Amperes),
    offered: (Volts, Amperes),
    at: Option<Volts>,
) -> Result<Sum, SumError> {
    let called = (positive("rated", called.0.abs())?, positive("current", called.1)?);
    let offered = (positive("offered", offered.0.abs())?, positive("offered-current", offered.1)?);
    let at = positive("at", at.unwrap_or(called.0).abs())?;
    let flows = (current_at(called.0, called.1, at), current_at(offered.0, offered.1, at));
    let power = (at * flows.0, at * flows.1);
    let (old, new) = (at / called.0, at / offered.0);
    Ok(Sum::new(&REPLACEMENT_ENTRY, fact!("sums.source.lamp-replacement"))
        .given_as(Amount::words("called-for", Value::figure(format!("{} {}", called.0, called.1))))
        .given_as(Amount::words("offered", Value::figure(format!("{} {}", offered.0, offered.1))))
        .given("at", at)
        .answer_by(
            "I × (V / Vn)^0.55",
            format!("{} × ({at} / {})^0.55", called.1, called.0),
            Amount::of("current-called-for", flows.0),
        )
        .answer_by(
            "I × (V / Vn)^0.55",
            format!("{} × ({at} / {})^0.55", offered.1, offered.0),
            Amount::of("current-offered", flows.1),
        )
        .answer_by("V × I", format!("{at} × {}", flows.0), Amount::of("power-called-for", power.0))
        .answer_by("V × I", format!("{at} × {}", flows.1), Amount::of("power-offered", power.1))
        .answer_by(
            "(V / Vn)^−12",
            format!("({at} / {})^−12", offered.0),
            Amount::number("life-of-the-lamp-offered", new.powi(-12), "×"),
        )
        .judged(judge(power.1 / power.0, light(called, offered, at), (old, new)))
        .caution(fact!("sums.caution.limiting-lamp")))
}

fn times(ratio: f64) -> Value {
    Value::figure(format!("{ratio:.2}"))
}

/// Light of the lamp offered as a share of that of the lamp called for, at the volts of the socket. Each gives light as
/// V^3.4 of its own rated volts; at those, light goes with power (a rough rule: long-lived types give less).
fn light(called: (Volts, Amperes), offered: (Volts, Amperes), at: Volts) -> f64 {
    let given = |(volts, amperes): (Volts, Amperes)| (volts * amperes).value() * (at / volts).powf(3.4);
    given(offered) / given(called)
}

/// A lamp fits whose power is within a tenth and whose light is within a quarter.
fn judge(power_ratio: f64, light_ratio: f64, (old, new): (f64, f64)) -> Judgement {
    let mut judgement = Judgement::default();
    if power_ratio > 1.25 {
        judgement.add(Verdict::Refused, fact!("sums.reason.power-far-more", times = times(power_ratio)));
    } else if power_ratio > 1.1 {
        judgement.add(Verdict::WithCare, fact!("sums.reason.power-more", times = times(power_ratio)));
    } else if power_ratio < 0.9 {
        judgement.add(Verdict::WithCare, fact!("sums.reason.power-less", times = times(power_ratio)));
    } else {
        judgement.add(Verdict::Accepted, fact!("sums.reason.power-same"));
    }
    if !(0.8..=1.25).contains(&light_ratio) {
        let percent = Value::figure(crate::spec::units::significant(100.0 * light_ratio, 2));
        judgement.add(Verdict::WithCare, fact!("sums.reason.light", percent = percent));
    }
    if new > 1.15 {
        judgement.add(Verdict::Refused, fact!("sums.reason.volts-far-more", times = times(new)));
    } else if new > old * 1.05 && new > 1.05 {
        judgement.add(Verdict::WithCare, fact!("sums.reason.volts-more", times = times(new)));
    }
    judgement
}
