//! The supply point of each test point, and the drop from the one to the other.
//!
//! "Measure the supply first, then judge the drop": the drop over a few contacts strays far less than the supply itself.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::machine::model::{Current, JointId, SequenceId, TestPointId};

use super::meter::{Islands, Scratch, read};
use super::network::Circuit;
use super::point::Point;
use super::results::{Band, Certainty, Drop, SequenceSolution};
use super::solver::Solver;

/// Ohms as an integer that sorts as the number does.
type Distance = u64;

impl Solver<'_> {
    /// Adds the nominal drop from its supply point to each reading that has one.
    pub(crate) fn add_drops(&self, sequence: SequenceId, islands: &Islands, solution: &mut SequenceSolution) {
        let circuit = &self.circuit;
        let rest = &self.rests[sequence.0];
        let points = circuit.supply_points(&rest.point);
        let mut scratch = Scratch::default();
        let live: Vec<(TestPointId, Current)> = solution
            .readings
            .iter()
            .filter(|reading| !reading.floating && reading.nominal.abs() > 1e-6)
            .map(|reading| (reading.at, reading.quantity))
            .collect();
        for reading in &mut solution.readings {
            let Some(from) = points[reading.at.0] else {
                continue;
            };
            if reading.floating || from == reading.at || !live.contains(&(from, reading.quantity)) {
                continue;
            }
            let leads = (circuit.machine.test_points[from.0].joint, circuit.machine.test_points[reading.at.0].joint);
            let both = read(&rest.point, islands, leads, &circuit.machine.meter, &mut scratch);
            let nominal = match reading.quantity {
                Current::Direct => both.direct,
                Current::Alternating => both.alternating,
            };
            let band = Band { low: nominal, high: nominal, certainty: Certainty::Searched };
            reading.drop = Some(Drop { from, nominal, band });
        }
    }
}

impl Circuit<'_> {
    /// For each test point the one that is nearest, in ohms, to the supply that feeds it, with the same reference.
    fn supply_points(&self, point: &Point) -> Vec<Option<TestPointId>> {
        let machine = self.machine;
        let mut nearest: Vec<Option<(Distance, usize)>> = vec![None; machine.test_points.len()];
        let mut away: Vec<Vec<Option<Distance>>> = Vec::with_capacity(self.sources.len());
        for (index, &source) in self.sources.iter().enumerate() {
            let distances = self.distances(point, source);
            for (slot, at) in nearest.iter_mut().zip(&machine.test_points) {
                if let Some(distance) = distances[at.joint.0]
                    && slot.is_none_or(|(least, _)| distance < least)
                {
                    *slot = Some((distance, index));
                }
            }
            away.push(distances);
        }
        let own = |slot: &Option<(Distance, usize)>, at: usize| {
            let (_, supply) = (*slot)?;
            let reference = machine.test_points[at].reference;
            let candidates = machine.test_points.iter().enumerate().filter(|(_, other)| other.reference == reference);
            candidates
                .filter_map(|(index, other)| Some((away[supply][other.joint.0]?, index)))
                .min()
                .map(|(_, index)| TestPointId(index))
        };
        nearest.iter().enumerate().map(|(at, slot)| own(slot, at)).collect()
    }

    /// Ohms along the easiest path from a supply's live terminal to each joint, not through its other terminal.
    fn distances(&self, point: &Point, source: usize) -> Vec<Option<Distance>> {
        let machine = self.machine;
        let mut done: Vec<Option<Distance>> = vec![None; machine.joints.len()];
        let ends = &machine.elements[source];
        let live = point.direct.source(source) != 0.0
            || point.alternating.iter().any(|(_, field)| field.source(source).norm() > 0.0);
        if !live {
            return done;
        }
        let (hot, back) = if ends.from == machine.reference { (ends.to, ends.from) } else { (ends.from, ends.to) };
        let mut waiting = BinaryHeap::from([Reverse((0_u64, hot.0))]);
        while let Some(Reverse((distance, joint))) = waiting.pop() {
            if done[joint].is_some() || joint == back.0 {
                continue;
            }
            done[joint] = Some(distance);
            for &(element, other) in &self.around[joint] {
                if let Some(ohms) = self.path_ohms(point, element)
                    && done[other].is_none()
                {
                    waiting.push(Reverse((distance.saturating_add(ohms), other)));
                }
            }
        }
        done
    }

    /// Ohms of an element on a path, in billionths; none where nothing flows easily.
    fn path_ohms(&self, point: &Point, element: usize) -> Option<Distance> {
        if self.sources.contains(&element) {
            return None;
        }
        let direct = point.direct.admittance(element);
        let alternating = point.alternating.iter().map(|(_, field)| field.admittance(element).norm());
        let admittance = alternating.fold(direct, f64::max);
        if admittance <= super::network::BLOCKED {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "positive and capped")]
        let ohms = (1e9 / admittance).clamp(1.0, 1e15) as u64;
        Some(ohms)
    }
}

/// Elements at each joint with the joint on their other side.
pub(crate) fn around(machine: &crate::machine::model::Machine) -> Vec<Vec<(usize, usize)>> {
    let mut around = vec![Vec::new(); machine.joints.len()];
    for (element, ends) in machine.elements.iter().enumerate() {
        let (JointId(from), JointId(to)) = (ends.from, ends.to);
        around[from].push((element, to));
        around[to].push((element, from));
    }
    around
}
