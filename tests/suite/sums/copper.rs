//! Warm coils, wires and what melts them.

use super::*;
use benchleaf::spec::units::{Metres, Ohms, SquareMillimetres};

#[test]
fn warm_coils() {
    // A relay maker's engineering note: 320 Ω and 13.0 V at 25 °C become 443.3 Ω and 18 V at 125 °C; 443.31 Ω and
    // 18.01 V by its own law.
    let note = sum("warm-coil", "coil=320ohm at=25degC to=125degC operate=13V");
    check(&note, "warm coil", 443.31, 0.005);
    check(&note, "pull-in volts when warm", 18.01, 0.005);
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
fn a_textbook_with_other_copper() {
    // Lessons In Electric Circuits, DC ch. 12, takes pure copper: 15 Ω become 15.909 Ω from 20 to 35 °C (0.004041 a kelvin).
    // With the IACS law used here the load of 250 Ω on 14 V gets 49.686 mA and 12.4216 V instead of 49.677 mA, 12.4193 V;
    // 0.00393 a kelvin, the same law cut short, gives 12.4215 V.
    let warm = value(&sum("warm-coil", "coil=15ohm to=35degC"), "warm coil");
    let load = sum("series", &format!("values={warm}ohm,{warm}ohm,250ohm volts=14V"));
    check(&load, "current", 49.686e-3, 5.1e-7);
    check(&load, "drop 3", 12.4215, 1e-4);
    // The same chapter: 2300 ft of AWG 14 (4107 cmil) have 5.6506 Ω at 10.09 Ω cmil/ft; IACS copper 10.371, 2.8 % more.
    let feet = sum("wire-drop", "size=AWG14 length=2300ft current=1A");
    let ratio = value(&feet, "wire resistance") / (10.09 * 2300.0 / 4107.0);
    assert!((10.09_f64 * 2300.0 / 4107.0 - 5.6506).abs() < 5e-5);
    assert!((ratio - 10.371 / 10.09).abs() < 5e-4, "{ratio}");
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
