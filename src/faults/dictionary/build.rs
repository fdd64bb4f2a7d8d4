//! Builds the dictionary.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use rayon::prelude::*;

use crate::circuit::{Compared, Kept, Solution, Solver};
use crate::machine::model::{ElementId, Law, Machine, SequenceId};

use super::super::effect::Judge;
use super::super::kinds::{Fault, catalogue};
use super::super::search::symptom::Effect;
use super::idle::Idle;
use super::row::{Row, fuses};

/// Amps from which an element counts as part of a live path: a meter's own current is far below.
const CARRIES: f64 = 1e-5;

/// All faults in all sequences.
#[derive(Debug, Clone)]
pub struct Dictionary {
    /// The faults.
    pub faults: Vec<Fault>,
    /// One table a sequence, same index.
    pub sequences: Vec<SequenceTable>,
}

/// All faults in one sequence.
#[derive(Debug, Clone)]
pub struct SequenceTable {
    /// Which one.
    pub sequence: SequenceId,
    /// The healthy machine.
    pub healthy: Row,
    /// Elements whose drop is kept: those that carry current on a healthy machine, and the supplies.
    pub watched: Vec<ElementId>,
    /// Elements that carry current on a healthy machine, windings and all, in the order of the runs.
    pub path: Vec<ElementId>,
    /// Faults whose circuit the solver refuses: nothing is claimed of them.
    pub refused: Vec<usize>,
    /// The row of each fault; none where the fault changes nothing here.
    rows: Vec<Option<Row>>,
    /// Rows with all supplies at their lowest and highest, of faults with which some relay stands near its limits.
    corners: BTreeMap<usize, Vec<Row>>,
    /// Faults with which relays never rest, or a fuse may be quicker than they.
    loose: BTreeSet<usize>,
}

impl SequenceTable {
    /// The row of a fault.
    #[must_use]
    pub fn row(&self, fault: usize) -> &Row {
        self.rows[fault].as_ref().unwrap_or(&self.healthy)
    }

    /// The row of a fault that changes something here.
    #[must_use]
    pub fn own_row(&self, fault: usize) -> Option<&Row> {
        self.rows[fault].as_ref()
    }

    /// What a fault may read as well where tolerances move a relay.
    #[must_use]
    pub fn corners(&self, fault: usize) -> &[Row] {
        self.corners.get(&fault).map_or(&[], Vec::as_slice)
    }

    /// Whether the row of a fault is only one of the ways in which things may come to rest.
    #[must_use]
    pub fn is_loose(&self, fault: usize) -> bool {
        self.loose.contains(&fault)
    }

    /// How many faults have a row of their own.
    #[must_use]
    pub fn solved(&self) -> usize {
        self.rows.iter().flatten().count()
    }

    /// What a fault does to this sequence.
    #[must_use]
    pub fn effect(&self, fault: usize) -> Effect {
        self.row(fault).effect
    }
}

impl Dictionary {
    /// Solves every fault in every sequence.
    #[must_use]
    pub fn build(machine: &Machine, solver: &Solver, solution: &Solution) -> Self {
        Self::of(machine, solver, solution, catalogue(machine))
    }

    /// Solves these faults in every sequence.
    #[must_use]
    pub fn of(machine: &Machine, solver: &Solver, solution: &Solution, faults: Vec<Fault>) -> Self {
        let supplies = Supplies::default();
        let sequences = (0..machine.sequences.len())
            .into_par_iter()
            .map(|index| SequenceTable::at(machine, (solver, Some(&supplies)), solution, SequenceId(index), &faults))
            .collect();
        Self { faults, sequences }
    }

    /// Effect of every fault on every sequence: `[fault][sequence]`.
    #[must_use]
    pub fn effects(&self) -> Vec<Vec<Effect>> {
        (0..self.faults.len()).map(|fault| self.sequences.iter().map(|table| table.effect(fault)).collect()).collect()
    }
}

impl SequenceTable {
    /// Solves these faults in one sequence, with all supplies at their nominal voltage only.
    #[must_use]
    pub fn build(
        machine: &Machine,
        solver: &Solver,
        solution: &Solution,
        sequence: SequenceId,
        faults: &[Fault],
    ) -> Self {
        Self::at(machine, (solver, None), solution, sequence, faults)
    }

    fn at<'m>(
        machine: &Machine,
        (solver, supplies): (&Solver<'m>, Option<&Supplies<'m>>),
        solution: &Solution,
        sequence: SequenceId,
        faults: &[Fault],
    ) -> Self {
        let judge = Judge::new(machine, sequence);
        let path = path_elements(machine, &solution.sequence(sequence).currents);
        let watched = watched_elements(machine, &path);
        let coils = judge.coils.iter().map(|(element, _)| *element);
        let relays = judge.relays.iter().map(|(_, element, _)| *element);
        let kept = Kept {
            volts: watched.iter().copied().chain(coils).chain(relays).collect(),
            amps: fuses(machine).into_iter().map(|(_, element)| element).collect(),
            joints: Vec::new(),
        };
        let healthy = solver.glance(solution, sequence, &[], &kept);
        let idle = Idle::new(machine, solution, sequence);
        let count = watched.len();
        let acting = count + judge.coils.len();
        let (mut refused, mut corners, mut loose) = (Vec::new(), BTreeMap::new(), BTreeSet::new());
        let mut row = |(index, fault): (usize, &Fault)| {
            let changed =
                (!idle.covers(&fault.changes)).then(|| solver.glance(solution, sequence, &fault.changes, &kept));
            if changed.as_ref().is_some_and(|glance| glance.compared == Compared::Refused) {
                refused.push(index);
            }
            let changed = changed.filter(|glance| glance.compared != Compared::AsHealthy);
            let now = changed.as_ref().unwrap_or(&healthy);
            let effect =
                judge.effect(fault, (&healthy, &healthy.volts[count..acting]), (now, &now.volts[count..acting]));
            if changed.is_some() && effect != Effect::Works {
                if !now.settled || now.raced && !healthy.raced {
                    loose.insert(index);
                } else if let Some(supplies) = supplies
                    && (now.opened.len() > healthy.opened.len() || judge.wavers(now, &now.volts[acting..]))
                {
                    let at = |solver: &Solver<'_>| {
                        Row::of(&solver.glance(solution, sequence, &fault.changes, &kept), count, effect)
                    };
                    corners.insert(index, supplies.of(solver, judge.supplies()).iter().flatten().map(at).collect());
                }
            }
            (changed.is_some() || effect != Effect::Works).then(|| Row::of(now, count, effect))
        };
        let rows = faults.iter().enumerate().map(&mut row).collect();
        let healthy = Row::of(&healthy, count, Effect::Works);
        SequenceTable { sequence, healthy, watched, path, refused, rows, corners, loose }
    }
}

/// The machine with all supplies at their lowest and at their highest, made ready when first asked for. None of one that
/// the solver refuses: nothing is then claimed of it.
#[derive(Default)]
struct Supplies<'m>(OnceLock<[Option<Solver<'m>>; 2]>);

impl<'m> Supplies<'m> {
    fn of(&self, solver: &Solver<'m>, factors: [f64; 2]) -> &[Option<Solver<'m>>; 2] {
        self.0.get_or_init(|| factors.map(|factor| solver.with_supplies(factor).ok()))
    }
}

/// Elements that carry current, in the order of the runs.
fn path_elements(machine: &Machine, currents: &[f64]) -> Vec<ElementId> {
    let mut seen = vec![false; machine.elements.len()];
    let mut path = Vec::new();
    let in_runs = machine.runs.iter().flat_map(|run| &run.steps).filter_map(|step| match step {
        crate::machine::model::RunStep::Element { element, .. } => Some(*element),
        crate::machine::model::RunStep::Joint(_) => None,
    });
    for element in in_runs.chain((0..machine.elements.len()).map(ElementId)) {
        if !seen[element.0] && currents[element.0].abs() > CARRIES {
            path.push(element);
        }
        seen[element.0] = true;
    }
    path
}

fn watched_elements(machine: &Machine, path: &[ElementId]) -> Vec<ElementId> {
    let sources = (0..machine.elements.len())
        .map(ElementId)
        .filter(|&element| matches!(machine.element(element).law, Law::Source) && !path.contains(&element));
    path.iter().copied().chain(sources).collect()
}
