//! What a paper says that a point reads, against what is computed.

use super::prelude::*;

/// The rule.
pub static RULE: Rule = Rule {
    name: "manual-disagrees",
    summary: "a stated reading lies outside the computed band",
    check: Check::Circuit(check),
};

fn check(circuit: &Circuit, findings: &mut Vec<Finding>) {
    let machine = circuit.machine();
    for expectation in &machine.expectations {
        let Some(reading) = reading_of(circuit.solution.sequence(expectation.sequence), expectation) else { continue };
        if let Some(what) = disagreement(circuit, expectation, reading) {
            findings.push(report(machine, expectation, what));
        }
    }
}

/// The reading that a statement is about: of its kind of current, if the point has one.
fn reading_of<'a>(solved: &'a SequenceSolution, expectation: &Expectation) -> Option<&'a Reading> {
    let at_point = || solved.readings.iter().filter(|reading| reading.at == expectation.at);
    at_point().find(|reading| reading.quantity == expectation.current).or_else(|| at_point().next())
}

/// What is wrong with a stated reading, or nothing.
fn disagreement(circuit: &Circuit, expectation: &Expectation, reading: &Reading) -> Option<Fact> {
    let stated = &expectation.reads;
    let computed = Volts::new(reading.nominal);
    if expectation.current != reading.quantity
        && stated.nominal.value().abs() > NOTHING
        && reading.nominal.abs() > NOTHING
    {
        return Some(fact!("audit.manual-disagrees.kind", volts = computed, kind = kind(reading.quantity)));
    }
    if overlaps(stated, reading.nominal, reading.nominal) {
        return None; // the band holds its own middle
    }
    let banded = reading_of(circuit.banded(expectation.sequence), expectation)?.band;
    if overlaps(stated, banded.low, banded.high) {
        return None;
    }
    let opposite = stated.nominal.value() * reading.nominal < 0.0 && reading.nominal.abs() > NOTHING;
    Some(if opposite && expectation.current == Current::Direct {
        fact!("audit.manual-disagrees.sign", volts = computed)
    } else {
        fact!(
            "audit.manual-disagrees.band",
            volts = computed,
            low = Volts::new(banded.low),
            high = Volts::new(banded.high),
        )
    })
}

fn overlaps(stated: &Toleranced<Volts>, low: f64, high: f64) -> bool {
    stated.high.value() >= low - MARGIN && stated.low.value() <= high + MARGIN
}

/// Less than this is nothing, in volts.
const NOTHING: f64 = 0.05;

/// What the last digit of a meter may hide, in volts.
const MARGIN: f64 = 0.01;

fn kind(current: Current) -> Fact {
    match current {
        Current::Direct => fact!("audit.kind.direct"),
        Current::Alternating => fact!("audit.kind.alternating"),
    }
}

fn report(machine: &Machine, expectation: &Expectation, what: Fact) -> Finding {
    let stated = fact!(
        "audit.manual-disagrees.stated",
        point = &machine.test_points[expectation.at.0].id,
        volts = expectation.reads.nominal,
        kind = kind(expectation.current),
        sequence = machine.sequences[expectation.sequence.0].number,
    );
    let message = match &expectation.source {
        Some(source) => fact!("audit.manual-disagrees.message-source", stated = stated, source = source, what = what),
        None => fact!("audit.manual-disagrees.message", stated = stated, what = what),
    };
    Finding {
        test_point: Some(expectation.at),
        sequences: vec![expectation.sequence],
        ..Finding::at(&RULE, Severity::Defect, expectation.place)
    }
    .saying(message, fact!("audit.manual-disagrees.advice"))
}
