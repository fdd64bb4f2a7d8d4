//! A fault as a change of rank one: the healthy factors are used again where nothing switches.
//!
//! One branch changes its admittance from y to y + d. With e the difference of its ends and A the healthy matrix, z = A⁻¹e
//! gives everything (Sherman and Morrison): voltages move along z by d(driven − eᵀv)/(1 + d·eᵀz), and the impedance between
//! two leads falls by d·r²/(1 + d·eᵀz), r being the difference of z between them. Opening a branch that alone holds two halves together makes the
//! denominator zero: no current flowed, so the voltages stay, and one half floats.
//!
//! A sequence starts from the relays of the one before it, so each state that the healthy machine passes is updated and
//! must lead to the same next one. Wherever a diode, a filament, a rectifier, a relay or a fuse would move, or digits would
//! be lost, the answer is "cannot say", and the caller solves the fault outright.

use std::sync::Arc;

use num_complex::Complex64;

use crate::machine::model::{Current, ElementId, JointId, SequenceId, TestPoint};

use super::change::Change;
use super::faulted::{Outcome, operating, usual_quantities};
use super::field::Field;
use super::meter::{BothRanges, Islands, meter_ohms, shown};
use super::network::{Circuit, Positions, Situation};
use super::point::{Point, flagged};
use super::results::Solution;
use super::scalar::Scalar;
use super::solver::Solver;
use super::values::Model;

/// Denominators below this lose more digits than the answer may.
const LEAST_SAFE: f64 = 1e-6;
/// Denominators below this are zero but for rounding: the branch alone holds two halves together.
const ZERO: f64 = 1e-12;

/// The states that a healthy machine passes in a sequence, with what faults need again and again.
#[derive(Debug)]
pub(crate) struct Trail {
    /// Relays that are in, and the point solved with them; the last is at rest.
    steps: Vec<(Vec<bool>, Arc<Point>)>,
    islands: Islands,
    /// One for each test point.
    leads: Vec<Leads>,
}

/// What a healthy machine does between the leads at a test point.
#[derive(Debug)]
struct Leads {
    /// DC volts of all joints for one ampere from the red lead to the black one.
    response: Vec<f64>,
    /// Impedance between the leads at each frequency.
    ohms: Vec<Complex64>,
}

/// How a network answers to a changed branch.
#[derive(Debug)]
enum Turn<T> {
    /// Not at all.
    Same,
    /// Voltages move along `response`, impedances by its square times `gain`.
    Moved {
        response: Vec<T>,
        gain: T,
        /// Joints of the changed branch.
        element: (usize, usize),
    },
    /// One half floats: the joints for which this holds.
    Cut(Vec<bool>),
}

impl Leads {
    fn of(point: &Point, islands: &Islands, at: &TestPoint) -> Self {
        let (red, black) = (at.joint.0, at.reference.0);
        let mut response = vec![0.0; point.direct.structure.joints()];
        if red != black && islands.direct(at.joint, at.reference) {
            (response[red], response[black]) = (1.0, -1.0);
            point.direct.structure.solve(&point.direct.factor, &mut response);
        }
        let mut work = Vec::new();
        let fields = point.alternating.iter();
        let ohms = fields.map(|(_, field)| field.structure.impedance(&field.factor, red, black, &mut work)).collect();
        Self { response, ohms }
    }
}

impl Solver<'_> {
    /// The healthy states of a sequence; none where they cannot be used again: fuses open, relays chatter.
    pub(crate) fn trail(&self, sequence: SequenceId) -> Option<Trail> {
        let circuit = &self.circuit;
        let rest = &self.rests[sequence.0];
        if !rest.opened.is_empty() || !rest.settling.is_settled() {
            return None;
        }
        let mut energised = self.start_of(sequence).energised;
        let mut steps = Vec::with_capacity(rest.trace.len());
        for point in &rest.trace {
            let next = circuit.moved(point, &energised);
            steps.push((std::mem::replace(&mut energised, next), Arc::clone(point)));
        }
        let last = &steps.last()?.1;
        let islands = Islands::of(last);
        let machine = circuit.machine;
        let crossing = |at: &TestPoint| circuit.reach.crosses(machine.reference, at.joint, at.reference);
        if machine.test_points.iter().any(crossing) {
            return None;
        }
        let leads = machine.test_points.iter().map(|at| Leads::of(last, &islands, at)).collect();
        Some(Trail { steps, islands, leads })
    }

    /// A sequence with changes, from the healthy factors; none where it must be solved outright.
    pub(crate) fn updated(&self, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Option<Outcome> {
        let element = branch_of(&self.circuit, changes)?;
        let trail = self.trails[sequence.0].get_or_init(|| self.trail(sequence)).as_ref()?;
        let situation = Situation { changes, ..self.nominal(sequence) };
        let mut positions = self.healthy_start(solution, sequence);
        let mut last = None;
        for (place, (energised, healthy)) in trail.steps.iter().enumerate() {
            if positions.energised != *energised {
                return None;
            }
            let islands = if place + 1 == trail.steps.len() { None } else { Some(Islands::of(healthy)) };
            let islands = islands.as_ref().unwrap_or(&trail.islands);
            let moved = self.circuit.updated_point(&situation, &positions, healthy, islands, element)?;
            positions.energised = self.circuit.moved(&moved.0, energised);
            last = Some(moved);
        }
        let (point, turns) = last?;
        if trail.steps.last().is_none_or(|(energised, _)| *energised != positions.energised)
            || self.circuit.overloaded(&point, &positions).is_some()
        {
            return None;
        }
        self.updated_outcome(solution, sequence, trail, &point, &turns, &positions)
    }

    fn updated_outcome(
        &self,
        solution: &Solution,
        sequence: SequenceId,
        trail: &Trail,
        point: &Point,
        turns: &Turns,
        positions: &Positions,
    ) -> Option<Outcome> {
        let circuit = &self.circuit;
        let islands = trail.islands.cut(turns.direct.floating(), &turns.floating());
        let usual = usual_quantities(solution.sequence(sequence), circuit.machine.test_points.len());
        let mut readings = Vec::with_capacity(usual.len());
        for ((at, usual), leads) in circuit.machine.test_points.iter().zip(usual).zip(&trail.leads) {
            let joints = (at.joint, at.reference);
            readings.push(circuit.updated_reading(point, &islands, turns, joints, leads)?.main(usual));
        }
        let held = circuit.held(point);
        Some(Outcome {
            settling: self.rests[sequence.0].settling.clone(),
            energised: flagged(&positions.energised),
            opened: Vec::new(),
            readings,
            operates: operating(circuit, point, &positions.energised),
            currents: circuit.currents(point),
            joints: circuit.joint_voltages(point, &islands, &held),
            refused: None,
        })
    }
}

/// The one branch that changes touch, if it is of a kind that can be updated.
fn branch_of(circuit: &Circuit<'_>, changes: &[Change]) -> Option<usize> {
    let [change] = changes else { return None };
    let (Change::Open(ElementId(element))
    | Change::Short(ElementId(element))
    | Change::Added(ElementId(element), _)
    | Change::Value(ElementId(element), _)
    | Change::StuckClosed(ElementId(element))) = *change
    else {
        return None;
    };
    let plain = !matches!(circuit.elements.models[element], Model::Diode(_) | Model::Lamp(_) | Model::Source(_));
    plain.then_some(element)
}

/// How all networks answer.
struct Turns {
    direct: Turn<f64>,
    alternating: Vec<Turn<Complex64>>,
}

impl Turns {
    fn floating(&self) -> Vec<Option<&[bool]>> {
        self.alternating.iter().map(Turn::floating).collect()
    }
}

impl<T> Turn<T> {
    fn floating(&self) -> Option<&[bool]> {
        match self {
            Turn::Cut(half) => Some(half),
            _ => None,
        }
    }
}

impl Circuit<'_> {
    /// The point with one branch changed; none where anything inside would move.
    fn updated_point(
        &self,
        situation: &Situation<'_>,
        positions: &Positions,
        healthy: &Point,
        islands: &Islands,
        element: usize,
    ) -> Option<(Point, Turns)> {
        let conducts = self.conducts(element, situation, positions);
        let ends = &self.machine.elements[element];
        let mut point = healthy.clone();
        point.live = self.live(situation, positions);
        let joined = islands.direct(ends.from, ends.to);
        let admittance = if conducts { 1.0 / self.direct_ohms(element, situation, &healthy.inner) } else { 0.0 };
        let direct = if self.reach.direct[element] {
            update(&mut point.direct, element, admittance, joined)?
        } else {
            Turn::Same
        };
        if self.reach.direct[element] {
            for (_, _, wave) in &mut point.waves {
                update_field(wave, element, admittance, joined)?;
            }
        }
        let mut alternating = Vec::with_capacity(point.alternating.len());
        for (index, (frequency, field)) in point.alternating.iter_mut().enumerate() {
            if !self.reach.alternating[element] {
                alternating.push(Turn::Same);
                continue;
            }
            let joined = islands.at_frequency(index, ends.from) == islands.at_frequency(index, ends.to);
            let admittance = if conducts {
                self.alternating_ohms(element, *frequency, situation, &healthy.inner).inv()
            } else {
                Complex64::ZERO
            };
            alternating.push(update(field, element, admittance, joined)?);
        }
        self.is_at_rest(situation, &point).then_some((point, Turns { direct, alternating }))
    }

    /// Whether diodes, filaments and rectifiers stay as they were.
    fn is_at_rest(&self, situation: &Situation<'_>, point: &Point) -> bool {
        let fits = |&diode: &usize| {
            let state = point.inner.diodes[diode];
            self.fitting(diode, &point.direct, 0.0, state, situation.changes) == state
        };
        point.inner.averages.is_empty() && self.diodes.iter().all(fits) && self.stays(situation, point)
    }

    /// What the meter shows at a test point, from the healthy answers between its leads; none where the meter's own
    /// current would move a diode.
    fn updated_reading(
        &self,
        point: &Point,
        islands: &Islands,
        turns: &Turns,
        (red, black): (JointId, JointId),
        leads: &Leads,
    ) -> Option<BothRanges> {
        let meter = &self.machine.meter;
        let mut direct = 0.0;
        if islands.direct(red, black) {
            let open = point.direct.between(red.0, black.0);
            let ohms = turns.direct.impedance(leads.response[red.0] - leads.response[black.0], red, black);
            direct = shown((open, ohms), meter, Current::Direct).0;
            let amperes = direct / meter_ohms(meter, direct, Current::Direct);
            if amperes.abs() >= 1e-12 && !self.bears(point, &turns.direct, &leads.response, -amperes) {
                return None;
            }
        }
        let mut square = 0.0;
        for (index, (_, field)) in point.alternating.iter().enumerate() {
            if islands.at_frequency(index, red) == islands.at_frequency(index, black) {
                let open = field.between(red.0, black.0);
                let impedance = turns.alternating[index].impedance(leads.ohms[index], red, black);
                square += shown((open, impedance), meter, Current::Alternating).1.powi(2);
            }
        }
        Some(BothRanges { direct, alternating: square.sqrt() })
    }

    /// Whether all diodes keep their state when so many amperes flow in at one lead and out at the other.
    fn bears(&self, point: &Point, turn: &Turn<f64>, response: &[f64], amperes: f64) -> bool {
        let edges = point.direct.structure.edges();
        self.diodes.iter().all(|&diode| {
            let (from, to) = edges[diode];
            let mut pull = response[from] - response[to];
            if let Turn::Moved { response: z, gain, element: (a, b) } = turn {
                pull -= (z[from] - z[to]) * gain * (response[*a] - response[*b]);
            }
            let state = point.inner.diodes[diode];
            self.fitting(diode, &point.direct, amperes * pull, state, &[]) == state
        })
    }
}

impl<T: Scalar> Turn<T> {
    fn impedance(&self, healthy: T, red: JointId, black: JointId) -> T {
        match self {
            Turn::Moved { response, gain, .. } => {
                let seen = response[red.0] - response[black.0];
                healthy - *gain * seen * seen
            }
            _ => healthy,
        }
    }
}

/// Changes one branch of a solved network that others may share.
fn update<T: Scalar>(field: &mut Arc<Field<T>>, element: usize, admittance: T, joined: bool) -> Option<Turn<T>> {
    if field.branches.admittances[element] == admittance {
        return Some(Turn::Same);
    }
    update_field(Arc::make_mut(field), element, admittance, joined)
}

/// Changes one branch of a solved network.
fn update_field<T: Scalar>(field: &mut Field<T>, element: usize, admittance: T, joined: bool) -> Option<Turn<T>> {
    let before = field.branches.admittances[element];
    let change = admittance - before;
    if change == T::ZERO {
        return Some(Turn::Same);
    }
    // A new branch between two islands makes one of them: nothing to update.
    if !joined {
        return None;
    }
    let (from, to) = field.structure.edges()[element];
    let mut response = vec![T::ZERO; field.structure.joints()];
    if from != to {
        response[from] = T::ONE;
        response[to] = -T::ONE;
        field.structure.solve(&field.factor, &mut response);
    }
    let seen = response[from] - response[to];
    let denominator = T::ONE + change * seen;
    if denominator.size() < ZERO && admittance == T::ZERO {
        field.branches.admittances[element] = admittance;
        return Some(Turn::Cut(half(field, &response, from, to)));
    }
    if denominator.size() < LEAST_SAFE {
        return None;
    }
    let gain = change / denominator;
    let step = gain * field.undriven(element);
    field.move_along(&response, step);
    field.branches.admittances[element] = admittance;
    Some(Turn::Moved { response, gain, element: (from, to) })
}

/// The half that floats when the branch opens that alone joins it to the other: that without the last joint of the island.
fn half<T: Scalar>(field: &Field<T>, response: &[T], from: usize, to: usize) -> Vec<bool> {
    let island = field.structure.islands(&field.factor);
    let near_from = |joint: usize| (response[joint] - response[from]).size() < (response[joint] - response[to]).size();
    let last = island[from];
    let floats = !near_from(last);
    (0..response.len()).map(|joint| island[joint] == last && near_from(joint) == floats).collect()
}
