//! The order of checks in words for paper: each step with its question, its minutes, and where every answer leads.
//!
//! The fault room decides what is checked and when; this only says it, in the language and with the numerals of the page.

use serde::Serialize;

use super::Material;
use super::common;
use crate::faults::findings::{Search, SequenceFindings};
use crate::faults::kinds::UsualCheck;
use crate::faults::order::{Answer, Bin, CheckKind, Level, Next, Order, Step};
use crate::faults::search::Mode;
use crate::machine::model::{Current, ElementId, SequenceId, TestPointId};

/// The order of a sequence, ready for the page.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OrderText {
    minutes: String,
    /// Minutes of going along the path, part after part.
    walk: String,
    exact: bool,
    bound: String,
    steps: Vec<StepText>,
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
}

/// Puts the search of a sequence into words; none where nobody is suspected.
#[must_use]
pub fn order_text(material: &Material<'_>, findings: &SequenceFindings) -> Option<OrderText> {
    let (search, order) = (findings.search.as_ref()?, findings.order.as_ref()?);
    let numerals = material.options.words.numerals;
    Some(OrderText {
        minutes: numerals.fixed(search.minutes, 1),
        walk: numerals.fixed(search.baselines.along_the_path, 1),
        exact: search.optimal,
        bound: numerals.fixed(search.bound, 1),
        steps: steps(material, findings.sequence, search, order),
    })
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
        check: if listed { words.get("checks.one-after-another") } else { check(material, sequence, step.kind) },
        expect: if listed { None } else { question(material, step) },
        mode: if listed { "list" } else { mode(offer.check.mode) },
        minutes: words.numerals.fixed(minutes, usize::from(minutes.fract().abs() > 0.05)),
        door: offer.check.door.and_then(|door| order.doors.get(door).cloned()),
        list: step
            .list
            .iter()
            .map(|item| ItemText {
                check: check(material, sequence, item.kind).trim_end_matches(':').to_string(),
                end: places(material, &item.convicts),
            })
            .collect(),
        answers: step.answers.iter().map(|answer| answer_text(material, step, answer)).collect(),
    }
}

/// Whether power is on for a check.
fn mode(mode: Mode) -> &'static str {
    match mode {
        Mode::Live => "live",
        Mode::Dead => "dead",
        Mode::Either => "either",
    }
}

/// A check in a few words.
#[must_use]
pub fn check(material: &Material<'_>, sequence: SequenceId, kind: CheckKind) -> String {
    let machine = material.machine;
    let words = &material.options.words;
    let about = |key: &str, name: &str| words.fill(key, &[("part", name)]);
    match kind {
        CheckKind::Volts(point) => volts_check(material, sequence, point),
        CheckKind::SupplyVolts(part) => about("checks.supply-volts", &machine.part(part).id),
        CheckKind::Drop(element) => about("checks.drop", &element_name(material, element)),
        CheckKind::Amps(part) => about("checks.amps", &machine.part(part).id),
        CheckKind::Usual(site, usual) => about(usual_key(usual), &place(&site.label(machine))),
        CheckKind::Swap(part, twin) => {
            let (part, twin) = (&machine.part(part).id, &machine.part(twin).id);
            words.fill("checks.swap", &[("part", part), ("twin", twin)])
        }
        CheckKind::Try(sequence) => {
            let other = &machine.sequences[sequence.0];
            let number = other.number.to_string();
            words.fill("checks.try", &[("number", &number), ("title", &other.title)])
        }
    }
}

/// Key of the words for a usual check.
#[must_use]
pub fn usual_key(usual: UsualCheck) -> &'static str {
    match usual {
        UsualCheck::Drop => "checks.look-contact",
        UsualCheck::OhmsLifted => "checks.ohms-lifted",
        UsualCheck::FuseOut => "checks.fuse-out",
        UsualCheck::Continuity => "checks.continuity",
        UsualCheck::DiodeTest => "checks.diode-test",
        UsualCheck::ByHand => "checks.by-hand",
        UsualCheck::TurnByHand => "checks.turn-by-hand",
        UsualCheck::SupplyVolts => "checks.supply-volts",
        UsualCheck::Look => "checks.look",
    }
}

fn volts_check(material: &Material<'_>, sequence: SequenceId, point: TestPointId) -> String {
    let machine = material.machine;
    let test_point = &machine.test_points[point.0];
    let readings = &material.solution.sequence(sequence).readings;
    let quantity = readings.iter().find(|reading| reading.at == point).map_or(Current::Direct, |read| read.quantity);
    let black = common::joint_name(machine, test_point.reference);
    material
        .options
        .words
        .fill("checks.volts", &[("point", &test_point.id), ("black", &black), ("current", common::current(quantity))])
}

/// Name of an element, a bank in series by the name of its group.
fn element_name(material: &Material<'_>, id: ElementId) -> String {
    let machine = material.machine;
    let element = machine.element(id);
    if machine.bank(id).len() > 1 { common::group_name(machine.part(element.part)) } else { element.name.clone() }
}

/// What is asked of a step with two answers.
fn question(material: &Material<'_>, step: &Step) -> Option<String> {
    let asks = step.asks.as_ref()?;
    let words = &material.options.words;
    let (key, text) = match (asks.level, step.kind) {
        (Level::Nothing, CheckKind::Drop(_)) => ("checks.ask-nothing", String::new()),
        (_, kind) => ("checks.ask", span(material, kind, asks)),
    };
    Some(words.fill(key, &[("span", &text)]))
}

/// A span of readings in the unit of the check.
fn span(material: &Material<'_>, kind: CheckKind, bin: &Bin) -> String {
    let words = &material.options.words;
    let numerals = words.numerals;
    let (number, unit): (Box<dyn Fn(f64) -> String>, &str) = match kind {
        CheckKind::Amps(_) => (Box::new(move |amps: f64| numerals.milliamps(amps)), "mA"),
        CheckKind::Drop(_) => (Box::new(move |volts: f64| numerals.drop_volts(volts)), "V"),
        CheckKind::Usual(..) => (Box::new(move |ohms: f64| numerals.ohms(ohms)), "Ω"),
        _ => (Box::new(move |volts: f64| numerals.volts(volts)), "V"),
    };
    if bin.level == Level::Nothing {
        return words.get("checks.nothing");
    }
    match (bin.low.is_finite(), bin.high.is_finite()) {
        (true, true) if number(bin.low) == number(bin.high) => format!("{} {unit}", number(bin.low)),
        (true, true) => format!("{} {unit}", crate::words::figures::span(&number(bin.low), &number(bin.high))),
        (true, false) => words.fill("checks.over", &[("value", &format!("{} {unit}", number(bin.low)))]),
        (false, true) => words.fill("checks.under", &[("value", &format!("{} {unit}", number(bin.high)))]),
        (false, false) => words.get("checks.anything"),
    }
}

fn answer_text(material: &Material<'_>, step: &Step, answer: &Answer) -> AnswerText {
    let words = &material.options.words;
    let when = match (answer.yes, &answer.reads) {
        _ if !step.list.is_empty() => words.get("checks.none-of-them"),
        (Some(true), _) => words.get("checks.yes"),
        (Some(false), _) => words.get("checks.no"),
        (None, Some(bin)) => span(material, step.kind, bin),
        (None, None) => words.get("checks.then"),
    };
    match &answer.next {
        Next::Step(number) => AnswerText { when, go: Some(number.to_string()), end: None },
        Next::Found(found) => AnswerText { when, go: None, end: Some(places(material, found)) },
    }
}

/// Places as one answer.
#[must_use]
pub fn places(material: &Material<'_>, places: &[String]) -> String {
    let names: Vec<String> = places.iter().map(|name| place(name)).collect();
    material.options.words.one_of(&names)
}

/// A place with the dots of a series group as paper writes them.
fn place(name: &str) -> String {
    name.replace("..", "…")
}

/// The name of a suspect's place and its share: `S10…S17 (62 %)`.
#[must_use]
pub fn suspect(material: &Material<'_>, name: &str, share: f64) -> String {
    format!("{} ({} %)", place(name), material.options.words.numerals.fixed(share * 100.0, 0))
}
