//! What `narrow` found, in words for the terminal.

use crate::fact;
use crate::faults::kinds::UsualCheck;
use crate::faults::narrow::{Doubt, Evidence, NarrowSuspect, Narrowing};
use crate::faults::order::CheckKind;
use crate::machine::model::Machine;
use crate::spec::units::{Minutes, Ohms, Unit, Volts};
use crate::words::{Fact, Value, Words};

/// Share from which a machine without a known fault is worth a line.
const NO_FAULT: f64 = 0.003;
/// Most suspects that are listed one by one; the report in JSON has all.
const MOST_LINES: usize = 15;
/// Most look-alikes that are named in one line.
const MOST_NAMED: usize = 8;

/// The answer in words.
pub(super) fn text(machine: &Machine, evidence: &Evidence, narrowing: &Narrowing, words: &Words) -> String {
    let mut lines = vec![words.say(&assumed(machine, evidence))];
    lines.extend(narrowing.doubts.iter().map(|doubt| words.say(&doubted(doubt, evidence))));
    if narrowing.unexplained {
        lines.push(words.get("narrow.unexplained"));
    }
    if narrowing.sequences_disagree {
        lines.push(words.get("narrow.sequences-disagree"));
    }
    lines.push(String::new());
    lines.extend(table(narrowing, words));
    lines.extend(alike(narrowing, words));
    if narrowing.undecided {
        lines.extend([String::new(), words.get("narrow.undecided")]);
    }
    lines.push(String::new());
    lines.push(next(machine, narrowing, words));
    lines.join("\n") + "\n"
}

/// The next check, with the sequence in which it is made where it matters.
fn next(machine: &Machine, narrowing: &Narrowing, words: &Words) -> String {
    let Some(next) = &narrowing.next else { return words.get("narrow.nothing-more") };
    let sequence = machine.sequence_numbered(next.sequence).filter(|_| is_made_in_sequence(next.kind));
    let (minutes, expected) = (Minutes::new(next.minutes), Minutes::new(next.expected_minutes));
    words.say(&match sequence {
        Some(id) => fact!(
            "narrow.next-in-sequence",
            number = next.sequence,
            title = &machine.sequences[id.0].title,
            check = next.text.clone(),
            minutes = minutes,
            expected = expected,
        ),
        None => fact!("narrow.next", check = next.text.clone(), minutes = minutes, expected = expected),
    })
}

/// Whether the machine must stand in the sequence for a check; one that is tried names its own.
fn is_made_in_sequence(kind: CheckKind) -> bool {
    match kind {
        CheckKind::Volts(_)
        | CheckKind::SupplyVolts(_)
        | CheckKind::Drop(_)
        | CheckKind::Amps(_)
        | CheckKind::Swap(..) => true,
        CheckKind::Usual(_, usual) => usual == UsualCheck::SupplyVolts,
        CheckKind::Try(_) => false,
    }
}

fn assumed(machine: &Machine, evidence: &Evidence) -> Fact {
    match evidence.sequence {
        Some(sequence) => {
            let sequence = &machine.sequences[sequence.0];
            fact!("narrow.assumed-sequence", number = sequence.number, title = &sequence.title)
        }
        None => fact!("narrow.assumed"),
    }
}

/// Shares and suspects, line by line.
fn table(narrowing: &Narrowing, words: &Words) -> Vec<String> {
    let head = (words.get("narrow.share"), words.get("narrow.suspect"));
    let rows = narrowing.suspects.iter().map(|one| (percent(one.share, words), suspect(one, words)));
    let none =
        (narrowing.no_fault > NO_FAULT).then(|| (percent(narrowing.no_fault, words), words.get("narrow.no-fault")));
    let rows: Vec<(String, String)> = std::iter::once(head).chain(rows.take(MOST_LINES)).chain(none).collect();
    let width = rows.iter().map(|(share, _)| share.chars().count()).max().unwrap_or(0);
    let mut lines: Vec<String> = rows.into_iter().map(|(share, what)| format!("{share:>width$}  {what}")).collect();
    if let Some(others) = narrowing.suspects.get(MOST_LINES..).filter(|others| !others.is_empty()) {
        let share = percent(others.iter().map(|one| one.share).sum(), words);
        lines.push(words.say(&fact!("narrow.others", count = others.len(), share = share)));
    }
    lines
}

/// Each group of suspects that what was read and seen cannot tell apart, as one line.
fn alike(narrowing: &Narrowing, words: &Words) -> Vec<String> {
    let last = narrowing.suspects.iter().map(|one| one.group).max().unwrap_or(0);
    let members = |group: usize| -> Vec<String> {
        narrowing.suspects.iter().filter(|one| one.group == group).map(|one| words.say(&one.place)).collect()
    };
    let several = (1..=last).map(members).filter(|places| places.len() > 1);
    let lines: Vec<String> = several.map(|places| one_group(&places, words)).collect();
    if lines.is_empty() { lines } else { std::iter::once(String::new()).chain(lines).collect() }
}

fn one_group(places: &[String], words: &Words) -> String {
    let named = places[..places.len().min(MOST_NAMED)].join(", ");
    match places.len() - places.len().min(MOST_NAMED) {
        0 => words.fill("narrow.alike", &[("places", &named)]),
        more => words.say(&fact!("narrow.alike-more", places = named, count = more)),
    }
}

fn percent(share: f64, words: &Words) -> String {
    words.fill("narrow.percent", &[("share", &words.numerals.fixed(100.0 * share, 1))])
}

/// A suspect with the ohms it adds and where it sits; the place is left out where the fault names it.
fn suspect(suspect: &NarrowSuspect, words: &Words) -> String {
    let (place, mut text) = (words.say(&suspect.place), words.say(&suspect.fault));
    if !text.starts_with(&place) {
        text = words.fill("narrow.at-place", &[("place", &place), ("fault", &text)]);
    }
    if let Some(added) = suspect.added {
        let span = words.numerals.quantity_span(Ohms::new(added.low), Ohms::new(added.high));
        text = words.fill("narrow.with-ohms", &[("fault", &text), ("ohms", &span)]);
    }
    match &suspect.location {
        Some(location) => words.fill("narrow.with-location", &[("fault", &text), ("location", location)]),
        None => text,
    }
}

fn doubted(doubt: &Doubt, evidence: &Evidence) -> Fact {
    let is_ohms = evidence.ohms.iter().any(|read| read.name == doubt.at);
    let say = |value: f64| if is_ohms { shown(Ohms::new(value)) } else { shown(Volts::new(value)) };
    let no_continuity = || Value::from(fact!("narrow.no-continuity"));
    let reads = doubt.reads.map_or_else(no_continuity, say);
    let expected = if is_ohms && doubt.expected > 1e6 { no_continuity() } else { say(doubt.expected) };
    fact!("narrow.doubt", at = &doubt.at, reads = reads, expected = expected)
}

fn shown<U: Unit>(quantity: U) -> Value {
    quantity.into()
}
