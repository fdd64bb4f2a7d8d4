//! Rectifiers, reservoirs and waiting times.

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
