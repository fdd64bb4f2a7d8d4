//! Where values come from, numbered once for the whole machine: a number beside a value leads to its line.

use super::parts;
use crate::machine::model::Machine;
use crate::words::Numerals;

/// Everything that the description names as a source, wherever it names it, each once: first the machine's own list, then
/// in the order of parts, their values, sequences and expectations.
#[must_use]
pub fn all(machine: &Machine) -> Vec<String> {
    let mut all: Vec<String> = machine.identity.sources.clone();
    let parts = machine.parts.iter().flat_map(|part| {
        let values = parts::values(part, Numerals::default()).into_iter().filter_map(|value| value.source);
        part.source.clone().into_iter().chain(values)
    });
    let sequences = machine.sequences.iter().filter_map(|sequence| sequence.source.clone());
    let expectations = machine.expectations.iter().filter_map(|expectation| expectation.source.clone());
    for source in parts.chain(sequences).chain(expectations) {
        if !all.contains(&source) {
            all.push(source);
        }
    }
    all
}
