//! Pads, crossovers and replacements of loudspeakers.

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
    assert!(padded.judgement.as_ref().unwrap().reasons[0].what.key.ends_with("load-a-little-high"));
    // 10 W into 16 Ω is 12.649 V; into 18 Ω that drives 0.7027 A and 4.938 W in 10 Ω.
    check_exact(&padded, "heat in the resistor", 4.938_27);
    assert!(padded.cautions.iter().any(|caution| english(caution).contains("crossover capacitor")));
    // A bare 4 Ω is refused.
    assert_eq!(verdict(&sum("speaker-replacement", "original=16ohm offered=4ohm series=0ohm")), Verdict::Refused);
    // Left to choose, the sum takes the next preferred value.
    check_exact(&sum("speaker-replacement", "original=16ohm offered=8ohm"), "load", 16.2);
    assert_eq!(verdict(&sum("speaker-replacement", "original=8ohm offered=16ohm")), Verdict::WithCare);
}
