//! The order of checks in words for paper: each step with its question, its minutes, and where every answer leads.
//!
//! The fault room decides what is checked and when; this only says it, in the language and with the numerals of the page.

use serde::Serialize;

use super::Material;
use crate::faults::describe;
use crate::faults::findings::{Search, SequenceFindings, Suspect};
use crate::faults::kinds::UsualCheck;
use crate::faults::order::{Answer, Bin, CheckKind, ListItem, Next, Order, Seen, Step};
use crate::faults::search::Mode;
use crate::machine::model::{Current, SequenceId};
use crate::words::Fact;

/// The order of a sequence, ready for the page.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OrderText {
    minutes: String,
    /// Minutes of going along the path, part after part.
    walk: String,
    exact: bool,
    /// What the order is worth where it is not proved quickest.
    bound: Option<String>,
    steps: Vec<StepText>,
    /// What the names of groups in the steps stand for.
    groups: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct StepText {
    number: String,
    check: String,
    expect: Option<String>,
    mode: &'static str,
    minutes: String,
    door: Option<String>,
    /// Places to look at one after another, each with what it then is.
    list: Vec<ItemText>,
    answers: Vec<AnswerText>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct ItemText {
    check: String,
    end: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct AnswerText {
    when: String,
    go: Option<String>,
    end: Option<String>,
    /// That the search ends without a find.
    lost: Option<String>,
    /// Whether it ends at many places.
    #[serde(skip)]
    many: bool,
}

/// Puts the search of a sequence into words; none where nobody is suspected, or no check on offer parts the suspects.
#[must_use]
pub fn order_text(material: &Material<'_>, findings: &SequenceFindings) -> Option<OrderText> {
    let (search, order) = (findings.search.as_ref()?, findings.order.as_ref()?);
    if search.steps.is_empty() {
        return None;
    }
    let numerals = material.options.words.numerals;
    let mut steps = steps(material, findings.sequence, search, order);
    let groups = name_groups(material, &mut steps);
    Some(OrderText {
        minutes: numerals.fixed(search.minutes, 1),
        walk: numerals.fixed(search.baselines.along_the_path, 1),
        exact: search.optimal,
        bound: (!search.optimal).then(|| {
            let bound = numerals.fixed(search.bound, 1);
            material.options.words.fill("signal-paths.order-bound", &[("bound", &bound)])
        }),
        steps,
        groups,
    })
}

/// Places from which on an answer is called by a name, if it occurs more than once.
const MANY_PLACES: usize = 4;

/// Gives answers of many places that return in an order a name, and says what each name stands for.
fn name_groups(material: &Material<'_>, steps: &mut [StepText]) -> Vec<String> {
    let words = &material.options.words;
    let mut counts: Vec<(String, usize)> = Vec::new();
    for end in
        steps.iter().flat_map(|step| &step.answers).filter(|answer| answer.many).filter_map(|one| one.end.as_ref())
    {
        match counts.iter_mut().find(|(known, _)| known == end) {
            Some((_, count)) => *count += 1,
            None => counts.push((end.clone(), 1)),
        }
    }
    let named: Vec<String> = counts.into_iter().filter(|(_, count)| *count > 1).map(|(end, _)| end).collect();
    let number = |index: usize| (index + 1).to_string();
    for answer in steps.iter_mut().flat_map(|step| &mut step.answers) {
        if let Some(index) = answer.end.as_ref().and_then(|end| named.iter().position(|other| other == end)) {
            answer.end = Some(words.fill("checks.group", &[("number", &number(index))]));
        }
    }
    let told = |(index, places): (usize, &String)| {
        words.fill("checks.group-is", &[("number", &number(index)), ("places", places)])
    };
    named.iter().enumerate().map(told).collect()
}

fn steps(material: &Material<'_>, sequence: SequenceId, search: &Search, order: &Order) -> Vec<StepText> {
    search.steps.iter().map(|step| step_text(material, sequence, order, step)).collect()
}

fn step_text(material: &Material<'_>, sequence: SequenceId, order: &Order, step: &Step) -> StepText {
    let words = &material.options.words;
    let offer = &order.offers[step.check];
    let listed = !step.list.is_empty();
    let minutes: f64 = if listed {
        step.list.iter().map(|item| order.offers[item.check].check.minutes).sum()
    } else {
        offer.check.minutes
    };
    StepText {
        number: step.number.to_string(),
        check: if listed {
            words.get("checks.one-after-another")
        } else {
            words.fill(leading(step.kind), &[("check", &check(material, sequence, step.kind))])
        },
        expect: if listed { None } else { good(material, sequence, step) },
        mode: if listed { "list" } else { mode(offer.check.mode) },
        minutes: words.numerals.fixed(minutes, usize::from(minutes.fract().abs() > 0.05)),
        door: offer.check.door.and_then(|door| order.doors.get(door).cloned()),
        list: step.list.iter().map(|item| item_text(material, sequence, item)).collect(),
        answers: step.answers.iter().map(|answer| answer_text(material, sequence, step, answer)).collect(),
    }
}

/// A place of a list: the check, and what convicts it where a meter does.
fn item_text(material: &Material<'_>, sequence: SequenceId, item: &ListItem) -> ItemText {
    let check = check(material, sequence, item.kind);
    let span = |bin: &Bin| span(material, sequence, item.kind, bin);
    let check = match (&item.bad, &item.good) {
        (Some(bad), _) => format!("{check}: {}", span(bad)),
        (None, Some(good)) => {
            format!("{check} {}", material.options.words.fill("checks.good-when", &[("span", &span(good))]))
        }
        (None, None) => check,
    };
    ItemText { check, end: places(material, &item.convicts) }
}

/// Whether power is on for a check.
fn mode(mode: Mode) -> &'static str {
    match mode {
        Mode::Live => "live",
        Mode::Dead => "dead",
        Mode::Either => "either",
    }
}

/// Key of the pattern for a check that leads to what it shows: what a meter shows stands behind a colon.
fn leading(kind: CheckKind) -> &'static str {
    match kind {
        CheckKind::Volts(_)
        | CheckKind::SupplyVolts(_)
        | CheckKind::Drop(_)
        | CheckKind::Amps(_)
        | CheckKind::Usual(_, UsualCheck::SupplyVolts) => "checks.measured",
        _ => "checks.done",
    }
}

/// A check in a few words.
#[must_use]
pub fn check(material: &Material<'_>, sequence: SequenceId, kind: CheckKind) -> String {
    let fact = describe::check(material.machine, material.solution, sequence, kind);
    place(&material.options.words.say(&fact))
}

/// What a good part measures, behind the check.
fn good(material: &Material<'_>, sequence: SequenceId, step: &Step) -> Option<String> {
    let good = step.good.as_ref()?;
    let span = span(material, sequence, step.kind, good);
    Some(material.options.words.fill("checks.good-when", &[("span", &span)]))
}

/// A span of readings in the unit of the check.
fn span(material: &Material<'_>, sequence: SequenceId, kind: CheckKind, bin: &Bin) -> String {
    let words = &material.options.words;
    let numerals = words.numerals;
    let (number, unit): (Box<dyn Fn(f64) -> String>, &str) = match kind {
        CheckKind::Amps(_) => (Box::new(move |amps: f64| numerals.milliamps(amps)), "mA"),
        CheckKind::Drop(_) => (Box::new(move |volts: f64| numerals.drop_volts(volts)), "V"),
        CheckKind::Usual(..) => (Box::new(move |ohms: f64| numerals.ohms(ohms)), "Ω"),
        _ => (Box::new(move |volts: f64| numerals.volts(volts)), "V"),
    };
    let value = |value: f64| format!("{} {unit}", number(value));
    let under = |key: &str, limit: f64| words.fill(key, &[("value", &value(limit))]);
    // Only volts of DC have a sign.
    let signed = matches!(kind, CheckKind::Volts(_) | CheckKind::SupplyVolts(_))
        && describe::current_of(material.machine, material.solution, sequence, kind) == Current::Direct;
    let low = if signed || bin.low > 0.0 { bin.low } else { f64::NEG_INFINITY };
    match (low.is_finite(), bin.high.is_finite()) {
        (true, true) if low < 0.0 && bin.high > 0.0 => under("checks.either-way", bin.high.max(-low)),
        (true, true) if number(low) == number(bin.high) => value(low),
        (true, true) => format!("{} {unit}", crate::words::figures::span(&number(low), &number(bin.high))),
        (true, false) => under("checks.over", low),
        (false, true) => under("checks.under", bin.high),
        (false, false) => words.get("checks.anything"),
    }
}

fn answer_text(material: &Material<'_>, sequence: SequenceId, step: &Step, answer: &Answer) -> AnswerText {
    let words = &material.options.words;
    let when = match &answer.seen {
        Seen::Reads(bin) => span(material, sequence, step.kind, bin),
        Seen::Good => words.get("checks.good"),
        Seen::Bad => words.get("checks.bad"),
        Seen::Works => words.get("checks.works"),
        Seen::Fails => words.get("checks.fails"),
        Seen::NoneFound => words.get("checks.none-of-them"),
        Seen::AnythingElse => words.get("checks.anything-else"),
    };
    let (go, end, lost) = match &answer.next {
        Next::Step(number) => (Some(number.to_string()), None, None),
        Next::Found(found) => (None, Some(places(material, found)), None),
        Next::NotFound => (None, None, Some(words.get("checks.not-found"))),
    };
    let many = matches!(&answer.next, Next::Found(found) if found.len() >= MANY_PLACES);
    AnswerText { when, go, end, lost, many }
}

/// Places as one answer.
#[must_use]
pub fn places(material: &Material<'_>, places: &[Fact]) -> String {
    let names: Vec<String> = places.iter().map(|fact| said(material, fact)).collect();
    material.options.words.one_of(&names)
}

/// A place or fault in words, the dots of a series group as paper writes them.
#[must_use]
pub fn said(material: &Material<'_>, fact: &Fact) -> String {
    place(&material.options.words.say(fact))
}

fn place(name: &str) -> String {
    name.replace("..", "…")
}

/// The name of a suspect's place and its share: `S10…S17 (62 %)`.
#[must_use]
pub fn suspect(material: &Material<'_>, suspect: &Suspect) -> String {
    let place = said(material, &suspect.place);
    let share = material.options.words.numerals.fixed(suspect.share * 100.0, 0);
    material.options.words.fill("signal-paths.suspect", &[("place", &place), ("share", &share)])
}
