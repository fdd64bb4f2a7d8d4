//! What a paper says that a point reads, against what is computed.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "manual-disagrees",
    summary: "a stated reading lies outside the computed band",
    source: "the description's `expect` against the solved circuit",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for expectation in &machine.expectations {
        let solved = circuit.solution.sequence(expectation.sequence);
        let same_kind = |reading: &&Reading| reading.at == expectation.at && reading.quantity == expectation.current;
        let of_point = |reading: &&Reading| reading.at == expectation.at;
        let reading = solved.readings.iter().find(same_kind).or_else(|| solved.readings.iter().find(of_point));
        let Some(reading) = reading else { continue };
        if let Some(what) = disagreement(expectation, reading) {
            findings.push(report(machine, expectation, &what));
        }
    }
}

/// What is wrong with a stated reading, or nothing.
fn disagreement(expectation: &Expectation, reading: &Reading) -> Option<String> {
    let stated = &expectation.reads;
    let computed = Volts::new(reading.nominal);
    if expectation.current != reading.quantity && stated.nominal.value().abs() > 0.05 && reading.nominal.abs() > 0.05 {
        return Some(format!("the circuit makes {computed} {} there", kind(reading.quantity)));
    }
    // A wrong sign on DC is an error of its own: the leads are swapped, or the manual counts from the other pole.
    let negative = stated.nominal.value() * reading.nominal < 0.0 && stated.nominal.value().abs() > 0.05;
    if negative && expectation.current == Current::Direct && reading.nominal.abs() > 0.05 {
        return Some(format!("the circuit makes {computed}: the sign differs"));
    }
    let outside = stated.high.value() < reading.band.low - MARGIN || stated.low.value() > reading.band.high + MARGIN;
    outside.then(|| {
        let (low, high) = (Volts::new(reading.band.low), Volts::new(reading.band.high));
        if low == high {
            format!("the circuit makes {computed}")
        } else {
            format!("the circuit makes {computed}, {low} to {high} on a healthy machine")
        }
    })
}

/// What the last digit of a meter may hide, in volts.
const MARGIN: f64 = 0.01;

fn kind(current: Current) -> &'static str {
    match current {
        Current::Direct => "DC",
        Current::Alternating => "AC",
    }
}

fn report(machine: &Machine, expectation: &Expectation, what: &str) -> Finding {
    let point = &machine.test_points[expectation.at.0].id;
    let source = expectation.source.as_deref().map_or_else(String::new, |source| format!(" ({source})"));
    Finding {
        test_point: Some(expectation.at),
        sequences: vec![expectation.sequence],
        ..Finding::at(&RULE, Severity::Defect, expectation.place)
    }
    .saying(
        format!(
            "`{point}` is said to read {} {} in sequence {}{source}, but {what}",
            expectation.reads.nominal,
            kind(expectation.current),
            machine.sequences[expectation.sequence.0].number
        ),
        "one of the two is wrong: check the run and the values behind this point, then the paper (its meter, its load, its sequence)",
    )
}
