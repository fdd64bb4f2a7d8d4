//! What a reservoir's tolerance does to the average behind it, and to bands.

use benchleaf::circuit::results::Certainty;
use benchleaf::circuit::{Effort, Solver};
use benchleaf::machine::model::{RectifierForm, SequenceId};

use super::build::Bench;
use super::{Random, near};

/// Average behind 24 V RMS of 50 Hz, so many ohms and a reservoir, into 100 Ω: the steady cycle of the bench sum.
fn average(form: &str, internal: f64, farads: f64) -> f64 {
    let words = format!("winding=24V form={form} reservoir={farads}F load=100ohm internal={internal}ohm");
    let words: Vec<String> = words.split(' ').map(str::to_string).collect();
    benchleaf::sums::run("rectifier", &words).unwrap().value("dc-meter-reads").unwrap()
}

/// Bands take the least reservoir for the lowest average and the largest for the highest. Nothing published says that this
/// is right for every `ωRC` and every ratio of ohms, so both are swept here over all that a machine could have.
#[test]
fn the_average_never_falls_when_the_reservoir_grows() {
    for form in ["half-wave", "bridge"] {
        for internal in [0.001, 0.01, 0.1, 1.0, 10.0, 50.0, 100.0] {
            let mut last = 0.0;
            // From ωRC = 0.1 to 3000.
            for step in 0..=90 {
                let farads = 0.1 / (std::f64::consts::TAU * 50.0 * 100.0) * 30_000_f64.powf(f64::from(step) / 90.0);
                let next = average(form, internal, farads);
                assert!(next >= last * (1.0 - 1e-9), "{form} {internal} ohm {farads} F: {next} V after {last} V");
                last = next;
            }
        }
    }
}

/// 24 V RMS ± 5 % behind 1 Ω and a bridge, a reservoir of 470 µF − 20 % + 50 %, 50 Ω of load.
fn smoothed() -> Bench {
    let mut bench = Bench::new("COM");
    let source = bench.rectified("PS1", (24.0, 1.0), (RectifierForm::Bridge, 0.7, Some(470e-6)), "P", "COM");
    let part = bench.machine.element(source).part;
    bench.reservoir_between(part, 376e-6, 705e-6);
    bench.resistor("R1", (47.5, 50.0, 52.5), "P", "COM");
    bench.point("P");
    bench.sequence(&[], None);
    bench
}

#[test]
fn a_band_behind_a_reservoir_is_as_wide_as_its_capacitance_makes_it() {
    // The ends are the steady cycles of the least and of the largest capacitance at the heaviest and the lightest load, as the
    // bench sum steps them; `spice/transient` compares that sum with ngspice.
    let bench = smoothed();
    let solver = Solver::new(&bench.machine).unwrap();
    let band = solver.solve(Effort::Bands).sequences[0].readings[0].band;
    let end = |farads: f64, load: f64| {
        let words = format!("winding=24V form=bridge reservoir={farads}F load={load}ohm internal=1ohm");
        let words: Vec<String> = words.split(' ').map(str::to_string).collect();
        benchleaf::sums::run("rectifier", &words).unwrap().value("dc-meter-reads").unwrap()
    };
    let (low, high) = (end(376e-6, 47.5), end(705e-6, 52.5));
    assert!(high - low > 1.5, "{low} to {high}");
    assert!(band.low <= low && high <= band.high, "{band:?} for {low} to {high}");
    assert!(band.high - band.low < 1.3 * (high - low), "{band:?} for {low} to {high}");
    assert_eq!(band.certainty, Certainty::Exact);
    let mut random = Random::new(31);
    for draw in 0..200 {
        let pick = |share: f64| if draw % 2 == 0 { share.round() } else { share };
        let shares: Vec<f64> = (0..solver.parameters()).map(|_| pick(random.share())).collect();
        let read = solver.readings_with(SequenceId(0), &shares).unwrap()[0].direct;
        assert!(band.low - 1e-6 <= read && read <= band.high + 1e-6, "{read} outside {band:?}");
    }
    near(solver.readings_with(SequenceId(0), &vec![0.0; solver.parameters()]).unwrap()[0].direct, low, 1e-4);
}
