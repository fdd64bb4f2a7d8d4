//! Units of measure as types: a number cannot be taken for another unit, and prints with its own.
//!
//! Values are held in SI base units (volts, amperes, ohms, ...). Only operations that make sense are defined: volts over
//! ohms give amperes, volts times volts give nothing. `Display` picks the prefix and the digits that a bench reader wants;
//! every page and every message uses it.

use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

use serde::{Serialize, Serializer};

/// What all units share: a symbol, and the way to and from a plain number in the SI base unit.
pub trait Unit: Copy + PartialOrd + fmt::Debug + fmt::Display {
    /// The symbol that stands behind the number, such as `V`.
    const SYMBOL: &'static str;
    /// What the unit measures, as messages name it, such as `voltage`.
    const QUANTITY: &'static str;
    /// From a number in the SI base unit.
    fn new(value: f64) -> Self;
    /// The number in the SI base unit.
    fn value(self) -> f64;
}

macro_rules! units {
    ($($(#[$doc:meta])* $name:ident, $symbol:literal, $quantity:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(0.0);

            /// From a number in the SI base unit.
            #[must_use]
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            /// The number in the SI base unit.
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }

            /// Without its sign.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Unit for $name {
            const SYMBOL: &'static str = $symbol;
            const QUANTITY: &'static str = $quantity;
            fn new(value: f64) -> Self {
                Self(value)
            }
            fn value(self) -> f64 {
                self.0
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0, $symbol)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&with_prefix(self.0, $symbol))
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_f64(self.0)
            }
        }
    )*};
}

units! {
    /// Electrical potential difference.
    Volts, "V", "voltage";
    /// Electrical current.
    Amperes, "A", "current";
    /// Resistance, or the magnitude of an impedance.
    Ohms, "Ω", "resistance";
    /// Power.
    Watts, "W", "power";
    /// Apparent power.
    VoltAmperes, "VA", "apparent power";
    /// Capacitance.
    Farads, "F", "capacitance";
    /// Inductance.
    Henries, "H", "inductance";
    /// Frequency.
    Hertz, "Hz", "frequency";
    /// Time on the bench, in minutes.
    Minutes, "min", "time";
    /// Time in a circuit, in seconds.
    Seconds, "s", "time";
    /// Length of a wire, in metres.
    Metres, "m", "length";
    /// Cross-section of a conductor, in square millimetres.
    SquareMillimetres, "mm²", "cross-section";
    /// Temperature in degrees Celsius.
    Celsius, "°C", "temperature";
    /// Melting integral of a fuse or a wire, in ampere squared seconds.
    AmpereSquaredSeconds, "A²s", "melting integral";
}

impl Div<Ohms> for Volts {
    type Output = Amperes;
    fn div(self, resistance: Ohms) -> Amperes {
        Amperes(self.0 / resistance.0)
    }
}

impl Div<Amperes> for Volts {
    type Output = Ohms;
    fn div(self, current: Amperes) -> Ohms {
        Ohms(self.0 / current.0)
    }
}

impl Mul<Ohms> for Amperes {
    type Output = Volts;
    fn mul(self, resistance: Ohms) -> Volts {
        Volts(self.0 * resistance.0)
    }
}

impl Mul<Amperes> for Volts {
    type Output = Watts;
    fn mul(self, current: Amperes) -> Watts {
        Watts(self.0 * current.0)
    }
}

/// Prefixes from the largest down; the first that leaves at least one whole unit is taken.
const PREFIXES: [(f64, &str); 7] =
    [(1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"), (1e-12, "p")];

/// Units that the trade never writes with a prefix.
const WITHOUT_PREFIX: [&str; 5] = ["min", "mm²", "°C", "A²s", "VA"];

/// The number in the prefix a person would choose, at most three significant digits, without trailing zeros.
fn with_prefix(value: f64, symbol: &str) -> String {
    if WITHOUT_PREFIX.contains(&symbol) || value == 0.0 {
        return format!("{} {symbol}", significant(value, 3));
    }
    // A hair below the step counts as on it, so that 0.9999 mA does not print as 1000 µA.
    // On old drawings mF means microfarad, so capacitance is never printed in millifarads.
    let largest = if symbol == "F" { 1e-6 } else { f64::INFINITY };
    let (scale, prefix) = PREFIXES
        .into_iter()
        .filter(|(scale, _)| *scale <= largest)
        .find(|(scale, _)| value.abs() >= scale * 0.999_5)
        .unwrap_or(PREFIXES[PREFIXES.len() - 1]);
    format!("{} {prefix}{symbol}", significant(value / scale, 3))
}

/// Rounds to so many significant digits and drops zeros that say nothing. Uses the true minus sign.
#[must_use]
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".into() } else { "–".into() };
    }
    #[expect(clippy::cast_possible_truncation, reason = "a decimal exponent is small")]
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = usize::try_from((digits - 1 - magnitude).max(0)).unwrap_or(0);
    let text = format!("{:.decimals$}", value.abs());
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if value < 0.0 && text != "0" { format!("−{text}") } else { text.to_string() }
}
