//! The one rounding rule: how every number that the circuit room finds is shown, on paper and in reports.
//!
//! Volts on a meter: one decimal from 10 V up, two below, never finer than 10 mV, so that a reading looks as it does on
//! the display of a hand-held meter and the same number stands on every page. A drop always has two decimals. Milliamps:
//! one decimal below 100 mA, none above. Ohms, watts and stated values: three significant figures. Reports in JSON hold
//! [`rounded_volts`] and its neighbours, so that a page and a report can be compared digit by digit.
//!
//! Zero is written out (`0.00`), an unknown value is a dash, a minus is the true minus sign, and nothing here prints `NaN`.

use crate::spec::units::{Unit, significant};

/// What stands where a value is not known or does not apply.
pub const UNKNOWN: &str = "–";

/// Least voltage that is shown with one decimal instead of two.
const ONE_DECIMAL_FROM: f64 = 9.995;

/// Least resistance that a hand-held meter resolves, in ohms; common practice, no source.
pub const LEAST_METER_OHMS: f64 = 0.1;

/// How a language writes numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Numerals {
    /// Decimal point or comma.
    pub decimal: char,
}

impl Default for Numerals {
    fn default() -> Self {
        Self { decimal: '.' }
    }
}

impl Numerals {
    /// A voltage as the meter shows it, without its unit.
    #[must_use]
    pub fn volts(self, volts: f64) -> String {
        self.fixed(volts, volt_decimals(volts))
    }

    /// Volts of a reading; where relays do not come to one rest, those of every state in which they may be found.
    #[must_use]
    pub fn either_volts(self, nominal: f64, outcomes: &[f64]) -> String {
        let mut all: Vec<String> = Vec::new();
        for volts in outcomes.iter().map(|volts| self.volts(*volts)) {
            if !all.contains(&volts) {
                all.push(volts);
            }
        }
        if all.is_empty() { self.volts(nominal) } else { all.join(" / ") }
    }

    /// A drop or another small voltage, without its unit: always two decimals.
    #[must_use]
    pub fn drop_volts(self, volts: f64) -> String {
        self.fixed(volts, 2)
    }

    /// A current in milliamps, without its unit.
    #[must_use]
    pub fn milliamps(self, amps: f64) -> String {
        self.fixed(amps * 1e3, milliamp_decimals(amps))
    }

    /// A resistance in whole ohms and parts, without its unit or a prefix.
    #[must_use]
    pub fn ohms(self, ohms: f64) -> String {
        self.localised(&significant(ohms, 3))
    }

    /// A resistance as a hand-held meter shows it, without its unit: tenths of an ohm below a hundred, else three figures;
    /// none for less than its lowest range resolves.
    #[must_use]
    pub fn meter_ohms(self, ohms: f64) -> Option<String> {
        match ohms {
            ohms if ohms < LEAST_METER_OHMS => None,
            ohms if ohms < 100.0 => Some(self.fixed(ohms, 1)),
            ohms => Some(self.ohms(ohms)),
        }
    }

    /// A number with so many decimals; a dash if it is not finite.
    #[must_use]
    pub fn fixed(self, value: f64, decimals: usize) -> String {
        if !value.is_finite() {
            return UNKNOWN.into();
        }
        let text = format!("{:.decimals$}", value.abs());
        // A value that rounds to nothing carries no sign.
        let zero = text.bytes().all(|byte| matches!(byte, b'0' | b'.'));
        let text = if value < 0.0 && !zero { format!("−{text}") } else { text };
        self.localised(&text)
    }

    /// A number with three significant figures and no trailing zeros.
    #[must_use]
    pub fn three_figures(self, value: f64) -> String {
        self.localised(&significant(value, 3))
    }

    /// A quantity with the prefix and unit that a person would choose.
    #[must_use]
    pub fn quantity<U: Unit>(self, quantity: U) -> String {
        if quantity.value().is_finite() { self.localised(&quantity.to_string()) } else { UNKNOWN.into() }
    }

    /// A span of quantities: `108 … 132 Ω`, or with both units where the prefixes differ.
    #[must_use]
    pub fn quantity_span<U: Unit>(self, low: U, high: U) -> String {
        let (low, high) = (self.quantity(low), self.quantity(high));
        if low == high {
            return low;
        }
        match (low.split_once(' '), high.split_once(' ')) {
            (Some((number, low_unit)), Some((_, high_unit))) if low_unit == high_unit => span(number, &high),
            _ => span(&low, &high),
        }
    }

    /// The span of a value with tolerance from its ends; a dash where they are one.
    #[must_use]
    pub fn tolerance_span<U: Unit>(self, low: U, high: U) -> String {
        if low.value() < high.value() { self.quantity_span(low, high) } else { UNKNOWN.into() }
    }

    /// A duration in the unit that a person would wait in, rounded up: seconds to ten, then steps of five, then minutes.
    #[must_use]
    pub fn duration(self, seconds: f64) -> String {
        if !seconds.is_finite() {
            return UNKNOWN.into();
        }
        let step = if seconds <= 10.0 { 1.0 } else { 5.0 };
        let seconds = (seconds / step).ceil().max(1.0) * step;
        if seconds <= 90.0 { format!("{seconds:.0} s") } else { format!("{:.0} min", (seconds / 60.0).ceil()) }
    }

    /// Puts the decimal sign of the language into numbers written with a point: only between two digits, so that the
    /// full stop of a sentence stays.
    #[must_use]
    pub fn localised(self, text: &str) -> String {
        if self.decimal == '.' {
            return text.to_string();
        }
        let letters: Vec<char> = text.chars().collect();
        let digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
        letters
            .iter()
            .enumerate()
            .map(|(at, &letter)| {
                let between = letter == '.' && at > 0 && digit(at - 1) && digit(at + 1);
                if between { self.decimal } else { letter }
            })
            .collect()
    }
}

/// Two numbers as a span.
#[must_use]
pub fn span(low: &str, high: &str) -> String {
    format!("{low} … {high}")
}

/// Decimals that a voltage is shown with.
#[must_use]
pub fn volt_decimals(volts: f64) -> usize {
    if volts.abs() < ONE_DECIMAL_FROM { 2 } else { 1 }
}

/// The voltage that is shown: what a report holds, equal digit by digit to what is printed.
#[must_use]
pub fn rounded_volts(volts: f64) -> f64 {
    rounded(volts, volt_decimals(volts))
}

/// The current that is shown, in amperes.
#[must_use]
pub fn rounded_amps(amps: f64) -> f64 {
    rounded(amps, milliamp_decimals(amps) + 3)
}

fn milliamp_decimals(amps: f64) -> usize {
    usize::from(amps.abs() < 0.099_95)
}

/// Rounds by way of the printed text, so that number and print can never differ; never minus zero.
fn rounded(value: f64, decimals: usize) -> f64 {
    if !value.is_finite() {
        // Reports write it as null: unknown is not zero.
        return f64::NAN;
    }
    let number: f64 = format!("{value:.decimals$}").parse().unwrap_or(f64::NAN);
    if number == 0.0 { 0.0 } else { number }
}
