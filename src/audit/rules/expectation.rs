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
        let Some(reading) = reading_of(circuit.solution.sequence(expectation.sequence), expectation) else { continue };
        if let Some(what) = disagreement(circuit, expectation, reading) {
            findings.push(report(machine, expectation, &what));
        }
    }
}

/// The reading that a statement is about: of its kind of current, if the point has one.
fn reading_of<'a>(solved: &'a SequenceSolution, expectation: &Expectation) -> Option<&'a Reading> {
    let at_point = || solved.readings.iter().filter(|reading| reading.at == expectation.at);
    at_point().find(|reading| reading.quantity == expectation.current).or_else(|| at_point().next())
}

/// What is wrong with a stated reading, or nothing.
fn disagreement(circuit: &Circuit, expectation: &Expectation, reading: &Reading) -> Option<String> {
    let stated = &expectation.reads;
    let computed = Volts::new(reading.nominal);
    if expectation.current != reading.quantity
        && stated.nominal.value().abs() > NOTHING
        && reading.nominal.abs() > NOTHING
    {
        return Some(format!("the circuit makes {computed} {} there", kind(reading.quantity)));
    }
    let (low, high) = supply_band(circuit, expectation, reading);
    if overlaps(stated, low, high) {
        return None; // the whole band is wider still
    }
    let band = reading_of(circuit.banded(expectation.sequence), expectation)
        .map_or((low, high), |banded| (banded.band.low.min(low), banded.band.high.max(high)));
    if overlaps(stated, band.0, band.1) {
        return None;
    }
    let opposite = stated.nominal.value() * reading.nominal < 0.0 && reading.nominal.abs() > NOTHING;
    Some(if opposite && expectation.current == Current::Direct {
        format!("the circuit makes {computed}: the sign differs")
    } else {
        format!("the circuit makes {computed}, {} to {} on a healthy machine", Volts::new(band.0), Volts::new(band.1))
    })
}

/// What the point reads over the tolerance of the supplies alone.
fn supply_band(circuit: &Circuit, expectation: &Expectation, reading: &Reading) -> (f64, f64) {
    let ends = circuit.corners(expectation.sequence).iter().map(|corner| &corner.readings[expectation.at.0]);
    let same = ends.filter(|end| end.quantity == reading.quantity).map(|end| end.volts);
    same.chain([reading.nominal])
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), volts| (low.min(volts), high.max(volts)))
}

fn overlaps(stated: &Toleranced<Volts>, low: f64, high: f64) -> bool {
    stated.high.value() >= low - MARGIN && stated.low.value() <= high + MARGIN
}

/// Less than this is nothing, in volts.
const NOTHING: f64 = 0.05;

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
