//! What a technician has found out.

use crate::machine::model::{Current, ElementId, JointId, Machine, SequenceId, TestPointId};
use crate::spec::quantity::{Measure, RESISTANCE, VOLTAGE};

use super::evidence_error::EvidenceError;
use super::places::{leads, ohms_at, volts_at};
use super::possible::Possible;

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

impl Evidence {
    /// No evidence yet.
    #[must_use]
    pub fn none(machine: &Machine) -> Self {
        Self { sequence: None, volts: Vec::new(), ohms: Vec::new(), seen: vec![None; machine.sequences.len()] }
    }

    /// Says in which sequence the volts are read.
    ///
    /// # Errors
    /// Anything but a known number.
    pub fn in_sequence(&mut self, machine: &Machine, text: &str) -> Result<(), EvidenceError> {
        let none = |_| EvidenceError::NotANumber { text: text.into(), known: known(machine) };
        self.sequence = Some(sequence(machine, text.trim().parse().map_err(none)?)?);
        Ok(())
    }

    /// Says whether some sequences work: a number, or a range such as `1-3`, of which only those count that there are.
    ///
    /// # Errors
    /// Anything but known numbers, or the contrary said before.
    pub fn saw(&mut self, machine: &Machine, text: &str, works: bool) -> Result<(), EvidenceError> {
        for sequence in sequences(machine, text)? {
            let seen = &mut self.seen[sequence.0];
            if *seen == Some(!works) {
                return Err(EvidenceError::WorksAndFails(machine.sequences[sequence.0].number));
            }
            *seen = Some(works);
        }
        Ok(())
    }

    /// Adds volts as typed, such as `TP4=-12.1`, `TP4=-12.1 V`, `K1:5-6=0.4 V`.
    ///
    /// # Errors
    /// Anything but a known place and a voltage that can come there.
    pub fn read_volts(&mut self, machine: &Machine, text: &str) -> Result<(), EvidenceError> {
        let (name, value) = pair(text, "TP4=-12.1 V")?;
        let at = volts_at(machine, name)?;
        let (volts, written) = scan(&VOLTAGE, value, text)?;
        let volts = possible(machine, at, (name, text), volts, written)?;
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

/// A reading of volts as it counts, if it can come there at all.
fn possible(
    machine: &Machine,
    at: VoltsAt,
    (name, text): (&str, &str),
    volts: f64,
    written: Option<Current>,
) -> Result<f64, EvidenceError> {
    let (red, black) = leads(machine, at);
    let possible = Possible::between(machine, red, black);
    let across = matches!(at, VoltsAt::Across(_));
    if let Some(written) = written.filter(|&written| !possible.carries(written)) {
        return Err(EvidenceError::WrongCurrent { text: text.into(), written, supplies: possible.supplies });
    }
    let alternating_alone = !possible.carries(Current::Direct);
    if volts < 0.0 && !across && (written == Some(Current::Alternating) || alternating_alone) {
        return Err(EvidenceError::SignOnAlternating { text: text.into(), volts: -volts });
    }
    let alternating = alternating_alone || written == Some(Current::Alternating);
    let within = if across || alternating { volts.abs() <= possible.most() } else { possible.holds(volts) };
    if !within {
        let (low, high) = match (across || alternating, possible.carries(Current::Alternating)) {
            (true, _) => (None, possible.most()),
            (false, false) => (Some(possible.low), possible.high),
            (false, true) => (Some(possible.low), possible.high.max(possible.alternating)),
        };
        return Err(EvidenceError::Impossible { name: name.into(), volts, low, high, supplies: possible.supplies });
    }
    Ok(if alternating { volts.abs() } else { volts })
}

/// Sequences of a number or of a range.
fn sequences(machine: &Machine, text: &str) -> Result<Vec<SequenceId>, EvidenceError> {
    let range = text.trim().replace('\u{2013}', "-");
    let Some((first, last)) = range.split_once('-').filter(|(first, _)| !first.is_empty()) else {
        return Ok(vec![sequence(machine, number(machine, &range, text)?)?]);
    };
    let (first, last) = (number(machine, first, text)?, number(machine, last, text)?);
    if first > last {
        return Err(EvidenceError::Backwards { first, last });
    }
    sequence(machine, first)?;
    sequence(machine, last)?;
    let all = machine.sequences.iter().enumerate();
    Ok(all.filter(|(_, one)| (first..=last).contains(&one.number)).map(|(index, _)| SequenceId(index)).collect())
}

/// A number alone.
fn number(machine: &Machine, number: &str, text: &str) -> Result<i64, EvidenceError> {
    number.trim().parse().map_err(|_| EvidenceError::NotNumbers { text: text.into(), known: known(machine) })
}

fn known(machine: &Machine) -> Vec<i64> {
    machine.sequences.iter().map(|sequence| sequence.number).collect()
}

fn sequence(machine: &Machine, number: i64) -> Result<SequenceId, EvidenceError> {
    machine.sequence_numbered(number).ok_or_else(|| EvidenceError::UnknownSequence { number, known: known(machine) })
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
        return Err(EvidenceError::BadValue { text: text.into(), why: "expected a finite number".into(), hint: None });
    }
    let bad = |why: String, hint| Err(EvidenceError::BadValue { text: text.into(), why, hint });
    match measure.scan(&value) {
        Ok(scanned) if scanned.nominal.is_finite() => Ok((scanned.nominal, scanned.current)),
        Ok(_) => bad("expected a finite number".into(), None),
        Err(flaw) => bad(flaw.kind.to_string(), other_option(measure, &value)),
    }
}

/// Where a value of another measure belongs.
fn other_option(measure: &Measure, value: &str) -> Option<&'static str> {
    if measure.name == VOLTAGE.name && RESISTANCE.scan(value).is_ok() {
        Some("ohms are given with `--ohms`, read with the power off")
    } else if measure.name == RESISTANCE.name && VOLTAGE.scan(value).is_ok() {
        Some("volts are given with `--read`, with the sequence in which they were read")
    } else if value.contains(',') {
        Some("write the decimal comma as a point")
    } else {
        None
    }
}
