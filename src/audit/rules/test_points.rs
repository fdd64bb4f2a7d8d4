//! Test points that nothing holds, and test points that tell nothing.

use super::prelude::*;

/// The rule for points that hang in the air.
pub static FLOATING: Rule = Rule {
    name: "test-point-floats",
    summary: "nothing but the meter holds a test point in any sequence",
    check: Check::Circuit(check_floating),
};

/// The rule for points that always read nothing.
pub static SILENT: Rule = Rule {
    name: "test-point-silent",
    summary: "a test point reads nothing in every sequence, so that it tells nothing",
    check: Check::Circuit(check_silent),
};

/// Less than this is nothing, in volts: the last digit of a meter's most sensitive usual range.
const NOTHING: f64 = 1e-4;

fn readings_of<'a>(circuit: &Circuit<'a>, point: TestPointId) -> impl Iterator<Item = &'a Reading> {
    circuit.solution.sequences.iter().flat_map(|solved| &solved.readings).filter(move |reading| reading.at == point)
}

fn points(machine: &Machine) -> impl Iterator<Item = TestPointId> {
    (0..machine.test_points.len()).map(TestPointId)
}

fn check_floating(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for point in points(machine) {
        let mut readings = readings_of(circuit, point).peekable();
        if readings.peek().is_some() && readings.all(|reading| reading.floating) {
            findings.push(Finding::of_test_point(&FLOATING, Severity::Defect, machine, point).saying(
                fact!("audit.test-point-floats.message", point = &machine.test_points[point.0].id),
                fact!("audit.test-point-floats.advice"),
            ));
        }
    }
}

fn check_silent(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for point in points(machine) {
        let mut readings = readings_of(circuit, point).peekable();
        if readings.peek().is_some() && readings.all(|reading| !reading.floating && reading.nominal.abs() < NOTHING) {
            let entry = &machine.test_points[point.0];
            findings.push(Finding::of_test_point(&SILENT, Severity::Remark, machine, point).saying(
                fact!(
                    "audit.test-point-silent.message",
                    point = &entry.id,
                    reference = &machine.joint(entry.reference).name
                ),
                fact!("audit.test-point-silent.advice"),
            ));
        }
    }
}
