//! Relays that may stand otherwise on a healthy machine: bands that join all their stands.
//!
//! A relay whose coil may get too little within the tolerances, one that chatters, one of two that race: what hangs on its
//! contacts reads one thing or another. Each such stand is solved, the other relays following, and the bands are joined;
//! later sequences start from every stand in which an earlier one may have left the relays.

use std::collections::BTreeSet;

use crate::machine::model::{Current, PartId, SequenceId};

use super::bands::{downgrade, widen};
use super::meter::{Islands, Scratch, read};
use super::network::Positions;
use super::results::{Remark, SequenceSolution, Settling};
use super::settle::Rest;
use super::solver::Solver;

/// Relays in doubt whose stands are combined with each other; of more, each is turned alone and all together.
const COMBINED: usize = 3;
/// Volts by which readings in two stands are one, whatever the meter.
const SAME: f64 = 1e-3;
/// Other stands that are followed.
const MOST_STANDS: usize = 12;

/// Relays that are in, by part.
type Stand = Vec<bool>;

impl Solver<'_> {
    /// Joins the bands of all stands in which a healthy machine's relays may be.
    pub(crate) fn join_stands(&self, sequences: &mut [SequenceSolution]) {
        let mut others: Vec<BTreeSet<Stand>> = vec![BTreeSet::new(); sequences.len()];
        for index in self.in_order() {
            let solution = &mut sequences[index];
            let sequence = SequenceId(index);
            let doubtful = self.relays_in_doubt(sequence, solution);
            let before = self.circuit.machine.sequences[index].after.map(|before| others[before.0].clone());
            let mut stands = self.other_stands(sequence, &doubtful, &before.unwrap_or_default());
            stands.remove(&self.rests[index].positions.energised);
            if stands.len() > MOST_STANDS {
                stands = stands.into_iter().take(MOST_STANDS).collect();
                solution.remarks.extend(doubtful.iter().map(|&part| Remark::StandsLeftOut(part)));
            }
            if !stands.is_empty() || !doubtful.is_empty() || !solution.settling.is_settled() {
                downgrade(solution);
            }
            for stand in &stands {
                self.join(sequence, stand, solution);
            }
            solution.remarks.extend(doubtful.into_iter().map(Remark::RelayInDoubt));
            solution.remarks.sort();
            solution.remarks.dedup();
            others[index] = stands;
        }
    }

    fn other_stands(&self, sequence: SequenceId, doubtful: &[PartId], before: &BTreeSet<Stand>) -> BTreeSet<Stand> {
        let rest = &self.rests[sequence.0];
        let mut stands = BTreeSet::new();
        for start in before {
            let positions = Positions { energised: start.clone(), ..self.circuit.at_rest() };
            if let Ok(other) = self.circuit.rest(&self.nominal(sequence), positions) {
                stands.extend(self.restless(&other.settling));
                stands.insert(other.positions.energised);
            }
        }
        stands.extend(self.restless(&rest.settling));
        for turned in combinations(doubtful) {
            let mut positions = rest.positions.clone();
            for part in &turned {
                positions.energised[part.0] ^= true;
            }
            self.follow(sequence, &mut positions, &turned);
            stands.insert(positions.energised);
        }
        stands
    }

    /// Where relays race or chatter: what each point reads in every state that they may end in, or go between.
    pub(crate) fn add_outcomes(&self, sequence: SequenceId, solution: &mut SequenceSolution) {
        let (rest, meter) = (&self.rests[sequence.0], &self.circuit.machine.meter);
        for stand in self.restless(&rest.settling) {
            let positions = Positions { energised: stand, blown: rest.positions.blown.clone() };
            let inner = (*rest.point.inner).clone();
            let Ok(point) = self.circuit.point(&self.nominal(sequence), &positions, inner, &[]) else { continue };
            let (islands, mut scratch) = (Islands::of(&point), Scratch::default());
            for reading in &mut solution.readings {
                let leads = (self.circuit.machine.test_points[reading.at.0].joint, reading.against);
                let both = read(&point, &islands, leads, meter, &mut scratch);
                reading.outcomes.push(match reading.quantity {
                    Current::Direct => both.direct,
                    Current::Alternating => both.alternating,
                });
            }
        }
        for reading in &mut solution.readings {
            let same = |volts: &f64| (volts - reading.nominal).abs() < SAME;
            if reading.outcomes.iter().all(same) {
                reading.outcomes.clear();
            }
        }
    }

    /// The stands between which relays go, or in one of which they end.
    fn restless(&self, settling: &Settling) -> Vec<Stand> {
        let stand = |parts: &BTreeSet<PartId>| {
            let mut stand = self.circuit.at_rest().energised;
            for part in parts {
                stand[part.0] = true;
            }
            stand
        };
        settling.states().into_iter().map(stand).collect()
    }

    /// Lets all relays but some follow, as far as they come to rest.
    fn follow(&self, sequence: SequenceId, positions: &mut Positions, held: &[PartId]) {
        let situation = self.nominal(sequence);
        for _ in 0..2 * self.circuit.relays.len() + 2 {
            let inner = (*self.rests[sequence.0].point.inner).clone();
            let Ok(point) = self.circuit.point(&situation, positions, inner, &[]) else { return };
            let mut next = self.circuit.moved(&point, &positions.energised);
            for part in held {
                next[part.0] = positions.energised[part.0];
            }
            if next == positions.energised {
                return;
            }
            positions.energised = next;
        }
    }

    /// Widens all bands to those of another stand.
    fn join(&self, sequence: SequenceId, stand: &Stand, solution: &mut SequenceSolution) {
        let nominal = &self.rests[sequence.0];
        let positions = Positions { energised: stand.clone(), blown: nominal.positions.blown.clone() };
        let inner = (*nominal.point.inner).clone();
        let Ok(point) = self.circuit.point(&self.nominal(sequence), &positions, inner, &[]) else { return };
        let settling = nominal.settling.clone();
        let rest = Rest { settling, positions, point, trace: Vec::new(), opened: Vec::new() };
        let asked = self.asked(&solution.readings, &solution.devices);
        widen(solution, self.extremes(sequence, &rest, &asked), |device| self.has_band(device));
    }
}

/// All choices of some of a few relays; of many, each alone and all together.
fn combinations(parts: &[PartId]) -> Vec<Vec<PartId>> {
    if parts.len() > COMBINED {
        return parts.iter().map(|&part| vec![part]).chain([parts.to_vec()]).collect();
    }
    let choice = |mask: usize| (0..parts.len()).filter(|at| mask >> at & 1 == 1).map(|at| parts[at]).collect();
    (1..1_usize << parts.len()).map(choice).collect()
}
