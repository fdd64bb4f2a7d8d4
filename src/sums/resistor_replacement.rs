//! What may replace a resistor: the nearest preferred value, or two of them together, and the rating its heat asks for.

use super::entry::{Entry, Input, SumError, positive};
use super::sum::{Amount, Judgement, Sum, Verdict};
use super::tables::{e_series::Series, ratings};
use crate::fact;
use crate::spec::units::{Ohms, Watts, significant};
use crate::words::Value;

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "resistor-replacement",
    inputs: &[
        Input::required("value", "resistance", "the resistor called for"),
        Input::preset("tolerance", "per cent", "10", "how far off it may be"),
        Input::optional("heat", "power", "heat in it in use"),
        Input::optional("rated", "power", "power rating called for"),
    ],
    example: "value=160ohm heat=4W rated=10W",
    compute: |given| {
        sum(given.quantity("value")?, given.number("tolerance", "%")?, given.maybe("heat")?, given.maybe("rated")?)
    },
};

/// How two preferred values are joined to come near a value between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// One of the two.
    pub one: Ohms,
    /// The other.
    pub other: Ohms,
    /// Whether they are in series; else in parallel.
    pub in_series: bool,
    /// What they come to.
    pub total: Ohms,
}

/// The two E12 resistors that come nearest; equal ones win a tie, since they share the heat evenly.
#[must_use]
pub fn nearest_pair(wanted: Ohms) -> Option<Pair> {
    let value = wanted.value();
    if !(value.is_finite() && value > 0.0) {
        return None;
    }
    let members = |from: f64, to: f64| {
        let mut list = Vec::new();
        let mut next = Series::E12.at_least(from);
        while let Some(member) = next.filter(|member| *member <= to) {
            list.push(member);
            next = Series::E12.at_least(member * 1.01);
        }
        list
    };
    let series = pairs(&members(value / 20.0, value), value, true);
    let parallel = pairs(&members(value, value * 20.0), value, false);
    series.into_iter().chain(parallel).min_by(|one, other| {
        let rank = |pair: &Pair| ((pair.total / wanted - 1.0).abs() * 1e6).round();
        rank(one).total_cmp(&rank(other)).then_with(|| {
            let spread = |pair: &Pair| (pair.one / pair.other).ln().abs();
            spread(one).total_cmp(&spread(other))
        })
    })
}

fn pairs(members: &[f64], wanted: f64, in_series: bool) -> Option<Pair> {
    let mut best: Option<(f64, Pair)> = None;
    for (index, one) in members.iter().enumerate() {
        for other in &members[index..] {
            let total = if in_series { one + other } else { one * other / (one + other) };
            let pair = Pair { one: Ohms::new(*one), other: Ohms::new(*other), in_series, total: Ohms::new(total) };
            let off = ((total / wanted - 1.0).abs() * 1e6).round() + (other / one).ln() * 1e-3;
            if best.is_none_or(|(least, _)| off < least) {
                best = Some((off, pair));
            }
        }
    }
    best.map(|(_, pair)| pair)
}

/// The sum. The rating asked for is the larger of the one called for and twice the heat.
///
/// # Errors
/// A resistance, a power or a tolerance that is not above zero.
pub fn sum(value: Ohms, tolerance: f64, heat: Option<Watts>, rated: Option<Watts>) -> Result<Sum, SumError> {
    let value = positive("value", value)?;
    if !(tolerance > 0.0 && tolerance < 100.0) {
        return Err(SumError::Unsuitable {
            name: "tolerance".into(),
            found: format!("{tolerance} %"),
            expected: "between 0 and 100 %".into(),
        });
    }
    let mut judgement = Judgement::default();
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.resistor-replacement"))
        .given("value", value)
        .given_as(Amount::number("tolerance", tolerance, "%"));
    if let Some(nearest) = Series::E12.nearest(value.value()).map(Ohms::new) {
        let off = 100.0 * (nearest / value - 1.0);
        let verdict = if off.abs() <= tolerance { Verdict::Accepted } else { Verdict::Refused };
        judgement
            .add(verdict, fact!("sums.reason.off-by", nearest = nearest, percent = Value::figure(significant(off, 3))));
        sum = sum.answer(Amount::of("nearest-e12", nearest)).answer(Amount::number("off-by", off, "%"));
    }
    if let Some(pair) = nearest_pair(value) {
        let together = if pair.in_series {
            fact!("sums.in-series", one = pair.one, other = pair.other)
        } else {
            fact!("sums.in-parallel", one = pair.one, other = pair.other)
        };
        sum = sum.answer(Amount::words("two-e12-together", together)).answer(Amount::of("which-make", pair.total));
    }
    if let Some(rating) = rating_for(heat, rated)? {
        sum = sum.answer(Amount::of("rating-at-least", rating));
    }
    if let Some(heat) = heat {
        sum = sum.given("heat", heat);
    }
    if let Some(rated) = rated {
        sum = sum.given("rated", rated);
    }
    Ok(sum.judged(judgement).caution(fact!("sums.caution.wire-wound")))
}

/// The rating a replacement needs, if heat or the old rating is known.
fn rating_for(heat: Option<Watts>, rated: Option<Watts>) -> Result<Option<Watts>, SumError> {
    let by_heat = heat.map(|heat| positive("heat", heat)).transpose()?.and_then(ratings::resistor_power);
    let by_part = rated.map(|rated| positive("rated", rated)).transpose()?;
    Ok(match (by_heat, by_part) {
        (Some(heat), Some(part)) => Some(if heat > part { heat } else { part }),
        (one, other) => one.or(other),
    })
}
