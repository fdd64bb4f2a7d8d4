//! AC coils, release times and suppressors.

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
        let release = sum("coil-release", &words);
        check(&release, "hold-on time", milliseconds * 1e-3, 1e-6);
        check_exact(&release, "time constant", 2.5e-3);
    }
    // University Physics vol. 2, section 14.4: L/R of 4.0 H and 4.0 Ω is 1.0 s; to half the current in 0.6931 s.
    let half = sum("coil-release", "inductance=4H coil=4ohm current=0.5A hold=0.25A");
    check(&half, "hold-on time", 0.6931, 5e-5);
    // The same: the energy is down to one per cent after 2.3026 s, when a tenth of the current is left.
    let spent = sum("coil-release", "inductance=4H coil=4ohm current=0.5A hold=0.05A");
    check(&spent, "hold-on time", 2.3026, 5e-5);
    check_exact(&spent, "energy left when it lets go", 1.0);
    check_exact(&spent, "energy in the coil", 0.5);
    // A Zener diode of 24 V in the suppressor shortens it.
    let clamped = sum("coil-release", "inductance=4H coil=4ohm current=0.5A hold=0.25A clamp=24V");
    assert!(value(&clamped, "hold-on time") < 0.1 * value(&half, "hold-on time"));
}

#[test]
fn rise_of_a_coil() {
    // Lessons In Electric Circuits, DC ch. 16: 1 H and 1 Ω on 15 V carry 14.5470 A after 3.5 s, 0.4530 V on the inductance.
    let book = sum("coil-pull-in", "supply=15V coil=1ohm inductance=1H after=3.5s");
    check_exact(&book, "time constant", 1.0);
    check_exact(&book, "current in the end", 15.0);
    check(&book, "current then", 14.5470, 5e-5);
    check(&book, "volts across the inductance then", 0.4530, 5e-5);
    // University Physics vol. 2, section 14.4: 2.0 V, 4.0 Ω, 4.0 H: 0.43233 A and 0.27067 V after 2 s, 0.500 A in the end.
    let physics = sum("coil-pull-in", "supply=2V coil=4ohm inductance=4H after=2s operate=1.72932V");
    check_exact(&physics, "current in the end", 0.5);
    check(&physics, "current then", 0.432_33, 5e-6);
    check(&physics, "volts across the inductance then", 0.270_67, 5e-6);
    // Both ways: the current of that moment is reached at that moment.
    check(&physics, "time to pull in", 2.0, 5e-5);
    // Half of it in series with a like resistance: half the time constant, half the current.
    let halved = sum("coil-pull-in", "supply=2V coil=4ohm inductance=4H series=4ohm");
    check_exact(&halved, "time constant", 0.5);
    check_exact(&halved, "current in the end", 0.25);
}

#[test]
fn a_coil_that_never_gets_its_volts_never_pulls_in() {
    let said = refusal("coil-pull-in", "supply=24V coil=120ohm inductance=1.2H series=60ohm operate=18V");
    assert!(said.contains("below the 16.0 V that the coil gets") || said.contains("below the 16 V"), "{said}");
    let near = sum("coil-pull-in", "supply=24V coil=120ohm inductance=1.2H operate=23V");
    assert!(near.cautions.iter().any(|caution| english(caution).contains("very slow")), "{near:?}");
}

#[test]
fn suppressor() {
    let enough = sum("diode-replacement", "supply=28V coil=0.25A reverse=200V forward=1A");
    assert_eq!(verdict(&enough), Verdict::Accepted);
    assert_eq!(verdict(&sum("diode-replacement", "supply=28V coil=0.25A reverse=50V forward=1A")), Verdict::Refused);
    assert_eq!(verdict(&sum("diode-replacement", "supply=28V coil=2A reverse=200V forward=1A")), Verdict::Refused);
    assert_eq!(verdict(&sum("diode-replacement", "supply=28V coil=2A")), Verdict::WithCare);
}
