//! Quantities: what is written against the value it means.
//!
//! Letter codes follow IEC 60062 (the letter stands for the decimal point); the examples are those of its usual
//! tables (4R7 = 4.7 Ω, 4K7 = 4.7 kΩ, R47 = 0.47 Ω, 1M0 = 1 MΩ). SI prefixes and units follow the SI Brochure.

use benchleaf::machine::model::Current;
use benchleaf::spec::Kind;
use benchleaf::spec::quantity::{self, Flaw, Measure, Scanned};

fn scan(measure: &'static Measure, text: &str) -> Scanned {
    measure.scan(text).unwrap_or_else(|flaw| panic!("`{text}` was refused: {}", flaw.kind))
}

fn refuse(measure: &'static Measure, text: &str) -> Flaw {
    match measure.scan(text) {
        Ok(scanned) => panic!("`{text}` was taken as {scanned:?}"),
        Err(flaw) => flaw,
    }
}

/// The nearest double to the decimal value, not merely something close to it.
#[test]
fn values_are_read_exactly() {
    let cases: &[(&'static Measure, &str, f64)] = &[
        (&quantity::CURRENT, "2.5 A", 2.5),
        (&quantity::CURRENT, "250 mA", 0.25),
        (&quantity::CURRENT, "315mA", 0.315),
        (&quantity::RESISTANCE, "160 ohm", 160.0),
        (&quantity::RESISTANCE, "160 Ω", 160.0),
        (&quantity::RESISTANCE, "160 \u{2126}", 160.0),
        (&quantity::RESISTANCE, "4k7", 4700.0),
        (&quantity::RESISTANCE, "4K7", 4700.0),
        (&quantity::RESISTANCE, "R47", 0.47),
        (&quantity::RESISTANCE, "4R7", 4.7),
        (&quantity::RESISTANCE, "1M0", 1e6),
        (&quantity::RESISTANCE, "10k", 10_000.0),
        (&quantity::RESISTANCE, "470R", 470.0),
        (&quantity::RESISTANCE, "4k7 ohm", 4700.0),
        (&quantity::RESISTANCE, "2.2 kohm", 2200.0),
        (&quantity::RESISTANCE, "50 mohm", 0.05),
        (&quantity::RESISTANCE, "10 Mohm", 1e7),
        (&quantity::RESISTANCE, "1e3 ohm", 1000.0),
        (&quantity::CAPACITANCE, "0.47 uF", 0.47e-6),
        (&quantity::CAPACITANCE, "0.47 µF", 0.47e-6),
        (&quantity::CAPACITANCE, "0.47 \u{3bc}F", 0.47e-6),
        (&quantity::CAPACITANCE, "2200 uF", 2200e-6),
        (&quantity::CAPACITANCE, "4n7", 4.7e-9),
        (&quantity::CAPACITANCE, "100 pF", 100e-12),
        (&quantity::INDUCTANCE, "0.3 mH", 0.3e-3),
        (&quantity::VOLTAGE, "36 V dc", 36.0),
        (&quantity::VOLTAGE, "-26 V dc", -26.0),
        (&quantity::VOLTAGE, "−26 V dc", -26.0),
        (&quantity::VOLTAGE, "28 VDC", 28.0),
        (&quantity::VOLTAGE, "6.3V", 6.3),
        (&quantity::POWER, "20 W", 20.0),
        (&quantity::POWER, "0.25 W", 0.25),
        (&quantity::APPARENT_POWER, "40 VA", 40.0),
        (&quantity::BENCH_TIME, "2 min", 2.0),
        (&quantity::BENCH_TIME, "30 s", 0.5),
        (&quantity::BENCH_TIME, "1 h", 60.0),
        (&quantity::LENGTH, "1.2 m", 1.2),
        (&quantity::LENGTH, "80 cm", 0.8),
        (&quantity::LENGTH, "10 ft", 3.048),
        (&quantity::CROSS_SECTION, "0.75 mm2", 0.75),
        (&quantity::CROSS_SECTION, "0.75 mm²", 0.75),
        (&quantity::FREQUENCY, "50 Hz", 50.0),
        (&quantity::FREQUENCY, "1 kHz", 1000.0),
        (&quantity::SHARE, "75 %", 0.75),
        (&quantity::TEMPERATURE, "-5 °C", -5.0),
        (&quantity::ANGLE, "180 deg", 180.0),
    ];
    for (measure, text, value) in cases {
        let found = scan(measure, text).nominal;
        assert!((found - value).abs() <= f64::EPSILON * value.abs(), "`{text}` was read as {found}, not {value}");
    }
}

#[test]
fn tolerances_become_spans() {
    let span = |measure: &'static Measure, text: &str| scan(measure, text).span.expect("a span is written");
    let close = |found: (f64, f64), low: f64, high: f64| {
        assert!((found.0 - low).abs() < 1e-9 && (found.1 - high).abs() < 1e-9, "{found:?}, not {low} to {high}");
    };
    close(span(&quantity::RESISTANCE, "120 ohm ±10 %"), 108.0, 132.0);
    close(span(&quantity::RESISTANCE, "120 ohm +-10 %"), 108.0, 132.0);
    close(span(&quantity::RESISTANCE, "120 ohm +/-10%"), 108.0, 132.0);
    close(span(&quantity::RESISTANCE, "4k7 ±5 %"), 4465.0, 4935.0);
    close(span(&quantity::RESISTANCE, "120 ohm ±6 ohm"), 114.0, 126.0);
    close(span(&quantity::RESISTANCE, "100 ohm +15/-20 %"), 80.0, 115.0);
    close(span(&quantity::RESISTANCE, "100 ohm +15 % -20 %"), 80.0, 115.0);
    close(span(&quantity::RESISTANCE, "0.05 ohm (0.01..0.2)"), 0.01, 0.2);
    close(span(&quantity::RESISTANCE, "50 mohm (10 mohm..0.2 ohm)"), 0.01, 0.2);
    close(span(&quantity::VOLTAGE, "-26 V dc ±10 %"), -28.6, -23.4);
    close(span(&quantity::VOLTAGE, "24 V ac 50 Hz ±1 V"), 23.0, 25.0);
}

#[test]
fn voltages_say_their_current_and_frequency() {
    let scanned = scan(&quantity::VOLTAGE, "24 V ac 50 Hz ±10 %");
    assert_eq!((scanned.current, scanned.frequency), (Some(Current::Alternating), Some(50.0)));
    assert_eq!(scan(&quantity::VOLTAGE, "28 V DC").current, Some(Current::Direct));
    assert_eq!(scan(&quantity::VOLTAGE, "24 VAC 60 Hz").frequency, Some(60.0));
    assert_eq!(scan(&quantity::VOLTAGE, "6.3 V").current, None);
    assert!(matches!(refuse(&quantity::VOLTAGE, "28 V dc 50 Hz").kind, Kind::FrequencyOfDirect { .. }));
}

#[test]
fn what_is_no_quantity_is_refused_at_its_place() {
    let cases: &[(&'static Measure, &str, &str, &str)] = &[
        (&quantity::RESISTANCE, "120", "unit", "120"),
        (&quantity::CURRENT, "2,5 A", "comma", "2,5"),
        (&quantity::RESISTANCE, "120 V", "unit `V` of voltage", "V"),
        (&quantity::RESISTANCE, "120 furlong", "unknown unit `furlong`", "furlong"),
        (&quantity::RESISTANCE, "inf ohm", "finite", "inf ohm"),
        (&quantity::RESISTANCE, "NaN ohm", "finite", "NaN ohm"),
        (&quantity::RESISTANCE, "1e999 ohm", "finite", "1e999"),
        (&quantity::RESISTANCE, "-5 ohm", "negative", "-5 ohm"),
        (&quantity::RESISTANCE, "lots", "expected a resistance", "lots"),
        (&quantity::RESISTANCE, "", "expected a resistance", ""),
        (&quantity::RESISTANCE, "120 ohm ±ten %", "tolerance", "±ten %"),
        (&quantity::RESISTANCE, "120 ohm ±150 %", "below zero", "±150 %"),
        (&quantity::RESISTANCE, "120 ohm (1..2)", "does not hold", "(1..2)"),
        (&quantity::RESISTANCE, "120 ohm or so", "does not belong", "or so"),
        (&quantity::CURRENT, "2 A dc", "does not belong", "dc"),
        (&quantity::RESISTANCE, "1.2.3 ohm", "expected a resistance", "1.2.3 ohm"),
    ];
    for (measure, text, says, at) in cases {
        let flaw = refuse(measure, text);
        let sentence = flaw.kind.to_string();
        assert!(sentence.contains(says), "`{text}`: “{sentence}” does not say “{says}”");
        assert_eq!(text[flaw.range.clone()].trim(), *at, "`{text}`: wrong stretch");
    }
}

#[test]
fn a_decimal_comma_brings_the_right_spelling() {
    let hints = refuse(&quantity::CAPACITANCE, "0,47 uF").kind.hints();
    assert_eq!(hints, ["write `0.47 uF`"]);
}
