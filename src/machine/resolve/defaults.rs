//! What is taken where a description is silent. Each value is marked as a default wherever it is printed.

use crate::machine::model::{Origin, Toleranced, Wire};
use crate::spec::units::{Amperes, Farads, Ohms};
use crate::spec::values::{CrossSection, Quantity};

/// Closed contact: 0.05 Ω, healthy up to 0.2 Ω (common practice, no source; new relays promise 0.1 Ω or less).
pub(super) fn closed_contact() -> Toleranced<Ohms> {
    Toleranced::default_span(0.05, 0.01, 0.2)
}

/// Mated pin: 0.01 Ω, healthy up to 0.05 Ω (common practice, no source).
pub(super) fn pin() -> Toleranced<Ohms> {
    Toleranced::default_span(0.01, 0.005, 0.05)
}

/// Tolerance of coils, resistors, supplies and lamp currents where none is stated.
pub(super) const SPREAD: f64 = 0.1;
/// Tolerance of capacitors and loudspeakers where none is stated.
pub(super) const WIDE_SPREAD: f64 = 0.2;
/// Tolerance of an electrolytic capacitor where none is stated: so much above and below. Data sheets of old types print
/// −10/+50, −20/+50 or −10/+100 % (common practice, no single source); waiting times go by the high end.
const ELECTROLYTIC: (f64, f64) = (0.5, 0.2);
/// Capacitance from which a capacitor is taken for an electrolytic one, in farads (common practice).
const ELECTROLYTIC_FROM: f64 = 10e-6;

/// A capacitance with its tolerance as stated, or the one usual for its size.
pub(super) fn capacitance(written: &Quantity<Farads>, origin: Origin) -> Toleranced<Farads> {
    if written.nominal.value() >= ELECTROLYTIC_FROM {
        return electrolytic(written, origin);
    }
    written.toleranced(WIDE_SPREAD, origin)
}

/// The capacitance of an electrolytic capacitor, such as any reservoir.
pub(super) fn electrolytic(written: &Quantity<Farads>, origin: Origin) -> Toleranced<Farads> {
    let mut value = written.toleranced(0.0, origin);
    if written.span.is_none() {
        value.high = value.nominal * (1.0 + ELECTROLYTIC.0);
        value.low = value.nominal * (1.0 - ELECTROLYTIC.1);
    }
    value
}

/// Share of rated voltage at which a coil operates. General-purpose DC relays promise 80 % or less; machine relays with
/// open frames are looser, so this sits between (common practice).
pub(super) const OPERATE: f64 = 0.75;
/// Share of rated voltage below which a DC coil lets go (makers of general-purpose relays promise at least this).
pub(super) const RELEASE_DIRECT: f64 = 0.10;
/// The same for an AC coil.
pub(super) const RELEASE_ALTERNATING: f64 = 0.15;
/// Power factor of an AC winding of which only volts and amps are known (estimate).
pub(super) const POWER_FACTOR: f64 = 0.6;
/// Hot over cold resistance of a filament: tungsten at 2400 K against room temperature, (T/293)^1.2.
pub(super) const HOT_OVER_COLD: f64 = 12.0;
/// DC resistance over nominal impedance of a voice coil (common practice; 0.75 to 0.85 is usual).
pub(super) const VOICE_COIL: f64 = 0.8;
/// Drop of a silicon diode at its usual current, in volts.
pub(super) const SILICON_DROP: f64 = 0.7;
/// Regulation of a small transformer where none is stated (estimate).
pub(super) const REGULATION: f64 = 0.1;
/// Current at which a supply without a rating is taken to sag by 5 %, in amperes (estimate).
pub(super) const SAG_CURRENT: f64 = 2.0;
/// Share of its voltage by which a supply without a rating sags at that current (estimate).
pub(super) const SAG: f64 = 0.05;

/// Cold ohms of 5 × 20 mm glass links by rated amperes: typical values of a maker's data sheets for quick-acting links to
/// IEC 60127-2 sheet 2 (0.4 A up) and for surge-withstanding time-lag links to sheet 3 (below).
const FUSE_OHMS: [(f64, f64); 18] = [
    (0.2, 1.60),
    (0.25, 1.05),
    (0.315, 0.848),
    (0.4, 0.277),
    (0.5, 0.2065),
    (0.63, 0.190),
    (0.8, 0.1203),
    (1.0, 0.0964),
    (1.25, 0.0701),
    (1.6, 0.0528),
    (2.0, 0.0416),
    (2.5, 0.0334),
    (3.15, 0.0224),
    (4.0, 0.0165),
    (5.0, 0.0137),
    (6.3, 0.0095),
    (8.0, 0.0068),
    (10.0, 0.0063),
];

/// Cold ohms of 5 × 20 mm time-lag links, from the data sheet of a surge-withstanding series to IEC 60127-2 sheet 3.
const TIME_LAG_OHMS: [(f64, f64); 15] = [
    (0.2, 1.60),
    (0.25, 1.05),
    (0.315, 0.848),
    (0.4, 0.535),
    (0.5, 0.370),
    (0.63, 0.275),
    (0.8, 0.165),
    (1.0, 0.117),
    (1.25, 0.081),
    (1.6, 0.055),
    (2.0, 0.044),
    (2.5, 0.030),
    (3.15, 0.022),
    (4.0, 0.017),
    (5.0, 0.011),
];

/// Cold resistance of a fuse of this rating: the table read with straight lines on doubly logarithmic paper, carried on
/// beyond its ends at its mean slope. Makers and speeds differ, hence the span from 0.7 to 2 times.
pub(super) fn fuse_ohms(rated: Amperes, speed: Option<&str>) -> Toleranced<Ohms> {
    let table: &[(f64, f64)] = if matches!(speed, Some("T" | "TT")) { &TIME_LAG_OHMS } else { &FUSE_OHMS };
    let ohms = log_log(table, rated.value());
    let mut cold = Toleranced::default_span(ohms, ohms * 0.7, ohms * 2.0);
    cold.source = Some("typical data sheet of 5 × 20 mm links".into());
    cold
}

fn log_log(table: &[(f64, f64)], x: f64) -> f64 {
    let last = table.len() - 1;
    let slope = |low: usize, high: usize| (table[high].1 / table[low].1).ln() / (table[high].0 / table[low].0).ln();
    let from = |anchor: usize, slope: f64| table[anchor].1 * (x / table[anchor].0).powf(slope);
    if x <= table[0].0 {
        return from(0, slope(0, last));
    }
    match table.iter().position(|(known, _)| *known >= x) {
        Some(high) => from(high, slope(high - 1, high)),
        None => from(last, slope(0, last)),
    }
}

/// Largest resistance of flexible copper conductors, classes 5 and 6, plain, in ohms per metre at 20 °C by square
/// millimetres: IEC 60228 from 0.5 mm² up, a maker's national table below.
const METRIC_OHMS_PER_METRE: [(f64, f64); 8] = [
    (0.22, 0.096),
    (0.25, 0.076),
    (0.34, 0.053),
    (0.5, 0.0390),
    (0.75, 0.0260),
    (1.0, 0.0195),
    (1.5, 0.0133),
    (2.5, 0.00798),
];

/// Volume resistivity of annealed copper at 20 °C, in ohm square millimetres per metre: 1/58 (IACS).
const COPPER: f64 = 1.0 / 58.0;

/// Resistance of a wire from its size and length; without either, 0.02 Ω with 0 to 0.05 Ω (common practice, no source).
pub(super) fn wire_ohms(wire: &Wire, size: Option<&CrossSection>) -> Toleranced<Ohms> {
    let (Some(size), Some(length)) = (size, wire.length) else {
        return Toleranced::default_span(0.02, 0.0, 0.05);
    };
    let (per_metre, source) = ohms_per_metre(size);
    let ohms = per_metre * length.value();
    Toleranced {
        nominal: Ohms::new(ohms),
        // A table value is the most that a new conductor may have; crimps and corrosion add to it.
        low: Ohms::new(ohms * 0.9),
        high: Ohms::new(ohms * 1.1 + 0.01),
        origin: Origin::Default,
        source: Some(source.into()),
    }
}

fn ohms_per_metre(size: &CrossSection) -> (f64, &'static str) {
    let area = size.area.value();
    if size.gauge.is_some() {
        return (COPPER / area, "AWG diameter (ASTM B258), copper at 20 °C");
    }
    match METRIC_OHMS_PER_METRE.iter().find(|(known, _)| (known - area).abs() < 1e-9) {
        Some((_, ohms)) => (*ohms, "IEC 60228, classes 5 and 6, at 20 °C"),
        // Stranding makes the conductor a little longer than the wire, as in the neighbouring rows of the table.
        None => (COPPER / area * 1.13, "copper at 20 °C"),
    }
}
