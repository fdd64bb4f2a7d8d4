//! Rules about wire colours, touch voltages and stored charge.

use super::*;

#[test]
fn wire_colour() {
    let changed = with("S1 > K1 > COM", "S1 > wire RD > wire WH/RD > K1 > COM");
    says(&trips("wire-colour-changes", &changed), &["RD to WH/RD"]);
    is_silent("wire-colour-changes", &with("S1 > K1 > COM", "S1 > wire RD > wire RD > K1 > COM"));
    // A named joint, or a part, may change the colour.
    let joint = format!("{}\n[[joint]]\nid = \"J\"\n", with("S1 > K1 > COM", "S1 > wire RD > J > wire BU > K1 > COM"));
    is_silent("wire-colour-changes", &joint);
    is_silent("wire-colour-changes", &with("S1 > K1 > COM", "wire RD > S1 > wire BU > K1 > COM"));
}

#[test]
fn touch_voltage() {
    // IEC 60335-1 cl. 8.1.4, quoted at second hand: 42.4 V peak or DC.
    let supplied = |volts: &str| with("voltage = \"24 V dc ±10 %\"", &format!("voltage = \"{volts}\""));
    says(&trips("touch-voltage", &supplied("48 V dc")), &["`PS1` has 48 V DC", "42.4 V"]);
    says(&trips("touch-voltage", &supplied("40 V dc ±10 %")), &["can reach 44 V DC at its highest"]);
    is_silent("touch-voltage", &supplied("42 V dc ±0 %"));
}

#[test]
fn touch_voltage_of_windings() {
    // 50 V AC behind a bridge and a reservoir is 69.3 V DC; 28 V AC peaks at 39.6 V, 30 V AC at 42.4 V.
    let wound = |volts: &str, more: &str| {
        let text = replaced(SOUND, "voltage = \"24 V dc ±10 %\"", &format!("voltage = \"{volts}\"\n{more}"));
        replaced(&text, "[[diode]]\nid = \"D1\"\nacross = \"K1\"\nreverse = \"200 V\"\nforward = \"1 A\"\n", "")
    };
    assert_eq!(
        trips("touch-voltage", &wound("50 V ac 50 Hz ±0 %", "rectifier = \"bridge\"\nreservoir = \"2200 uF\""))
            .severity,
        Severity::Hazard
    );
    let bridge = wound("50 V ac 50 Hz ±0 %", "rectifier = \"bridge\"\nreservoir = \"2200 uF\"");
    says(&trips("touch-voltage", &bridge), &["69.3 V DC"]);
    for volts in ["28 V ac 50 Hz ±0 %", "30 V ac 50 Hz ±0 %"] {
        is_silent("touch-voltage", &wound(volts, ""));
    }
}

#[test]
fn stored_charge() {
    let charged = |value: &str, more: &str| {
        and(&format!(
            "[[capacitor]]\nid = \"C1\"\nvalue = \"{value}\"\nvoltage = \"50 V\"\n{more}\n\n[[run]]\nroute = \"TP1 > C1 > COM\"\n"
        ))
    };
    // 10 000 µF at 23.9 V hold 2.9 J.
    says(&trips("stored-charge", &charged("10000 uF ±0 %", "")), &["`C1`", "2.9 J", "no bleeder"]);
    is_silent("stored-charge", &charged("100 uF", ""));
    let bled = format!(
        "{}\n[[resistor]]\nid = \"R1\"\nvalue = \"1 kohm ±0 %\"\nacross = \"C1\"\n",
        charged("10000 uF ±0 %", "bleeder = \"R1\"")
    );
    // t = R C ln(23.8/5): 15.6 s.
    says(&trips("stored-charge", &bled), &["bleeder takes 15.6 s", "5 V"]);
}
