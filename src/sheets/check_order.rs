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
use crate::words::{Fact, Value};

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
    /// Whether power must be on, where that changes.
    mode: Option<&'static str>,
    /// The cover to open, where that changes.
    door: Option<String>,
    check: String,
    end: String,
    /// Whether it ends at many places.
    #[serde(skip)]
    many: bool,
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
    for end in steps.iter_mut().flat_map(long_ends) {
        match counts.iter_mut().find(|(known, _)| known == end) {
            Some((_, count)) => *count += 1,
            None => counts.push((end.clone(), 1)),
        }
    }
    let named: Vec<String> = counts.into_iter().filter(|(_, count)| *count > 1).map(|(end, _)| end).collect();
    let number = |index: usize| (index + 1).to_string();
    for end in steps.iter_mut().flat_map(long_ends) {
        if let Some(index) = named.iter().position(|other| other == end) {
            *end = words.fill("checks.group", &[("number", &number(index))]);
        }
    }
    let told = |(index, places): (usize, &String)| {
        words.fill("checks.group-is", &[("number", &number(index)), ("places", places)])
    };
    named.iter().enumerate().map(told).collect()
}

/// All ends of a step that name many places.
fn long_ends(step: &mut StepText) -> impl Iterator<Item = &mut String> {
    let answers = step.answers.iter_mut().filter(|answer| answer.many).filter_map(|answer| answer.end.as_mut());
    step.list.iter_mut().filter(|item| item.many).map(|item| &mut item.end).chain(answers)
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
        list: item_texts(material, sequence, order, &step.list),
        answers: step.answers.iter().map(|answer| answer_text(material, sequence, step, answer)).collect(),
    }
}

/// Items of a list that say the same of several places.
struct Alike<'a> {
    /// The first of them.
    item: &'a ListItem,
    /// The check of all.
    check: Fact,
    /// What convicts a place, or how a good one measures.
    told: String,
    /// Where each ends at its own place.
    own: bool,
    mode: Mode,
    door: Option<usize>,
}

impl Alike<'_> {
    /// Takes another in where only the place differs.
    fn takes(&mut self, other: &Self) -> bool {
        let (Some(place), true) = (place_of(&other.check), self.own && other.own && self.says_as(other)) else {
            return false;
        };
        for (_, value) in self.check.values.iter_mut().filter(|(name, _)| *name == PLACE) {
            *value = match std::mem::replace(value, Value::All(Vec::new())) {
                Value::All(mut places) => {
                    places.push(place.clone());
                    Value::All(places)
                }
                one => Value::All(vec![one, place.clone()]),
            };
        }
        true
    }

    /// Whether both say the same beside the place.
    fn says_as(&self, other: &Self) -> bool {
        let beside = |one: &Self| -> Vec<(&'static str, Value)> {
            one.check.values.iter().filter(|(name, _)| *name != PLACE).cloned().collect()
        };
        (&self.told, self.mode, self.door) == (&other.told, other.mode, other.door)
            && self.check.key == other.check.key
            && beside(self) == beside(other)
    }
}

/// Name of the place in the patterns of checks.
const PLACE: &str = "part";

fn place_of(check: &Fact) -> Option<&Value> {
    check.values.iter().find(|(name, _)| *name == PLACE).map(|(_, place)| place)
}

/// The lines of a list: each check with what convicts a place; checks that differ in nothing but the place share a line.
fn item_texts(material: &Material<'_>, sequence: SequenceId, order: &Order, items: &[ListItem]) -> Vec<ItemText> {
    let mut groups: Vec<Alike> = Vec::new();
    for item in items {
        let one = alone(material, sequence, order, item);
        if !groups.last_mut().is_some_and(|last| last.takes(&one)) {
            groups.push(one);
        }
    }
    let mut stand = (None, groups.first().and_then(|first| first.door));
    groups
        .into_iter()
        .map(|group| {
            let mode = Some(mode(group.mode)).filter(|mode| stand.0 != Some(*mode) && group.mode != Mode::Either);
            let door = group.door.filter(|door| stand.1 != Some(*door)).and_then(|door| order.doors.get(door).cloned());
            stand = (mode.or(stand.0), group.door.or(stand.1));
            let convicts = &group.item.convicts;
            let end = if group.own { material.options.words.get("checks.here") } else { places(material, convicts) };
            let many = !group.own && convicts.len() >= MANY_PLACES;
            ItemText { mode, door, check: format!("{}{}", said(material, &group.check), group.told), end, many }
        })
        .collect()
}

/// One item of a list.
fn alone<'a>(material: &Material<'_>, sequence: SequenceId, order: &Order, item: &'a ListItem) -> Alike<'a> {
    let words = &material.options.words;
    let check = describe::check(material.machine, material.solution, sequence, item.kind);
    let seen = seen_text(material, sequence, item.kind, &item.seen);
    let told = match (&item.seen, &item.good) {
        (Seen::Bad, Some(good)) => {
            let span = span(material, sequence, item.kind, good);
            format!(" {}, {seen}", words.fill("checks.good-when", &[("span", &span)]))
        }
        (Seen::Bad, None) => format!(", {seen}"),
        _ => format!(": {seen}"),
    };
    let own = match (place_of(&check), &item.convicts[..]) {
        (Some(Value::Said(place)), [convicted]) => **place == *convicted,
        (Some(name @ Value::Name(_)), [convicted]) => convicted.values.iter().any(|(_, value)| value == name),
        _ => false,
    };
    let offer = &order.offers[item.check].check;
    Alike { item, told, own, mode: offer.mode, door: offer.door, check }
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

/// What is seen, in a few words.
fn seen_text(material: &Material<'_>, sequence: SequenceId, kind: CheckKind, seen: &Seen) -> String {
    let words = &material.options.words;
    match seen {
        Seen::Reads(bin) => span(material, sequence, kind, bin),
        Seen::Good => words.get("checks.good"),
        Seen::Bad => words.get("checks.bad"),
        Seen::Works => words.get("checks.works"),
        Seen::Fails => words.get("checks.fails"),
        Seen::NoneFound => words.get("checks.none-of-them"),
        Seen::AnythingElse => words.get("checks.anything-else"),
    }
}

fn answer_text(material: &Material<'_>, sequence: SequenceId, step: &Step, answer: &Answer) -> AnswerText {
    let words = &material.options.words;
    let when = seen_text(material, sequence, step.kind, &answer.seen);
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
