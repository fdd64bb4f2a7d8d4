//! Sequences, and what refers to them: expectations, notes, fault weights.

use std::collections::HashMap;

use super::builder::Builder;
use crate::machine::model::{
    Expectation, FaultOverride, Note, NoteSubject, PartId, PartKind, Selector, Sequence, SequenceId, Setting,
    TestPoint, TestPointId, Toleranced,
};
use crate::spec::diagnostic::Place;
use crate::spec::format::{Document, ExpectSection, SequenceSection};
use crate::spec::kind::Kind;
use crate::spec::range;
use crate::spec::units::Volts;
use crate::spec::values::Located;

/// All sequences in ascending number, each with what it refers to.
pub(super) fn sequences(builder: &mut Builder<'_>, document: &Document) -> Vec<Sequence> {
    let mut sections: Vec<&SequenceSection> = document.sequence.iter().collect();
    sections.sort_by_key(|section| section.number);
    sections.dedup_by_key(|section| section.number);
    let numbers: Vec<i64> = sections.iter().map(|section| section.number).collect();
    let sequences: Vec<Sequence> = sections.iter().map(|section| sequence(builder, section, &numbers)).collect();
    check_after(builder, &sequences, &sections);
    sequences
}

fn sequence(builder: &mut Builder<'_>, section: &SequenceSection, numbers: &[i64]) -> Sequence {
    let after = section.after.as_ref().and_then(|after| numbered(builder, after, numbers));
    Sequence {
        number: section.number,
        title: section.title.clone(),
        after,
        setting: setting(builder, &section.set),
        pulled_in: parts(builder, section.pulled_in.iter().flatten(), is_relay, "a relay"),
        states_pulled_in: section.pulled_in.is_some(),
        acts: parts(builder, &section.acts, acts, "a coil, motor, lamp or loudspeaker"),
        symptom: section.symptom.clone(),
        note: section.note.clone(),
        source: section.source.clone(),
        place: section.written,
    }
}

fn is_relay(kind: &PartKind) -> bool {
    matches!(kind, PartKind::Relay(_))
}

fn acts(kind: &PartKind) -> bool {
    matches!(
        kind,
        PartKind::Relay(_) | PartKind::Solenoid(_) | PartKind::Motor(_) | PartKind::Lamp(_) | PartKind::Speaker(_)
    )
}

/// The sequence of this number, or a message.
fn numbered(builder: &mut Builder<'_>, number: &Located<i64>, numbers: &[i64]) -> Option<SequenceId> {
    let found = numbers.iter().position(|known| *known == number.value);
    if found.is_none() {
        let nearest = numbers.iter().copied().min_by_key(|known| known.abs_diff(number.value));
        builder.error(Kind::UnknownSequence { number: number.value, nearest }, number.place);
    }
    found.map(SequenceId)
}

/// A circle of `after` is reported once, from where it is met first. Each sequence has one before it at most, so every
/// chain is followed once: until it ends, meets a chain that was followed before, or comes back to itself.
fn check_after(builder: &mut Builder<'_>, sequences: &[Sequence], sections: &[&SequenceSection]) {
    let mut followed_from: Vec<Option<usize>> = vec![None; sequences.len()];
    for start in 0..sequences.len() {
        let mut step = Some(SequenceId(start));
        while let Some(SequenceId(here)) = step {
            if let Some(earlier) = followed_from[here] {
                if earlier == start {
                    report_circle(builder, sequences, sections, here);
                }
                break;
            }
            followed_from[here] = Some(start);
            step = sequences[here].after;
        }
    }
}

fn report_circle(builder: &mut Builder<'_>, sequences: &[Sequence], sections: &[&SequenceSection], start: usize) {
    let mut numbers = vec![sequences[start].number];
    let mut step = sequences[start].after;
    while let Some(SequenceId(here)) = step {
        numbers.push(sequences[here].number);
        step = sequences[here].after.filter(|_| here != start);
    }
    let at = sections[start].after.as_ref().map_or(sections[start].written, |after| after.place);
    builder.error(Kind::AfterLoop { numbers }, at);
}

/// The names of a list, ranges spread out.
fn names(builder: &mut Builder<'_>, text: &Located<String>) -> Vec<String> {
    match range::expand(&text.value) {
        None => vec![text.value.trim().to_string()],
        Some(Ok(names)) => names,
        Some(Err(problem)) => {
            builder.error(Kind::BadRange { text: text.value.clone(), problem }, text.place);
            Vec::new()
        }
    }
}

/// The parts of a list, all of a wanted kind.
fn parts<'t>(
    builder: &mut Builder<'_>,
    texts: impl IntoIterator<Item = &'t Located<String>>,
    wanted: fn(&PartKind) -> bool,
    expected: &'static str,
) -> Vec<PartId> {
    let mut found = Vec::new();
    for text in texts {
        for name in names(builder, text) {
            // A relay's second coil is called as in routes: `K2:B1-B2`. What acts is the relay.
            let relay = name.strip_suffix(RESET_COIL).filter(|relay| has_reset_coil(builder, relay));
            let Some(part) = find_part(builder, relay.unwrap_or(&name), text.place) else {
                continue;
            };
            let kind = &builder.parts[part.0].kind;
            if !wanted(kind) {
                let kind = Kind::WrongPart { id: name, what: kind.name(), expected };
                builder.error(kind, text.place);
            } else if !found.contains(&part) {
                found.push(part);
            }
        }
    }
    found
}

/// How the second coil of a latching relay is told from the first.
const RESET_COIL: &str = ":B1-B2";

fn has_reset_coil(builder: &Builder<'_>, name: &str) -> bool {
    let part = builder.part_named(name);
    part.is_some_and(|part| matches!(&builder.parts[part.0].kind, PartKind::Relay(relay) if relay.reset.is_some()))
}

fn find_part(builder: &mut Builder<'_>, name: &str, at: Place) -> Option<PartId> {
    let part = builder.part_named(name);
    if part.is_none() {
        let nearest = builder.nearest_part(name);
        builder.error(Kind::UnknownPart { name: name.into(), nearest }, at);
    }
    part
}

/// How switches, cams and selectors are set.
fn setting(builder: &mut Builder<'_>, texts: &[Located<String>]) -> Setting {
    let mut setting = Setting::default();
    for text in texts {
        if let Some((id, position)) = text.value.split_once('=') {
            set_selector(builder, &mut setting, id.trim(), position.trim(), text.place);
            continue;
        }
        for name in names(builder, text) {
            let Some(part) = find_part(builder, &name, text.place) else {
                continue;
            };
            match &builder.parts[part.0].kind {
                PartKind::Switch(_) | PartKind::Cam(_) => {
                    if !setting.operated.insert(part) {
                        builder.error(Kind::SetTwice { id: name }, text.place);
                    }
                }
                PartKind::Selector(selector) => {
                    let first = selector.rings.iter().filter_map(|(_, segments)| segments.first());
                    let example = format!("{name}={}", first.cloned().collect::<String>());
                    builder.error(Kind::SelectorWithoutPlace { id: name, example }, text.place);
                }
                other => {
                    let expected = "a switch, a cam or a selector with its place";
                    let kind = Kind::WrongPart { id: name, what: other.name(), expected };
                    builder.error(kind, text.place);
                }
            }
        }
    }
    setting
}

fn set_selector(builder: &mut Builder<'_>, setting: &mut Setting, id: &str, position: &str, at: Place) {
    let Some(part) = find_part(builder, id, at) else {
        return;
    };
    let PartKind::Selector(selector) = &builder.parts[part.0].kind else {
        let kind = Kind::WrongPart { id: id.into(), what: builder.noun(part), expected: "a selector before `=`" };
        builder.error(kind, at);
        return;
    };
    let ways = positions_of(selector, position);
    let [segments] = &ways[..] else {
        let kind = if ways.is_empty() {
            Kind::SelectorPosition { id: id.into(), found: position.into(), rings: rings(selector) }
        } else {
            Kind::AmbiguousPosition { id: id.into(), found: position.into() }
        };
        builder.error(kind, at);
        return;
    };
    let segments = segments.clone();
    if setting.positions.insert(part, segments).is_some() {
        builder.error(Kind::SetTwice { id: id.into() }, at);
    }
}

/// Every way in which a text such as `B2` or `B-2` names a segment of each ring. Rings come in their order; one may be left
/// out, but a way that leaves none out comes before those that do.
fn positions_of(selector: &Selector, text: &str) -> Vec<Vec<Option<usize>>> {
    let mut ways = fits(&selector.rings, text);
    ways.retain(|way| way.iter().any(Option::is_some));
    let whole = ways.iter().filter(|way| way.iter().all(Option::is_some)).count();
    if whole > 0 {
        ways.retain(|way| way.iter().all(Option::is_some));
    }
    ways
}

fn fits(rings: &[(String, Vec<String>)], text: &str) -> Vec<Vec<Option<usize>>> {
    let Some(((_, segments), others)) = rings.split_first() else {
        return if text.is_empty() { vec![Vec::new()] } else { Vec::new() };
    };
    let mut ways = Vec::new();
    for (index, segment) in segments.iter().enumerate() {
        let Some(after) = text.strip_prefix(segment.as_str()) else { continue };
        let more = fits(others, after.trim_start_matches(['-', ',', '/', ' ']));
        ways.extend(more.into_iter().map(|more| [vec![Some(index)], more].concat()));
    }
    ways.extend(fits(others, text).into_iter().map(|more| [vec![None], more].concat()));
    ways
}

fn rings(selector: &Selector) -> String {
    let ring = |(name, segments): &(String, Vec<String>)| match &segments[..] {
        [] => format!("an empty ring {name}"),
        [only] => format!("{name} {only}"),
        [first, .., last] => format!("{name} {first} to {last}"),
    };
    selector.rings.iter().map(ring).collect::<Vec<_>>().join(" and ")
}

/// What papers say that points read.
pub(super) fn expectations(
    builder: &mut Builder<'_>,
    document: &Document,
    points: &[TestPoint],
    sequences: &[Sequence],
) -> Vec<Expectation> {
    let numbers: Vec<i64> = sequences.iter().map(|sequence| sequence.number).collect();
    let points: HashMap<&str, TestPointId> =
        points.iter().enumerate().map(|(index, point)| (point.id.as_str(), TestPointId(index))).collect();
    document.expect.iter().filter_map(|section| expectation(builder, section, &points, &numbers)).collect()
}

fn expectation(
    builder: &mut Builder<'_>,
    section: &ExpectSection,
    points: &HashMap<&str, TestPointId>,
    numbers: &[i64],
) -> Option<Expectation> {
    let at = points.get(section.at.value.as_str()).copied();
    if at.is_none() {
        let nearest = builder.nearest_test_point(&section.at.value);
        builder.error(Kind::UnknownTestPoint { name: section.at.value.clone(), nearest }, section.at.place);
    }
    let sequence = numbered(builder, &section.sequence, numbers);
    let mut reads: Toleranced<Volts> = section.reads.volts.toleranced(0.0, crate::machine::model::Origin::Stated);
    if let Some(share) = section.tolerance {
        let spread = reads.nominal.abs() * share.value;
        (reads.low, reads.high) = (reads.nominal - spread, reads.nominal + spread);
    }
    Some(Expectation {
        at: at?,
        sequence: sequence?,
        reads,
        current: section.reads.current,
        source: section.source.clone(),
        place: section.written,
    })
}

/// Notes of their own and those of parts.
pub(super) fn notes(
    builder: &mut Builder<'_>,
    document: &Document,
    points: &[TestPoint],
    sequences: &[Sequence],
    part_notes: &[(PartId, String)],
) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::new();
    for section in &document.note {
        let about = section.about.as_ref().map(|about| subject(builder, about, points, sequences));
        if about != Some(None) {
            notes.push(Note { about: about.flatten(), text: section.text.clone() });
        }
    }
    notes.extend(
        part_notes.iter().map(|(part, text)| Note { about: Some(NoteSubject::Part(*part)), text: text.clone() }),
    );
    notes
}

fn subject(
    builder: &mut Builder<'_>,
    about: &Located<String>,
    points: &[TestPoint],
    sequences: &[Sequence],
) -> Option<NoteSubject> {
    let numbers: Vec<i64> = sequences.iter().map(|sequence| sequence.number).collect();
    let number = about.value.strip_prefix("sequence ").and_then(|number| number.trim().parse().ok());
    if let Some(number) = number {
        let number = Located { value: number, place: about.place };
        return numbered(builder, &number, &numbers).map(NoteSubject::Sequence);
    }
    if let Some(point) = points.iter().position(|point| point.id == about.value) {
        return Some(NoteSubject::TestPoint(TestPointId(point)));
    }
    if let Some(part) = builder.part_named(&about.value) {
        return Some(NoteSubject::Part(part));
    }
    let nearest = builder.nearest(&about.value);
    builder.error(Kind::UnknownName { name: about.value.clone(), nearest }, about.place);
    None
}

/// Fault weights and minutes that differ from the defaults.
pub(super) fn fault_overrides(builder: &mut Builder<'_>, document: &Document) -> Vec<FaultOverride> {
    let mut overrides = Vec::new();
    for section in &document.fault {
        let mut targets = vec![None];
        if let Some(part) = &section.part {
            let names = names(builder, part);
            targets = names.iter().filter_map(|name| find_part(builder, name, part.place)).map(Some).collect();
        }
        for part in targets {
            overrides.push(FaultOverride {
                part,
                kind: section.kind.map(|kind| kind.word().to_string()),
                weight: section.weight.map(|weight| weight.value),
                minutes: section.minutes.map(|minutes| minutes.0),
                place: section.written,
            });
        }
    }
    overrides
}
