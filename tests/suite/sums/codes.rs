//! Colours, letter codes and preferred values.

use super::*;

/// IEC 60062 as published charts print it.
#[test]
fn colours_both_ways() {
    for (ohms, percent, bands) in [
        ("4.7kohm", "5", "yellow violet red gold"),
        ("47ohm", "10", "yellow violet black silver"),
        ("0.47ohm", "5", "yellow violet silver gold"),
        ("1ohm", "5", "brown black gold gold"),
        ("1Mohm", "20", "brown black green"),
        ("33kohm", "1", "orange orange black red brown"),
        ("160ohm", "10", "brown blue brown silver"),
        ("91Mohm", "5", "white brown blue gold"),
    ] {
        let there = sum("colour-bands", &format!("value={ohms} tolerance={percent}"));
        assert_eq!(text(&there, "bands").replace(" and ", " ").replace(", ", " "), bands, "{ohms}");
        let back = sum("colour-code", &format!("bands={}", bands.replace(' ', "-")));
        check_exact(&back, "resistance", there.given[0].value.unwrap());
        check_exact(&back, "tolerance", percent.parse().unwrap());
    }
}

#[test]
fn letter_codes() {
    // IEC 60062 letter code: the letter stands for the decimal point.
    for (ohms, code) in
        [("4.7ohm", "4R7"), ("4.7kohm", "4K7"), ("0.47ohm", "R47"), ("1Mohm", "1M0"), ("120ohm", "120R")]
    {
        assert_eq!(text(&sum("colour-bands", &format!("value={ohms}")), "letter code"), code);
    }
}

#[test]
fn colours_that_cannot_be() {
    assert!(refusal("colour-code", "bands=gold-violet-red").contains("digits first"));
    assert!(refusal("colour-code", "bands=red-red").contains("three to six colours"));
    assert!(refusal("colour-code", "bands=red-red-red-black").contains("tolerance"));
    assert!(refusal("colour-bands", "value=123ohm tolerance=5").contains("two digits"));
}

#[test]
fn every_preferred_value_is_its_own_nearest() {
    // IEC 60063, as published lists print E6, E12, E24.
    let e24 = "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91";
    let e12 = "10 12 15 18 22 27 33 39 47 56 68 82";
    let e6 = "10 15 22 33 47 68";
    for (series, list) in [(Series::E24, e24), (Series::E12, e12), (Series::E6, e6)] {
        let members: Vec<f64> = list.split(' ').map(|text| text.parse().unwrap()).collect();
        assert_eq!(series.decade(), members);
        for power in [-9, -3, 0, 2, 6] {
            for member in &members {
                let value = member * 10f64.powi(power);
                for found in [series.nearest(value), series.at_least(value), series.at_most(value)] {
                    assert!((found.unwrap() / value - 1.0).abs() < 1e-12, "{value} in {}", series.name());
                }
            }
        }
    }
}

#[test]
fn nearest_preferred_value() {
    check_exact(&sum("preferred-value", "value=1120ohm"), "nearest", 1200.0);
    check_exact(&sum("preferred-value", "value=1120ohm"), "next below", 1000.0);
    check_exact(&sum("preferred-value", "value=1120ohm series=E24"), "nearest", 1100.0);
    check_exact(&sum("preferred-value", "value=3.98uF"), "nearest", 3.9e-6);
    check_exact(&sum("preferred-value", "value=96ohm"), "nearest", 100.0);
    for nonsense in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(Series::E12.nearest(nonsense), None);
    }
}

#[test]
fn pairs_of_preferred_values() {
    // 160 Ω lies between two E12 values: 330 ∥ 330 = 165 (3 % off), 150 + 10 = 160 exactly.
    let pair = sum("resistor-replacement", "value=160ohm heat=4W rated=10W");
    check_exact(&pair, "which make", 160.0);
    check_exact(&pair, "nearest E12", 150.0);
    check_exact(&pair, "rating at least", 10.0);
    assert_eq!(verdict(&pair), Verdict::Accepted);
    assert_eq!(verdict(&sum("resistor-replacement", "value=160ohm tolerance=5")), Verdict::Refused);
    check_exact(&sum("resistor-replacement", "value=100ohm heat=4W rated=5W"), "rating at least", 10.0);
}
