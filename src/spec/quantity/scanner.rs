//! Walks through the text of one quantity from left to right: number, unit, kind of current, tolerance.

use std::ops::Range;

use super::{Flaw, Measure, Scale, Scanned};
use crate::machine::model::Current;
use crate::spec::kind::Kind;

/// Where the walk stands.
pub(super) struct Scanner<'a> {
    measure: &'static Measure,
    text: &'a str,
    /// Where the quantity starts in the text.
    start: usize,
    position: usize,
}

/// A number as written: digits, power of ten, and whether a letter code has given its scale already.
struct Number {
    digits: String,
    exponent: i32,
    coded: bool,
    range: Range<usize>,
}

impl Number {
    /// The value at a scale; decimal all the way, so that `0.47 uF` is the nearest double to 0.47e-6.
    fn at(&self, exponent: i32, factor: f64) -> f64 {
        let exponent = self.exponent.saturating_add(exponent);
        format!("{}e{exponent}", self.digits).parse::<f64>().unwrap_or(f64::NAN) * factor
    }
}

impl<'a> Scanner<'a> {
    pub(super) fn new(measure: &'static Measure, text: &'a str) -> Self {
        Self { measure, text, start: 0, position: 0 }
    }

    /// The whole text as one quantity.
    pub(super) fn quantity(mut self) -> Result<Scanned, Flaw> {
        let number = self.number()?;
        let scale = self.unit(&number)?;
        let nominal = self.finite(number.at(scale.exponent, scale.factor), &number.range)?;
        let mut scanned = Scanned { nominal, span: None, current: scale.current, frequency: None };
        loop {
            self.skip_space();
            if self.rest().is_empty() {
                break;
            }
            self.tail(&mut scanned, scale)?;
        }
        if nominal < 0.0 && !self.measure.signed {
            let kind = Kind::Negative { quantity: self.measure.name, found: self.text.trim().to_string() };
            return Err(self.flaw(kind, 0..self.text.len()));
        }
        Ok(scanned)
    }

    fn rest(&self) -> &'a str {
        &self.text[self.position..]
    }

    fn skip_space(&mut self) {
        self.position = self.text.len() - self.rest().trim_start().len();
    }

    fn take(&mut self, prefixes: &[&str]) -> bool {
        let Some(found) = prefixes.iter().find(|prefix| self.rest().starts_with(**prefix)) else {
            return false;
        };
        self.position += found.len();
        true
    }

    fn take_while(&mut self, accept: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest();
        let length = rest.find(|character| !accept(character)).unwrap_or(rest.len());
        self.position += length;
        &rest[..length]
    }

    #[expect(clippy::unused_self, reason = "reads as `self.flaw(...)` beside the other steps")]
    fn flaw(&self, kind: Kind, range: Range<usize>) -> Flaw {
        Flaw { kind, range }
    }

    fn finite(&self, value: f64, range: &Range<usize>) -> Result<f64, Flaw> {
        if value.is_finite() {
            Ok(value)
        } else {
            Err(self.flaw(Kind::NotFinite { found: self.text[range.clone()].to_string() }, range.clone()))
        }
    }

    /// A number with its sign, in plain or in letter-code form.
    fn number(&mut self) -> Result<Number, Flaw> {
        self.skip_space();
        let start = self.position;
        let negative = self.take(&["-", "−", "–"]);
        if !negative {
            self.take(&["+"]);
        }
        self.skip_space();
        let mantissa = self.mantissa(start)?;
        let mut number = Number { digits: mantissa, exponent: 0, coded: false, range: start..self.position };
        self.letter_code(&mut number);
        if !number.coded {
            self.exponent(&mut number);
        }
        number.range.end = self.position;
        if negative {
            number.digits.insert(0, '-');
        }
        Ok(number)
    }

    fn mantissa(&mut self, start: usize) -> Result<String, Flaw> {
        let from = self.position;
        let digits =
            self.take_while(|character| character.is_ascii_digit() || matches!(character, '.' | ',' | '_' | '\''));
        // Two dots end a number: `0.01..0.2` is a span.
        let digits = digits.split("..").next().unwrap_or(digits);
        self.position = from + digits.len();
        let range = start..self.position;
        if digits.contains(',') {
            let better = self.text.replace(',', ".");
            return Err(self.flaw(Kind::DecimalComma { found: self.text.to_string(), better }, range));
        }
        let starts_code = digits.is_empty()
            && self.measure.codes.iter().any(|(letter, _)| {
                self.rest()
                    .strip_prefix(*letter)
                    .is_some_and(|rest| rest.starts_with(|next: char| next.is_ascii_digit()))
            });
        if starts_code {
            return Ok("0".into());
        }
        if digits.parse::<f64>().is_err() {
            return Err(self.no_number(from));
        }
        Ok(digits.to_string())
    }

    fn no_number(&self, from: usize) -> Flaw {
        let lower = self.text[from..].to_ascii_lowercase();
        let kind = if lower.starts_with("inf") || lower.starts_with("nan") {
            Kind::NotFinite { found: self.text.trim().to_string() }
        } else {
            self.not_a_quantity()
        };
        self.flaw(kind, 0..self.text.len())
    }

    fn not_a_quantity(&self) -> Kind {
        Kind::NotAQuantity {
            quantity: self.measure.name,
            example: self.measure.example,
            found: self.text.trim().to_string(),
        }
    }

    /// `4k7`, `R47`, `10k`: the letter stands for the decimal point and gives the scale.
    fn letter_code(&mut self, number: &mut Number) {
        let rest = self.rest();
        let Some((letter, exponent)) = self.measure.codes.iter().find(|(letter, _)| rest.starts_with(*letter)) else {
            return;
        };
        let after = &rest[letter.len_utf8()..];
        let length = after.find(|character: char| !character.is_ascii_digit()).unwrap_or(after.len());
        let ends = after[length..].chars().next().is_none_or(|next| !next.is_alphanumeric() && next != 'Ω');
        let whole = !number.digits.contains('.');
        let in_the_middle = length > 0 && whole;
        let at_the_end = length == 0 && ends && self.measure.bare_codes;
        if !in_the_middle && !at_the_end {
            return;
        }
        if in_the_middle {
            number.digits = format!("{}.{}", number.digits, &after[..length]);
        }
        number.exponent = *exponent;
        number.coded = true;
        self.position += letter.len_utf8() + length;
    }

    /// `1e-6`.
    fn exponent(&mut self, number: &mut Number) {
        let rest = self.rest();
        let Some(after) = rest.strip_prefix(['e', 'E']) else {
            return;
        };
        let sign = usize::from(after.starts_with(['+', '-']));
        let length = after[sign..].find(|character: char| !character.is_ascii_digit()).unwrap_or(after.len() - sign);
        if length == 0 {
            return;
        }
        number.exponent = after[..sign + length].parse().unwrap_or(i32::MAX);
        self.position += 1 + sign + length;
    }

    fn unit_token(&mut self) -> (&'a str, Range<usize>) {
        self.skip_space();
        let start = self.position;
        self.take_while(|character| character.is_alphabetic() || matches!(character, '°' | '²' | '%' | '\u{2126}'));
        if &self.text[start..self.position] == "mm" {
            self.take(&["2", "^2"]);
        }
        (&self.text[start..self.position], start..self.position)
    }

    fn unit(&mut self, number: &Number) -> Result<Scale, Flaw> {
        let before = self.position;
        let (token, range) = self.unit_token();
        if number.coded {
            // After a letter code the unit itself adds nothing: `4k7`, `4k7 ohm`.
            let base = self.measure.scale(token).filter(|scale| scale.exponent == 0);
            if base.is_none() {
                self.position = before;
            }
            if base.is_some() || self.measure.bare_codes {
                return Ok(base.unwrap_or(Scale { exponent: 0, factor: 1.0, current: None }));
            }
        }
        if token.is_empty() {
            let found = self.text[self.start..].trim().to_string();
            let kind = Kind::BareNumber { quantity: self.measure.name, example: self.measure.example, found };
            return Err(self.flaw(kind, self.start..self.text.len()));
        }
        self.measure.scale(token).ok_or_else(|| self.flaw(self.wrong_unit(token), range))
    }

    fn wrong_unit(&self, token: &str) -> Kind {
        Kind::WrongUnit {
            quantity: self.measure.name,
            example: self.measure.example,
            unit: token.to_string(),
            measures: Measure::of_unit(token).map(|measure| measure.name),
        }
    }

    /// One of the things that may follow the unit.
    fn tail(&mut self, scanned: &mut Scanned, scale: Scale) -> Result<(), Flaw> {
        let start = self.position;
        if self.measure.says_current && scanned.current.is_none() {
            let (word, _) = self.unit_token();
            match word.to_ascii_lowercase().as_str() {
                "dc" => scanned.current = Some(Current::Direct),
                "ac" => scanned.current = Some(Current::Alternating),
                _ => self.position = start,
            }
            if self.position > start {
                return Ok(());
            }
        }
        if scanned.span.is_none() && self.rest().starts_with(['±', '+', '(']) {
            scanned.span = Some(self.span(scanned.nominal, scale)?);
            return Ok(());
        }
        if self.measure.says_current
            && scanned.frequency.is_none()
            && self.rest().starts_with(|c: char| c.is_ascii_digit())
        {
            return self.frequency(scanned);
        }
        let found = self.rest().trim().to_string();
        Err(self.flaw(Kind::TrailingText { found, quantity: self.measure.name }, start..self.text.len()))
    }

    fn frequency(&mut self, scanned: &mut Scanned) -> Result<(), Flaw> {
        let start = self.position;
        let mut inner = Scanner { measure: &super::FREQUENCY, text: self.text, start, position: start };
        let number = inner.number()?;
        let scale = inner.unit(&number)?;
        self.position = inner.position;
        let range = start..self.position;
        let frequency = self.finite(number.at(scale.exponent, scale.factor), &range)?;
        if scanned.current == Some(Current::Direct) {
            return Err(self.flaw(Kind::FrequencyOfDirect { found: self.text[range.clone()].to_string() }, range));
        }
        if frequency <= 0.0 {
            let kind = Kind::NotPositive { quantity: "frequency", found: self.text[range.clone()].to_string() };
            return Err(self.flaw(kind, range));
        }
        scanned.frequency = Some(frequency);
        Ok(())
    }

    /// `±10 %`, `+15/-20 %`, `(0.01..0.2)`: lowest and highest value.
    fn span(&mut self, nominal: f64, scale: Scale) -> Result<(f64, f64), Flaw> {
        let start = self.position;
        let (low, high) = if self.take(&["("]) {
            self.explicit_span(start, scale)?
        } else {
            let (below, above) = self.tolerance(start, nominal)?;
            (nominal - below, nominal + above)
        };
        let range = start..self.position;
        let found = self.text[range.clone()].trim().to_string();
        if !(low <= nominal && nominal <= high) {
            return Err(self.flaw(Kind::SpanExcludesValue { found }, range));
        }
        if low < 0.0 && !self.measure.signed {
            return Err(self.flaw(Kind::SpanBelowZero { found, quantity: self.measure.name }, range));
        }
        Ok((low, high))
    }

    /// The two ends in brackets, in the unit of the value unless they bring their own.
    fn explicit_span(&mut self, start: usize, scale: Scale) -> Result<(f64, f64), Flaw> {
        let low = self.number().map_err(|_| self.bad_tolerance(start))?;
        let low_scale = self.optional_unit(&low, scale);
        self.skip_space();
        let dots = self.take(&["..", "to", "…"]);
        let high = self.number().map_err(|_| self.bad_tolerance(start))?;
        let high_scale = self.optional_unit(&high, scale);
        self.skip_space();
        if !dots || !self.take(&[")"]) {
            return Err(self.bad_tolerance(start));
        }
        let range = start..self.position;
        Ok((
            self.finite(low.at(low_scale.exponent, low_scale.factor), &range)?,
            self.finite(high.at(high_scale.exponent, high_scale.factor), &range)?,
        ))
    }

    fn optional_unit(&mut self, number: &Number, scale: Scale) -> Scale {
        if number.coded {
            return Scale { exponent: 0, factor: 1.0, current: None };
        }
        let before = self.position;
        let (token, _) = self.unit_token();
        self.measure.scale(token).unwrap_or_else(|| {
            self.position = before;
            scale
        })
    }

    /// How far the value may go below and above, both as positive numbers in the SI base unit.
    fn tolerance(&mut self, start: usize, nominal: f64) -> Result<(f64, f64), Flaw> {
        if self.take(&["±", "+-", "+/-", "+−"]) {
            let spread = self.spread(start)?;
            let unit = self.spread_unit(start)?;
            let value = apply(&spread, unit, nominal);
            return Ok((value, value));
        }
        self.take(&["+"]);
        let above = self.spread(start)?;
        let own_unit = self.spread_unit(start);
        self.skip_space();
        self.take(&["/"]);
        self.skip_space();
        if !self.take(&["-", "−"]) {
            return Err(self.bad_tolerance(start));
        }
        let below = self.spread(start)?;
        let unit = self.spread_unit(start)?;
        Ok((apply(&below, unit, nominal), apply(&above, own_unit.unwrap_or(unit), nominal)))
    }

    fn spread(&mut self, start: usize) -> Result<Number, Flaw> {
        let number = self.number().map_err(|flaw| match flaw.kind {
            Kind::DecimalComma { .. } => flaw,
            _ => self.bad_tolerance(start),
        })?;
        let sensible = number.at(0, 1.0).is_finite() && !number.digits.starts_with('-');
        if sensible { Ok(number) } else { Err(self.bad_tolerance(start)) }
    }

    /// `None` for per cent, else the scale of an absolute spread.
    fn spread_unit(&mut self, start: usize) -> Result<Option<Scale>, Flaw> {
        let before = self.position;
        let (token, _) = self.unit_token();
        if token == "%" {
            return Ok(None);
        }
        let found = self.measure.scale(token).filter(|_| !token.is_empty());
        if found.is_none() {
            self.position = before;
        }
        found.map(Some).ok_or_else(|| self.bad_tolerance(start))
    }

    fn bad_tolerance(&self, start: usize) -> Flaw {
        let found = self.text[start..].trim().to_string();
        self.flaw(Kind::BadTolerance { found }, start..self.text.len())
    }
}

fn apply(spread: &Number, unit: Option<Scale>, nominal: f64) -> f64 {
    match unit {
        None => spread.at(-2, 1.0) * nominal.abs(),
        Some(scale) => spread.at(scale.exponent, scale.factor),
    }
}
