//! Rectified supplies with something behind them that switches within a cycle, against transient analysis.

use std::fmt::Write;

use benchleaf::circuit::results::Remark;
use benchleaf::circuit::{Effort, Reason, Solution, Solver};
use benchleaf::machine::model::{Machine, RectifierForm, SequenceId};
use benchleaf::spec::units::Ohms;

use super::{measured, ngspice};
use crate::circuit::build::{Bench, exactly};

/// A rectified supply of the deck: a source that only pushes, behind its ohms, from `node` to 0.
fn pusher(node: &str, rms: f64, lost: f64, ohms: f64, both_halves: bool) -> String {
    let wave = if both_halves { "abs(v(s))" } else { "v(s)" };
    let scale = rms * std::f64::consts::SQRT_2;
    format!("B{node} 0 {node} I=max(0,({scale:e}*{wave}-{lost}-v({node}))/{ohms})\n")
}

/// Averages and RMS of nodes over two late cycles of 50 Hz; nodes that nothing else holds get a gigaohm.
fn simulated(lines: &str, nodes: &[&str]) -> Vec<(f64, f64)> {
    let mut deck = format!("* pulses\nVS s 0 SIN(0 1 50)\nRS s 0 1k\n{lines}");
    for node in nodes {
        writeln!(deck, "RG{node} {node} 0 1e9").unwrap();
    }
    deck.push_str(".model DID D(IS=1e-9 N=0.02)\n.options reltol=1e-5 abstol=1e-9 vntol=1e-6\n.tran 10u 1.0 0.9 10u UIC\n.control\nrun\n");
    for node in nodes {
        writeln!(deck, "meas tran avg_{node} AVG v({node}) from=0.94 to=0.98").unwrap();
        writeln!(deck, "meas tran rms_{node} RMS v({node}) from=0.94 to=0.98").unwrap();
    }
    deck.push_str("quit\n.endc\n.end\n");
    let printed = ngspice(&deck);
    let value = |name: String| measured(&printed, &name);
    nodes.iter().map(|node| (value(format!("avg_{node}")), value(format!("rms_{node}")))).collect()
}

fn solved(bench: &mut Bench, points: &[&str]) -> Solution {
    for point in points {
        bench.point(point);
    }
    bench.sequence(&[], None);
    Solver::new(&bench.machine).unwrap().solve(Effort::Nominal)
}

#[track_caller]
fn agree(solution: &Solution, there: &[(f64, f64)]) {
    for (reading, (average, rms)) in solution.sequences[0].readings.iter().zip(there) {
        let found = (reading.nominal, reading.rms.unwrap_or(reading.nominal.abs()));
        assert!((found.0 - average).abs() < 0.005 * average.abs() + 0.01, "{found:?} for {average}, {rms}");
        assert!((found.1 - rms).abs() < 0.007 * rms.abs() + 0.02, "{found:?} for {average}, {rms}");
    }
}

#[test]
fn a_capacitor_across_an_unsmoothed_supply_holds_it_up() {
    if !crate::support::installed("ngspice") {
        return;
    }
    for (farads, form, lost) in [
        (4700e-6, RectifierForm::Bridge, 1.4),
        (470e-6, RectifierForm::Bridge, 1.4),
        (47e-6, RectifierForm::Bridge, 1.4),
        (1000e-6, RectifierForm::HalfWave, 0.7),
    ] {
        let mut bench = Bench::new("COM");
        bench.rectified("PS1", (20.0, 0.5), (form, 0.7, None), "P", "COM");
        bench.capacitor("C1", farads, "P", "COM");
        bench.resistor("R1", exactly(100.0), "P", "COM");
        let solution = solved(&mut bench, &["P"]);
        let push = pusher("p", 20.0, lost, 0.5, form == RectifierForm::Bridge);
        agree(&solution, &simulated(&format!("{push}C1 p 0 {farads:e} IC=20\nR1 p 0 100\n"), &["p"]));
    }
}

#[test]
fn a_filter_of_two_capacitors_is_stepped_as_a_whole() {
    if !crate::support::installed("ngspice") {
        return;
    }
    let mut bench = Bench::new("COM");
    bench.rectified("PS1", (12.0, 1.0), (RectifierForm::Bridge, 0.7, None), "P", "COM");
    bench.resistor("R1", exactly(22.0), "P", "Q");
    bench.capacitor("C1", 1000e-6, "P", "COM");
    bench.capacitor("C2", 220e-6, "Q", "COM");
    bench.resistor("R2", exactly(150.0), "Q", "COM");
    let solution = solved(&mut bench, &["P", "Q"]);
    let push = pusher("p", 12.0, 1.4, 1.0, true);
    let rest = "R1 p q 22\nC1 p 0 1000u IC=14\nC2 q 0 220u IC=12\nR2 q 0 150\n";
    agree(&solution, &simulated(&format!("{push}{rest}"), &["p", "q"]));
}

#[test]
fn a_rectified_supply_takes_no_current_back() {
    if !crate::support::installed("ngspice") {
        return;
    }
    // Lower than the battery all the time; higher at its crests; with a reservoir.
    for (volts, reservoir) in [(10.0, None), (24.0, None), (10.0, Some(2200e-6))] {
        let mut bench = Bench::new("COM");
        let supply = bench.rectified("PS1", (volts, 0.5), (RectifierForm::Bridge, 0.7, reservoir), "P", "COM");
        bench.dc("PS2", exactly(24.0), exactly(0.5), "Q", "COM");
        bench.resistor("R2", exactly(10.0), "P", "Q");
        bench.resistor("R1", exactly(100.0), "Q", "COM");
        let solution = solved(&mut bench, &["P", "Q"]);
        let push = pusher("p", volts, 1.4, 0.5, true);
        let capacitor = reservoir.map_or(String::new(), |farads| format!("C1 p 0 {farads:e} IC=23.88\n"));
        let rest = "R2 p q 10\nR1 q 0 100\nV2 b 0 24\nRB b q 0.5\n";
        agree(&solution, &simulated(&format!("{push}{capacitor}{rest}"), &["p", "q"]));
        assert!(solution.sequences[0].currents[supply.0] < 1e-6, "{}", solution.sequences[0].currents[supply.0]);
    }
}

#[test]
fn a_zener_diode_clips_only_what_is_above_it() {
    if !crate::support::installed("ngspice") {
        return;
    }
    let mut bench = Bench::new("COM");
    bench.rectified("PS1", (20.0, 0.5), (RectifierForm::Bridge, 0.7, None), "P", "COM");
    bench.resistor("R1", exactly(470.0), "P", "Q");
    bench.diode("D1", 0.7, 1.0, Some(12.0), "COM", "Q");
    let solution = solved(&mut bench, &["P", "Q"]);
    let push = pusher("p", 20.0, 1.4, 0.5, true);
    let rest = "R1 p q 470\nBD q 0 I=max(0,(v(q)-12)/1.0)\nRP p 0 1e6\n";
    let there = simulated(&format!("{push}{rest}"), &["p", "q"]);
    agree(&solution, &there);
    // Well below the 12 V that a smooth supply would make.
    assert!(there[1].0 < 10.5, "{there:?}");
}

#[test]
fn an_impedance_gives_a_winding_the_same_inductance_as_henries_do() {
    if !crate::support::installed("ngspice") {
        return;
    }
    // 0.36 H at 50 Hz are 113.10 ohm; with 40 ohm in series an impedance of 119.96 ohm.
    let volts = |impedance: bool| {
        let mut bench = Bench::new("COM");
        bench.rectified("PS1", (24.0, 0.5), (RectifierForm::HalfWave, 0.7, None), "P", "COM");
        let mut coil = Bench::winding(exactly(40.0), 12.0, 5.0, 1.0);
        if impedance {
            let ohms = 40.0_f64.hypot(std::f64::consts::TAU * 50.0 * 0.36);
            let stated = |ohms| Ohms::new(ohms);
            coil.impedance = Some(benchleaf::machine::model::Toleranced {
                nominal: stated(ohms),
                low: stated(ohms),
                high: stated(ohms),
                origin: benchleaf::machine::model::Origin::Stated,
                source: None,
            });
        } else {
            coil.inductance = Some(benchleaf::spec::units::Henries::new(0.36));
        }
        bench.solenoid("L1", coil, "P", "COM");
        solved(&mut bench, &["P"]).sequences[0].readings[0].nominal
    };
    assert!((volts(true) - volts(false)).abs() < 1e-6, "{} and {}", volts(true), volts(false));
    let push = pusher("p", 24.0, 0.7, 0.5, false);
    let there = simulated(&format!("{push}RL p m 40\nL1 m 0 0.36\n"), &["p"]);
    assert!((volts(true) - there[0].0).abs() < 0.02 * there[0].0, "{} for {there:?}", volts(true));
}

#[test]
fn ripples_of_one_mains_add_moment_by_moment() {
    // Two bridges in series: one sine of twice the volts, so RMS 1.11 times the average and not the root of two squares.
    let mut bench = Bench::new("COM");
    bench.rectified("PS1", (20.0, 0.5), (RectifierForm::Bridge, 0.0, None), "M", "COM");
    bench.rectified("PS2", (20.0, 0.5), (RectifierForm::Bridge, 0.0, None), "P", "M");
    bench.resistor("R1", exactly(1e5), "P", "COM");
    let solution = solved(&mut bench, &["P"]);
    let reading = &solution.sequences[0].readings[0];
    let form = reading.rms.unwrap() / reading.nominal;
    assert!((form - std::f64::consts::PI / 8.0_f64.sqrt()).abs() < 1e-3, "{form}");
    assert!((reading.ripple.unwrap() - 40.0 * std::f64::consts::SQRT_2).abs() < 0.1, "{reading:?}");
}

fn refused(machine: &Machine) -> Reason {
    Solver::new(machine).unwrap_err().reason
}

#[test]
fn what_no_cycle_answers_is_refused_with_advice() {
    let mut bench = Bench::new("COM");
    bench.rectified("PS1", (20.0, 0.5), (RectifierForm::Bridge, 0.7, None), "P", "COM");
    bench.rectified("PS2", (20.0, 0.5), (RectifierForm::Bridge, 0.7, None), "P", "COM");
    let part = bench.machine.part_named("PS2").unwrap();
    if let benchleaf::machine::model::PartKind::Supply(supply) = &mut bench.machine.parts[part.0].kind {
        supply.frequency = Some(benchleaf::spec::units::Hertz::new(60.0));
    }
    bench.capacitor("C1", 1e-3, "P", "COM");
    bench.resistor("R1", exactly(100.0), "P", "COM");
    bench.sequence(&[], None);
    assert!(matches!(refused(&bench.machine), Reason::NoSteadyCycle { .. }));
    let error = Solver::new(&bench.machine).unwrap_err().describe(&bench.machine);
    assert!(error.contains("reservoir") && error.contains("PS1, PS2"), "{error}");
}

#[test]
fn a_stepped_reading_says_that_it_is_an_average() {
    let mut bench = Bench::new("COM");
    let supply = bench.rectified("PS1", (20.0, 0.5), (RectifierForm::Bridge, 0.7, None), "P", "COM");
    bench.capacitor("C1", 470e-6, "P", "COM");
    bench.resistor("R1", exactly(100.0), "P", "COM");
    let solution = solved(&mut bench, &["P"]);
    let part = bench.machine.element(supply).part;
    let solved = solution.sequence(SequenceId(0));
    assert!(solved.remarks.contains(&Remark::AverageOfUnsmoothed(part)));
    assert!(solved.readings[0].ripple.unwrap() > 0.5);
}
