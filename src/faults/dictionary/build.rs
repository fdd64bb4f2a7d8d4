//! Builds the dictionary.

use crate::circuit::{Change, Solution, Solver};
use crate::machine::model::{ElementId, Gate, Law, Machine, SequenceId};

use super::super::effect::{SupplySpan, effect};
use super::super::kinds::{Fault, catalogue};
use super::super::sample::Sample;
use super::super::search::symptom::Effect;
use super::row::Row;

/// Amps below which an element counts as carrying nothing.
const NOTHING: f64 = 1e-12;
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
}

impl SequenceTable {
    /// The row of a fault.
    #[must_use]
    pub fn row(&self, fault: usize) -> &Row {
        self.rows[fault].as_ref().unwrap_or(&self.healthy)
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
        let sequences = (0..machine.sequences.len())
            .map(|index| SequenceTable::build(machine, solver, solution, SequenceId(index), &faults))
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
    /// Solves these faults in one sequence.
    #[must_use]
    pub fn build(
        machine: &Machine,
        solver: &Solver,
        solution: &Solution,
        sequence: SequenceId,
        faults: &[Fault],
    ) -> Self {
        let span = SupplySpan::of(machine);
        let healthy = Sample::take(solver, solution, sequence, &[]);
        let path = path_elements(machine, &healthy);
        let watched = watched_elements(machine, &path);
        let still =
            matches!(solution.sequence(sequence).settling, crate::circuit::results::Settling::Settled { rounds: 0 });
        let mut refused = Vec::new();
        let rows = faults
            .iter()
            .enumerate()
            .map(|(index, fault)| {
                let unchanged =
                    fault.changes.is_empty() || still && is_idle(machine, sequence, &fault.changes, &healthy);
                let changed =
                    if unchanged { None } else { Some(Sample::take(solver, solution, sequence, &fault.changes)) };
                if changed.as_ref().is_some_and(|sample| sample.refused) {
                    refused.push(index);
                }
                let effect = effect(machine, sequence, fault, &healthy, changed.as_ref().unwrap_or(&healthy), span);
                match changed {
                    Some(sample) => Some(Row::of(machine, &sample, &watched, effect)),
                    None if effect == Effect::Works => None,
                    None => Some(Row::of(machine, &healthy, &watched, effect)),
                }
            })
            .collect();
        let healthy = Row::of(machine, &healthy, &watched, Effect::Works);
        SequenceTable { sequence, healthy, watched, path, refused, rows }
    }
}

/// Whether changes touch only contacts that are open anyway, or add a few ohms where nothing flows: then nothing that a
/// meter can show differs, as long as no relay moves.
fn is_idle(machine: &Machine, sequence: SequenceId, changes: &[Change], healthy: &Sample) -> bool {
    changes.iter().all(|change| match *change {
        Change::Open(element) => !conducts(machine, sequence, element, healthy),
        Change::Added(element, _) => healthy.currents[element.0].abs() < NOTHING,
        Change::StuckClosed(element) => conducts(machine, sequence, element, healthy),
        Change::RelayStuck(relay, energised) => healthy.energised.contains(&relay) == energised,
        Change::SwitchStuck(switch, operated) => {
            machine.sequences[sequence.0].setting.operated.contains(&switch) == operated
        }
        _ => false,
    })
}

/// Whether an element is there electrically: a contact only when its gate is closed.
fn conducts(machine: &Machine, sequence: SequenceId, element: ElementId, healthy: &Sample) -> bool {
    let setting = &machine.sequences[sequence.0].setting;
    match &machine.element(element).law {
        Law::Contact { gate: Gate::Relay { relay, when_energised }, .. } => {
            healthy.energised.contains(relay) == *when_energised
        }
        Law::Contact { gate: Gate::Hand { switch, when_operated }, .. } => {
            setting.operated.contains(switch) == *when_operated
        }
        Law::Contact { gate: Gate::Wiper { selector, ring, segment }, .. } => setting
            .positions
            .get(selector)
            .and_then(|rings| rings.get(*ring))
            .is_some_and(|position| *position == Some(*segment)),
        _ => true,
    }
}

/// Elements that carry current, in the order of the runs.
fn path_elements(machine: &Machine, healthy: &Sample) -> Vec<ElementId> {
    let mut seen = vec![false; machine.elements.len()];
    let mut path = Vec::new();
    let in_runs = machine.runs.iter().flat_map(|run| &run.steps).filter_map(|step| match step {
        crate::machine::model::RunStep::Element { element, .. } => Some(*element),
        crate::machine::model::RunStep::Joint(_) => None,
    });
    for element in in_runs.chain((0..machine.elements.len()).map(ElementId)) {
        if !seen[element.0] && healthy.currents[element.0].abs() > CARRIES {
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
