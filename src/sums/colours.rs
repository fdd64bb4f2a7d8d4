//! Resistor colour bands and letter code of IEC 60062, both ways.
//!
//! Only the tolerance colours that old parts bear are read without doubt; charts disagree about the rare ones (orange,
//! yellow, grey), and the sum says so when one turns up.

use super::entry::{Entry, Input, SumError, positive};
use super::sum::{Amount, Sum};
use crate::fact;
use crate::spec::units::Ohms;
use crate::words::{Fact, Value};

/// The entry from ohms to bands.
pub const BANDS_ENTRY: Entry = Entry {
    name: "colour-bands",
    inputs: &[
        Input::required("value", "resistance", "the resistor"),
        Input::preset("tolerance", "20|10|5|2|1", "5", "tolerance in per cent; 1 and 2 take three digits"),
    ],
    example: "value=4k7 tolerance=5",
    compute: |given| bands_sum(given.quantity("value")?, given.number("tolerance", "%")?),
};

/// The entry from bands to ohms.
pub const CODE_ENTRY: Entry = Entry {
    name: "colour-code",
    inputs: &[Input::required(
        "bands",
        "colours with hyphens",
        "bands from the end where they stand closer, such as yellow-violet-red-gold",
    )],
    example: "bands=yellow-violet-red-gold",
    compute: |given| code_sum(given.text("bands").unwrap_or_default()),
};

/// Colours in the order of their digits.
const DIGITS: [&str; 10] = ["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"];

/// Tolerance colours: colour, per cent, whether charts agree on it.
const TOLERANCES: [(&str, f64, bool); 10] = [
    ("silver", 10.0, true),
    ("gold", 5.0, true),
    ("red", 2.0, true),
    ("brown", 1.0, true),
    ("green", 0.5, true),
    ("blue", 0.25, true),
    ("violet", 0.1, true),
    ("orange", 0.05, false),
    ("yellow", 0.02, false),
    ("grey", 0.01, false),
];

/// Power of ten of a multiplier band.
fn multiplier(colour: &str) -> Option<i32> {
    match colour {
        "pink" => Some(-3),
        "silver" => Some(-2),
        "gold" => Some(-1),
        _ => digit(colour).and_then(|digit| i32::try_from(digit).ok()),
    }
}

fn digit(colour: &str) -> Option<usize> {
    DIGITS.iter().position(|known| *known == colour)
}

/// The bands of a resistor: two digits, or three for 1 and 2 %; none where the value has more digits than the bands or
/// lies outside the code.
#[must_use]
pub fn bands(resistance: Ohms, tolerance_percent: f64) -> Option<Vec<&'static str>> {
    if !(resistance.value().is_finite() && resistance.value() > 0.0) {
        return None;
    }
    let digits = if tolerance_percent <= 2.0 { 3 } else { 2 };
    #[expect(clippy::cast_possible_truncation, reason = "a decimal exponent is small")]
    let mut power = resistance.value().log10().floor() as i32 - (digits - 1);
    let mut mantissa = (resistance.value() / 10f64.powi(power)).round();
    if mantissa >= 10f64.powi(digits) {
        mantissa /= 10.0;
        power += 1;
    }
    if (mantissa * 10f64.powi(power) / resistance.value() - 1.0).abs() > 1e-6 {
        return None;
    }
    let text = format!("{mantissa:.0}");
    let mut bands: Vec<&str> =
        text.chars().filter_map(|c| c.to_digit(10)).map(|digit| DIGITS[digit as usize]).collect();
    bands.push(match power {
        -3 => "pink",
        -2 => "silver",
        -1 => "gold",
        _ => DIGITS.get(usize::try_from(power).ok()?)?,
    });
    if (tolerance_percent - 20.0).abs() > 1e-9 {
        bands.push(TOLERANCES.iter().find(|(_, percent, _)| (percent - tolerance_percent).abs() < 1e-9)?.0);
    }
    Some(bands)
}

/// The letter code: the letter stands where the decimal point would (R, K, M, G; L for thousandths).
#[must_use]
pub fn letter_code(resistance: Ohms) -> Option<String> {
    let value = resistance.value();
    if !(value.is_finite() && value > 0.0) {
        return None;
    }
    let (letter, scale) = [("G", 1e9), ("M", 1e6), ("K", 1e3), ("R", 1.0), ("L", 1e-3)]
        .into_iter()
        .find(|(letter, scale)| value >= *scale * 0.999_999 || (*letter == "R" && value >= 0.01))?;
    let text = format!("{:.3}", value / scale);
    let (whole, fraction) = text.split_once('.')?;
    let fraction = fraction.trim_end_matches('0');
    let whole = if whole == "0" { "" } else { whole };
    // 1R0 and 1M0, but 47R: at least two characters beside the letter, so that a lost one shows.
    let fraction = if whole.len() == 1 && fraction.is_empty() { "0" } else { fraction };
    Some(format!("{whole}{letter}{fraction}"))
}

/// Ohms and tolerance in per cent of a row of bands: three (±20 %), four, five, or six with a temperature band.
///
/// # Errors
/// A row of other length, or a colour that cannot stand where it stands.
pub fn read_bands(row: &[&str]) -> Result<(Ohms, f64), SumError> {
    let digits = match row.len() {
        3 | 4 => 2,
        5 | 6 => 3,
        _ => return Err(wrong_bands(row, "three to six colours".into())),
    };
    let mut mantissa = 0.0;
    for colour in &row[..digits] {
        let digit = digit(colour).ok_or_else(|| wrong_bands(row, format!("digits first, and `{colour}` is none")))?;
        #[expect(clippy::cast_precision_loss, reason = "a digit")]
        let digit = digit as f64;
        mantissa = mantissa * 10.0 + digit;
    }
    let colour = row[digits];
    let power = multiplier(colour).ok_or_else(|| wrong_bands(row, format!("a multiplier, and `{colour}` is none")))?;
    let value = if power < 0 { mantissa / 10f64.powi(-power) } else { mantissa * 10f64.powi(power) };
    let tolerance = match row.get(digits + 1) {
        None => 20.0,
        Some(colour) => TOLERANCES
            .iter()
            .find(|(known, ..)| known == colour)
            .map(|(_, percent, _)| *percent)
            .ok_or_else(|| wrong_bands(row, format!("a tolerance colour, and `{colour}` is none")))?,
    };
    Ok((Ohms::new(value), tolerance))
}

/// Colours as words, in the order of the bands.
fn colours(row: &[&str]) -> Value {
    Value::all(row.iter().map(|colour| Fact::new(format!("colours.{colour}"))))
}

fn wrong_bands(row: &[&str], expected: String) -> SumError {
    SumError::Unreadable { name: "bands".into(), found: row.join("-"), expected }
}

fn bands_sum(value: Ohms, tolerance: f64) -> Result<Sum, SumError> {
    let value = positive("value", value)?;
    let row = bands(value, tolerance).ok_or_else(|| SumError::Unsuitable {
        name: "value".into(),
        found: format!("{value} at {tolerance} %"),
        expected: "two digits and a power of ten (three for 1 % and 2 %), with a usual tolerance".into(),
    })?;
    let mut sum = Sum::new(&BANDS_ENTRY, fact!("sums.source.colours"))
        .given("value", value)
        .given_as(Amount::number("tolerance", tolerance, "%"))
        .answer(Amount::words("bands", colours(&row)));
    if let Some(code) = letter_code(value) {
        sum = sum.answer(Amount::words("letter-code", code));
    }
    Ok(sum)
}

fn code_sum(text: &str) -> Result<Sum, SumError> {
    let lower = text.to_lowercase().replace("gray", "grey").replace("purple", "violet");
    let row: Vec<&str> =
        lower.split(|c: char| c == '-' || c == ',' || c.is_whitespace()).filter(|word| !word.is_empty()).collect();
    let (value, tolerance) = read_bands(&row)?;
    if value.value() <= 0.0 {
        return Ok(Sum::new(&CODE_ENTRY, fact!("sums.source.colours"))
            .given_as(Amount::words("bands", colours(&row)))
            .answer(Amount::of("resistance", value))
            .caution(fact!("sums.caution.wire-link")));
    }
    let spread = tolerance / 100.0;
    let doubtful = row.len() > 3
        && TOLERANCES
            .iter()
            .any(|(colour, _, sure)| !sure && row.get(if row.len() > 4 { 4 } else { 3 }) == Some(colour));
    let mut sum = Sum::new(&CODE_ENTRY, fact!("sums.source.colours"))
        .given_as(Amount::words("bands", colours(&row)))
        .answer(Amount::of("resistance", value))
        .answer(Amount::number("tolerance", tolerance, "%"))
        .answer_by(
            "R × (1 − t)",
            format!("{value} × {:.4}", 1.0 - spread),
            Amount::of("lowest", value * (1.0 - spread)),
        )
        .answer_by(
            "R × (1 + t)",
            format!("{value} × {:.4}", 1.0 + spread),
            Amount::of("highest", value * (1.0 + spread)),
        );
    if let Some(code) = letter_code(value) {
        sum = sum.answer(Amount::words("letter-code", code));
    }
    Ok(sum.caution_if(doubtful, fact!("sums.caution.charts-disagree")))
}
