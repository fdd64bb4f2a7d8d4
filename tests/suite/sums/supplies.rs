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
    check(&full, "AC range, average-responding", 0.4210, 5.1e-5);
    let half = sum("rectifier", "winding=1V form=half-wave drop=0V");
    check(&half, "DC meter reads", 0.4502, 5e-5);
    check(&half, "true RMS", 0.7071, 5e-5);
    check(&half, "AC part, RMS", 0.5453, 5e-5);
    // The manual prints 0.540 here; integrated it is 0.5511.
    check(&half, "AC range, average-responding", 0.5511, 5.1e-5);
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
    // The steady cycle of 24 V, 50 Hz, bridge (1.4 V lost), half an ohm, 50 Ω of load: see `spice::transient`.
    for (reservoir, average, ripple) in [("2200uF", 30.277_285, 2.150_025), ("470uF", 28.037_413, 8.497_814)] {
        let steady = sum("rectifier", &format!("winding=24V reservoir={reservoir} load=50ohm internal=0.5ohm"));
        check(&steady, "DC meter reads", average, 1e-6);
        check(&steady, "ripple, peak to peak", ripple, 1e-6);
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
    check(&sum("discharge", "capacitor=8uF bleeder=1kohm from=10kV to=497.87V"), "waiting time", 24.0e-3, 5e-7);
    check(&sum("bleeder", "capacitor=10mF from=12V to=2V time=10s"), "bleeder at most", 558.11, 5e-3);
}

#[test]
fn delays() {
    // Lessons In Electric Circuits, DC ch. 16: 10 kΩ and 100 µF on 15 V; after 7.25 s 14.98935 V and 1.0653 µA.
    for (seconds, charged) in [(0.5, 5.9020), (1.0, 9.4818), (2.0, 12.9700), (5.0, 14.8989), (7.25, 14.989_35)] {
        let words = format!("supply=15V resistor=10kohm capacitor=100uF after={seconds}s to={charged}V");
        let charge = sum("rc-delay", &words);
        check_exact(&charge, "time constant", 1.0);
        check(&charge, "volts then", charged, 5.1e-5);
        // The way back loses digits near the end: half a unit of the last printed one over what is still missing.
        check(&charge, "delay", seconds, 5.1e-5 / (15.0 - charged));
    }
    let late = sum("rc-delay", "supply=15V resistor=10kohm capacitor=100uF after=7.25s");
    check(&late, "volts then", 14.989_35, 5.1e-6);
    check(&late, "current then", 1.0653e-6, 5.1e-11);
    // University Physics vol. 2, section 10.5: 50 mF through 101 Ω from 100 V to 80 V in 8.1277 s (time constant 5.05 s).
    let timer = sum("rc-delay", "supply=100V resistor=101ohm capacitor=50mF to=80V");
    check_exact(&timer, "time constant", 5.05);
    check(&timer, "delay", 8.1277, 5e-5);
    // The same, exercise: 10 mF to 10 V of 12 V in 10 s takes 558.11 Ω; with 10 kΩ 179.176 s.
    let wanted = sum("delay-resistor", "supply=12V capacitor=10mF to=10V time=10s");
    check(&wanted, "resistor", 558.11, 5e-3);
    check_exact(&wanted, "resistor, E12", 560.0);
    check(&sum("rc-delay", "supply=12V resistor=10kohm capacitor=10mF to=10V"), "delay", 179.176, 5e-4);
}

#[test]
fn a_coil_across_the_capacitor_loads_it() {
    // Thévenin by hand: 24 V through 120 Ω with 120 Ω across is 12 V behind 60 Ω; 1000 µF reach 6 V after 60 ms × ln 2.
    let slow = sum("rc-delay", "supply=24V resistor=120ohm capacitor=1000uF load=120ohm to=6V after=60s");
    check_exact(&slow, "volts in the end", 12.0);
    check_exact(&slow, "time constant", 0.06);
    check_exact(&slow, "delay", 0.06 * std::f64::consts::LN_2);
    check_exact(&slow, "volts then", 12.0);
    check_exact(&slow, "current then", 0.1);
    let said = refusal("rc-delay", "supply=24V resistor=120ohm capacitor=1000uF load=120ohm to=18V");
    assert!(said.contains("12") && said.contains("where it ends"), "{said}");
    assert!(refusal("delay-resistor", "supply=12V capacitor=10mF to=12V time=10s").contains("the supply of 12"));
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
