//! Preferred values of IEC 60063: E6, E12 and E24.
//!
//! The series are kept as tables. Eight members of E24 are not what rounding 10^(n/24) would give.

/// A series of preferred values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    /// Six values a decade, made for ±20 %.
    E6,
    /// Twelve values a decade, made for ±10 %.
    E12,
    /// Twenty-four values a decade, made for ±5 %.
    E24,
}

const E24: [f64; 24] = [
    10., 11., 12., 13., 15., 16., 18., 20., 22., 24., 27., 30., 33., 36., 39., 43., 47., 51., 56., 62., 68., 75., 82.,
    91.,
];
const E12: [f64; 12] = [10., 12., 15., 18., 22., 27., 33., 39., 47., 56., 68., 82.];
const E6: [f64; 6] = [10., 15., 22., 33., 47., 68.];

impl Series {
    /// One decade of it, from 10.
    #[must_use]
    pub fn decade(self) -> &'static [f64] {
        match self {
            Series::E6 => &E6,
            Series::E12 => &E12,
            Series::E24 => &E24,
        }
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Series::E6 => "E6",
            Series::E12 => "E12",
            Series::E24 => "E24",
        }
    }

    /// The member whose ratio to `value` is nearest to one; none for zero, negative or non-finite values.
    #[must_use]
    pub fn nearest(self, value: f64) -> Option<f64> {
        self.around(value)?.into_iter().min_by(|one, other| {
            let distance = |member: f64| (member / value).ln().abs();
            distance(*one).total_cmp(&distance(*other))
        })
    }

    /// The smallest member that is not below `value` (a hair below counts as on it).
    #[must_use]
    pub fn at_least(self, value: f64) -> Option<f64> {
        self.around(value)?.into_iter().find(|member| *member >= value * (1.0 - 1e-9))
    }

    /// The largest member that is not above `value` (a hair above counts as on it).
    #[must_use]
    pub fn at_most(self, value: f64) -> Option<f64> {
        self.around(value)?.into_iter().rev().find(|member| *member <= value * (1.0 + 1e-9))
    }

    /// Members of the decade of `value` and its two neighbours, ascending.
    fn around(self, value: f64) -> Option<Vec<f64>> {
        if !value.is_finite() || value <= 0.0 {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, reason = "a decimal exponent is small")]
        let decade = value.log10().floor() as i32;
        let members = (decade - 1..=decade + 1)
            .flat_map(|power| self.decade().iter().map(move |member| scaled(*member, power - 1)))
            .collect();
        Some(members)
    }
}

/// `member` × 10^`power`, dividing for negative powers so that 4.7 comes out as the nearest number to 4.7.
fn scaled(member: f64, power: i32) -> f64 {
    if power < 0 { member / 10f64.powi(-power) } else { member * 10f64.powi(power) }
}
