//! The straight diode law of the solver beside Newton's rule for the exponential one, as general simulators find it.
//!
//! Method and figures: Newton's rule with limiting of the junction voltage (Nagel, SPICE2, 1975; the form with a critical
//! voltage as in ngspice), at 300.15 K. The constants are exact by definition of the SI.

use benchleaf::circuit::{Effort, Solver};

use super::build::{Bench, exactly};

/// Joules a kelvin.
const BOLTZMANN: f64 = 1.380_649e-23;
/// Coulombs.
const CHARGE: f64 = 1.602_176_634e-19;
/// Kelvins.
const TEMPERATURE: f64 = 300.15;

/// A junction by its saturation current in amps and its ideality.
#[derive(Clone, Copy)]
struct Junction {
    saturation: f64,
    ideality: f64,
}

impl Junction {
    /// Volts by which the current grows e-fold.
    fn scale(self) -> f64 {
        self.ideality * BOLTZMANN * TEMPERATURE / CHARGE
    }

    /// Volts above which a step is limited.
    fn critical(self) -> f64 {
        self.scale() * (self.scale() / (2.0_f64.sqrt() * self.saturation)).ln()
    }

    fn limited(self, new: f64, old: f64) -> f64 {
        let scale = self.scale();
        if new <= self.critical() || (new - old).abs() <= 2.0 * scale {
            return new;
        }
        if old <= 0.0 {
            return scale * (new / scale).ln();
        }
        let growth = 1.0 + (new - old) / scale;
        if growth > 0.0 { old + scale * growth.ln() } else { self.critical() }
    }

    /// Volts across it behind a supply and a resistor, and how many steps found them; none where 200 do not.
    fn on(self, volts: f64, ohms: f64, limits: bool) -> Option<(f64, usize)> {
        let mut across = 0.0;
        for step in 1..=200 {
            let conductance = self.saturation / self.scale() * (across / self.scale()).exp();
            let current = self.saturation * (across / self.scale()).exp_m1();
            let new = (volts / ohms - current + conductance * across) / (1.0 / ohms + conductance);
            let new = if limits { self.limited(new, across) } else { new };
            if (new - across).abs() < 1e-9 {
                return Some((new, step));
            }
            across = new;
        }
        None
    }
}

#[test]
fn newtons_rule_with_limiting_finds_the_worked_figures_and_the_straight_law_lies_beside_them() {
    let signal = Junction { saturation: 1e-14, ideality: 1.0 };
    let power = Junction { saturation: 1e-9, ideality: 1.8 };
    assert!((signal.scale() - 0.025_864_93).abs() < 5e-9);
    assert!((signal.critical() - 0.730_290).abs() < 5e-7);
    assert!((power.critical() - 0.805_881).abs() < 5e-7);
    let (across, steps) = power.on(24.0, 100.0, true).unwrap();
    assert!((across - 0.896_596).abs() < 5e-7 && steps == 9, "{across} in {steps}");
    assert!(power.on(24.0, 100.0, false).is_none());

    let mut bench = Bench::new("0");
    bench.dc("PS1", exactly(24.0), exactly(0.0), "P", "0");
    bench.resistor("R1", exactly(100.0), "P", "A");
    let diode = bench.diode("D1", 0.7, 0.05, None, "A", "0");
    bench.sequence(&[], None);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Nominal);
    let straight = solution.sequences[0].currents[diode.0];
    let exponential = (24.0 - across) / 100.0;
    assert!((exponential - 0.231_034).abs() < 5e-7 && (straight - 0.232_884).abs() < 5e-7);
    // The two laws differ by 0.8 % of the current here, which is what a diode's drop is uncertain by.
    assert!((straight / exponential - 1.0).abs() < 0.01);
}
