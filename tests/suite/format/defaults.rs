//! What is taken where a description is silent.

use benchleaf::machine::model::{Law, Machine, Origin, PartKind, Toleranced};
use benchleaf::spec::units::{Hertz, Ohms};

use super::resolution::{open, spec};

fn resistance(machine: &Machine, name: &str) -> Toleranced<Ohms> {
    let element = machine.elements.iter().find(|element| element.name == name).expect("an element of this name");
    match &element.law {
        Law::Resistance(ohms) | Law::Contact { closed: ohms, .. } => ohms.clone(),
        law => panic!("{name} is {law:?}"),
    }
}

fn near(found: f64, wanted: f64, relative: f64) {
    assert!((found - wanted).abs() <= relative * wanted.abs(), "{found}, not {wanted}");
}

/// Typical cold resistances of 5 × 20 mm links: a maker's data sheet for the quick series to IEC 60127-2 sheet 2
/// (1 A: 0.0964 Ω, 6.3 A: 0.0095 Ω) and one for a surge-withstanding time-lag series to sheet 3 (2 A: 0.044 Ω).
#[test]
fn cold_ohms_of_fuses_come_from_data_sheets() {
    let text = spec(
        r#"
[[fuse]]
id = "F1"
rated = "1 A"
[[fuse]]
id = "F2"
rated = "2 A"
speed = "T"
[[fuse]]
id = "F3"
rated = "1.8 A"
[[fuse]]
id = "F4"
rated = "2 A"
cold = "0.05 ohm"
[[fuse]]
id = "F5"
rated = "6.3 A"
speed = "F"
[[fuse]]
id = "F6"
rated = "32 mA"
[[resistor]]
id = "R1"
value = "1k"
[[run]]
route = "P24 > F1..F6 > R1 > COM"
"#,
    );
    let machine = open(&text).machine;
    near(resistance(&machine, "F1").nominal.value(), 0.0964, 1e-12);
    near(resistance(&machine, "F2").nominal.value(), 0.044, 1e-12);
    near(resistance(&machine, "F5").nominal.value(), 0.0095, 1e-12);
    // Between two rows on doubly logarithmic paper: 1.8 A lies between 1.6 A (0.0528) and 2 A (0.0416).
    let share = (1.8_f64 / 1.6).ln() / (2.0_f64 / 1.6).ln();
    near(resistance(&machine, "F3").nominal.value(), 0.0528_f64.powf(1.0 - share) * 0.0416_f64.powf(share), 1e-9);
    assert_eq!(resistance(&machine, "F1").origin, Origin::Default);
    assert_eq!(resistance(&machine, "F4").origin, Origin::Stated);
    let small = resistance(&machine, "F6");
    assert!(small.nominal.value() > 5.0 && small.low < small.nominal && small.nominal < small.high);
}

/// IEC 60228, flexible conductors: at most 26.0 Ω/km at 0.75 mm², 19.5 Ω/km at 1 mm². AWG 22 solid copper: 52.96 Ω/km
/// (diameter by ASTM B258, resistivity 1/58 Ω mm²/m).
#[test]
fn wires_have_the_resistance_of_their_size_and_length() {
    let text = spec(
        r#"
[[resistor]]
id = "R1"
value = "1k"
[[run]]
route = "P24 > wire BN 0.75 mm2 10 m > R1 > wire 1 mm2 1 m > wire AWG 22 100 m > wire GNYE > COM"
"#,
    );
    let machine = open(&text).machine;
    near(resistance(&machine, "W1").nominal.value(), 0.260, 1e-12);
    near(resistance(&machine, "W2").nominal.value(), 0.0195, 1e-12);
    near(resistance(&machine, "W3").nominal.value(), 5.296, 1e-4);
    let silent = resistance(&machine, "W4");
    assert_eq!((silent.nominal.value(), silent.low.value(), silent.high.value()), (0.02, 0.0, 0.05));
    let PartKind::Wire(wire) = &machine.part(machine.part_named("W3").expect("a wire")).kind else { panic!("no wire") };
    assert_eq!(wire.size_text.as_deref(), Some("AWG 22"));
    near(wire.size.expect("a size").value(), 0.3255, 2e-4);
}

/// A transformer of 24 V and 48 VA with 10 % regulation: rated current 2 A, so it drops 2.4 V at that current, which is
/// 1.2 Ω, and gives 26.4 V without load (definition of regulation, IEC 61558 series).
#[test]
fn a_transformer_follows_from_rating_and_regulation() {
    let text = spec(
        r#"
[[supply]]
id = "T1"
voltage = "24 V ac 50 Hz"
rating = "48 VA"
regulation = "10 %"
terminals = { "A" = "A24", "B" = "COM" }
[[resistor]]
id = "R1..R2"
value = "1k"
[[run]]
route = "P24 > R1 > COM"
[[run]]
route = "A24 > R2 > COM"
"#,
    );
    let machine = open(&text).machine;
    let PartKind::Supply(supply) = &machine.part(machine.part_named("T1").expect("a supply")).kind else {
        panic!("none")
    };
    near(supply.internal.nominal.value(), 1.2, 1e-12);
    near(supply.voltage.nominal.value(), 26.4, 1e-12);
    let loaded = supply.voltage.nominal.value() - 2.0 * supply.internal.nominal.value();
    near(loaded, 24.0, 1e-12);
}

/// An AC relay of 24 V and 74 mA: 324 Ω (worked value of a power relay's data sheet: 24 V AC, 74 mA, 1.8 VA).
#[test]
fn coils_follow_from_volts_and_amps() {
    let text = spec(
        r#"
[[relay]]
id = "K1"
nominal = "24 V ac"
current = "74 mA"
coil = "80 ohm"
[[relay]]
id = "K2"
nominal = "24 V dc"
current = "37.7 mA"
[[motor]]
id = "M1"
nominal = "24 V ac"
current = "0.5 A"
power-factor = 0.6
[[run]]
route = "P24 > K1 > COM"
[[run]]
route = "P24 > K2 > COM"
[[run]]
route = "P24 > M1 > COM"
"#,
    );
    let machine = open(&text).machine;
    let coil = |id: &str| machine.coil(machine.part_named(id).expect("a coil")).expect("a coil").clone();
    near(coil("K1").impedance.expect("an impedance").nominal.value(), 324.3, 1e-3);
    near(coil("K1").resistance.nominal.value(), 80.0, 1e-12);
    // 24 V, 636 Ω, 37.7 mA: a small DC relay's data sheet.
    near(coil("K2").resistance.nominal.value(), 636.0, 2e-3);
    near(coil("K2").operate.value(), 18.0, 1e-12);
    near(coil("K2").release.value(), 2.4, 1e-12);
    near(coil("K1").release.value(), 3.6, 1e-12);
    near(coil("M1").impedance.expect("an impedance").nominal.value(), 48.0, 1e-12);
    near(coil("M1").resistance.nominal.value(), 28.8, 1e-12);
}

#[test]
fn origins_are_kept_apart() {
    let text = spec(
        r#"
[[relay]]
id = "K1"
coil = { value = "118 ohm", origin = "measured", source = "bench, 3 March" }
nominal = "24 V dc"
contacts = { "5-6" = "make" }
[[resistor]]
id = "R1"
value = "1k"
origin = "estimated"
[[run]]
route = "P24 > K1:5-6 > K1 > R1 > COM"
"#,
    );
    let machine = open(&text).machine;
    let coil = machine.coil(machine.part_named("K1").expect("a relay")).expect("a coil");
    assert_eq!((coil.resistance.origin, coil.resistance.source.as_deref()), (Origin::Measured, Some("bench, 3 March")));
    assert_eq!(resistance(&machine, "R1").origin, Origin::Estimated);
    assert_eq!(resistance(&machine, "K1:5-6").origin, Origin::Default);
}

#[test]
fn a_supply_without_a_frequency_has_that_of_the_mains() {
    let sections = r#"
[[supply]]
id = "T1..T2"
voltage = "24 V ac"
terminals = { "A" = "A24", "B" = "COM" }
[[supply]]
id = "T3"
voltage = "6 V ac 400 Hz"
terminals = { "A" = "A6", "B" = "COM" }
[[resistor]]
id = "R1..R3"
value = "1k"
[[run]]
route = "P24 > R1 > COM"
[[run]]
route = "A24 > R2 > COM"
[[run]]
route = "A6 > R3 > COM"
"#;
    let frequencies = |text: &str| {
        let machine = open(text).machine;
        let supplies = machine.parts.iter().filter_map(|part| match &part.kind {
            PartKind::Supply(supply) => Some(supply.frequency.map(Hertz::value)),
            _ => None,
        });
        supplies.collect::<Vec<_>>()
    };
    let silent = spec(sections);
    let sentence = "expected a frequency behind the alternating voltage, found `24 V ac`";
    assert_eq!(super::resolution::sentences(&silent), [sentence]);
    let told = silent.replace("name = \"Bench\"", "name = \"Bench\"\nmains = \"115 V ac 60 Hz\"");
    assert_eq!(frequencies(&told), [None, Some(60.0), Some(60.0), Some(400.0)]);
}
