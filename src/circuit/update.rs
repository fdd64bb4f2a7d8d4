//! A fault as a change of rank one: the healthy factors are used again where nothing switches.
//!
//! A sequence starts from the relays of the one before it, so each state that the healthy machine passes is updated (see
//! [`super::turn`]) and must lead to the same next one. Wherever a diode, a filament, a rectifier, a relay or a fuse would
//! move, or digits would be lost, the answer is "cannot say", and the caller solves the fault outright.

use std::borrow::Cow;
use std::sync::{Arc, Mutex, PoisonError};

use num_complex::Complex64;

use crate::machine::model::{Current, ElementId, JointId, SequenceId, TestPoint};

use super::change::Change;
use super::diode::DiodeState;
use super::faulted::{Found, usual_quantities};
use super::field::Field;
use super::inside::Inner;
use super::meter::{BothRanges, Islands, meter_ohms, shown};
use super::network::{Circuit, Positions, Situation};
use super::point::Point;
use super::results::Solution;
use super::scalar::Scalar;
use super::solver::Solver;
use super::turn::{NewBranch, Turn};
use super::values::Model;

/// The states that a healthy machine passes in a sequence, with what faults need again and again.
#[derive(Debug)]
pub(crate) struct Trail {
    /// The last is at rest.
    steps: Vec<Step>,
    /// One for each test point.
    leads: Vec<Leads>,
    /// Responses of the element that was asked for last: its faults of all sizes follow each other.
    recent: Mutex<Recent>,
}

/// A state that a healthy machine passes.
#[derive(Debug)]
struct Step {
    /// Relays that are in.
    energised: Vec<bool>,
    /// The point solved with them.
    point: Arc<Point>,
    islands: Islands,
}

/// What a healthy machine does between the leads at a test point.
#[derive(Debug)]
struct Leads {
    /// DC volts of all joints for one ampere from the red lead to the black one.
    response: Vec<f64>,
    /// DC ohms between the leads.
    direct: f64,
    /// Impedance between the leads at each frequency.
    ohms: Vec<Complex64>,
}

/// How each step's networks respond to one element.
#[derive(Debug, Default)]
struct Recent {
    element: Option<usize>,
    steps: Vec<Responses>,
}

/// How the networks of a step respond to one element, as far as that was asked.
#[derive(Debug, Default, Clone)]
struct Responses {
    direct: Option<Arc<[f64]>>,
    alternating: Vec<Option<Arc<[Complex64]>>>,
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
        Self { direct: response[red] - response[black], response, ohms }
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
            let energised = std::mem::replace(&mut energised, next);
            steps.push(Step { energised, islands: Islands::of(point), point: Arc::clone(point) });
        }
        // Relays that raced moved one by one, which no trail tells.
        if energised != rest.positions.energised {
            return None;
        }
        let last = steps.last()?;
        let machine = circuit.machine;
        let crossing = |at: &TestPoint| circuit.reach.crosses(machine.reference, at.joint, at.reference);
        if machine.test_points.iter().any(crossing) {
            return None;
        }
        let leads = machine.test_points.iter().map(|at| Leads::of(&last.point, &last.islands, at)).collect();
        Some(Trail { leads, steps, recent: Mutex::default() })
    }

    /// A sequence with changes, from the healthy factors; none where it must be solved outright.
    pub(crate) fn updated(&self, solution: &Solution, sequence: SequenceId, changes: &[Change]) -> Option<Found> {
        let element = branch_of(&self.circuit, changes)?;
        let trail = self.trails[sequence.0].get_or_init(|| self.trail(sequence)).as_ref()?;
        let mut recent = std::mem::take(&mut *trail.recent.lock().unwrap_or_else(PoisonError::into_inner));
        if recent.element != Some(element) {
            recent = Recent { element: Some(element), steps: vec![Responses::default(); trail.steps.len()] };
        }
        let found = self.followed(solution, sequence, changes, trail, (element, &mut recent));
        *trail.recent.lock().unwrap_or_else(PoisonError::into_inner) = recent;
        found
    }

    /// Goes along the trail with one element changed.
    fn followed(
        &self,
        solution: &Solution,
        sequence: SequenceId,
        changes: &[Change],
        trail: &Trail,
        (element, recent): (usize, &mut Recent),
    ) -> Option<Found> {
        let situation = Situation { changes, ..self.nominal(sequence) };
        let mut positions = self.healthy_start(solution, sequence);
        let mut last: Option<(Point, Turns)> = None;
        let mut raced = false;
        for (step, responses) in trail.steps.iter().zip(&mut recent.steps) {
            if positions.energised != step.energised {
                return None;
            }
            raced |= last.is_some_and(|(point, _)| self.circuit.is_strained(&point));
            let moved = self.circuit.updated_point(&situation, &positions, step, element, responses)?;
            positions.energised = self.circuit.moved(&moved.0, &step.energised);
            last = Some(moved);
        }
        let (point, turns) = last?;
        if trail.steps.last().is_none_or(|step| step.energised != positions.energised)
            || self.circuit.overloaded(&point, &positions).is_some()
        {
            return None;
        }
        let found = self.read_updated(solution, (&situation, sequence), trail, (point, &turns), positions)?;
        Some(Found { raced, ..found })
    }

    fn read_updated(
        &self,
        solution: &Solution,
        (situation, sequence): (&Situation<'_>, SequenceId),
        trail: &Trail,
        (point, turns): (Point, &Turns),
        positions: Positions,
    ) -> Option<Found> {
        let circuit = &self.circuit;
        let alternating: Vec<_> = turns.alternating.iter().map(Turn::islands).collect();
        let islands = trail.steps.last()?.islands.changed(turns.direct.islands(), &alternating);
        let usual = usual_quantities(solution.sequence(sequence), circuit.machine.test_points.len());
        let slack = circuit.slack(&point.direct, &point.inner, situation.changes);
        let mut readings = Vec::with_capacity(usual.len());
        for ((at, usual), leads) in circuit.machine.test_points.iter().zip(usual).zip(&trail.leads) {
            let joints = (at.joint, at.reference);
            readings.push(
                circuit.updated_reading(situation, (&point, &islands), turns, joints, (leads, slack))?.main(usual),
            );
        }
        Some(Found {
            settling: self.rests[sequence.0].settling.clone(),
            positions,
            opened: Vec::new(),
            raced: false,
            readings,
            point: Arc::new(point),
            islands,
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
    | Change::Reversed(ElementId(element))
    | Change::StuckClosed(ElementId(element))) = *change
    else {
        return None;
    };
    let can = match &circuit.elements.models[element] {
        Model::Source(_) => false,
        // Without its filament or junction it is a plain branch.
        Model::Lamp(_) => matches!(change, Change::Open(_)),
        Model::Diode(_) => !matches!(change, Change::Added(..) | Change::Value(..)),
        _ => true,
    };
    can.then_some(element)
}

/// How all networks answer.
struct Turns {
    direct: Turn<f64>,
    alternating: Vec<Turn<Complex64>>,
}

impl Circuit<'_> {
    /// The point with one branch changed; none where anything inside would move.
    fn updated_point(
        &self,
        situation: &Situation<'_>,
        positions: &Positions,
        step: &Step,
        element: usize,
        responses: &mut Responses,
    ) -> Option<(Point, Turns)> {
        let healthy = &step.point;
        let conducts = self.conducts(element, situation, positions);
        let mut point = Point::clone(healthy);
        set_member(&mut point.live, element, conducts);
        take_out(element, situation, &mut point.inner);
        let direct = if self.reach.direct[element] {
            let (source, admittance) = self.direct_values(element, conducts, situation, &point.inner);
            let branch = NewBranch { element, admittance, source };
            let turn =
                Turn::of(&healthy.direct, branch, |at| step.islands.of_joint(JointId(at)), &mut responses.direct)?;
            apply(&turn, &mut point.direct, branch);
            for share in &mut point.waves {
                let source = share.field.source(element);
                share.field = turn.applied(&share.field, NewBranch { source, ..branch });
            }
            turn
        } else {
            Turn::Same
        };
        responses.alternating.resize(point.alternating.len(), None);
        let mut alternating = Vec::with_capacity(point.alternating.len());
        for (index, (frequency, field)) in point.alternating.iter_mut().enumerate() {
            if !self.reach.alternating[element] {
                alternating.push(Turn::Same);
                continue;
            }
            let ohms = self.alternating_ohms(element, *frequency, situation, &point.inner);
            let admittance = if conducts { ohms.inv() } else { Complex64::ZERO };
            let branch = NewBranch { element, admittance, source: field.source(element) };
            let island = |at| step.islands.at_frequency(index, JointId(at));
            let turn = Turn::of(field, branch, island, &mut responses.alternating[index])?;
            apply(&turn, field, branch);
            alternating.push(turn);
        }
        self.is_at_rest(situation, &point, element).then_some((point, Turns { direct, alternating }))
    }

    /// Whether diodes, filaments and rectifiers stay as they were.
    fn is_at_rest(&self, situation: &Situation<'_>, point: &Point, element: usize) -> bool {
        let fits = |&diode: &usize| {
            let state = point.inner.diodes[diode];
            self.fitting(diode, &point.direct, 0.0, state, situation.changes) == state
        };
        let open = situation.changes.contains(&Change::Open(ElementId(element)));
        point.inner.averages.is_empty()
            && self.diodes.iter().all(fits)
            && self.stays(situation, point, open.then_some(element))
    }

    /// What the meter shows at a test point, from the healthy answers between its leads; none where the meter's own
    /// current would move a diode.
    fn updated_reading(
        &self,
        situation: &Situation<'_>,
        (point, islands): (&Point, &Islands),
        turns: &Turns,
        (red, black): (JointId, JointId),
        (leads, slack): (&Leads, f64),
    ) -> Option<BothRanges> {
        let meter = &self.machine.meter;
        let mut direct = 0.0;
        if islands.direct(red, black) {
            let open = point.direct.between(red.0, black.0);
            let bridge = turns.direct.across_bridge(&point.direct, (red.0, black.0));
            let (response, ohms) = match bridge {
                Some((response, ohms)) => (Cow::Owned(response), ohms),
                None => (Cow::Borrowed(&leads.response), turns.direct.impedance(leads.direct, red, black)),
            };
            direct = shown((open, ohms), meter, Current::Direct).0;
            let amperes = direct / meter_ohms(meter, direct, Current::Direct);
            // No current between two joints of a passive network moves any voltage by more than that between these joints.
            let surely = 2.0 * (open - direct).abs() < slack;
            if !surely && amperes.abs() >= 1e-12 && !self.bears(situation, point, &turns.direct, &response, -amperes) {
                return None;
            }
        }
        let mut square = 0.0;
        for (index, (_, field)) in point.alternating.iter().enumerate() {
            if islands.at_frequency(index, red) == islands.at_frequency(index, black) {
                let open = field.between(red.0, black.0);
                let turn = &turns.alternating[index];
                let bridge = turn.across_bridge(field, (red.0, black.0));
                let impedance = bridge.map_or_else(|| turn.impedance(leads.ohms[index], red, black), |(_, ohms)| ohms);
                square += shown((open, impedance), meter, Current::Alternating).1.powi(2);
            }
        }
        Some(BothRanges { direct, alternating: square.sqrt() })
    }

    /// Whether all diodes keep their state when so many amperes flow in at one lead and out at the other.
    fn bears(
        &self,
        situation: &Situation<'_>,
        point: &Point,
        turn: &Turn<f64>,
        response: &[f64],
        amperes: f64,
    ) -> bool {
        let edges = point.direct.structure.edges();
        self.diodes.iter().all(|&diode| {
            let pull = turn.transfer(response, edges[diode]);
            let state = point.inner.diodes[diode];
            self.fitting(diode, &point.direct, amperes * pull, state, situation.changes) == state
        })
    }
}

/// Changes one branch of a network that others share.
fn apply<T: Scalar>(turn: &Turn<T>, field: &mut Arc<Field<T>>, branch: NewBranch<T>) {
    if !matches!(turn, Turn::Same) {
        *field = Arc::new(turn.applied(field, branch));
    }
}

/// A diode that is open or shorted has no knee any more: it counts as blocking.
fn take_out(element: usize, situation: &Situation<'_>, inner: &mut Arc<Inner>) {
    let gone = situation.changes.iter().any(|change| matches!(change, Change::Open(_) | Change::Short(_)));
    if gone && inner.diodes[element] != DiodeState::Blocks {
        Arc::make_mut(inner).diodes[element] = DiodeState::Blocks;
    }
}

/// Takes a number into an ascending list, or out of it.
fn set_member(list: &mut Arc<[usize]>, number: usize, wanted: bool) {
    match list.binary_search(&number) {
        Ok(at) if !wanted => *list = [&list[..at], &list[at + 1..]].concat().into(),
        Err(at) if wanted => *list = [&list[..at], &[number], &list[at..]].concat().into(),
        _ => {}
    }
}
