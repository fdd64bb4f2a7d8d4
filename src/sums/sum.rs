//! The shape of every bench sum: what was given, each formula with its numbers put in, the answer, where it comes from.
//!
//! A [`Sum`] is data: amounts keep their number and unit, all else is facts. Whoever prints it puts the answer on top and
//! the working below, so that a reader can redo it with a pencil.

use super::entry::Entry;
use crate::fact;
use crate::spec::units::{Unit, significant};
use crate::words::{Fact, Value};

/// A quantity by name: the number for programs and what is printed for people.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// What it is, for programs, such as `added-resistance`.
    pub name: String,
    /// What it is, to be said.
    pub label: Fact,
    /// The number in `unit`; none where the answer is a word, such as a row of colours.
    pub value: Option<f64>,
    /// The SI base unit, `dB`, `%`, `×`, or nothing.
    pub unit: &'static str,
    /// The quantity as it is printed, with its unit.
    pub text: Value,
}

impl Amount {
    fn new(name: &str, value: Option<f64>, unit: &'static str, text: Value) -> Self {
        Self { name: name.into(), label: Fact::new(format!("sums.amount.{name}")), value, unit, text }
    }

    /// A quantity with its unit.
    pub fn of<U: Unit>(name: &str, quantity: U) -> Self {
        Self::new(name, Some(quantity.value()), U::SYMBOL, quantity.into())
    }

    /// A plain number behind which `unit` stands, such as a share in `%`, a level in `dB`, or a count.
    #[must_use]
    pub fn number(name: &str, value: f64, unit: &'static str) -> Self {
        let digits = significant(value, 3);
        let text = if unit.is_empty() { digits } else { format!("{digits} {unit}") };
        Self::new(name, Some(value), unit, Value::figure(text))
    }

    /// An answer in words.
    pub fn words(name: &str, text: impl Into<Value>) -> Self {
        Self::new(name, None, "", text.into())
    }

    /// One of several alike, told apart by a number.
    #[must_use]
    pub fn numbered(mut self, number: usize) -> Self {
        self.name = format!("{}-{number}", self.name);
        self.label = fact!("sums.numbered", what = self.label, number = number);
        self
    }

    /// Under another name.
    #[must_use]
    pub fn called(mut self, name: String, label: Fact) -> Self {
        (self.name, self.label) = (name, label);
        self
    }
}

/// One line of working.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The formula in letters, such as `I = V / R`.
    pub formula: Value,
    /// The same with numbers put in.
    pub numbers: Value,
    /// What it comes to.
    pub result: Amount,
}

/// Whether one thing may stand in for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// It may.
    Accepted,
    /// It may if the reasons are heeded.
    WithCare,
    /// It must not.
    Refused,
}

impl Verdict {
    /// Its name in reports, and in the keys of its words.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Verdict::Accepted => "accepted",
            Verdict::WithCare => "with-care",
            Verdict::Refused => "refused",
        }
    }
}

/// What speaks for or against.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// What it alone would lead to.
    pub verdict: Verdict,
    /// What it is.
    pub what: Fact,
}

/// A verdict with what led to it; the gravest reason decides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judgement {
    /// The gravest of the reasons.
    pub verdict: Verdict,
    /// What led to it, in the order in which it was looked at.
    pub reasons: Vec<Reason>,
}

impl Default for Judgement {
    fn default() -> Self {
        Self { verdict: Verdict::Accepted, reasons: Vec::new() }
    }
}

impl Judgement {
    /// Adds a reason; the verdict only ever gets graver.
    pub fn add(&mut self, verdict: Verdict, what: Fact) {
        self.verdict = self.verdict.max(verdict);
        self.reasons.push(Reason { verdict, what });
    }
}

/// A finished bench sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Sum {
    /// Its name on the command line.
    pub name: &'static str,
    /// What it answers.
    pub title: Fact,
    /// What was given, defaults included.
    pub given: Vec<Amount>,
    /// The answers.
    pub results: Vec<Amount>,
    /// Whether a replacement may be fitted, where that was the question.
    pub judgement: Option<Judgement>,
    /// The working, line by line.
    pub steps: Vec<Step>,
    /// Where the law and the constants come from.
    pub source: Fact,
    /// What to mind before acting on it.
    pub cautions: Vec<Fact>,
}

impl Sum {
    /// An empty sum of this kind.
    #[must_use]
    pub fn new(entry: &Entry, source: Fact) -> Self {
        Self {
            name: entry.name,
            title: entry.title(),
            given: Vec::new(),
            results: Vec::new(),
            judgement: None,
            steps: Vec::new(),
            source,
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
        self.steps.push(Step { formula: Value::figure(formula), numbers: Value::figure(numbers), result });
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
    pub fn caution(mut self, caution: Fact) -> Self {
        self.cautions.push(caution);
        self
    }

    /// Adds a caution where it applies.
    #[must_use]
    pub fn caution_if(self, applies: bool, caution: Fact) -> Self {
        if applies { self.caution(caution) } else { self }
    }

    /// The number of the answer or intermediate result of this name, in its SI base unit.
    #[must_use]
    pub fn value(&self, name: &str) -> Option<f64> {
        let steps = self.steps.iter().map(|step| &step.result);
        self.results.iter().chain(steps).find(|amount| amount.name == name).and_then(|amount| amount.value)
    }

    /// What is printed for the answer or intermediate result of this name.
    #[must_use]
    pub fn text(&self, name: &str) -> Option<&Value> {
        let steps = self.steps.iter().map(|step| &step.result);
        self.results.iter().chain(steps).find(|amount| amount.name == name).map(|amount| &amount.text)
    }
}
