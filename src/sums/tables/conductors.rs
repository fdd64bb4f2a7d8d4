//! Copper conductors: resistance, temperature law, what they may carry and what melts them.
//!
//! Resistances of metric conductors are the maxima of IEC 60228 at 20 °C, as cable makers print them; those of AWG sizes
//! come from the gauge formula d = 0.127 mm × 92^((36−n)/39) and annealed copper of 1/58 Ω mm²/m (IACS).

use std::f64::consts::PI;

use crate::spec::units::{AmpereSquaredSeconds, Amperes, Celsius, Metres, Ohms, SquareMillimetres};

/// Volume resistivity of annealed copper at 20 °C in Ω mm²/m (IACS).
const RESISTIVITY: f64 = 1.0 / 58.0;

/// Zero of the straight line that copper's resistance follows around room temperature, in degrees below 0 °C (IACS).
const COPPER_ZERO: f64 = 234.5;

/// How a metric conductor is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Build {
    /// IEC 60228 class 1 or 2: solid or few strands.
    Solid,
    /// IEC 60228 class 5 or 6: flexible.
    Flexible,
}

/// IEC 60228, plain copper: mm², Ω/km of class 1 and 2, Ω/km of class 5 and 6.
const IEC_60228: [(f64, f64, f64); 5] =
    [(0.5, 36.0, 39.0), (0.75, 24.5, 26.0), (1.0, 18.1, 19.5), (1.5, 12.1, 13.3), (2.5, 7.41, 7.98)];

/// FAA AC 43.13-1B table 11-9, 105 °C wire in a bundle: AWG, amperes.
const BUNDLED_105: [(f64, f64); 5] = [(24.0, 2.5), (22.0, 3.0), (20.0, 4.0), (18.0, 6.0), (16.0, 7.0)];

/// Temperature of a winding after an evening of work in a closed cabinet; common practice, no source.
pub const WARM_WINDING: Celsius = Celsius::new(70.0);

/// Resistance of copper at `to` when it is `resistance` at `at`.
#[must_use]
pub fn copper_at(resistance: Ohms, at: Celsius, to: Celsius) -> Ohms {
    resistance * ((COPPER_ZERO + to.value()) / (COPPER_ZERO + at.value()))
}

/// Temperature at which copper that is `cold` ohms at `at` has `warm` ohms.
#[must_use]
pub fn copper_temperature(cold: Ohms, at: Celsius, warm: Ohms) -> Celsius {
    Celsius::new((COPPER_ZERO + at.value()) * (warm / cold) - COPPER_ZERO)
}

/// Diameter of an AWG conductor in millimetres.
#[must_use]
pub fn awg_diameter(gauge: f64) -> f64 {
    0.127 * 92f64.powf((36.0 - gauge) / 39.0)
}

/// Cross-section of an AWG conductor.
#[must_use]
pub fn awg_area(gauge: f64) -> SquareMillimetres {
    SquareMillimetres::new(PI / 4.0 * awg_diameter(gauge).powi(2))
}

/// Resistance of a metre at 20 °C: the IEC 60228 maximum where the table has the size, else resistivity over area.
#[must_use]
pub fn resistance_per_metre(area: SquareMillimetres, build: Build) -> Ohms {
    let row = IEC_60228.iter().find(|(size, ..)| (area.value() / size - 1.0).abs() < 0.005);
    Ohms::new(match (row, build) {
        (Some((_, solid, _)), Build::Solid) => solid / 1000.0,
        (Some((_, _, flexible)), Build::Flexible) => flexible / 1000.0,
        (None, _) => RESISTIVITY / area.value(),
    })
}

/// Whether [`resistance_per_metre`] comes from the IEC 60228 table for this size.
#[must_use]
pub fn is_tabled(area: SquareMillimetres) -> bool {
    IEC_60228.iter().any(|(size, ..)| (area.value() / size - 1.0).abs() < 0.005)
}

/// Resistance of a length of conductor of so many ohms a metre.
#[must_use]
pub fn resistance_of(per_metre: Ohms, length: Metres) -> Ohms {
    per_metre * length.value()
}

/// Continuous current of a loomed conductor, after FAA AC 43.13-1B table 11-9 for 105 °C wire; between the sizes of the
/// table by straight lines on logarithmic scales. None more than a quarter outside the table (0.16 to 1.64 mm²).
#[must_use]
pub fn ampacity(area: SquareMillimetres) -> Option<Amperes> {
    let rows: Vec<(f64, f64)> = BUNDLED_105.iter().map(|(gauge, amps)| (awg_area(*gauge).value(), *amps)).collect();
    let (smallest, largest) = (rows[0].0, rows[rows.len() - 1].0);
    if area.value() < smallest * 0.75 || area.value() > largest * 1.25 {
        return None;
    }
    let upper = rows.iter().position(|(size, _)| *size >= area.value()).unwrap_or(rows.len() - 1).max(1);
    let ((small, less), (large, more)) = (rows[upper - 1], rows[upper]);
    let share = (area.value() / small).ln() / (large / small).ln();
    Some(Amperes::new(less * (more / less).powf(share)))
}

/// Melting integral of a copper conductor, from 25 °C to 1083 °C, without heat loss (Onderdonk's formula).
#[must_use]
pub fn melting_integral(area: SquareMillimetres) -> AmpereSquaredSeconds {
    let circular_mils = area.value() / (PI / 4.0 * 0.0254 * 0.0254);
    let heat = (1.0_f64 + (1083.0 - 25.0) / (234.0 + 25.0)).log10() / 33.0;
    AmpereSquaredSeconds::new(circular_mils * circular_mils * heat)
}

/// What PVC-covered copper stands in a short circuit: (115 × mm²)². The constant is from memory of IEC 60364-4-43.
#[must_use]
pub fn pvc_integral(area: SquareMillimetres) -> AmpereSquaredSeconds {
    AmpereSquaredSeconds::new((115.0 * area.value()).powi(2))
}
