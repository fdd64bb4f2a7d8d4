//! Bands where pulses meet windings: found by solving healthy machines outright.
//!
//! There the average follows from a whole cycle and has no closed form in the values. Each value is moved to both of its
//! ends alone; then all of them together, to the sides that made a reading rise and to those that made it fall. A search.

use std::collections::BTreeSet;

use crate::machine::model::{Current, JointId, Meter, SequenceId};
use crate::spec::units::Ohms;

use super::graph::Asked;
use super::kernel::Extremes;
use super::meter::{Islands, Scratch, read};
use super::network::Situation;
use super::results::Certainty;
use super::solver::Solver;
use super::values::Values;

/// Ohms of a meter that takes nothing.
const NO_METER: f64 = 1e15;

impl Solver<'_> {
    /// Puts the bands of all voltages that pulses reach in place of those of the network of averages.
    pub(super) fn search_pulses(&self, sequence: SequenceId, asked: &[(Current, Asked)], answers: &mut [Extremes]) {
        let averages = &self.rests[sequence.0].point.inner.averages;
        let reached = |ask: &Asked| averages.joint(ask.red).is_some() || averages.joint(ask.black).is_some();
        let asked: Vec<&(Current, Asked)> = asked.iter().filter(|(_, ask)| reached(ask)).collect();
        if averages.is_empty() || asked.is_empty() {
            return;
        }
        let nominal = self.circuit.elements.nominal.clone();
        let movable = self.movable(sequence);
        let mut found: Vec<Vec<f64>> = Vec::new();
        let mut rises = vec![Vec::new(); asked.len()];
        for &place in &movable {
            let ends =
                [false, true].map(|high| self.volts_with(sequence, &self.moved_to(&nominal, &[(place, high)]), &asked));
            for (at, rises) in rises.iter_mut().enumerate() {
                let slope = ends[1].as_ref().zip(ends[0].as_ref()).map_or(0.0, |(high, low)| high[at] - low[at]);
                rises.push(slope > 0.0);
            }
            found.extend(ends.into_iter().flatten());
        }
        let sides: BTreeSet<Vec<bool>> =
            rises.into_iter().flat_map(|up| [up.iter().map(|up| !up).collect(), up]).collect();
        for pattern in &sides {
            let all: Vec<((usize, usize), bool)> = movable.iter().copied().zip(pattern.iter().copied()).collect();
            found.extend(self.volts_with(sequence, &self.moved_to(&nominal, &all), &asked));
        }
        for (at, (_, ask)) in asked.iter().enumerate() {
            let values = found.iter().map(|volts| volts[at]);
            let (low, high) =
                values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
            if low <= high {
                answers[ask.number] = Extremes { low, high, certainty: Certainty::Searched };
            }
        }
    }

    /// Elements that pulses reach and that conduct, with the place of each value that can vary.
    fn movable(&self, sequence: SequenceId) -> Vec<(usize, usize)> {
        let point = &self.rests[sequence.0].point;
        let spans = &self.circuit.elements.spans;
        let varies = |&(element, place): &(usize, usize)| spans[element][place].low < spans[element][place].high;
        let live = point.live.iter().copied().filter(|&element| point.inner.averages.squares(element).is_some());
        live.flat_map(|element| [(element, 0), (element, 1)]).filter(varies).collect()
    }

    fn moved_to(&self, nominal: &Values, moves: &[((usize, usize), bool)]) -> Values {
        let mut values = nominal.clone();
        for &((element, place), high) in moves {
            let span = self.circuit.elements.spans[element][place];
            values.0[element][place] = if high { span.high } else { span.low };
        }
        values
    }

    /// What is read on the machine with these values, relays as they are; none where it cannot be solved.
    fn volts_with(&self, sequence: SequenceId, values: &Values, asked: &[&(Current, Asked)]) -> Option<Vec<f64>> {
        let situation = Situation { values, ..self.nominal(sequence) };
        let rest = &self.rests[sequence.0];
        let point = self.circuit.point(&situation, &rest.positions, (*rest.point.inner).clone(), &[]).ok()?;
        let islands = Islands::of(&point);
        let mut scratch = Scratch::default();
        let volts = |&&(quantity, ask): &&(Current, Asked)| {
            let meter = Meter::Digital(Ohms::new(ask.meter.unwrap_or(NO_METER)));
            let both = read(&point, &islands, (JointId(ask.red), JointId(ask.black)), &meter, &mut scratch);
            if quantity == Current::Direct { both.direct } else { both.alternating }
        };
        Some(asked.iter().map(volts).collect())
    }
}
