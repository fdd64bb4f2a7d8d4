//! What the audit says: one finding for each thing that should not be printed, built or left as it is.

use serde_json::{Value, json};

use crate::machine::model::{Machine, PartId, SequenceId, TestPointId};
use crate::spec::diagnostic::Place;
use crate::words::{self, Fact, Words};

use super::rule::Rule;

/// How grave a finding is; the gravest sorts first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// It may hurt somebody or start a fire.
    Hazard,
    /// The machine cannot work as described, or the description contradicts itself or its sources.
    Defect,
    /// Worth knowing or worth a look.
    Remark,
}

impl Severity {
    /// Its name in reports, and in the keys of its words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Severity::Hazard => "hazard",
            Severity::Defect => "defect",
            Severity::Remark => "remark",
        }
    }
}

/// One thing that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule that found it.
    pub rule: &'static str,
    /// How grave it is.
    pub severity: Severity,
    /// Where the description speaks of it.
    pub at: Place,
    /// The part it is about.
    pub part: Option<PartId>,
    /// The sequences in which it shows; empty if in none in particular.
    pub sequences: Vec<SequenceId>,
    /// The test point it is about.
    pub test_point: Option<TestPointId>,
    /// What was found, with its numbers.
    pub message: Fact,
    /// Something to do about it.
    pub advice: Fact,
    /// Where the rule comes from.
    pub source: Fact,
}

impl Finding {
    /// A finding about a part.
    pub(super) fn of_part(rule: &'static Rule, severity: Severity, machine: &Machine, part: PartId) -> Self {
        Self { part: Some(part), ..Self::at(rule, severity, machine.part(part).place) }
    }

    /// A finding about a sequence.
    pub(super) fn of_sequence(
        rule: &'static Rule,
        severity: Severity,
        machine: &Machine,
        sequence: SequenceId,
    ) -> Self {
        Self { sequences: vec![sequence], ..Self::at(rule, severity, machine.sequences[sequence.0].place) }
    }

    /// A finding about a test point.
    pub(super) fn of_test_point(
        rule: &'static Rule,
        severity: Severity,
        machine: &Machine,
        point: TestPointId,
    ) -> Self {
        Self { test_point: Some(point), ..Self::at(rule, severity, machine.test_points[point.0].place) }
    }

    /// A finding about a place in the description.
    pub(super) fn at(rule: &'static Rule, severity: Severity, at: Place) -> Self {
        Self {
            rule: rule.name,
            severity,
            at,
            part: None,
            sequences: Vec::new(),
            test_point: None,
            message: Fact::new(""),
            advice: Fact::new(""),
            source: rule.source(),
        }
    }

    /// The sequences in which it shows.
    #[must_use]
    pub(super) fn during(mut self, sequences: impl IntoIterator<Item = SequenceId>) -> Self {
        self.sequences = sequences.into_iter().collect();
        self
    }

    /// What was found, and what to do.
    #[must_use]
    pub(super) fn saying(mut self, message: Fact, advice: Fact) -> Self {
        self.message = message;
        self.advice = advice;
        self
    }

    /// The finding as stable JSON: names as the description has them, sentences in the given words, places in bytes.
    #[must_use]
    pub fn to_json(&self, machine: &Machine, words: &Words) -> Value {
        json!({
            "rule": self.rule,
            "severity": self.severity.name(),
            "part": self.part.map(|part| machine.part(part).id.as_str()),
            "test-point": self.test_point.map(|point| machine.test_points[point.0].id.as_str()),
            "sequences": self.sequences.iter().map(|id| machine.sequences[id.0].number).collect::<Vec<_>>(),
            "message": words.say(&self.message),
            "advice": words.say(&self.advice),
            "source": words.say(&self.source),
            "at": { "file": self.at.file, "start": self.at.start, "end": self.at.end },
        })
    }
}

/// In which sequences something shows.
pub(super) fn during(machine: &Machine, sequences: &[SequenceId]) -> Fact {
    let numbers = words::Value::all(sequences.iter().map(|id| machine.sequences[id.0].number));
    crate::fact!("audit.during", count = sequences.len(), numbers = numbers)
}
