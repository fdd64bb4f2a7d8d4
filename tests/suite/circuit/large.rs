//! A machine far larger than any in the trade, whose readings follow from one formula.

use benchleaf::circuit::results::Certainty;
use benchleaf::circuit::{Effort, Solver};

use super::build::{Bench, exactly};
use super::near;

/// Branches of a fuse, a switch, a test point and a coil, side by side on one supply; in each sequence every switch whose
/// number gives another remainder than the sequence's is closed.
fn machine(branches: usize, sequences: usize) -> Bench {
    let mut bench = Bench::new("COM");
    bench.dc("PS1", (22.8, 24.0, 25.2), exactly(0.01), "P", "COM");
    let mut switches = Vec::new();
    for branch in 0..branches {
        let [a, b, c] = ["A", "B", "C"].map(|letter| format!("{letter}{branch}"));
        bench.fuse(&format!("F{branch}"), 5.0, (0.04, 0.05, 0.06), "P", &a);
        switches.push(bench.switch(&format!("S{branch}"), (0.01, 0.05, 0.2), &a, &b));
        bench.resistor(&format!("R{branch}"), (0.9, 1.0, 1.1), &b, &c);
        bench.relay(&format!("K{branch}"), Bench::winding((108.0, 120.0, 132.0), 24.0, 12.0, 2.4), &c, "COM");
        bench.point(&c);
    }
    for sequence in 0..sequences {
        let closed: Vec<_> =
            (0..branches).filter(|branch| branch % sequences != sequence).map(|at| switches[at]).collect();
        bench.sequence(&closed, None);
    }
    bench
}

#[test]
fn readings_and_bands_of_a_thousand_parts_follow_the_formula() {
    let (branches, sequences) = (250, 5);
    let bench = machine(branches, sequences);
    let solution = Solver::new(&bench.machine).unwrap().solve(Effort::Bands);
    let live = f64::from(u32::try_from(branches - branches / sequences).unwrap());
    let each = 121.1;
    // All live branches are alike: the supply sees each / live.
    let rail = 24.0 * (each / live) / (each / live + 0.01);
    // A reading is lowest with the supply low, its own branch high and its coil low, and the most drawn beside it; highest
    // the other way round. Worked by hand from the same divider.
    let corner = |supply: f64, above: f64, coil: f64, beside: f64| {
        let load = 1.0 / (above + coil) + (live - 1.0) / beside;
        supply / (1.0 + 0.01 * load) * coil / (above + coil)
    };
    let low = corner(22.8, 0.06 + 0.2 + 1.1, 108.0, 0.04 + 0.01 + 0.9 + 108.0);
    let high = corner(25.2, 0.04 + 0.01 + 0.9, 132.0, 0.06 + 0.2 + 1.1 + 132.0);
    for (number, sequence) in solution.sequences.iter().enumerate() {
        for (branch, reading) in sequence.readings.iter().enumerate() {
            let expected = if branch % sequences == number { 0.0 } else { rail * 120.0 / each };
            near(reading.nominal, expected, 1e-6);
            assert_eq!(reading.band.certainty, Certainty::Exact);
            let (low, high) = if expected == 0.0 { (0.0, 0.0) } else { (low, high) };
            near(reading.band.low, low, 1e-6);
            near(reading.band.high, high, 1e-6);
        }
    }
}
