//! Ohm's law sums: series, parallel, dropping and added resistance, clips, meters.

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
    assert!(low.cautions.iter().any(|caution| english(caution).contains("chatter")), "{low:?}");
    let unsaid = sum("added-resistance", "supply=33V reading=17V device=145ohm");
    assert!(unsaid.cautions.iter().any(|caution| english(caution).contains("chatter")), "{unsaid:?}");
    // At its full volts the same coil raises no such alarm.
    let well = sum("added-resistance", "supply=33V reading=32V device=145ohm operate=24V");
    assert!(!well.cautions.iter().any(|caution| english(caution).contains("chatter")), "{well:?}");
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
    // The same: 10 MΩ beside 250 MΩ are 9.6154 MΩ, and 23.1111 V are left for the upper one.
    check(&sum("parallel", "values=250Mohm,10Mohm"), "total", 9.6154e6, 50.0);
    let loaded = sum("series", "values=250Mohm,9.615384615Mohm volts=24V");
    check(&loaded, "drop 1", 23.1111, 5e-5);
    // College Physics 21.4, exercise: 1.585 V behind 0.1 Ω with a meter of 1.00 kΩ: 1.58484 mA, 1.584842 V, 0.99990 of it.
    let meter = sum("series", "values=0.1ohm,1kohm volts=1.585V");
    check(&meter, "current", 1.584_84e-3, 5e-9);
    check(&meter, "drop 2", 1.584_842, 5e-7);
    check(&meter, "drop 2", 1.585 * 0.999_90, 1.6e-5);
    // The same circuit in round figures, worked out in closed form: 100 kΩ over 100 kΩ.
    let with = |rest: &str| sum("meter-loading", &format!("supply=24V upper=100kohm lower=100kohm {rest}"));
    check(&with(""), "meter reads", 11.94, 5e-3);
    check(&with("meter=20kohm range=50V"), "meter reads", 11.43, 5e-3);
    check(&with("meter=5kohm range=50V"), "meter reads", 10.0, 5e-3);
    check(&with("meter=1kohm range=50V"), "meter reads", 6.0, 5e-3);
}
