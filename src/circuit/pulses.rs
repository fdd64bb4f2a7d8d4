//! Supplies that give current in pulses: one cycle in small steps.
//!
//! Where something switches within a cycle - see [`super::uneven`] - averages follow neither from resistances nor from
//! phasors. The network is stepped by backward Euler, 400 steps a cycle, until a cycle ends as it began; every rectifier
//! and diode is then given the source voltage that makes the DC network show the averages found. In the steady state the
//! average voltage of an inductance and the average current of a capacitor are zero, so the DC network holds for all other
//! branches as it is. Windings count with their inductance where it is known, capacitors and reservoirs with theirs.
//!
//! A slow end is hastened: once the last changes of all stored volts and amperes keep a constant ratio, they are moved to
//! where that series leads (Aitken), and stepped on from there.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::machine::model::JointId;

use super::branches::winding;
use super::cycle::{Averages, Cycle};
use super::diode::{DiodeState, is_gone, settled_state, sign};
use super::elimination::{Factor, Structure};
use super::error::{CircuitError, Reason};
use super::field::{Branches, Field};
use super::inside::Inner;
use super::network::{BLOCKED, Circuit, Situation};
use super::point::refusal;
use super::rectifier::Feed;
use super::values::Model;

/// Steps of one cycle.
const STEPS: usize = 400;
/// Cycles after which a network must be steady.
const MOST_CYCLES: usize = 400;
/// Relative change over one cycle that no longer counts.
const STEADY: f64 = 1e-6;
/// Relative distance from the end that no longer counts, as the last changes foretell it.
const NEAR: f64 = 2e-5;
/// Cycles between two attempts to hasten the end.
const HASTE: usize = 6;

/// A branch that keeps volts (a capacitor) or amperes (a winding) from one step to the next.
#[derive(Debug, Clone, Copy)]
struct Store {
    element: usize,
    kind: Kept,
    /// What it holds.
    held: f64,
}

#[derive(Debug, Clone, Copy)]
enum Kept {
    /// Ohms, and henries over the step.
    Amperes { ohms: f64, inertia: f64 },
    /// Farads over the step.
    Volts { inertia: f64 },
    /// The same, across the terminals of a rectifier.
    Reservoir { inertia: f64 },
}

/// A pulsed network while it is stepped.
struct Pulsed<'a, 'm> {
    circuit: &'a Circuit<'m>,
    situation: &'a Situation<'a>,
    structure: Arc<Structure>,
    branches: Branches<f64>,
    /// Rectified supplies with the angle by which each runs ahead.
    feeds: Vec<(usize, Feed, f64)>,
    stores: Vec<Store>,
    /// Diodes that the pulses can reach; all others stay as they are.
    diodes: Vec<usize>,
    /// State of each feed (`Blocks` or `Conducts`), then of each diode.
    states: Vec<DiodeState>,
    factors: BTreeMap<Vec<DiodeState>, Factor<f64>>,
}

/// Averages of volts and amperes of what is watched, and the cycle.
type Stepped = (Vec<(f64, f64)>, Cycle);

impl Circuit<'_> {
    /// Averages of rectifiers and diodes in the zones of uneven supplies, and the steady cycle; none without such.
    pub(crate) fn pulse_averages(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &Inner,
        (field, uneven): (&Field<f64>, &[usize]),
    ) -> Result<Option<Averages>, CircuitError> {
        let reached = |element: usize| uneven.iter().any(|&supply| self.reach.same_zone(supply, element));
        let is_live = |element: &&usize| live.binary_search(element).is_ok();
        let feeds: Vec<(usize, Feed, f64)> = self
            .rectified
            .iter()
            .filter(is_live)
            .filter_map(|&element| Some((element, self.feed(element, situation)?, self.lead(element))))
            .filter(|(element, feed, _)| feed.winding > 0.0 && reached(*element))
            .collect();
        let Some((_, first, _)) = feeds.first() else { return Ok(None) };
        if feeds.iter().any(|(_, feed, _)| feed.frequency.total_cmp(&first.frequency).is_ne()) {
            return Err(self.no_cycle(&feeds));
        }
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let step = 1.0 / (first.frequency * STEPS as f64);
        let branches = self.direct(situation, live, inner);
        let stores = self.stores(situation, live, (&branches, &feeds), field, step);
        let diodes: Vec<usize> =
            self.diodes.iter().copied().filter(|&diode| reached(diode) && !is_gone(diode, situation.changes)).collect();
        let states = vec![DiodeState::Blocks; feeds.len() + diodes.len()];
        let structure = self.structure_with(situation.extras);
        let factors = BTreeMap::new();
        let mut pulsed =
            Pulsed { circuit: self, situation, structure, branches, feeds, stores, diodes, states, factors };
        pulsed.run().map(Some)
    }

    fn no_cycle(&self, feeds: &[(usize, Feed, f64)]) -> CircuitError {
        let parts = feeds.iter().map(|(element, ..)| self.machine.elements[*element].part).collect();
        refusal(Reason::NoSteadyCycle { parts })
    }

    /// Windings, capacitors and reservoirs, with what they hold on average.
    fn stores(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        (branches, feeds): (&Branches<f64>, &[(usize, Feed, f64)]),
        field: &Field<f64>,
        step: f64,
    ) -> Vec<Store> {
        let islands = field.structure.islands(&field.factor);
        let volts = |element: usize| {
            let (from, to) = field.structure.edges()[element];
            if islands[from] == islands[to] { field.across(element) } else { 0.0 }
        };
        let near_pulses = |element: usize| feeds.iter().any(|(feed, ..)| self.reach.same_zone(*feed, element));
        let mut stores = Vec::new();
        for &element in live.iter().filter(|&&element| near_pulses(element)) {
            let admittance = branches.admittances[element];
            if let Some(henries) = self.henries(element, situation).filter(|_| admittance > 0.0) {
                let kind = Kept::Amperes { ohms: 1.0 / admittance, inertia: henries / step };
                stores.push(Store { element, kind, held: field.current(element) });
            } else if matches!(self.elements.models[element], Model::Capacitor) && admittance == 0.0 {
                let kind = Kept::Volts { inertia: situation.values.0[element][0] / step };
                stores.push(Store { element, kind, held: volts(element) });
            }
        }
        for (element, feed, _) in feeds.iter().filter(|(_, feed, _)| feed.reservoir > 0.0) {
            let kind = Kept::Reservoir { inertia: feed.reservoir / step };
            stores.push(Store { element: *element, kind, held: volts(*element) });
        }
        stores
    }

    /// Inductance of an element where it is known, from its impedance at the mains' frequency if need be.
    pub(crate) fn henries(&self, element: usize, situation: &Situation<'_>) -> Option<f64> {
        let [first, second] = situation.values.0[element];
        let henries = match &self.elements.models[element] {
            Model::Coil(super::values::CoilModel::Inductance(henries)) => *henries,
            Model::Coil(super::values::CoilModel::Unknown) => return None,
            Model::Coil(coil) => {
                let feed = self.rectified.iter().find(|&&feed| self.reach.same_zone(feed, element))?;
                let frequency = self.feed(*feed, situation)?.frequency;
                let omega = std::f64::consts::TAU * frequency;
                winding(*coil, first, second, omega).im / omega
            }
            Model::Inductor => second,
            _ => return None,
        };
        (henries > 0.0).then_some(henries)
    }
}

impl Pulsed<'_, '_> {
    fn run(&mut self) -> Result<Averages, CircuitError> {
        let mut ends: Vec<Vec<f64>> = vec![self.held()];
        for cycle in 1..=MOST_CYCLES {
            let stepped = self.cycle();
            ends.push(self.held());
            let Some((averages, found)) = stepped else { break };
            if self.is_steady(&ends) {
                let watched = self.watched().into_iter().zip(averages);
                let stand_in = |(element, (volts, amperes))| self.stand_in(element, volts, amperes);
                return Ok(Averages { stands: watched.map(stand_in).collect(), cycle: Some(Arc::new(found)) });
            }
            if cycle % HASTE == 0 {
                self.hasten(&ends);
                ends = vec![self.held()];
            }
        }
        Err(self.circuit.no_cycle(&self.feeds))
    }

    fn held(&self) -> Vec<f64> {
        self.stores.iter().map(|store| store.held).collect()
    }

    /// Largest last change of all stores, in their largest value, and its ratio to the change before.
    fn change(ends: &[Vec<f64>]) -> Option<(f64, Option<f64>)> {
        let [.., before, last] = ends else { return None };
        let largest = last.iter().map(|held| held.abs()).fold(1e-9, f64::max);
        let length = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let change = length(last, before);
        let ratio = match ends {
            [.., first, _, _] if length(before, first) > 0.0 => Some(change / length(before, first)),
            _ => None,
        };
        Some((change / largest, ratio))
    }

    fn is_steady(&self, ends: &[Vec<f64>]) -> bool {
        match Self::change(ends) {
            _ if self.stores.is_empty() => true,
            Some((change, _)) if change <= 1e-12 => true,
            Some((change, Some(ratio))) => change <= STEADY && ratio < 1.0 && change * ratio / (1.0 - ratio) <= NEAR,
            _ => false,
        }
    }

    /// Moves what is stored to where its last changes lead.
    fn hasten(&mut self, ends: &[Vec<f64>]) {
        let (Some((_, Some(ratio))), [.., before, last]) = (Self::change(ends), ends) else { return };
        if !(0.3..1.0).contains(&ratio) {
            return;
        }
        let further = (ratio / (1.0 - ratio)).min(1e4);
        for (store, (before, last)) in self.stores.iter_mut().zip(before.iter().zip(last)) {
            store.held = last + (last - before) * further;
        }
    }

    /// Rectifiers, then diodes.
    fn watched(&self) -> Vec<usize> {
        self.feeds.iter().map(|(element, ..)| *element).chain(self.diodes.iter().copied()).collect()
    }

    /// The branch that shows these averages in a DC network.
    fn stand_in(&self, element: usize, volts: f64, amperes: f64) -> (usize, (f64, f64)) {
        let open = amperes.abs() <= 1e-9;
        let ohms = match &self.circuit.elements.models[element] {
            Model::Diode(diode) if !open => diode.on,
            Model::Diode(_) => 1.0 / BLOCKED,
            _ => self.feeds.iter().find(|(feed, ..)| *feed == element).map_or(1.0, |(_, feed, _)| feed.internal),
        };
        (element, (volts - ohms * amperes, ohms))
    }

    /// One cycle; none where no set of conducting diodes fits some moment.
    fn cycle(&mut self) -> Option<Stepped> {
        let watched = self.watched();
        let machine = self.circuit.machine;
        let reach = &self.circuit.reach;
        let is_reached = |element: usize| self.feeds.iter().any(|(feed, ..)| reach.same_zone(*feed, element));
        let squares = (0..machine.elements.len()).map(|element| is_reached(element).then_some((0.0, 0.0))).collect();
        let holds = |joint| self.feeds.iter().any(|(feed, ..)| reach.joint_in_zone(joint, *feed));
        let joints = (0..machine.joints.len()).map(|joint| holds(JointId(joint))).collect();
        let mut sums = vec![(0.0, 0.0); watched.len()];
        let mut cycle = Cycle { volts: Vec::with_capacity(STEPS), joints, squares };
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let count = STEPS as f64;
        for step in 1..=STEPS {
            #[expect(clippy::cast_precision_loss, reason = "small counts")]
            let angle = std::f64::consts::TAU * step as f64 / count;
            let volts = self.step(angle)?;
            for ((sum_volts, sum_amperes), &element) in sums.iter_mut().zip(&watched) {
                *sum_volts += self.across(&volts, element) / count;
                *sum_amperes += self.current(&volts, element) / count;
            }
            for (element, squares) in cycle.squares.iter_mut().enumerate() {
                let Some((square_volts, square_amperes)) = squares else { continue };
                *square_volts += self.across(&volts, element).powi(2) / count;
                *square_amperes += self.current(&volts, element).powi(2) / count;
            }
            self.keep(&volts);
            cycle.volts.push(volts);
        }
        Some((sums, cycle))
    }

    /// What is stored after a step.
    fn keep(&mut self, volts: &[f64]) {
        for at in 0..self.stores.len() {
            let Store { element, kind, .. } = self.stores[at];
            self.stores[at].held = match kind {
                Kept::Amperes { .. } => self.current(volts, element),
                Kept::Volts { .. } | Kept::Reservoir { .. } => self.across(volts, element),
            };
        }
    }

    fn across(&self, volts: &[f64], element: usize) -> f64 {
        let (from, to) = self.circuit.structure.edges()[element];
        volts[from] - volts[to]
    }

    fn current(&self, volts: &[f64], element: usize) -> f64 {
        (self.across(volts, element) - self.branches.sources[element]) * self.branches.admittances[element]
    }

    /// Voltages of all joints at one moment, with every rectifier and diode in the state that fits.
    fn step(&mut self, angle: f64) -> Option<Vec<f64>> {
        for pass in 0..100 + 20 * self.states.len() {
            self.set(angle);
            let volts = self.solve();
            let wanted = self.fitting(&volts, angle);
            if wanted == self.states {
                return Some(volts);
            }
            // After a while only the first that does not fit changes, so that no circle can form.
            if pass < 20 {
                self.states = wanted;
            } else if let Some(at) = (0..wanted.len()).find(|&at| wanted[at] != self.states[at]) {
                self.states[at] = wanted[at];
            }
        }
        None
    }

    /// Writes the moment's source voltages and admittances into the branches.
    fn set(&mut self, angle: f64) {
        for (&(element, feed, lead), state) in self.feeds.iter().zip(&self.states) {
            let conducts = *state == DiodeState::Conducts;
            self.branches.admittances[element] = if conducts { 1.0 / feed.internal } else { BLOCKED };
            self.branches.sources[element] = if conducts { feed.driven(angle + lead) } else { 0.0 };
        }
        for &Store { element, kind, held } in &self.stores {
            (self.branches.admittances[element], self.branches.sources[element]) = match kind {
                Kept::Amperes { ohms, inertia } => (1.0 / (ohms + inertia), -inertia * held),
                Kept::Volts { inertia } => (inertia, held),
                Kept::Reservoir { inertia } => {
                    let own = self.branches.admittances[element];
                    (own + inertia, (own * self.branches.sources[element] + inertia * held) / (own + inertia))
                }
            };
        }
        let feeds = self.feeds.len();
        for (&diode, state) in self.diodes.iter().zip(&self.states[feeds..]) {
            if self.branches.admittances[diode] > 0.0 {
                let (volts, ohms) = self.circuit.diode_branch(diode, self.situation, *state);
                self.branches.admittances[diode] = 1.0 / ohms;
                self.branches.sources[diode] = volts;
            }
        }
    }

    fn solve(&mut self) -> Vec<f64> {
        let structure = &self.structure;
        let branches = &self.branches;
        let factor = self.factors.entry(self.states.clone()).or_insert_with(|| structure.factor(&branches.admittances));
        let mut volts = vec![0.0; structure.joints()];
        for (element, &(from, to)) in structure.edges().iter().enumerate() {
            let driven = branches.sources[element] * branches.admittances[element];
            if driven != 0.0 {
                volts[from] += driven;
                volts[to] -= driven;
            }
        }
        structure.solve(factor, &mut volts);
        volts
    }

    fn fitting(&self, volts: &[f64], angle: f64) -> Vec<DiodeState> {
        let feed = |(&(element, feed, lead), state): (&(usize, Feed, f64), &DiodeState)| {
            let ahead = feed.driven(angle + lead) - self.across(volts, element);
            let conducts = if *state == DiodeState::Conducts { ahead >= 0.0 } else { ahead > 1e-9 };
            if conducts { DiodeState::Conducts } else { DiodeState::Blocks }
        };
        let feeds = self.feeds.iter().zip(&self.states).map(feed);
        let diode = |(&element, &state): (&usize, &DiodeState)| {
            let (Model::Diode(model), true) =
                (&self.circuit.elements.models[element], self.branches.admittances[element] > 0.0)
            else {
                return state;
            };
            let sign = sign(element, self.situation.changes);
            settled_state(model, sign * self.across(volts, element), sign * self.current(volts, element), state)
        };
        let diodes = self.diodes.iter().zip(&self.states[self.feeds.len()..]).map(diode);
        feeds.chain(diodes).collect()
    }
}
