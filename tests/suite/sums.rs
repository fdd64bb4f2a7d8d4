//! The bench sums against published tables and worked examples; the source stands beside each check.
//!
//! Tolerances are half a unit of the last digit that the source prints, or 1e-4 where the source gives its inputs and the
//! result was worked out again from them in closed form.

#![expect(clippy::approx_constant, reason = "printed figures, not constants")]

use benchleaf::sums::tables::{conductors, e_series::Series, fuses};
use benchleaf::sums::{self, Sum, SumError, Verdict};

/// Does a sum from words separated by spaces.
fn sum(name: &str, words: &str) -> Sum {
    attempt(name, words).unwrap_or_else(|errors| panic!("{name} {words}: {errors:?}"))
}

fn attempt(name: &str, words: &str) -> Result<Sum, Vec<SumError>> {
    let words: Vec<String> = words.split_whitespace().map(str::to_string).collect();
    sums::run(name, &words)
}

fn value(sum: &Sum, name: &str) -> f64 {
    sum.value(name).unwrap_or_else(|| panic!("no `{name}` in\n{sum}"))
}

/// The answer `name` of a sum is `expected`, give or take `within` (absolute).
fn check(sum: &Sum, name: &str, expected: f64, within: f64) {
    let found = value(sum, name);
    assert!((found - expected).abs() <= within, "{name}: expected {expected} ± {within}, found {found}\n{sum}");
}

/// The same, relative: 1e-4.
fn check_exact(sum: &Sum, name: &str, expected: f64) {
    check(sum, name, expected, 1e-4 * expected.abs());
}

fn verdict(sum: &Sum) -> Verdict {
    sum.judgement.as_ref().unwrap_or_else(|| panic!("no verdict in\n{sum}")).verdict
}

fn refusal(name: &str, words: &str) -> String {
    match attempt(name, words) {
        Ok(sum) => panic!("{name} {words} should be refused, found\n{sum}"),
        Err(errors) => errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "),
    }
}

mod resistances {
    use super::*;

    #[test]
    fn series_from_a_textbook() {
        // T. Kuphaldt, Lessons In Electric Circuits, DC ch. 5: 9 V on 3 kΩ, 10 kΩ, 5 kΩ.
        let three = sum("series", "values=3kohm,10kohm,5kohm volts=9V");
        check_exact(&three, "current", 0.5e-3);
        for (name, volts) in [("drop 1", 1.5), ("drop 2", 5.0), ("drop 3", 2.5)] {
            check_exact(&three, name, volts);
        }
        // The same, ch. 6: 45 V divider of 5, 10 and 7.5 kΩ.
        let divider = sum("series", "values=5kohm,10kohm,7.5kohm volts=45V");
        check_exact(&divider, "current", 2e-3);
        for (name, volts) in [("drop 1", 10.0), ("drop 2", 20.0), ("drop 3", 15.0)] {
            check_exact(&divider, name, volts);
        }
    }

    #[test]
    fn series_and_parallel_from_college_physics() {
        // OpenStax, College Physics 2e, section 21.1: 1, 6 and 13 Ω on 12.0 V.
        let in_series = sum("series", "values=1ohm,6ohm,13ohm volts=12V");
        check_exact(&in_series, "current", 0.6);
        for (name, watts) in [("heat 1", 0.36), ("heat 2", 2.16), ("heat 3", 4.68)] {
            check_exact(&in_series, name, watts);
        }
        let in_parallel = sum("parallel", "values=1ohm,6ohm,13ohm volts=12V");
        check(&in_parallel, "total", 0.80412, 5e-6);
        check(&in_parallel, "current", 14.9231, 5e-5);
        for (name, watts) in [("heat 1", 144.0), ("heat 2", 24.0), ("heat 3", 11.077)] {
            check_exact(&in_parallel, name, watts);
        }
    }

    #[test]
    fn mixed_from_college_physics() {
        // OpenStax, College Physics 2e, section 21.1: 1 Ω before 6 and 13 Ω in parallel, 12.0 V; 5.11 Ω and 2.35 A printed.
        let pair = sum("parallel", "values=6ohm,13ohm");
        let whole = sum("series", &format!("values=1ohm,{}ohm volts=12V", value(&pair, "total")));
        check(&whole, "total", 5.1053, 5e-5);
        check(&whole, "current", 2.3505, 5e-5);
        // Lessons In Electric Circuits, DC ch. 7: 100 ∥ 250 Ω in series with 350 ∥ 200 Ω on 24 V; 8.627, 15.37 V, 120.78 mA.
        let (upper, lower) = (sum("parallel", "values=100ohm,250ohm"), sum("parallel", "values=350ohm,200ohm"));
        let words = format!("values={}ohm,{}ohm volts=24V", value(&upper, "total"), value(&lower, "total"));
        let divider = sum("series", &words);
        check(&divider, "drop 1", 8.6275, 5e-5);
        check(&divider, "drop 2", 15.3725, 5e-5);
        check(&divider, "current", 120.784e-3, 5e-7);
    }

    #[test]
    fn parallel_from_a_textbook() {
        // Lessons In Electric Circuits, DC ch. 5: 9 V on 90, 45, 180 Ω; and on 10, 2, 1 kΩ.
        let coils = sum("parallel", "values=90ohm,45ohm,180ohm volts=9V");
        check(&coils, "total", 25.714, 5e-4);
        check_exact(&coils, "current", 0.35);
        for (name, amps) in [("current 1", 0.1), ("current 2", 0.2), ("current 3", 0.05)] {
            check_exact(&coils, name, amps);
        }
        let three = sum("parallel", "values=10kohm,2kohm,1kohm volts=9V");
        check_exact(&three, "total", 625.0);
        check_exact(&three, "current", 14.4e-3);
    }

    #[test]
    fn dropping_resistor_from_a_textbook() {
        // Lessons In Electric Circuits, Semiconductors ch. 3: 1.6 V, 20 mA from 6 V and from 24 V.
        let low = sum("dropping-resistor", "supply=6V load=1.6V current=20mA");
        check_exact(&low, "resistor", 220.0);
        check_exact(&low, "heat", 88e-3);
        check_exact(&low, "resistor, E12", 220.0);
        check_exact(&low, "resistor rating", 0.25);
        let high = sum("dropping-resistor", "supply=24V load=1.6V current=20mA");
        check_exact(&high, "resistor", 1120.0);
        check_exact(&high, "heat", 448e-3);
        check_exact(&high, "resistor, E12", 1200.0);
        assert!(refusal("dropping-resistor", "supply=6V load=6V current=1A").contains("below the supply of 6 V"));
    }

    #[test]
    fn a_low_reading_at_a_relay_coil() {
        // Common practice, no source: 33 V supply, 17 V at a 145 Ω coil means about 136 Ω somewhere.
        let low = sum("added-resistance", "supply=33V reading=17V device=145ohm operate=24V");
        check(&low, "added resistance", 136.0, 0.5);
        check_exact(&low, "current", 17.0 / 145.0);
        assert!(low.cautions.iter().any(|caution| caution.contains("chatter")), "{low}");
        // At its full volts the same coil raises no such alarm.
        let well = sum("added-resistance", "supply=33V reading=32V device=145ohm operate=24V");
        assert!(!well.cautions.iter().any(|caution| caution.contains("chatter")), "{well}");
        assert!(refusal("added-resistance", "supply=33V reading=34V device=145ohm").contains("below the supply"));
        assert!(refusal("added-resistance", "supply=33V reading=0V device=145ohm").contains("above zero"));
    }

    #[test]
    fn clip_drop_grades() {
        // A maker's note on fuse holders: a good clip has 3 mΩ, 0.3 W at 10 A; a hundred times that makes 30 W.
        let good = sum("clip-drop", "drop=30mV current=10A");
        check_exact(&good, "clip resistance", 0.003);
        check_exact(&good, "heat in the clip", 0.3);
        assert_eq!(verdict(&good), Verdict::Accepted);
        let bad = sum("clip-drop", "drop=3V current=10A");
        check_exact(&bad, "heat in the clip", 30.0);
        assert_eq!(verdict(&bad), Verdict::Refused);
        assert_eq!(verdict(&sum("clip-drop", "drop=0.06V current=2A")), Verdict::WithCare);
        assert!(refusal("clip-drop", "drop=1V current=0A").contains("above zero"));
    }

    #[test]
    fn meter_loading_of_a_divider() {
        // Lessons In Electric Circuits, DC ch. 8: 24 V on twice 250 MΩ, a 10 MΩ meter on the lower one.
        check(&sum("meter-loading", "supply=24V upper=250Mohm lower=250Mohm"), "meter reads", 0.88889, 5e-6);
        // The same circuit in round figures, worked out in closed form: 100 kΩ over 100 kΩ.
        let with = |rest: &str| sum("meter-loading", &format!("supply=24V upper=100kohm lower=100kohm {rest}"));
        check(&with(""), "meter reads", 11.94, 5e-3);
        check(&with("meter=20kohm range=50V"), "meter reads", 11.43, 5e-3);
        check(&with("meter=5kohm range=50V"), "meter reads", 10.0, 5e-3);
        check(&with("meter=1kohm range=50V"), "meter reads", 6.0, 5e-3);
    }
}

mod codes {
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
            assert_eq!(there.text("bands"), Some(bands), "{ohms}");
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
            assert_eq!(sum("colour-bands", &format!("value={ohms}")).text("letter code"), Some(code));
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
}

mod copper {
    use super::*;
    use benchleaf::spec::units::{Metres, Ohms, SquareMillimetres};

    #[test]
    fn warm_coils() {
        // A relay maker's engineering note: 320 Ω and 13.0 V at 25 °C become 443.3 Ω and 18 V at 125 °C.
        let note = sum("warm-coil", "coil=320ohm at=25degC to=125degC operate=13V");
        check(&note, "warm coil", 443.3, 0.05);
        check(&note, "pull-in volts when warm", 18.0, 0.05);
        // Inputs of a DC relay note, worked out with the copper law: 90 Ω, 6.5 V at 20 °C, at 85 °C.
        let other = sum("warm-coil", "coil=90ohm to=85degC operate=6.5V");
        check(&other, "warm coil", 112.986, 5e-4);
        check(&other, "pull-in volts when warm", 8.160, 5e-4);
        // Factors against 20 °C from the same law (IACS copper).
        for (to, factor) in [(40, 1.0786), (60, 1.1572), (80, 1.2358), (100, 1.3143), (120, 1.3929)] {
            check(&sum("warm-coil", &format!("coil=1ohm to={to}degC")), "factor", factor, 5e-5);
        }
        check(&sum("coil-temperature", "cold=120ohm warm=143.58ohm"), "winding temperature", 70.0, 0.01);
        assert!(refusal("coil-temperature", "cold=120ohm warm=1200ohm").contains("same winding"));
        assert!(refusal("warm-coil", "coil=120ohm to=900degC").contains("between"));
    }

    #[test]
    fn wire_gauges() {
        // Wire table computed from the AWG formula (ASTM B258) and IACS copper, ohms per kilometre.
        for (gauge, diameter, area, ohms) in [
            (16.0, 1.2908, 1.3087, 13.17),
            (18.0, 1.0237, 0.8230, 20.95),
            (20.0, 0.8118, 0.5176, 33.31),
            (22.0, 0.6438, 0.3255, 52.96),
            (24.0, 0.5106, 0.2047, 84.22),
        ] {
            assert!((conductors::awg_diameter(gauge) - diameter).abs() < 5.1e-5);
            assert!((conductors::awg_area(gauge).value() - area).abs() < 5.1e-5);
            let wire = sum("wire-drop", &format!("size=AWG{gauge} length=1000m current=1A"));
            check(&wire, "wire resistance", ohms, 5.1e-3);
        }
    }

    #[test]
    fn metric_conductors() {
        // IEC 60228 maxima for plain copper at 20 °C, as three cable makers print them, in ohms per kilometre.
        for (size, solid, flexible) in [
            ("0.5mm2", 36.0, 39.0),
            ("0.75mm2", 24.5, 26.0),
            ("1mm2", 18.1, 19.5),
            ("1.5mm2", 12.1, 13.3),
            ("2.5mm2", 7.41, 7.98),
        ] {
            for (build, ohms) in [("solid", solid), ("flexible", flexible)] {
                let wire = sum("wire-drop", &format!("size={size} length=1000m current=1A build={build}"));
                check(&wire, "wire resistance", ohms, 1e-6);
            }
        }
        let warm = sum("wire-drop", "size=0.75mm2 length=1000m current=2A at=70degC");
        check_exact(&warm, "drop", 2.0 * 26.0 * 304.5 / 254.5);
    }

    #[test]
    fn drops_of_a_published_table() {
        // FAA AC 43.13-1B tables 11-7 and 11-8: 20 A, ohms a foot, feet, volts.
        for (per_foot, feet, volts) in [
            (0.000_44, 107.0, 0.9416),
            (0.000_28, 90.0, 0.504),
            (0.003_06, 100.0, 6.12),
            (0.001_26, 39.0, 0.9828),
            (0.001_26, 156.0, 3.9312),
            (0.001_26, 273.0, 6.8796),
        ] {
            let resistance = conductors::resistance_of(Ohms::new(per_foot / 0.3048), Metres::new(feet * 0.3048));
            assert!((20.0 * resistance.value() - volts).abs() < 5e-5);
        }
    }

    #[test]
    fn what_melts_a_wire() {
        // Onderdonk's formula from 25 to 1083 °C, worked out with diameters rounded to a tenth of a mil, in A²s.
        for (gauge, integral) in [(24, 3_493.0), (22, 8_832.0), (20, 22_333.0), (18, 56_468.0)] {
            check(&sum("wire-melting", &format!("size=AWG{gauge}")), "copper melts at", integral, integral * 5e-4);
        }
        // (115 S)², k of PVC-insulated copper.
        for (size, integral) in [("0.5mm2", 3_306.0), ("0.75mm2", 7_439.0), ("1mm2", 13_225.0)] {
            check(&sum("wire-melting", &format!("size={size}")), "PVC insulation stands", integral, 0.5);
        }
    }

    #[test]
    fn what_a_loomed_wire_carries() {
        // FAA AC 43.13-1B table 11-9, 105 °C wire in a bundle.
        for (gauge, amps) in [(24.0, 2.5), (22.0, 3.0), (20.0, 4.0), (18.0, 6.0), (16.0, 7.0)] {
            let found = conductors::ampacity(conductors::awg_area(gauge)).unwrap().value();
            assert!((found - amps).abs() < 1e-9, "AWG {gauge}: {found}");
        }
        let between = conductors::ampacity(SquareMillimetres::new(0.75)).unwrap().value();
        assert!((4.0..6.0).contains(&between));
        assert_eq!(conductors::ampacity(SquareMillimetres::new(0.05)), None);
        assert_eq!(conductors::ampacity(SquareMillimetres::new(10.0)), None);
    }
}

mod coils {
    use super::*;

    #[test]
    fn ac_coil() {
        // Worked out in closed form: 24 V, 0.5 A, 4 Ω, 60 Hz; on DC the same coil would take 6 A and 144 W.
        let coil = sum("ac-coil", "volts=24V current=0.5A resistance=4ohm frequency=60Hz");
        check_exact(&coil, "impedance", 48.0);
        check(&coil, "inductance", 0.127, 5e-4);
        check_exact(&coil, "heat when held", 1.0);
        check_exact(&coil, "current on DC of the same volts", 6.0);
        check_exact(&coil, "heat on DC of the same volts", 144.0);
        // Lessons In Electric Circuits, AC ch. 3: 10 V, 60 Hz, 5 Ω and 10 mH draw 1.5970 A, impedance 6.2620 Ω.
        let textbook = sum("ac-coil", "volts=10V current=1.5970A resistance=5ohm frequency=60Hz");
        check_exact(&textbook, "impedance", 6.2620);
        check(&textbook, "inductance", 10e-3, 2e-6);
        assert!(refusal("ac-coil", "volts=24V current=6.1A resistance=4ohm").contains("below the impedance"));
    }

    #[test]
    fn release_of_a_coil() {
        // OpenStax, College Physics 2e, section 23.10: 7.50 mH, 3.00 Ω, 10 A; 1.3534 A after 5 ms, 0.1832 A after 10 ms.
        for (hold, milliseconds) in [("1.3534A", 5.0), ("0.1832A", 10.0)] {
            let words = format!("inductance=7.5mH coil=3ohm current=10A hold={hold}");
            check(&sum("coil-release", &words), "hold-on time", milliseconds * 1e-3, 1e-6);
        }
        // Lessons In Electric Circuits, DC ch. 16: 1 H and 1 Ω on 15 V lack 0.4530 A of 15 A after 3.5 s.
        let rise = sum("coil-release", "inductance=1H coil=1ohm current=15A hold=0.4530A");
        check(&rise, "hold-on time", 3.5, 2e-4);
        // University Physics vol. 2, section 14.4: L/R of 4.0 H and 4.0 Ω is 1.0 s; to half the current in 0.6931 s.
        let half = sum("coil-release", "inductance=4H coil=4ohm current=0.5A hold=0.25A");
        check(&half, "hold-on time", 0.6931, 5e-5);
        // A Zener diode of 24 V in the suppressor shortens it.
        let clamped = sum("coil-release", "inductance=4H coil=4ohm current=0.5A hold=0.25A clamp=24V");
        assert!(value(&clamped, "hold-on time") < 0.1 * value(&half, "hold-on time"));
    }

    #[test]
    fn suppressor() {
        let enough = sum("diode-replacement", "supply=28V coil=0.25A reverse=200V forward=1A");
        assert_eq!(verdict(&enough), Verdict::Accepted);
        assert_eq!(
            verdict(&sum("diode-replacement", "supply=28V coil=0.25A reverse=50V forward=1A")),
            Verdict::Refused
        );
        assert_eq!(verdict(&sum("diode-replacement", "supply=28V coil=2A reverse=200V forward=1A")), Verdict::Refused);
        assert_eq!(verdict(&sum("diode-replacement", "supply=28V coil=2A")), Verdict::WithCare);
    }
}

mod lamps {
    use super::*;

    #[test]
    fn away_from_rated_volts() {
        // Lamp re-rating laws worked out: 6.3 V, 0.15 A at 5.0 V draws 0.1321 A and has 37.85 Ω.
        let dim = sum("lamp", "rated=6.3V current=0.15A at=5V");
        check(&dim, "current", 0.1321, 5e-5);
        check(&dim, "ohms when lit", 37.85, 5e-3);
        // The same laws at nine tenths of rated volts: current 0.944, light 0.70, life 3.5.
        let nine = sum("lamp", "rated=10V current=1A at=9V");
        check(&nine, "current", 0.944, 5e-4);
        check(&nine, "light", 70.0, 0.5);
        check(&nine, "life", 3.5, 0.05);
        assert!(sum("lamp", "rated=10V current=1A at=3V").cautions.iter().any(|caution| caution.contains("rough")));
    }

    #[test]
    fn cold_ohms() {
        // Cold tungsten has a tenth to a fifteenth of its hot ohms: a 6.3 V, 0.25 A lamp 1.7 to 2.5 Ω, 0.15 A 2.8 to 4.2 Ω.
        for (current, cold) in [("0.25A", "1.68 Ω to 2.52 Ω"), ("0.15A", "2.8 Ω to 4.2 Ω")] {
            let lamp = sum("lamp", &format!("rated=6.3V current={current} at=6.3V"));
            assert_eq!(lamp.text("ohms when cold, about"), Some(cold));
        }
    }

    #[test]
    fn replacements() {
        // Lamp charts: 6.3 V at 0.15 A (47), 0.25 A (44), 0.20 A (86).
        let same = sum("lamp-replacement", "rated=6.3V current=0.15A offered=6.3V offered-current=0.15A");
        assert_eq!(verdict(&same), Verdict::Accepted);
        let hotter = sum("lamp-replacement", "rated=6.3V current=0.15A offered=6.3V offered-current=0.25A");
        assert_eq!(verdict(&hotter), Verdict::Refused);
        let cooler = sum("lamp-replacement", "rated=6.3V current=0.25A offered=6.3V offered-current=0.15A");
        assert_eq!(verdict(&cooler), Verdict::WithCare);
        let low = sum("lamp-replacement", "rated=12V current=0.1A offered=6.3V offered-current=0.1A");
        assert_eq!(verdict(&low), Verdict::Refused);
    }
}

mod loudspeakers {
    use super::*;

    #[test]
    fn l_pads() {
        // L-pad that keeps 8 Ω at its input, closed form; a published chart prints 7.20 and 0.89 Ω for 20 dB.
        for (level, series, shunt, shares) in [
            (1, 0.870, 65.56, [10.9, 9.7, 79.4]),
            (2, 1.645, 30.90, [20.6, 16.3, 63.1]),
            (3, 2.336, 19.39, [29.2, 20.7, 50.1]),
            (4, 2.952, 13.68, [36.9, 23.3, 39.8]),
            (6, 3.991, 8.038, [49.9, 25.0, 25.1]),
            (10, 5.470, 3.700, [68.4, 21.6, 10.0]),
            (12, 5.990, 2.684, [74.9, 18.8, 6.3]),
            (20, 7.200, 0.889, [90.0, 9.0, 1.0]),
        ] {
            let pad = sum("l-pad", &format!("speaker=8ohm level={level}dB"));
            check(&pad, "series resistor", series, 5.1e-4);
            check(&pad, "shunt resistor", shunt, 5.1e-3);
            for (name, share) in ["series", "shunt", "loudspeaker"].into_iter().zip(shares) {
                check(&pad, &format!("{name} share of power"), share, 0.051);
            }
            // What the amplifier sees is still 8 Ω.
            let shunted = 1.0 / (1.0 / value(&pad, "shunt resistor") + 1.0 / 8.0);
            assert!((value(&pad, "series resistor") + shunted - 8.0).abs() < 1e-9);
        }
        assert!(refusal("l-pad", "speaker=8ohm level=0dB").contains("above 0 dB"));
    }

    #[test]
    fn series_resistor() {
        // Voltage divider: 8 Ω behind 8 Ω loses 6.02 dB, gets a quarter, and the resistor takes as much as the speaker.
        let pad = sum("speaker-pad", "speaker=8ohm series=8ohm power=10W");
        check(&pad, "level", -6.02, 5e-3);
        check_exact(&pad, "loudspeaker power against without the resistor", 25.0);
        check_exact(&pad, "resistor's share of the power drawn", 50.0);
        check_exact(&pad, "heat in the resistor", 5.0);
        check_exact(&pad, "resistor rating", 10.0);
    }

    #[test]
    fn crossovers() {
        // Crossover charts for first order (they round 1/2π to 0.159), 4, 8 and 16 Ω.
        for (frequency, microfarads, millihenries) in [
            (1000, [39.8, 19.9, 9.95], [0.637, 1.273, 2.546]),
            (2000, [19.9, 9.95, 4.97], [0.318, 0.637, 1.273]),
            (3000, [13.3, 6.63, 3.32], [0.212, 0.424, 0.849]),
            (4000, [9.95, 4.97, 2.49], [0.159, 0.318, 0.637]),
            (5000, [7.96, 3.98, 1.99], [0.127, 0.255, 0.509]),
            (8000, [4.97, 2.49, 1.24], [0.080, 0.159, 0.318]),
        ] {
            for ((ohms, farads), henries) in [4, 8, 16].into_iter().zip(microfarads).zip(millihenries) {
                let parts = sum("crossover", &format!("speaker={ohms}ohm frequency={frequency}Hz"));
                let digit = if farads >= 10.0 { 0.051 } else { 0.0051 };
                check(&parts, "capacitor", farads * 1e-6, digit * 1e-6);
                check(&parts, "inductor", henries * 1e-3, 0.000_51e-3);
            }
        }
    }

    #[test]
    fn second_order_crossovers() {
        // Published filter constants: Butterworth 0.1125/(f Z), 0.2251 Z/f; Linkwitz-Riley 0.0796/(f Z), 0.3183 Z/f.
        for (slope, capacitor, inductor) in [("butterworth", 0.1125, 0.2251), ("linkwitz-riley", 0.0796, 0.3183)] {
            let parts = sum("crossover", &format!("speaker=8ohm frequency=3kHz slope={slope}"));
            let scale = 1.0 / (3000.0 * 8.0);
            check(&parts, "capacitor", capacitor * scale, 5.1e-5 * scale);
            check(&parts, "inductor", inductor * 8.0 / 3000.0, 5.1e-5 * 8.0 / 3000.0);
        }
    }

    #[test]
    fn crossover_frequencies() {
        // Stock capacitors into 8 Ω, closed form, in kHz.
        for (microfarads, kilohertz) in [("2.2", 9.04), ("3.3", 6.03), ("4.7", 4.23), ("6.8", 2.93), ("10", 1.99)] {
            let found = sum("crossover-frequency", &format!("speaker=8ohm capacitor={microfarads}uF"));
            check(&found, "frequency", kilohertz * 1e3, 5.1);
        }
    }

    #[test]
    fn a_tweeter_replaced() {
        // Common practice, no source: 8 Ω with 10 Ω in place of 16 Ω is 18 Ω, a little high and accepted.
        let padded = sum("speaker-replacement", "original=16ohm offered=8ohm series=10ohm power=10W range=tweeter");
        check_exact(&padded, "load", 18.0);
        assert_eq!(verdict(&padded), Verdict::Accepted);
        assert!(padded.judgement.as_ref().unwrap().reasons[0].contains("a little high"));
        // 10 W into 16 Ω is 12.649 V; into 18 Ω that drives 0.7027 A and 4.938 W in 10 Ω.
        check_exact(&padded, "heat in the resistor", 4.938_27);
        assert!(padded.cautions.iter().any(|caution| caution.contains("crossover capacitor")));
        // A bare 4 Ω is refused.
        assert_eq!(verdict(&sum("speaker-replacement", "original=16ohm offered=4ohm series=0ohm")), Verdict::Refused);
        // Left to choose, the sum takes the next preferred value.
        check_exact(&sum("speaker-replacement", "original=16ohm offered=8ohm"), "load", 16.2);
        assert_eq!(verdict(&sum("speaker-replacement", "original=8ohm offered=16ohm")), Verdict::WithCare);
    }
}

mod supplies {
    use super::*;

    #[test]
    fn unsmoothed() {
        // Exact averages over the conduction angle, two drops of 0.7 V; and one diode alone.
        for (volts, average) in [(6.3, 4.34), (12.0, 9.44), (24.0, 20.23)] {
            check(&sum("rectifier", &format!("winding={volts}V")), "DC meter reads", average, 5.1e-3);
        }
        check(&sum("rectifier", "winding=28V"), "DC meter reads", 23.8, 0.051);
        check(&sum("rectifier", "winding=50V"), "DC meter reads", 43.6, 0.051);
        check(&sum("rectifier", "winding=24V"), "DC meter reads", 20.226, 5.1e-4);
        check(&sum("rectifier", "winding=24V form=half-wave"), "DC meter reads", 10.456, 5.1e-4);
    }

    #[test]
    fn ideal_diodes() {
        // Factors of a multimeter manual's waveform table: average 0.900 and 0.450 of the RMS, AC part 0.4352 and 0.5453.
        let full = sum("rectifier", "winding=1V form=full-wave drop=0V");
        check(&full, "DC meter reads", 0.9003, 5e-5);
        check(&full, "true RMS", 1.0, 5e-5);
        check(&full, "AC part, RMS", 0.4352, 5e-5);
        let half = sum("rectifier", "winding=1V form=half-wave drop=0V");
        check(&half, "DC meter reads", 0.4502, 5e-5);
        check(&half, "true RMS", 0.7071, 5e-5);
        check(&half, "AC part, RMS", 0.5453, 5e-5);
    }

    #[test]
    fn smoothed() {
        // Capacitor-input estimate worked out: 24 V, 60 Hz, bridge, 10 000 µF, 2 A.
        let supply = sum("rectifier", "winding=24V reservoir=10000uF current=2A frequency=60Hz");
        check(&supply, "ripple, peak to peak", 1.67, 5e-3);
        check(&supply, "DC meter reads", 31.7, 0.05);
        // No load: peak less two drops.
        for (volts, top) in [(6.3, 7.51), (12.0, 15.57), (24.0, 32.54), (28.0, 38.20), (50.0, 69.31)] {
            check(&sum("rectifier", &format!("winding={volts}V reservoir=1000uF")), "DC meter reads", top, 5.1e-3);
        }
        // Transient simulation to the steady state: 24 V, 50 Hz, bridge (1.4 V lost), half an ohm, 50 Ω of load.
        for (reservoir, average, ripple) in [("2200uF", 30.276, 2.15), ("470uF", 28.04, 8.50)] {
            let stepped = sum("rectifier", &format!("winding=24V reservoir={reservoir} load=50ohm internal=0.5ohm"));
            check(&stepped, "DC meter reads", average, 2e-3 * average);
            check(&stepped, "ripple, peak to peak", ripple, 0.02 * ripple);
        }
        assert!(refusal("rectifier", "winding=24V reservoir=1uF current=2A").contains("large enough"));
        assert!(refusal("rectifier", "winding=0.5V").contains("less than lets any"));
    }

    #[test]
    fn waiting_times() {
        // Closed form: 10 000 µF at 35 V holds 6.1 J; 1 kΩ takes 19.5 s to 5 V and burns 1.2 W.
        let large = sum("discharge", "capacitor=10000uF bleeder=1kohm from=35V");
        check(&large, "waiting time", 19.5, 0.05);
        check(&large, "stored energy", 6.1, 0.05);
        check(&large, "heat in the bleeder", 1.2, 0.05);
        // OpenStax, College Physics 2e, section 21.6: 8.00 µF, 1.00 kΩ, 10.0 kV down to 500 V.
        let defibrillator = sum("discharge", "capacitor=8uF bleeder=1kohm from=10kV to=500V");
        check(&defibrillator, "time constant", 8.00e-3, 5e-6);
        check(&defibrillator, "waiting time", 23.966e-3, 5e-7);
        // University Physics vol. 2, section 10.5: 50 mF over 101 Ω, 100 V to the last 20 V; 10 kΩ, 10 mF, 12 V to 2 V.
        check(&sum("discharge", "capacitor=50mF bleeder=101ohm from=100V to=20V"), "waiting time", 8.1277, 5e-5);
        check(&sum("discharge", "capacitor=10mF bleeder=10kohm from=12V to=2V"), "waiting time", 179.176, 5e-4);
        // Lessons In Electric Circuits, DC ch. 16: 10 kΩ and 100 µF on 15 V; what is still missing on the capacitor decays.
        for (seconds, charged) in [(0.5, 5.9020), (1.0, 9.4818), (2.0, 12.9700), (5.0, 14.8989), (7.25, 14.98935)] {
            let words = format!("capacitor=100uF bleeder=10kohm from=15V to={}V", 15.0 - charged);
            check(&sum("discharge", &words), "waiting time", seconds, 1.5e-3 * seconds);
        }
        check(&sum("bleeder", "capacitor=10mF from=12V to=2V time=10s"), "bleeder at most", 558.11, 5e-3);
    }

    #[test]
    fn time_constants_to_the_limits() {
        // t = R C ln(V0/V), table of time constants for 1 F and 1 Ω.
        for (from, limits) in [
            (35, [0.0, 0.0, 0.03, 0.15, 1.95]),
            (50, [0.0, 0.165, 0.39, 0.51, 2.30]),
            (70, [0.15, 0.50, 0.72, 0.85, 2.64]),
            (170, [1.04, 1.39, 1.61, 1.735, 3.53]),
            (325, [1.69, 2.04, 2.26, 2.38, 4.17]),
        ] {
            for (to, constants) in ["60", "42.4", "34", "30", "5"].into_iter().zip(limits) {
                let words = format!("capacitor=1000000uF bleeder=1ohm from={from}V to={to}V");
                check(&sum("discharge", &words), "waiting time", constants, 5.1e-3);
            }
        }
    }
}

mod fuse_links {
    use super::*;
    use benchleaf::spec::units::{Amperes, Seconds};

    #[test]
    fn opening_times() {
        // IEC 60127-2 sheet 3 (T, L), 125 mA to 6.3 A, as two makers print it.
        let gates = fuses::iec_gates("T", Some("L"), Amperes::new(2.0)).unwrap();
        let seconds = |value| Some(Seconds::new(value));
        let times: Vec<_> = gates.iter().map(|gate| (gate.multiple, gate.at_least, gate.at_most)).collect();
        assert_eq!(
            times,
            [
                (1.5, seconds(3600.0), None),
                (2.1, None, seconds(120.0)),
                (2.75, seconds(0.6), seconds(10.0)),
                (4.0, seconds(0.15), seconds(3.0)),
                (10.0, seconds(0.02), seconds(0.3)),
            ]
        );
        // Sheet 2 (F, L): half an hour of carrying from 8 A, 40 ms at ten times.
        let large = fuses::iec_gates("F", None, Amperes::new(8.0)).unwrap();
        assert_eq!((large[0].at_least, large[4].at_most), (seconds(1800.0), seconds(0.040)));
        // Sheet 1 (F, H) from 5 A: 3 s at 2.75 times; sheet 5 (T, H): 80 s.
        assert_eq!(fuses::iec_gates("F", Some("H"), Amperes::new(5.0)).unwrap()[2].at_most, seconds(3.0));
        assert_eq!(fuses::iec_gates("T", Some("H"), Amperes::new(2.0)).unwrap()[2].at_most, seconds(80.0));
        assert_eq!(fuses::iec_gates("M", None, Amperes::new(2.0)), None);
    }

    #[test]
    fn breaking_capacities() {
        // Makers' data sheets: L is the greater of 35 A and ten times the rating.
        for (rated, letter, amps) in [
            (1.0, "L", 35.0),
            (4.0, "L", 40.0),
            (6.3, "L", 63.0),
            (10.0, "L", 100.0),
            (2.0, "E", 150.0),
            (2.0, "H", 1500.0),
        ] {
            assert_eq!(fuses::breaking_capacity(letter, Amperes::new(rated)), Some(Amperes::new(amps)));
        }
        // UL 248-14 at 250 V AC, a maker's guide.
        for (rated, amps) in [(1.0, 35.0), (3.5, 100.0), (10.0, 200.0), (15.0, 750.0), (30.0, 1500.0)] {
            assert_eq!(fuses::ul_interrupting(Amperes::new(rated)), Some(Amperes::new(amps)));
        }
        assert_eq!(fuses::ul_interrupting(Amperes::new(31.0)), None);
    }

    #[test]
    fn carrying_and_opening() {
        // IEC 60127-2: a 2 A link must carry 3 A for an hour. UL 248-14: a 2 A link opens within the hour at 2.7 A.
        let iec = sum("fuse-load", "rated=2A current=1.2A");
        check_exact(&iec, "must carry for an hour or more", 3.0);
        assert_eq!(verdict(&iec), Verdict::Accepted);
        let ul = sum("fuse-load", "rated=2A current=1.6A standard=UL");
        check_exact(&ul, "sure to open in time from", 2.7);
        assert_eq!(verdict(&ul), Verdict::WithCare);
        assert_eq!(verdict(&sum("fuse-load", "rated=2A current=2.1A")), Verdict::Refused);
    }

    #[test]
    fn replacements() {
        // Common practice, no source: 10 A or 20 A where 1.6 A or 3 A is called for.
        for (rated, offered, ratio) in
            [("1.6", "10", 6.25), ("3", "10", 3.3333), ("1.6", "20", 12.5), ("3", "20", 6.6667)]
        {
            let wrong = sum("fuse-replacement", &format!("rated={rated}A offered={offered}A"));
            check(&wrong, "ratio", ratio, 1e-3);
            assert_eq!(verdict(&wrong), Verdict::Refused);
        }
        for (words, expected) in [
            ("rated=2A offered=2A", Verdict::Accepted),
            ("rated=2A offered=1.6A", Verdict::WithCare),
            ("rated=2A speed=T offered=2A offered-speed=T", Verdict::Accepted),
            ("rated=2A speed=T offered=2A offered-speed=F", Verdict::WithCare),
            ("rated=2A speed=F offered=2A offered-speed=T", Verdict::Refused),
            ("rated=2A speed=F offered=2A", Verdict::WithCare),
            ("rated=2A breaking=H offered=2A offered-breaking=L", Verdict::Refused),
            ("rated=2A breaking=L offered=2A offered-breaking=H", Verdict::Accepted),
            ("rated=2A voltage=250V offered=2A offered-voltage=32V", Verdict::Refused),
            ("rated=2A body=5x20 offered=2A offered-body=3AG", Verdict::Refused),
            ("rated=2A body=6.3x32 offered=2A offered-body=3AG", Verdict::Accepted),
            ("rated=2A standard=UL offered=2A offered-standard=IEC", Verdict::WithCare),
            ("rated=2A standard=IEC offered=2A offered-standard=UL", Verdict::WithCare),
        ] {
            let judged = sum("fuse-replacement", words);
            assert_eq!(verdict(&judged), expected, "{judged}");
        }
    }
}

mod asking {
    use super::*;
    use benchleaf::commands::{self, Answer, Arguments, Ending, terminal::Terminal};
    use clap::Parser;

    /// The answer of the command to what was typed.
    fn typed(words: &[&str]) -> Answer {
        let all = ["benchleaf", "sum"].into_iter().chain(words.iter().copied());
        commands::run(&Arguments::try_parse_from(all).unwrap(), &Terminal::unattended())
    }

    #[test]
    fn the_command_lists_all_sums() {
        let list = typed(&[]);
        assert_eq!(list.ending, Ending::Fine);
        assert!(sums::ALL.iter().all(|entry| list.output.contains(entry.name) && list.output.contains(entry.title)));
        let json: serde_json::Value = serde_json::from_str(&typed(&["--format", "json"]).output).unwrap();
        assert_eq!(json.as_array().unwrap().len(), sums::ALL.len());
    }

    #[test]
    fn the_command_answers_in_text_and_json() {
        let words = ["added-resistance", "supply=33 V", "reading=17 V", "device=145 ohm"];
        let text = typed(&words);
        assert!(text.output.contains("added resistance") && text.output.contains("136 Ω"), "{}", text.output);
        let json = typed(&[&words[..], &["--format", "json"]].concat());
        let json: serde_json::Value = serde_json::from_str(&json.output).unwrap();
        assert!((json["results"][0]["value"].as_f64().unwrap() - 136.470_588).abs() < 1e-6);
        assert_eq!(json["results"][0]["unit"], "Ω");
    }

    #[test]
    fn the_command_says_what_is_wrong_and_what_it_asks_for() {
        let answer = typed(&["discharge", "capacitor=10", "bleeder=1k"]);
        assert_eq!(answer.ending, Ending::Unusable);
        assert!(answer.output.is_empty());
        for part in ["error: `from` is missing", "from=<voltage>", "[otherwise 5V]", "for example"] {
            assert!(answer.messages.contains(part), "{}", answer.messages);
        }
        assert!(typed(&["discharg"]).messages.contains("did you mean `discharge`?"));
    }

    #[test]
    fn every_example_works_and_prints() {
        for entry in sums::ALL {
            let done = sum(entry.name, entry.example);
            assert_eq!(done.name, entry.name);
            assert!(!done.results.is_empty() && !done.source.is_empty() && !done.given.is_empty(), "{done}");
            let text = done.to_string();
            assert!(text.starts_with(entry.title) && text.contains("source: "), "{text}");
            let json = serde_json::to_value(&done).unwrap();
            assert_eq!(json["results"].as_array().unwrap().len(), done.results.len());
            for amount in done.results.iter().chain(done.steps.iter().map(|step| &step.result)) {
                assert!(amount.value.is_none_or(f64::is_finite), "{}: {}", amount.name, amount.text);
            }
        }
    }

    /// What to type for a quantity of this size.
    fn quantity(form: &str, size: f64) -> Option<String> {
        let unit = match form {
            "voltage" => "V",
            "current" => "A",
            "resistance" | "resistance or capacitance" => "ohm",
            "resistance,resistance,..." => return Some(format!("{size}ohm,{}ohm", size * 3.0)),
            "power" => "W",
            "capacitance" => "F",
            "inductance" => "H",
            "frequency" => "Hz",
            "time" => "s",
            "length" => "m",
            "temperature" => "°C",
            "cross-section or AWG" => "mm2",
            "decibels" => "dB",
            "per cent" | "20|10|5|2|1" => "",
            _ => return None,
        };
        Some(format!("{size}{unit}"))
    }

    #[test]
    fn wild_values_are_answered_with_numbers_or_refused() {
        // A simple linear congruence (Numerical Recipes' constants) draws the sizes: the same ones in every run.
        let mut state = 20_260_105_u32;
        let mut draw = |choices: &[f64]| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            choices[(state >> 16) as usize % choices.len()]
        };
        let sizes = [1e-12, 1e-6, 0.001, 0.5, 1.0, 24.0, 47.0, 1e3, 1e6, 1e12, 0.0, -5.0];
        let mut answered = 0;
        for entry in sums::ALL {
            for _ in 0..300 {
                let words: Vec<String> = entry
                    .inputs
                    .iter()
                    .filter_map(|input| Some(format!("{}={}", input.name, quantity(input.form, draw(&sizes))?)))
                    .chain((entry.name == "colour-code").then(|| "bands=red-red-red".to_string()))
                    .collect();
                let Ok(done) = sums::run(entry.name, &words) else { continue };
                answered += 1;
                let amounts = done.results.iter().chain(done.steps.iter().map(|step| &step.result));
                for amount in amounts {
                    assert!(amount.value.is_none_or(f64::is_finite), "{words:?}: {amount:?}");
                }
                let text = done.to_string();
                assert!(!text.contains("NaN") && !text.contains("inf ") && !text.contains("–"), "{words:?}\n{text}");
            }
        }
        assert!(answered > 1_000, "only {answered} were answered");
    }

    #[test]
    fn large_capacitors_print_in_microfarads() {
        // Common practice, no source: on old drawings mF stands for microfarad.
        let sum = sum("discharge", "capacitor=10mF bleeder=1kohm from=35V");
        assert_eq!(sum.given[0].text, "10000 µF");
    }

    #[test]
    fn names_are_unique() {
        let mut names: Vec<_> = sums::ALL.iter().map(|entry| entry.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), sums::ALL.len());
    }

    #[test]
    fn what_is_wrong_is_said_all_at_once() {
        let said = refusal("discharge", "capacitor=10uF capacitr=3uF bleeder from=35V from=36V");
        for part in [
            "`discharge` has no input named `capacitr`",
            "expected an input such as `supply=24V`, found `bleeder`",
            "`from` is given twice",
            "`bleeder` is missing: what it discharges through (resistance)",
        ] {
            assert!(said.contains(part), "{said}");
        }
    }

    #[test]
    fn near_names_are_offered() {
        let Err(errors) = attempt("dischrge", "") else { panic!("no such sum") };
        assert_eq!(errors[0].hint().as_deref(), Some("did you mean `discharge`?"));
        let Err(errors) = attempt("discharge", "capacitr=3uF") else { panic!("no such input") };
        assert_eq!(errors[0].hint().as_deref(), Some("did you mean `capacitor`?"));
    }

    #[test]
    fn values_are_read_as_units() {
        for words in [
            "supply=33 reading=17V device=145ohm",
            "supply=33A reading=17V device=145ohm",
            "supply=33,5V reading=17V device=145ohm",
        ] {
            assert!(refusal("added-resistance", words).contains("supply"), "{words}");
        }
        assert!(refusal("rectifier", "winding=24V form=triangle").contains("one of `bridge`"));
        for extreme in ["supply=1e300V reading=1e-12V device=1e-12ohm", "supply=33V reading=17V device=-145ohm"] {
            if let Ok(done) = attempt("added-resistance", extreme) {
                assert!(
                    done.results.iter().all(|amount| !amount.text.contains("NaN") && !amount.text.contains("inf")),
                    "{done}"
                );
            }
        }
    }
}
