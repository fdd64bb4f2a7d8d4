//! What a bench sum asks for, and the reading of what a person typed.
//!
//! Each sum declares an [`Entry`]: its name, its inputs with their meaning, and the function that does it. The list, the
//! help and the messages all come from these entries. [`Given`] holds typed text by input name and turns it into units;
//! anything wrong becomes a [`SumError`] that says what was found and what was expected.

use std::collections::BTreeMap;
use std::fmt;

use super::sum::Sum;
use crate::spec::Kind;
use crate::spec::units::Unit;
use crate::spec::values::Measured;
use crate::words::Fact;

/// A bench sum that can be asked for by name.
#[derive(Debug)]
pub struct Entry {
    /// Its name on the command line.
    pub name: &'static str,
    /// What it asks for.
    pub inputs: &'static [Input],
    /// Inputs of a worked case, as one would type them.
    pub example: &'static str,
    /// Does it.
    pub compute: fn(&Given) -> Result<Sum, SumError>,
}

impl Entry {
    /// What it answers.
    #[must_use]
    pub fn title(&self) -> Fact {
        Fact::new(format!("sums.title.{}", self.name))
    }
}

/// One thing a sum asks for.
#[derive(Debug, Clone, Copy)]
pub struct Input {
    /// Its name before the equals sign.
    pub name: &'static str,
    /// What to write there, such as `voltage` or `first|butterworth`.
    pub form: &'static str,
    /// What it means.
    pub meaning: &'static str,
    /// Whether it may be left out.
    pub need: Need,
}

/// Whether an input may be left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// It must be given.
    Required,
    /// It may be left out; the sum then answers less.
    Optional,
    /// This text is used if it is left out.
    Preset(&'static str),
}

impl Input {
    /// An input that must be given.
    #[must_use]
    pub const fn required(name: &'static str, form: &'static str, meaning: &'static str) -> Self {
        Self { name, form, meaning, need: Need::Required }
    }

    /// An input that may be left out.
    #[must_use]
    pub const fn optional(name: &'static str, form: &'static str, meaning: &'static str) -> Self {
        Self { name, form, meaning, need: Need::Optional }
    }

    /// An input with a usual value.
    #[must_use]
    pub const fn preset(name: &'static str, form: &'static str, usual: &'static str, meaning: &'static str) -> Self {
        Self { name, form, meaning, need: Need::Preset(usual) }
    }
}

/// Why a sum cannot be done.
#[derive(Debug, Clone, PartialEq)]
pub enum SumError {
    /// No sum has this name.
    UnknownSum {
        /// What was typed.
        name: String,
        /// The nearest known name.
        nearest: Option<&'static str>,
    },
    /// The sum has no input of this name.
    UnknownInput {
        /// The sum.
        sum: &'static str,
        /// What was typed.
        name: String,
        /// The names it has.
        known: Vec<&'static str>,
        /// The nearest of them.
        nearest: Option<&'static str>,
    },
    /// A word without an equals sign.
    NotAPair {
        /// What was typed.
        text: String,
    },
    /// The same input twice.
    Repeated {
        /// The input.
        name: String,
    },
    /// An input that must be given is absent.
    Missing {
        /// The input.
        name: &'static str,
        /// What it means.
        meaning: &'static str,
        /// What to write there.
        form: &'static str,
    },
    /// The text of an input is no quantity of its kind.
    Quantity {
        /// The input.
        name: String,
        /// What is wrong with it.
        flaw: Kind,
    },
    /// The text of an input is not what it should be.
    Unreadable {
        /// The input.
        name: String,
        /// What was typed.
        found: String,
        /// What was expected, such as `a voltage such as 24 V`.
        expected: String,
    },
    /// An answer is beyond all numbers.
    Endless {
        /// The answer.
        amount: String,
    },
    /// The input is readable but the sum makes no sense with it.
    Unsuitable {
        /// The input.
        name: String,
        /// Its value.
        found: String,
        /// What it must be.
        expected: String,
    },
}

impl fmt::Display for SumError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownSum { name, .. } => write!(f, "there is no sum named `{name}`"),
            Self::UnknownInput { sum, name, .. } => write!(f, "`{sum}` has no input named `{name}`"),
            Self::NotAPair { text } => write!(f, "expected an input such as `supply=24V`, found `{text}`"),
            Self::Repeated { name } => write!(f, "`{name}` is given twice"),
            Self::Missing { name, meaning, form } => write!(f, "`{name}` is missing: {meaning} ({form})"),
            Self::Quantity { name, flaw } => write!(f, "`{name}`: {flaw}"),
            Self::Unreadable { name, found, expected } => {
                write!(f, "`{name}` should be {expected}, found `{found}`")
            }
            Self::Endless { amount } => write!(f, "with these values the {amount} is beyond any number"),
            Self::Unsuitable { name, found, expected } => write!(f, "`{name}` must be {expected}, found {found}"),
        }
    }
}

impl std::error::Error for SumError {}

impl SumError {
    /// Something to do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::UnknownSum { nearest, .. } => Some(match nearest {
                Some(nearest) => format!("did you mean `{nearest}`?"),
                None => "`benchleaf sum` alone lists them".into(),
            }),
            Self::UnknownInput { known, nearest, .. } => Some(match nearest {
                Some(nearest) => format!("did you mean `{nearest}`?"),
                None => format!("it asks for {}", known.join(", ")),
            }),
            Self::NotAPair { .. } => Some("write the name of the input, an equals sign, and the value".into()),
            Self::Quantity { flaw, .. } => flaw.hints().into_iter().next(),
            Self::Endless { .. } => Some("check the units of the inputs".into()),
            Self::Unreadable { .. } | Self::Unsuitable { .. } | Self::Missing { .. } | Self::Repeated { .. } => None,
        }
    }
}

/// Typed text by input name, for one sum.
#[derive(Debug)]
pub struct Given {
    inputs: &'static [Input],
    texts: BTreeMap<&'static str, String>,
}

impl Given {
    /// Sorts `name=value` words to the inputs of a sum. All that is wrong is reported, not only the first.
    ///
    /// # Errors
    /// Words without `=`, unknown or repeated names, and required inputs that are absent.
    pub fn from_words(entry: &'static Entry, words: &[String]) -> Result<Self, Vec<SumError>> {
        let mut texts = BTreeMap::new();
        let mut wrong = Vec::new();
        for word in words {
            let Some((name, value)) = word.split_once('=') else {
                wrong.push(SumError::NotAPair { text: word.clone() });
                continue;
            };
            let name = name.trim();
            match entry.inputs.iter().find(|input| input.name == name) {
                None => wrong.push(unknown_input(entry, name)),
                Some(input) => {
                    if texts.insert(input.name, value.trim().to_string()).is_some() {
                        wrong.push(SumError::Repeated { name: name.to_string() });
                    }
                }
            }
        }
        for input in entry.inputs {
            if input.need == Need::Required && !texts.contains_key(input.name) {
                wrong.push(missing(input));
            }
        }
        if wrong.is_empty() { Ok(Self { inputs: entry.inputs, texts }) } else { Err(wrong) }
    }

    /// The text of an input, or its usual text.
    #[must_use]
    pub fn text(&self, name: &str) -> Option<&str> {
        self.texts.get(name).map(String::as_str).or_else(|| {
            let input = self.inputs.iter().find(|input| input.name == name)?;
            if let Need::Preset(usual) = input.need { Some(usual) } else { None }
        })
    }

    /// A quantity that is given or has a usual value.
    ///
    /// # Errors
    /// The input is absent or is not a quantity of this unit.
    pub fn quantity<U: Measured>(&self, name: &str) -> Result<U, SumError> {
        match self.maybe(name)? {
            Some(quantity) => Ok(quantity),
            None => Err(self
                .inputs
                .iter()
                .find(|input| input.name == name)
                .map_or_else(|| SumError::Repeated { name: name.to_string() }, missing)),
        }
    }

    /// A quantity that may be left out.
    ///
    /// # Errors
    /// The input is not a quantity of this unit.
    pub fn maybe<U: Measured>(&self, name: &str) -> Result<Option<U>, SumError> {
        self.text(name).map(|text| read_quantity(name, text)).transpose()
    }

    /// Several quantities, separated by commas.
    ///
    /// # Errors
    /// The input is absent, or one of them is not a quantity of this unit.
    pub fn list<U: Measured>(&self, name: &str) -> Result<Vec<U>, SumError> {
        let text = self.text(name).unwrap_or_default();
        text.split(',').map(|one| read_quantity(name, one.trim())).collect()
    }

    /// One of some words.
    ///
    /// # Errors
    /// The text is none of them.
    pub fn choice<T: Copy>(&self, name: &str, choices: &[(&str, T)]) -> Result<T, SumError> {
        let text = self.text(name).unwrap_or_default();
        choices.iter().find(|(word, _)| word.eq_ignore_ascii_case(text)).map(|(_, value)| *value).ok_or_else(|| {
            let words: Vec<_> = choices.iter().map(|(word, _)| format!("`{word}`")).collect();
            SumError::Unreadable {
                name: name.to_string(),
                found: text.to_string(),
                expected: format!("one of {}", words.join(", ")),
            }
        })
    }

    /// A plain number, with or without the given sign behind it.
    ///
    /// # Errors
    /// The input is absent or no number.
    pub fn number(&self, name: &str, sign: &str) -> Result<f64, SumError> {
        let text = self.text(name).unwrap_or_default();
        let digits = text.trim_end().trim_end_matches(sign).trim();
        digits.parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(|| SumError::Unreadable {
            name: name.to_string(),
            found: text.to_string(),
            expected: format!("a number such as `{}`", format!("6 {sign}").trim_end()),
        })
    }
}

fn unknown_input(entry: &'static Entry, name: &str) -> SumError {
    let known: Vec<_> = entry.inputs.iter().map(|input| input.name).collect();
    let nearest = nearest_name(name, known.iter().copied());
    SumError::UnknownInput { sum: entry.name, name: name.to_string(), known, nearest }
}

fn missing(input: &Input) -> SumError {
    SumError::Missing { name: input.name, meaning: input.meaning, form: input.form }
}

/// The known name that is close enough to be meant.
pub(super) fn nearest_name(typed: &str, known: impl Iterator<Item = &'static str>) -> Option<&'static str> {
    known
        .map(|name| (strsim::jaro_winkler(typed, name), name))
        .filter(|(likeness, _)| *likeness > 0.8)
        .max_by(|one, other| one.0.total_cmp(&other.0))
        .map(|(_, name)| name)
}

fn read_quantity<U: Measured>(name: &str, text: &str) -> Result<U, SumError> {
    U::MEASURE
        .scan(text)
        .map(|scanned| U::new(scanned.nominal))
        .map_err(|flaw| SumError::Quantity { name: name.to_string(), flaw: flaw.kind })
}

/// Above zero and finite, or the reason why not.
///
/// # Errors
/// Zero, negative, or not finite.
pub fn positive<U: Unit>(name: &str, quantity: U) -> Result<U, SumError> {
    if quantity.value() > 0.0 && quantity.value().is_finite() {
        Ok(quantity)
    } else {
        Err(unsuitable(name, quantity, "above zero"))
    }
}

/// Zero or above and finite, or the reason why not.
///
/// # Errors
/// Negative, or not finite.
pub fn not_negative<U: Unit>(name: &str, quantity: U) -> Result<U, SumError> {
    if quantity.value() >= 0.0 && quantity.value().is_finite() {
        Ok(quantity)
    } else {
        Err(unsuitable(name, quantity, "zero or above"))
    }
}

/// The reason why a quantity cannot be used.
pub fn unsuitable<U: Unit>(name: &str, quantity: U, expected: impl Into<String>) -> SumError {
    SumError::Unsuitable { name: name.to_string(), found: quantity.to_string(), expected: expected.into() }
}
