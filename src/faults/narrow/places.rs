//! Places by the names that a person types.

use crate::machine::model::{ElementId, JointId, Machine};

use super::evidence::{OhmsAt, VoltsAt};
use super::evidence_error::EvidenceError;

/// Most names that are offered for a wrong one.
const MOST_NEAREST: usize = 3;

pub(super) fn volts_at(machine: &Machine, name: &str) -> Result<VoltsAt, EvidenceError> {
    let points = || machine.test_points.iter().map(|point| point.id.as_str());
    if let Some(point) = named(points, name) {
        return Ok(VoltsAt::Point(crate::machine::model::TestPointId(point)));
    }
    if let Some(joint) = joint_named(machine, name) {
        return Ok(VoltsAt::Joint(joint));
    }
    element(machine, name).map(VoltsAt::Across).ok_or_else(|| unknown(machine, name))
}

/// Ohms of a part, between two places, or from a test point to where its black lead goes.
pub(super) fn ohms_at(machine: &Machine, name: &str) -> Result<OhmsAt, EvidenceError> {
    if let Some(element) = element(machine, name) {
        return Ok(OhmsAt::Lifted(element));
    }
    if let Some((a, b)) = name.split_once('/') {
        return Ok(OhmsAt::Between(joint(machine, a.trim())?, joint(machine, b.trim())?));
    }
    match volts_at(machine, name)? {
        VoltsAt::Point(point) => {
            let point = &machine.test_points[point.0];
            Ok(OhmsAt::Between(point.joint, point.reference))
        }
        VoltsAt::Joint(joint) => Ok(OhmsAt::Between(joint, machine.reference)),
        VoltsAt::Across(element) => Ok(OhmsAt::Lifted(element)),
    }
}

/// The red and the black lead of a reading.
pub(super) fn leads(machine: &Machine, at: VoltsAt) -> (JointId, JointId) {
    match at {
        VoltsAt::Point(point) => (machine.test_points[point.0].joint, machine.test_points[point.0].reference),
        VoltsAt::Joint(joint) => (joint, machine.reference),
        VoltsAt::Across(element) => (machine.element(element).from, machine.element(element).to),
    }
}

fn joint(machine: &Machine, name: &str) -> Result<JointId, EvidenceError> {
    match volts_at(machine, name)? {
        VoltsAt::Point(point) => Ok(machine.test_points[point.0].joint),
        VoltsAt::Joint(joint) => Ok(joint),
        VoltsAt::Across(_) => Err(unknown(machine, name)),
    }
}

fn joint_named(machine: &Machine, name: &str) -> Option<JointId> {
    named(|| machine.joints.iter().map(|joint| joint.name.as_str()), name).map(JointId)
}

/// The place of a name in a list: just so, or, where only one comes into question, in other capitals.
fn named<'n, I: Iterator<Item = &'n str>>(names: impl Fn() -> I, wanted: &str) -> Option<usize> {
    names().position(|name| name == wanted).or_else(|| {
        let mut alike = names().enumerate().filter(|(_, name)| name.eq_ignore_ascii_case(wanted));
        alike.next().filter(|_| alike.next().is_none()).map(|(place, _)| place)
    })
}

/// An element by its own name, or the first of a part with this designator.
fn element(machine: &Machine, name: &str) -> Option<ElementId> {
    let own = named(|| machine.elements.iter().map(|element| element.name.as_str()), name).map(ElementId);
    own.or_else(|| {
        let part = named(|| machine.parts.iter().map(|part| part.id.as_str()), name)?;
        machine.parts[part].elements.first().copied()
    })
}

fn unknown(machine: &Machine, name: &str) -> EvidenceError {
    let points = machine.test_points.iter().map(|point| point.id.as_str());
    let joints = machine.joints.iter().filter(|joint| joint.named).map(|joint| joint.name.as_str());
    let parts = machine.parts.iter().map(|part| part.id.as_str());
    let elements = machine.elements.iter().map(|element| element.name.as_str());
    let mut nearest: Vec<(usize, &str)> = points
        .chain(joints)
        .chain(parts)
        .chain(elements)
        .map(|known| (strsim::damerau_levenshtein(&known.to_lowercase(), &name.to_lowercase()), known))
        .filter(|(distance, known)| *distance <= 1 + known.len() / 4)
        .collect();
    nearest.sort_unstable_by_key(|&(distance, known)| (distance, known.len(), known));
    nearest.dedup();
    nearest.truncate(MOST_NEAREST);
    EvidenceError::UnknownPlace {
        name: name.into(),
        nearest: nearest.into_iter().map(|(_, known)| known.to_string()).collect(),
        points: listed(machine.test_points.iter().map(|point| point.id.as_str())),
    }
}

/// Names in few words: those that are numbered without a gap as `TP1 to TP54`.
fn listed<'n>(names: impl Iterator<Item = &'n str>) -> String {
    let split = |name: &'n str| {
        let stem = name.trim_end_matches(|letter: char| letter.is_ascii_digit());
        (stem, name[stem.len()..].parse::<u64>().ok(), name)
    };
    let mut names: Vec<(&str, Option<u64>, &str)> = names.map(split).collect();
    names.sort_unstable();
    let follows = |a: &(&str, Option<u64>, &str), b: &(&str, Option<u64>, &str)| {
        a.0 == b.0 && a.1.zip(b.1).is_some_and(|(a, b)| b == a + 1)
    };
    let runs = names.chunk_by(follows).map(|run| match run {
        [one] => one.2.to_string(),
        [first, second] => format!("{}, {}", first.2, second.2),
        [first, .., last] => format!("{} to {}", first.2, last.2),
        [] => String::new(),
    });
    runs.collect::<Vec<_>>().join(", ")
}
