//! What a technician has found out, and everything that can be wrong with how it is told.

use std::fmt;

use crate::machine::model::{Current, ElementId, JointId, Machine, PartKind, SequenceId, TestPointId};
use crate::spec::quantity::{Measure, RESISTANCE, VOLTAGE};
use crate::spec::units::Volts;

/// Readings of one sequence, ohms with the power off, and sequences that were tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The sequence in which the volts were read.
    pub sequence: Option<SequenceId>,
    /// Volts.
    pub volts: Vec<VoltsRead>,
    /// Ohms.
    pub ohms: Vec<OhmsRead>,
    /// For each sequence whether it works, if it was tried.
    pub seen: Vec<Option<bool>>,
}

/// A reading of volts.
#[derive(Debug, Clone, PartialEq)]
pub struct VoltsRead {
    /// As it was named.
    pub name: String,
    /// Where.
    pub at: VoltsAt,
    /// The reading, with its sign for DC.
    pub volts: f64,
}

/// Where volts are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VoltsAt {
    /// At a test point, against its reference.
    Point(TestPointId),
    /// At a joint, against the machine's reference.
    Joint(JointId),
    /// Across an element; the sign does not count.
    Across(ElementId),
}

/// A reading of ohms, power off.
#[derive(Debug, Clone, PartialEq)]
pub struct OhmsRead {
    /// As it was named.
    pub name: String,
    /// Where.
    pub at: OhmsAt,
    /// The reading; none for no continuity.
    pub ohms: Option<f64>,
}

/// Where ohms are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OhmsAt {
    /// Across an element with one of its leads lifted.
    Lifted(ElementId),
    /// Between two joints, everything connected, all at rest.
    Between(JointId, JointId),
}

/// Why evidence cannot be used.
#[derive(Debug, Clone, PartialEq)]
pub enum EvidenceError {
    /// There is none.
    Nothing,
    /// Not of the form `WHERE=VALUE`.
    NotAPair {
        /// As written.
        text: String,
        /// How it could be.
        example: &'static str,
    },
    /// No test point, joint or part of this name.
    UnknownPlace {
        /// As written.
        name: String,
        /// The nearest known name.
        nearest: Option<String>,
    },
    /// The value cannot be read.
    BadValue {
        /// As written.
        text: String,
        /// What is wrong with it.
        why: String,
    },
    /// No supply of the machine gives so much.
    Impossible {
        /// Where.
        name: String,
        /// The reading.
        volts: f64,
        /// What cannot be exceeded.
        most: f64,
    },
    /// Ohms below zero.
    NegativeOhms(String),
    /// The same place twice with different values.
    Twice(String),
    /// No sequence of this number.
    UnknownSequence {
        /// As written.
        number: i64,
        /// Numbers that there are.
        known: Vec<i64>,
    },
    /// Volts without a sequence.
    NoSequence,
    /// A sequence is said both to work and to fail.
    WorksAndFails(i64),
}

impl fmt::Display for EvidenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EvidenceError::Nothing => write!(f, "there is no reading and no sequence to narrow by"),
            EvidenceError::NotAPair { text, example } => {
                write!(f, "expected a place and its reading such as `{example}`, found `{text}`")
            }
            EvidenceError::UnknownPlace { name, .. } => {
                write!(f, "there is no test point, joint, part or contact `{name}`")
            }
            EvidenceError::BadValue { text, why } => write!(f, "`{text}`: {why}"),
            EvidenceError::Impossible { name, volts, most } => write!(
                f,
                "`{name}` cannot read {}: all supplies together give no more than {}",
                Volts::new(*volts),
                Volts::new(*most)
            ),
            EvidenceError::NegativeOhms(text) => write!(f, "`{text}`: ohms cannot be below zero"),
            EvidenceError::Twice(name) => write!(f, "`{name}` is given twice with different readings"),
            EvidenceError::UnknownSequence { number, .. } => write!(f, "there is no sequence {number}"),
            EvidenceError::NoSequence => write!(f, "volts need the sequence in which they were read"),
            EvidenceError::WorksAndFails(number) => write!(f, "sequence {number} is said both to work and to fail"),
        }
    }
}

impl std::error::Error for EvidenceError {}

impl EvidenceError {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            EvidenceError::Nothing => {
                Some("add `--read TP4=-12.1`, `--ohms K2=118`, `--works 1,2`, or `--fails 5`".into())
            }
            EvidenceError::UnknownPlace { nearest: Some(nearest), .. } => Some(format!("did you mean `{nearest}`?")),
            EvidenceError::Impossible { .. } => Some("look at the meter's range and at the decimal point".into()),
            EvidenceError::UnknownSequence { known, .. } => {
                let known: Vec<String> = known.iter().map(i64::to_string).collect();
                Some(format!("sequences: {}", known.join(", ")))
            }
            EvidenceError::NoSequence => Some("add `--sequence NUMBER`".into()),
            EvidenceError::Twice(_) => Some("keep the reading that you trust".into()),
            _ => None,
        }
    }
}

impl Evidence {
    /// No evidence yet.
    #[must_use]
    pub fn none(machine: &Machine) -> Self {
        Self { sequence: None, volts: Vec::new(), ohms: Vec::new(), seen: vec![None; machine.sequences.len()] }
    }

    /// Says in which sequence the volts are read.
    ///
    /// # Errors
    /// An unknown number.
    pub fn in_sequence(&mut self, machine: &Machine, number: i64) -> Result<(), EvidenceError> {
        self.sequence = Some(sequence(machine, number)?);
        Ok(())
    }

    /// Says whether a sequence works.
    ///
    /// # Errors
    /// An unknown number, or the contrary said before.
    pub fn saw(&mut self, machine: &Machine, number: i64, works: bool) -> Result<(), EvidenceError> {
        let seen = &mut self.seen[sequence(machine, number)?.0];
        if *seen == Some(!works) {
            return Err(EvidenceError::WorksAndFails(number));
        }
        *seen = Some(works);
        Ok(())
    }

    /// Adds volts as typed, such as `TP4=-12.1`, `TP4=-12.1 V`, `K1:5-6=0.4 V`.
    ///
    /// # Errors
    /// Anything but a known place and a possible voltage.
    pub fn read_volts(&mut self, machine: &Machine, text: &str) -> Result<(), EvidenceError> {
        let (name, value) = pair(text, "TP4=-12.1 V")?;
        let at = volts_at(machine, name)?;
        let (volts, current) = scan(&VOLTAGE, value, text)?;
        let most = most_volts(machine);
        if volts.abs() > most {
            return Err(EvidenceError::Impossible { name: name.into(), volts, most });
        }
        let volts = if current == Some(Current::Alternating) { volts.abs() } else { volts };
        if let Some(before) = self.volts.iter().find(|read| read.at == at) {
            return if before.volts.total_cmp(&volts).is_eq() {
                Ok(())
            } else {
                Err(EvidenceError::Twice(name.into()))
            };
        }
        self.volts.push(VoltsRead { name: name.into(), at, volts });
        Ok(())
    }

    /// Adds ohms as typed, such as `K2=118`, `K2=4k7`, `F2=open`, `TP4/TP5=0.3 ohm`.
    ///
    /// # Errors
    /// Anything but a known place and possible ohms.
    pub fn read_ohms(&mut self, machine: &Machine, text: &str) -> Result<(), EvidenceError> {
        let (name, value) = pair(text, "K2=118 ohm")?;
        let at = ohms_at(machine, name)?;
        let no_continuity = ["open", "OL", "ol", "none", "infinite"].contains(&value);
        let ohms = if no_continuity { None } else { Some(scan(&RESISTANCE, value, text)?.0) };
        if ohms.is_some_and(|ohms| ohms < 0.0) {
            return Err(EvidenceError::NegativeOhms(text.into()));
        }
        if let Some(before) = self.ohms.iter().find(|read| read.at == at) {
            // The same reading told twice is still one reading.
            return if before.ohms == ohms { Ok(()) } else { Err(EvidenceError::Twice(name.into())) };
        }
        self.ohms.push(OhmsRead { name: name.into(), at, ohms });
        Ok(())
    }

    /// Whether it can be worked with; a sequence in which volts are read, and of which nothing else is said, fails if it
    /// has anything to do.
    ///
    /// # Errors
    /// Nothing at all, or volts without a sequence.
    pub fn finish(mut self, machine: &Machine) -> Result<Self, EvidenceError> {
        if self.volts.is_empty() && self.ohms.is_empty() && self.seen.iter().all(Option::is_none) {
            return Err(EvidenceError::Nothing);
        }
        match self.sequence {
            None if !self.volts.is_empty() => Err(EvidenceError::NoSequence),
            Some(sequence) => {
                if !machine.sequences[sequence.0].acts.is_empty() {
                    self.seen[sequence.0].get_or_insert(false);
                }
                Ok(self)
            }
            None => Ok(self),
        }
    }
}

fn sequence(machine: &Machine, number: i64) -> Result<SequenceId, EvidenceError> {
    machine.sequence_numbered(number).ok_or_else(|| EvidenceError::UnknownSequence {
        number,
        known: machine.sequences.iter().map(|sequence| sequence.number).collect(),
    })
}

fn pair<'t>(text: &'t str, example: &'static str) -> Result<(&'t str, &'t str), EvidenceError> {
    match text.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => Ok((name.trim(), value.trim())),
        _ => Err(EvidenceError::NotAPair { text: text.into(), example }),
    }
}

/// A number alone is in volts or ohms, as a meter shows it; with a unit it is read like any quantity.
fn scan(measure: &'static Measure, value: &str, text: &str) -> Result<(f64, Option<Current>), EvidenceError> {
    // The minus sign of print is as good as that of a keyboard.
    let value = value.replace('\u{2212}', "-");
    if let Ok(number) = value.parse::<f64>() {
        if number.is_finite() {
            return Ok((number, None));
        }
        return Err(EvidenceError::BadValue { text: text.into(), why: "expected a finite number".into() });
    }
    match measure.scan(&value) {
        Ok(scanned) if scanned.nominal.is_finite() => Ok((scanned.nominal, scanned.current)),
        Ok(_) => Err(EvidenceError::BadValue { text: text.into(), why: "expected a finite number".into() }),
        Err(flaw) => Err(EvidenceError::BadValue { text: text.into(), why: flaw.kind.to_string() }),
    }
}

fn volts_at(machine: &Machine, name: &str) -> Result<VoltsAt, EvidenceError> {
    if let Some(point) = machine.test_point_named(name) {
        return Ok(VoltsAt::Point(point));
    }
    if let Some(joint) = machine.joint_named(name) {
        return Ok(VoltsAt::Joint(joint));
    }
    element(machine, name).map(VoltsAt::Across).ok_or_else(|| unknown(machine, name))
}

fn ohms_at(machine: &Machine, name: &str) -> Result<OhmsAt, EvidenceError> {
    if let Some(element) = element(machine, name) {
        return Ok(OhmsAt::Lifted(element));
    }
    if let Some((a, b)) = name.split_once('/') {
        return Ok(OhmsAt::Between(joint(machine, a.trim())?, joint(machine, b.trim())?));
    }
    Err(unknown(machine, name))
}

fn joint(machine: &Machine, name: &str) -> Result<JointId, EvidenceError> {
    let point = machine.test_point_named(name).map(|point| machine.test_points[point.0].joint);
    point.or_else(|| machine.joint_named(name)).ok_or_else(|| unknown(machine, name))
}

/// An element by its own name, or the first of a part with this designator.
fn element(machine: &Machine, name: &str) -> Option<ElementId> {
    let own = machine.elements.iter().position(|element| element.name == name).map(ElementId);
    own.or_else(|| machine.part_named(name).and_then(|part| machine.part(part).elements.first().copied()))
}

fn unknown(machine: &Machine, name: &str) -> EvidenceError {
    let points = machine.test_points.iter().map(|point| point.id.as_str());
    let joints = machine.joints.iter().filter(|joint| joint.named).map(|joint| joint.name.as_str());
    let parts = machine.parts.iter().map(|part| part.id.as_str());
    let elements = machine.elements.iter().map(|element| element.name.as_str());
    let nearest = points
        .chain(joints)
        .chain(parts)
        .chain(elements)
        .map(|known| (strsim::damerau_levenshtein(&known.to_lowercase(), &name.to_lowercase()), known))
        .min()
        .filter(|(distance, known)| *distance <= 1 + known.len() / 4)
        .map(|(_, known)| known.to_string());
    EvidenceError::UnknownPlace { name: name.into(), nearest }
}

/// All supplies in series at their highest, with the peak of AC where a reservoir may hold it, and a fifth for a light load.
fn most_volts(machine: &Machine) -> f64 {
    let all: f64 = machine
        .parts
        .iter()
        .map(|part| match &part.kind {
            PartKind::Supply(supply) if supply.current == Current::Alternating => {
                supply.voltage.high.value() * std::f64::consts::SQRT_2
            }
            PartKind::Supply(supply) => supply.voltage.high.value(),
            _ => 0.0,
        })
        .sum();
    1.2 * all
}
