//! Numbers as they are written on a page.

use super::syntax::append;

/// A number to so many decimals, in the fewest characters, behind what stands there already.
pub(super) fn append_number(out: &mut Vec<u8>, value: f64, decimals: usize) {
    let units = units(value, decimals);
    let (mut digits, mut length) = ([0_u8; 24], 0);
    let mut put = |byte: u8| {
        digits[length] = byte;
        length += 1;
    };
    // From the last digit to the first; zeros at the end of the decimals say nothing, nor does one before the point.
    let (mut rest, mut said) = (units.unsigned_abs(), false);
    for _ in 0..decimals {
        let digit = last_digit(rest);
        said |= digit != b'0';
        if said {
            put(digit);
        }
        rest /= 10;
    }
    if said {
        put(b'.');
    }
    while rest > 0 || !said {
        put(last_digit(rest));
        rest /= 10;
        said = true;
    }
    if units < 0 {
        put(b'-');
    }
    let digits = &mut digits[..length];
    digits.reverse();
    append(out, digits);
}

/// The last digit of a number as it is written.
fn last_digit(number: u64) -> u8 {
    b'0' + u8::try_from(number % 10).unwrap_or(0)
}

/// A number in units of its last decimal.
#[expect(clippy::cast_possible_truncation, reason = "a page is small")]
pub(super) fn units(value: f64, decimals: usize) -> i64 {
    (value * 10_f64.powi(i32::try_from(decimals).unwrap_or(0))).round() as i64
}

/// In hundredths of a point, so that moves add up to exactly where they lead.
#[expect(clippy::cast_possible_truncation, reason = "a page is small")]
pub(super) fn hundredths(value: f64) -> i64 {
    (value * 100.0).round() as i64
}

#[expect(clippy::cast_precision_loss, reason = "a page is small")]
pub(super) fn from_hundredths(value: i64) -> f64 {
    value as f64 / 100.0
}
