//! Quantities as people write them: `2.5 A`, `4k7`, `24 V ac 50 Hz ±10 %`, `0.05 ohm (0.01..0.2)`.
//!
//! In comes text and the measure that is wanted; out comes a number in the SI base unit with its span, or what is wrong
//! and which stretch of the text it is. Letter codes for values follow IEC 60062: the letter stands for the decimal point.
//! A bare number is refused, since it could be in any unit, and so is a decimal comma, which elsewhere separates thousands.

use std::ops::Range;

use super::kind::Kind;
use crate::machine::model::Current;

mod scanner;

use scanner::Scanner;

/// What a quantity measures, and the units in which it may be written.
#[derive(Debug)]
pub struct Measure {
    /// As messages name it, such as `resistance`.
    pub name: &'static str,
    /// How it is written, for messages.
    pub example: &'static str,
    /// Its units.
    pub units: &'static [UnitName],
    /// Letters that may stand for the decimal point, each with its power of ten.
    pub codes: &'static [(char, i32)],
    /// Whether a letter code stands without a unit, as in `4k7`.
    pub bare_codes: bool,
    /// Whether `dc`, `ac` and a frequency may follow.
    pub says_current: bool,
    /// Whether it may be below zero.
    pub signed: bool,
}

/// One way to write a unit.
#[derive(Debug)]
pub struct UnitName {
    /// As written.
    pub symbol: &'static str,
    /// Power of ten to the SI base unit.
    pub exponent: i32,
    /// Factor to the SI base unit beside the power of ten.
    pub factor: f64,
    /// Whether prefixes such as `k` and `m` may stand before it.
    pub prefixes: bool,
    /// Kind of current that it says, as `VDC` does.
    pub current: Option<Current>,
}

/// What a quantity text says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scanned {
    /// The value in the SI base unit.
    pub nominal: f64,
    /// Lowest and highest value, where a tolerance or a span is written.
    pub span: Option<(f64, f64)>,
    /// Kind of current, where it is written.
    pub current: Option<Current>,
    /// Frequency in hertz, where it is written.
    pub frequency: Option<f64>,
}

/// What is wrong with a text, and with which stretch of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Flaw {
    /// What is wrong.
    pub kind: Kind,
    /// Byte range in the text.
    pub range: Range<usize>,
}

const fn unit(symbol: &'static str, exponent: i32, factor: f64, prefixes: bool) -> UnitName {
    UnitName { symbol, exponent, factor, prefixes, current: None }
}

const fn volts_of(symbol: &'static str, current: Current) -> UnitName {
    UnitName { symbol, exponent: 0, factor: 1.0, prefixes: false, current: Some(current) }
}

const PLAIN: Measure =
    Measure { name: "", example: "", units: &[], codes: &[], bare_codes: false, says_current: false, signed: false };

/// Voltage.
pub static VOLTAGE: Measure = Measure {
    name: "voltage",
    example: "24 V dc",
    units: &[
        unit("V", 0, 1.0, true),
        volts_of("Vdc", Current::Direct),
        volts_of("Vac", Current::Alternating),
        unit("volts", 0, 1.0, false),
        unit("volt", 0, 1.0, false),
    ],
    says_current: true,
    signed: true,
    ..PLAIN
};
/// Current.
pub static CURRENT: Measure = Measure {
    name: "current",
    example: "2.5 A",
    units: &[unit("A", 0, 1.0, true), unit("amps", 0, 1.0, false), unit("amp", 0, 1.0, false)],
    ..PLAIN
};
/// Resistance.
pub static RESISTANCE: Measure = Measure {
    name: "resistance",
    example: "120 ohm",
    units: &[
        unit("ohm", 0, 1.0, true),
        unit("ohms", 0, 1.0, true),
        unit("Ω", 0, 1.0, true),
        unit("\u{2126}", 0, 1.0, true),
    ],
    codes: &[('R', 0), ('k', 3), ('K', 3), ('M', 6), ('G', 9), ('L', -3)],
    bare_codes: true,
    ..PLAIN
};
/// Power.
pub static POWER: Measure = Measure {
    name: "power",
    example: "20 W",
    units: &[unit("W", 0, 1.0, true), unit("watts", 0, 1.0, false), unit("watt", 0, 1.0, false)],
    ..PLAIN
};
/// Apparent power.
pub static APPARENT_POWER: Measure =
    Measure { name: "apparent power", example: "40 VA", units: &[unit("VA", 0, 1.0, true)], ..PLAIN };
/// Capacitance.
pub static CAPACITANCE: Measure = Measure {
    name: "capacitance",
    example: "0.47 uF",
    units: &[unit("F", 0, 1.0, true)],
    codes: &[('p', -12), ('n', -9), ('u', -6), ('µ', -6), ('\u{3bc}', -6), ('m', -3)],
    bare_codes: true,
    ..PLAIN
};
/// Inductance.
pub static INDUCTANCE: Measure = Measure {
    name: "inductance",
    example: "0.3 H",
    units: &[unit("H", 0, 1.0, true)],
    codes: &[('u', -6), ('µ', -6), ('\u{3bc}', -6), ('m', -3)],
    ..PLAIN
};
/// Frequency.
pub static FREQUENCY: Measure =
    Measure { name: "frequency", example: "50 Hz", units: &[unit("Hz", 0, 1.0, true)], ..PLAIN };
/// Time on the bench, in minutes.
pub static BENCH_TIME: Measure = Measure {
    name: "time",
    example: "2 min",
    units: &[
        unit("min", 0, 1.0, false),
        unit("minutes", 0, 1.0, false),
        unit("minute", 0, 1.0, false),
        unit("h", 0, 60.0, false),
        unit("s", 0, 1.0 / 60.0, false),
    ],
    ..PLAIN
};
/// Time in a circuit, in seconds.
pub static DURATION: Measure = Measure {
    name: "time",
    example: "10 s",
    units: &[
        unit("s", 0, 1.0, true),
        unit("min", 0, 60.0, false),
        unit("minutes", 0, 60.0, false),
        unit("h", 0, 3600.0, false),
    ],
    ..PLAIN
};
/// Length in metres.
pub static LENGTH: Measure = Measure {
    name: "length",
    example: "1.2 m",
    units: &[
        unit("m", 0, 1.0, false),
        unit("mm", -3, 1.0, false),
        unit("cm", -2, 1.0, false),
        unit("km", 3, 1.0, false),
        unit("ft", 0, 0.3048, false),
        unit("in", 0, 0.0254, false),
    ],
    ..PLAIN
};
/// Cross-section in square millimetres.
pub static CROSS_SECTION: Measure = Measure {
    name: "cross-section",
    example: "0.75 mm2",
    units: &[unit("mm2", 0, 1.0, false), unit("mm²", 0, 1.0, false), unit("mm^2", 0, 1.0, false)],
    ..PLAIN
};
/// Temperature in degrees Celsius.
pub static TEMPERATURE: Measure = Measure {
    name: "temperature",
    example: "20 °C",
    units: &[unit("°C", 0, 1.0, false), unit("degC", 0, 1.0, false), unit("C", 0, 1.0, false)],
    signed: true,
    ..PLAIN
};
/// Angle in degrees.
pub static ANGLE: Measure = Measure {
    name: "angle",
    example: "180 deg",
    units: &[unit("deg", 0, 1.0, false), unit("°", 0, 1.0, false)],
    signed: true,
    ..PLAIN
};
/// Share of one.
pub static SHARE: Measure = Measure {
    name: "share",
    example: "75 %",
    units: &[unit("%", -2, 1.0, false), unit("percent", -2, 1.0, false)],
    ..PLAIN
};

/// Every measure, to name the one that a wrong unit belongs to.
static MEASURES: [&Measure; 14] = [
    &VOLTAGE,
    &CURRENT,
    &RESISTANCE,
    &POWER,
    &APPARENT_POWER,
    &CAPACITANCE,
    &INDUCTANCE,
    &FREQUENCY,
    &CROSS_SECTION,
    &LENGTH,
    &BENCH_TIME,
    &TEMPERATURE,
    &ANGLE,
    &SHARE,
];

/// Prefixes with their powers of ten.
const PREFIXES: [(&str, i32); 10] =
    [("p", -12), ("n", -9), ("u", -6), ("µ", -6), ("\u{3bc}", -6), ("m", -3), ("k", 3), ("K", 3), ("M", 6), ("G", 9)];

/// A unit with its prefix, looked up.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Scale {
    exponent: i32,
    factor: f64,
    current: Option<Current>,
}

impl Measure {
    /// Reads a text as this measure.
    ///
    /// # Errors
    /// What is wrong with it, with the stretch of the text.
    pub fn scan(&'static self, text: &str) -> Result<Scanned, Flaw> {
        Scanner::new(self, text).quantity()
    }

    fn scale(&self, token: &str) -> Option<Scale> {
        let same = |name: &&UnitName| {
            name.symbol == token || (name.symbol.len() > 1 && name.symbol.eq_ignore_ascii_case(token))
        };
        let plain = self.units.iter().find(same);
        if let Some(name) = plain {
            return Some(Scale { exponent: name.exponent, factor: name.factor, current: name.current });
        }
        PREFIXES.iter().find_map(|(prefix, exponent)| {
            let rest = token.strip_prefix(prefix)?;
            let name = self.units.iter().filter(|name| name.prefixes).find(|name| name.symbol == rest)?;
            Some(Scale { exponent: name.exponent + exponent, factor: name.factor, current: name.current })
        })
    }

    /// The measure that a unit belongs to, whatever it is.
    fn of_unit(token: &str) -> Option<&'static Measure> {
        MEASURES.into_iter().find(|measure| measure.scale(token).is_some())
    }
}
