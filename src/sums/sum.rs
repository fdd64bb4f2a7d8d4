//! The shape of every bench sum: what was given, each formula with its numbers put in, the answer, where it comes from.
//!
//! A [`Sum`] is data first (amounts keep their number and unit for JSON and for sheets) and prints as text through
//! `Display`, answer on top, working below, so that a reader can redo it with a pencil.

use std::fmt;

use serde::Serialize;

use super::entry::Entry;
use crate::spec::units::{Unit, significant};

/// A quantity by name: the number for programs and the text for people.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Amount {
    /// What it is, such as `added resistance`.
    pub name: String,
    /// The number in `unit`; none where the answer is a word, such as a row of colours.
    pub value: Option<f64>,
    /// The SI base unit, `dB`, `%`, `×`, or nothing.
    pub unit: &'static str,
    /// The quantity as it is printed, with its unit.
    pub text: String,
}

impl Amount {
    /// A quantity with its unit.
    pub fn of<U: Unit>(name: impl Into<String>, quantity: U) -> Self {
        Self { name: name.into(), value: Some(quantity.value()), unit: U::SYMBOL, text: quantity.to_string() }
    }

    /// A plain number behind which `unit` stands, such as a share in `%`, a level in `dB`, or a count.
    pub fn number(name: impl Into<String>, value: f64, unit: &'static str) -> Self {
        let digits = significant(value, 3);
        let text = if unit.is_empty() { digits } else { format!("{digits} {unit}") };
        Self { name: name.into(), value: Some(value), unit, text }
    }

    /// An answer in words.
    pub fn words(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: name.into(), value: None, unit: "", text: text.into() }
    }
}

/// One line of working.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    /// The formula in letters, such as `I = V / R`.
    pub formula: String,
    /// The same with numbers put in.
    pub numbers: String,
    /// What it comes to.
    pub result: Amount,
}

/// Whether one thing may stand in for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It may.
    Accepted,
    /// It may if the reasons are heeded.
    WithCare,
    /// It must not.
    Refused,
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Verdict::Accepted => "accepted",
            Verdict::WithCare => "with care",
            Verdict::Refused => "refused",
        })
    }
}

/// A verdict with what led to it; the gravest reason decides.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Judgement {
    /// The gravest of the reasons.
    pub verdict: Verdict,
    /// What led to it, in the order in which it was looked at.
    pub reasons: Vec<String>,
}

impl Default for Judgement {
    fn default() -> Self {
        Self { verdict: Verdict::Accepted, reasons: Vec::new() }
    }
}

impl Judgement {
    /// Adds a reason; the verdict only ever gets graver.
    pub fn add(&mut self, verdict: Verdict, reason: impl Into<String>) {
        self.verdict = self.verdict.max(verdict);
        self.reasons.push(reason.into());
    }
}

/// A finished bench sum.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sum {
    /// Its name on the command line.
    pub name: &'static str,
    /// What it answers.
    pub title: &'static str,
    /// What was given, defaults included.
    pub given: Vec<Amount>,
    /// The answers.
    pub results: Vec<Amount>,
    /// Whether a replacement may be fitted, where that was the question.
    pub judgement: Option<Judgement>,
    /// The working, line by line.
    pub steps: Vec<Step>,
    /// Where the law and the constants come from.
    pub source: String,
    /// What to mind before acting on it.
    pub cautions: Vec<String>,
}

impl Sum {
    /// An empty sum of this kind.
    pub fn new(entry: &Entry, source: impl Into<String>) -> Self {
        Self {
            name: entry.name,
            title: entry.title,
            given: Vec::new(),
            results: Vec::new(),
            judgement: None,
            steps: Vec::new(),
            source: source.into(),
            cautions: Vec::new(),
        }
    }

    /// Adds what was given.
    #[must_use]
    pub fn given<U: Unit>(mut self, name: &str, quantity: U) -> Self {
        self.given.push(Amount::of(name, quantity));
        self
    }

    /// Adds what was given in words or as a plain number.
    #[must_use]
    pub fn given_as(mut self, amount: Amount) -> Self {
        self.given.push(amount);
        self
    }

    /// Adds a line of working.
    #[must_use]
    pub fn step(mut self, formula: &str, numbers: impl Into<String>, result: Amount) -> Self {
        self.steps.push(Step { formula: formula.into(), numbers: numbers.into(), result });
        self
    }

    /// Adds an answer.
    #[must_use]
    pub fn answer(mut self, amount: Amount) -> Self {
        self.results.push(amount);
        self
    }

    /// Adds a line of working whose outcome is an answer.
    #[must_use]
    pub fn answer_by(self, formula: &str, numbers: impl Into<String>, result: Amount) -> Self {
        self.answer(result.clone()).step(formula, numbers, result)
    }

    /// Says whether a replacement may be fitted.
    #[must_use]
    pub fn judged(mut self, judgement: Judgement) -> Self {
        self.judgement = Some(judgement);
        self
    }

    /// Adds a caution.
    #[must_use]
    pub fn caution(mut self, text: impl Into<String>) -> Self {
        self.cautions.push(text.into());
        self
    }

    /// Adds a caution where it applies.
    #[must_use]
    pub fn caution_if(self, applies: bool, text: impl Into<String>) -> Self {
        if applies { self.caution(text) } else { self }
    }

    /// The number of the answer or intermediate result of this name, in its SI base unit.
    #[must_use]
    pub fn value(&self, name: &str) -> Option<f64> {
        let steps = self.steps.iter().map(|step| &step.result);
        self.results.iter().chain(steps).find(|amount| amount.name == name).and_then(|amount| amount.value)
    }

    /// The printed text of the answer or intermediate result of this name.
    #[must_use]
    pub fn text(&self, name: &str) -> Option<&str> {
        let steps = self.steps.iter().map(|step| &step.result);
        self.results.iter().chain(steps).find(|amount| amount.name == name).map(|amount| amount.text.as_str())
    }
}

/// Writes `name  text` lines with the names in one column.
fn write_amounts(f: &mut fmt::Formatter<'_>, amounts: &[Amount]) -> fmt::Result {
    let width = amounts.iter().map(|amount| amount.name.chars().count()).max().unwrap_or(0);
    for amount in amounts {
        writeln!(f, "  {:width$}  {}", amount.name, amount.text)?;
    }
    Ok(())
}

impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}\n", self.title)?;
        write_amounts(f, &self.results)?;
        if let Some(judgement) = &self.judgement {
            writeln!(f, "\nverdict: {}", judgement.verdict)?;
            for reason in &judgement.reasons {
                writeln!(f, "  {reason}")?;
            }
        }
        if !self.given.is_empty() {
            writeln!(f, "\ngiven")?;
            write_amounts(f, &self.given)?;
        }
        if !self.steps.is_empty() {
            writeln!(f, "\nworking")?;
            for step in &self.steps {
                writeln!(f, "  {}: {} = {} = {}", step.result.name, step.formula, step.numbers, step.result.text)?;
            }
        }
        for caution in &self.cautions {
            writeln!(f, "\nmind: {caution}")?;
        }
        write!(f, "\nsource: {}", self.source)
    }
}
