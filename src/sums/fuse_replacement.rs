//! Whether one fuse may replace another: rating, speed, breaking capacity, voltage, body, and whose standard it follows.

use super::entry::{Entry, Given, Input, SumError, positive};
use super::fuse_load::{STANDARDS, standard_name};
use super::sum::{Amount, Judgement, Sum, Verdict};
use super::tables::fuses;
use crate::fact;
use crate::machine::model::FuseStandard;
use crate::spec::units::{Amperes, Volts, significant};
use crate::words::Value;

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "fuse-replacement",
    inputs: &[
        Input::required("rated", "current", "rating called for"),
        Input::optional("speed", "FF|F|M|T|TT", "speed called for"),
        Input::optional("breaking", "L|E|H", "breaking capacity called for"),
        Input::optional("voltage", "voltage", "rated voltage called for"),
        Input::optional("body", "such as 5x20", "body called for"),
        Input::preset("standard", "IEC|UL", "IEC", "standard called for"),
        Input::required("offered", "current", "rating of the fuse at hand"),
        Input::optional("offered-speed", "FF|F|M|T|TT", "its speed"),
        Input::optional("offered-breaking", "L|E|H", "its breaking capacity"),
        Input::optional("offered-voltage", "voltage", "its rated voltage"),
        Input::optional("offered-body", "such as 5x20", "its body"),
        Input::preset("offered-standard", "IEC|UL", "IEC", "its standard"),
    ],
    example: "rated=1.6A speed=T offered=10A offered-speed=F",
    compute: from_given,
};

/// What is printed on a fuse, as far as it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseMark {
    /// Rated current.
    pub rated: Amperes,
    /// Speed letter of IEC 60127.
    pub speed: Option<String>,
    /// Breaking-capacity letter.
    pub breaking: Option<String>,
    /// Rated voltage.
    pub voltage: Option<Volts>,
    /// Body, such as `5x20`.
    pub body: Option<String>,
    /// Whose opening times it follows.
    pub standard: FuseStandard,
}

impl FuseMark {
    /// The mark in words, such as `2 A T L 250 V 5x20`.
    #[must_use]
    pub fn words(&self) -> String {
        let mut words = vec![self.rated.to_string()];
        words.extend(self.speed.clone());
        words.extend(self.breaking.clone());
        words.extend(self.voltage.map(|volts| volts.to_string()));
        words.extend(self.body.clone());
        words.push(standard_name(self.standard).to_string());
        words.join(" ")
    }

    fn from_given(given: &Given, prefix: &str, rated: &str) -> Result<Self, SumError> {
        let text = |name: &str| given.text(&format!("{prefix}{name}")).map(str::to_string);
        Ok(Self {
            rated: positive(rated, given.quantity(rated)?)?,
            speed: text("speed"),
            breaking: text("breaking"),
            voltage: given.maybe(&format!("{prefix}voltage"))?,
            body: text("body"),
            standard: given.choice(&format!("{prefix}standard"), &STANDARDS)?,
        })
    }
}

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let called = FuseMark::from_given(given, "", "rated")?;
    let offered = FuseMark::from_given(given, "offered-", "offered")?;
    Ok(sum(&called, &offered))
}

/// The sum, with the currents between which each of the two surely carries and surely opens.
#[must_use]
pub fn sum(called: &FuseMark, offered: &FuseMark) -> Sum {
    let ratio = offered.rated / called.rated;
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.fuse-replacement"))
        .given_as(Amount::words("called-for", Value::figure(called.words())))
        .given_as(Amount::words("offered", Value::figure(offered.words())))
        .answer_by("I2 / I1", format!("{} / {}", offered.rated, called.rated), Amount::number("ratio", ratio, "×"));
    for (carries, opens, mark) in
        [("called-for-carries", "called-for-opens", called), ("offered-carries", "offered-opens", offered)]
    {
        let (carry, open) = (fuses::carries_multiple(mark.standard), fuses::opens_multiple(mark.standard));
        sum = sum
            .answer_by("In × k", format!("{} × {carry}", mark.rated), Amount::of(carries, mark.rated * carry))
            .answer_by("In × k", format!("{} × {open}", mark.rated), Amount::of(opens, mark.rated * open));
    }
    sum.judged(judge(called, offered)).caution(fact!("sums.caution.fuse-had-a-reason"))
}

/// Whether `offered` may go where `called` belongs.
#[must_use]
pub fn judge(called: &FuseMark, offered: &FuseMark) -> Judgement {
    let mut judgement = Judgement::default();
    judge_rating(&mut judgement, called.rated, offered.rated);
    judge_standard(&mut judgement, called, offered);
    judge_speed(&mut judgement, called.speed.as_deref(), offered.speed.as_deref());
    judge_breaking(&mut judgement, called, offered);
    judge_voltage(&mut judgement, called.voltage, offered.voltage);
    judge_body(&mut judgement, called.body.as_deref(), offered.body.as_deref());
    judgement
}

fn judge_rating(judgement: &mut Judgement, called: Amperes, offered: Amperes) {
    let ratio = offered / called;
    if ratio > 1.001 {
        judgement.add(
            Verdict::Refused,
            fact!(
                "sums.reason.fuse-larger",
                offered = offered,
                times = Value::figure(significant(ratio, 3)),
                called = called,
            ),
        );
    } else if ratio < 0.999 {
        judgement.add(Verdict::WithCare, fact!("sums.reason.fuse-smaller", offered = offered, called = called));
    } else {
        judgement.add(Verdict::Accepted, fact!("sums.reason.same-rating"));
    }
}

fn judge_standard(judgement: &mut Judgement, called: &FuseMark, offered: &FuseMark) {
    match (called.standard, offered.standard) {
        (FuseStandard::Iec, FuseStandard::Ul) => judgement.add(
            Verdict::WithCare,
            fact!(
                "sums.reason.fuse-ul-for-iec",
                opens = offered.rated * fuses::opens_multiple(offered.standard),
                carries = called.rated * fuses::carries_multiple(called.standard)
            ),
        ),
        (FuseStandard::Ul, FuseStandard::Iec) => judgement.add(
            Verdict::WithCare,
            fact!(
                "sums.reason.fuse-iec-for-ul",
                carries = offered.rated * fuses::carries_multiple(offered.standard),
                opens = called.rated * fuses::opens_multiple(called.standard)
            ),
        ),
        _ => {}
    }
}

fn judge_speed(judgement: &mut Judgement, called: Option<&str>, offered: Option<&str>) {
    let Some(called) = called else { return };
    let Some(offered) = offered else {
        return judgement.add(Verdict::WithCare, fact!("sums.reason.speed-not-known", called = called));
    };
    match (fuses::speed_rank(called), fuses::speed_rank(offered)) {
        (Some(want), Some(have)) if have > want => {
            judgement.add(
                Verdict::Refused,
                fact!("sums.reason.slower", offered = offered, speed = fuses::speed_words(offered), called = called),
            );
        }
        (Some(want), Some(have)) if have < want => {
            judgement.add(
                Verdict::WithCare,
                fact!("sums.reason.quicker", offered = offered, speed = fuses::speed_words(offered), called = called),
            );
        }
        (Some(_), Some(_)) => judgement.add(Verdict::Accepted, fact!("sums.reason.same-speed")),
        _ => judgement.add(Verdict::WithCare, fact!("sums.reason.speed-unknown", offered = offered, called = called)),
    }
}

fn judge_breaking(judgement: &mut Judgement, called: &FuseMark, offered: &FuseMark) {
    let capacity = |mark: &FuseMark| match (mark.breaking.as_deref(), mark.standard) {
        (Some(letter), _) => fuses::breaking_capacity(letter, mark.rated),
        (None, FuseStandard::Ul) => fuses::ul_interrupting(mark.rated),
        (None, FuseStandard::Iec) => None,
    };
    let Some(want) = capacity(called) else { return };
    match capacity(offered) {
        None => judgement.add(Verdict::WithCare, fact!("sums.reason.breaking-not-known", called = want)),
        Some(have) if have < want => {
            judgement.add(Verdict::Refused, fact!("sums.reason.breaks-less", has = have, called = want));
        }
        Some(have) => judgement.add(Verdict::Accepted, fact!("sums.reason.breaks-enough", has = have, called = want)),
    }
}

fn judge_voltage(judgement: &mut Judgement, called: Option<Volts>, offered: Option<Volts>) {
    let Some(called) = called else { return };
    match offered {
        None => judgement.add(Verdict::WithCare, fact!("sums.reason.voltage-not-known", called = called)),
        Some(offered) if offered < called => {
            judgement.add(Verdict::Refused, fact!("sums.reason.voltage-less", has = offered, called = called));
        }
        Some(offered) => {
            judgement.add(Verdict::Accepted, fact!("sums.reason.voltage-enough", has = offered, called = called));
        }
    }
}

/// The bodies as one spelling: 3AG is 1/4 × 1 1/4 inch, which the IEC calls 6.3 × 32 mm.
fn body(text: &str) -> String {
    let plain: String =
        text.to_lowercase().replace('×', "x").replace("mm", "").chars().filter(|c| !c.is_whitespace()).collect();
    match plain.as_str() {
        "3ag" | "6.3x32" | "6.35x31.75" | "6.35x32" | "1/4x11/4" | "1/4x1-1/4" => "6.3x32".into(),
        _ => plain,
    }
}

fn judge_body(judgement: &mut Judgement, called: Option<&str>, offered: Option<&str>) {
    if let (Some(called), Some(offered)) = (called, offered) {
        if body(called) == body(offered) {
            judgement.add(Verdict::Accepted, fact!("sums.reason.same-body"));
        } else {
            judgement.add(Verdict::Refused, fact!("sums.reason.other-body", offered = offered, called = called));
        }
    }
}
