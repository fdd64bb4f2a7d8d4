//! Supplies that give current in pulses, into windings: one cycle in small steps.
//!
//! Behind a half-wave rectifier a winding's current goes on after the pulse if a diode lets it, and drives its own voltage
//! below zero if none does. Averages then follow neither from resistances nor from phasors. The network is stepped by
//! backward Euler, 400 steps a cycle, until a cycle ends as it began; every rectifier and diode is then given the source
//! voltage that makes the DC network show the averages found. In the steady state the average voltage of an inductance is
//! zero, so the DC network holds for all other branches as it is.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::machine::model::JointId;

use super::diode::{DiodeState, settled_state};
use super::elimination::{Factor, Structure};
use super::field::{Branches, Field};
use super::inside::Inner;
use super::network::{BLOCKED, Circuit, Situation};
use super::rectifier::Feed;
use super::values::{CoilModel, Model};

/// Steps of one cycle.
const STEPS: usize = 400;
/// Cycles after which a network must be steady.
const MOST_CYCLES: usize = 400;
/// Relative change of a cycle's averages that no longer counts.
const STEADY: f64 = 1e-6;

/// What a steady cycle of pulses comes to.
#[derive(Debug, Clone, Default)]
pub(crate) struct Averages {
    /// Source volts and ohms that stand for the average of a rectifier or a diode, by element.
    stands: BTreeMap<usize, (f64, f64)>,
    /// How far everything swings about its average.
    swing: Option<Arc<Swing>>,
}

impl Averages {
    /// Whether no pulses meet windings.
    pub(crate) fn is_empty(&self) -> bool {
        self.stands.is_empty()
    }

    /// Source volts and ohms that stand for an element, if it passes pulses.
    pub(crate) fn get(&self, element: usize) -> Option<(f64, f64)> {
        self.stands.get(&element).copied()
    }

    /// Means of the squares of an element's volts and amperes, where pulses reach it.
    pub(crate) fn squares(&self, element: usize) -> Option<(f64, f64)> {
        self.swing.as_ref().and_then(|swing| swing.squares[element])
    }

    /// Lowest and highest volts of a joint against the reference and the mean of their square, where pulses reach it.
    pub(crate) fn joint(&self, joint: usize) -> Option<(f64, f64, f64)> {
        self.swing.as_ref().and_then(|swing| swing.joints[joint])
    }
}

/// Squares and extremes of one steady cycle, of what pulses reach.
#[derive(Debug, Clone)]
struct Swing {
    /// Means of the squares of volts and amperes, by element.
    squares: Vec<Option<(f64, f64)>>,
    /// Lowest and highest volts and mean of their square, by joint, against the machine's reference.
    joints: Vec<Option<(f64, f64, f64)>>,
}

impl Swing {
    /// Nothing yet.
    fn of(pulsed: &Pulsed<'_, '_>) -> Self {
        let circuit = pulsed.circuit;
        let elements = 0..circuit.elements.models.len();
        let joints = (0..circuit.machine.joints.len()).map(JointId);
        let inside = |joint: JointId| pulsed.feeds.iter().any(|(feed, _)| circuit.reach.joint_in_zone(joint, *feed));
        Self {
            squares: elements.map(|element| pulsed.reaches(element).then_some((0.0, 0.0))).collect(),
            joints: joints.map(|joint| inside(joint).then_some((f64::INFINITY, f64::NEG_INFINITY, 0.0))).collect(),
        }
    }

    fn add(&mut self, pulsed: &Pulsed<'_, '_>, volts: &[f64]) {
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let count = STEPS as f64;
        for (element, squares) in self.squares.iter_mut().enumerate() {
            let Some((square_volts, square_amperes)) = squares else { continue };
            *square_volts += pulsed.across(volts, element).powi(2) / count;
            *square_amperes += pulsed.current(volts, element).powi(2) / count;
        }
        let ground = volts[pulsed.circuit.machine.reference.0];
        for (&volts, joint) in volts.iter().zip(&mut self.joints) {
            let Some((low, high, square)) = joint else { continue };
            let volts = volts - ground;
            (*low, *high) = (low.min(volts), high.max(volts));
            *square += volts * volts / count;
        }
    }
}

/// A pulsed network while it is stepped.
struct Pulsed<'a, 'm> {
    circuit: &'a Circuit<'m>,
    structure: Arc<Structure>,
    branches: Branches<f64>,
    feeds: Vec<(usize, Feed)>,
    /// Diodes that the pulses can reach; all others stay as they are.
    diodes: Vec<usize>,
    /// Elements with inductance: ohms, henries over the step, present current.
    windings: Vec<(usize, f64, f64, f64)>,
    /// State of each feed (`Blocks` or `Conducts`), then of each diode.
    states: Vec<DiodeState>,
    factors: BTreeMap<Vec<DiodeState>, Factor<f64>>,
    changes: &'a [super::change::Change],
}

impl Circuit<'_> {
    /// Averages of rectifiers and diodes where pulses meet windings; none where closed forms hold.
    ///
    /// `field` is the network without regard to pulses: a rectifier that carries nothing there makes none.
    pub(crate) fn pulse_averages(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &Inner,
        field: &Field<f64>,
    ) -> Option<Averages> {
        let feeds: Vec<(usize, Feed)> = self
            .rectified
            .iter()
            .filter(|element| live.binary_search(element).is_ok())
            .filter_map(|&element| Some((element, self.feed(element, situation)?)))
            .filter(|(_, feed)| feed.reservoir == 0.0 && feed.winding > 0.0)
            .collect();
        let pulsing = |(element, feed): &&(usize, Feed)| !feed.both_halves && field.current(*element).abs() > 1e-9;
        let (_, first) = *feeds.iter().find(pulsing)?;
        let makers: Vec<usize> = feeds.iter().filter(pulsing).map(|(element, _)| *element).collect();
        let reached = |element: usize| makers.iter().any(|&maker| self.reach.same_zone(maker, element));
        let feeds: Vec<(usize, Feed)> = feeds.into_iter().filter(|(element, _)| reached(*element)).collect();
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let step = 1.0 / (first.frequency * STEPS as f64);
        let branches = self.direct(situation, live, inner);
        let winding = |&element: &usize| {
            let henries = self.henries(element, situation)?;
            let admittance = branches.admittances[element];
            (admittance > 0.0 && henries > 0.0).then(|| (element, 1.0 / admittance, henries / step, 0.0))
        };
        let windings: Vec<_> = live.iter().filter(|&&element| reached(element)).filter_map(winding).collect();
        if windings.is_empty() {
            return None;
        }
        let diodes: Vec<usize> = self.diodes.iter().copied().filter(|&diode| reached(diode)).collect();
        let states = vec![DiodeState::Blocks; feeds.len() + diodes.len()];
        let changes = situation.changes;
        let structure = self.structure_with(situation.extras);
        let factors = BTreeMap::new();
        let mut pulsed =
            Pulsed { circuit: self, structure, branches, feeds, diodes, windings, states, factors, changes };
        Some(pulsed.run(situation))
    }

    /// Whether a half wave without a reservoir drives current in this network while a winding is in its zone: then averages
    /// follow from a whole cycle only.
    pub(crate) fn pulses_arise(&self, situation: &Situation<'_>, live: &[usize], field: &Field<f64>) -> bool {
        let pulses = |element: usize| {
            let feed = self.feed(element, situation);
            field.current(element).abs() > 1e-9
                && feed.is_some_and(|feed| !feed.both_halves && feed.reservoir == 0.0 && feed.winding > 0.0)
        };
        let winds = |source: usize| {
            let winding = |&&element: &&usize| self.henries(element, situation).is_some_and(|henries| henries > 0.0);
            live.iter().filter(winding).any(|&element| self.reach.same_zone(source, element))
        };
        self.rectified.iter().any(|&element| pulses(element) && winds(element))
    }

    /// Inductance of an element where it is known.
    fn henries(&self, element: usize, situation: &Situation<'_>) -> Option<f64> {
        match &self.elements.models[element] {
            Model::Coil(CoilModel::Inductance(henries)) => Some(*henries),
            Model::Inductor => Some(situation.values.0[element][1]),
            _ => None,
        }
    }
}

impl Pulsed<'_, '_> {
    fn run(&mut self, situation: &Situation<'_>) -> Averages {
        let mut last = self.cycle(situation, |_, _| ());
        for _ in 0..MOST_CYCLES {
            let next = self.cycle(situation, |_, _| ());
            let moved = next.iter().zip(&last).map(|((v, i), (w, j))| (v - w).abs().max((i - j).abs()));
            let largest = next.iter().map(|(v, i)| v.abs().max(i.abs())).fold(1e-9, f64::max);
            let steady = moved.fold(0.0, f64::max) <= STEADY * largest;
            last = next;
            if steady {
                break;
            }
        }
        let mut swing = Swing::of(self);
        self.cycle(situation, |pulsed, volts| swing.add(pulsed, volts));
        let stand_ins = self.watched().into_iter().zip(last);
        let stands = stand_ins.map(|(element, (volts, amperes))| self.stand_in(element, volts, amperes)).collect();
        Averages { stands, swing: Some(Arc::new(swing)) }
    }

    /// Whether pulses can reach an element.
    fn reaches(&self, element: usize) -> bool {
        self.feeds.iter().any(|(feed, _)| self.circuit.reach.same_zone(*feed, element))
    }

    /// Rectifiers, then diodes.
    fn watched(&self) -> Vec<usize> {
        self.feeds.iter().map(|(element, _)| *element).chain(self.diodes.iter().copied()).collect()
    }

    /// The branch that shows these averages in a DC network.
    fn stand_in(&self, element: usize, volts: f64, amperes: f64) -> (usize, (f64, f64)) {
        let ohms = match &self.circuit.elements.models[element] {
            Model::Diode(diode) if amperes.abs() > 1e-9 => diode.on,
            Model::Diode(_) => 1.0 / BLOCKED,
            _ => self.feeds.iter().find(|(feed, _)| *feed == element).map_or(1.0, |(_, feed)| feed.internal),
        };
        (element, (volts - ohms * amperes, ohms))
    }

    /// One cycle; averages of volts and amperes of what is watched. `look` sees the volts of all joints at every step.
    fn cycle(&mut self, situation: &Situation<'_>, mut look: impl FnMut(&Self, &[f64])) -> Vec<(f64, f64)> {
        let watched = self.watched();
        let mut sums = vec![(0.0, 0.0); watched.len()];
        for step in 1..=STEPS {
            #[expect(clippy::cast_precision_loss, reason = "small counts")]
            let angle = std::f64::consts::TAU * step as f64 / STEPS as f64;
            let volts = self.step(angle, situation);
            for ((sum_volts, sum_amperes), &element) in sums.iter_mut().zip(&watched) {
                *sum_volts += self.across(&volts, element);
                *sum_amperes += self.current(&volts, element);
            }
            look(self, &volts);
            for at in 0..self.windings.len() {
                self.windings[at].3 = self.current(&volts, self.windings[at].0);
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let count = STEPS as f64;
        sums.into_iter().map(|(volts, amperes)| (volts / count, amperes / count)).collect()
    }

    fn across(&self, volts: &[f64], element: usize) -> f64 {
        let (from, to) = self.circuit.structure.edges()[element];
        volts[from] - volts[to]
    }

    fn current(&self, volts: &[f64], element: usize) -> f64 {
        (self.across(volts, element) - self.branches.sources[element]) * self.branches.admittances[element]
    }

    /// Voltages of all joints at one moment, with every rectifier and diode in the state that fits.
    fn step(&mut self, angle: f64, situation: &Situation<'_>) -> Vec<f64> {
        let mut volts = Vec::new();
        for pass in 0..60 {
            self.set(angle, situation);
            volts = self.solve();
            let wanted = self.fitting(&volts, angle);
            if wanted == self.states {
                break;
            }
            // After a while only the first that does not fit changes, so that no circle can form.
            if pass < 20 {
                self.states = wanted;
            } else if let Some(at) = (0..wanted.len()).find(|&at| wanted[at] != self.states[at]) {
                self.states[at] = wanted[at];
            }
        }
        volts
    }

    /// Writes the moment's source voltages and admittances into the branches.
    fn set(&mut self, angle: f64, situation: &Situation<'_>) {
        for &(element, ohms, inertia, current) in &self.windings {
            self.branches.admittances[element] = 1.0 / (ohms + inertia);
            self.branches.sources[element] = -inertia * current;
        }
        for (&(element, feed), state) in self.feeds.iter().zip(&self.states) {
            let conducts = *state == DiodeState::Conducts;
            self.branches.admittances[element] = if conducts { 1.0 / feed.internal } else { BLOCKED };
            self.branches.sources[element] = if conducts { feed.driven(angle) } else { 0.0 };
        }
        let feeds = self.feeds.len();
        for (&diode, state) in self.diodes.iter().zip(&self.states[feeds..]) {
            if self.branches.admittances[diode] > 0.0 {
                let (volts, ohms) = self.circuit.diode_branch(diode, situation, *state);
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
        let feed = |(&(element, feed), state): (&(usize, Feed), &DiodeState)| {
            let conducts = match state {
                DiodeState::Conducts => self.current(volts, element) <= 0.0,
                _ => feed.driven(angle) > self.across(volts, element) + 1e-9,
            };
            if conducts { DiodeState::Conducts } else { DiodeState::Blocks }
        };
        let feeds = self.feeds.iter().zip(&self.states).map(feed);
        let diode = |(&element, &state): (&usize, &DiodeState)| {
            let (Model::Diode(model), true) =
                (&self.circuit.elements.models[element], self.branches.admittances[element] > 0.0)
            else {
                return state;
            };
            let turned =
                self.changes.contains(&super::change::Change::Reversed(crate::machine::model::ElementId(element)));
            let sign = if turned { -1.0 } else { 1.0 };
            settled_state(model, sign * self.across(volts, element), sign * self.current(volts, element), state)
        };
        let diodes = self.diodes.iter().zip(&self.states[self.feeds.len()..]).map(diode);
        feeds.chain(diodes).collect()
    }
}
