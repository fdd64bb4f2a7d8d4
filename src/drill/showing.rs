//! What a check shows on the machine with the fault: a number where a meter shows one, else what hand or eye finds.

use std::collections::BTreeSet;

use crate::circuit::{Change, Outcome, Solution, Solver};
use crate::faults::dictionary::SequenceTable;
use crate::faults::kinds::{Fault, FaultKind, Site, UsualCheck};
use crate::faults::order::{CheckKind, Swapped, swapped};
use crate::faults::search::symptom::Effect;
use crate::machine::model::{Current, ElementId, JointId, Machine, PartId, SequenceId};

/// What a check shows. Volts, amps and ohms in SI units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Showing {
    /// Volts on a range.
    Volts(Current, f64),
    /// Amps.
    Amps(f64),
    /// Ohms.
    Ohms(f64),
    /// No continuity.
    NoContinuity,
    /// As it should be.
    Sound,
    /// Not as it should be; the kind says what is seen.
    Wrong(FaultKind),
    /// The sequence works.
    Works,
    /// The sequence fails.
    Fails,
    /// Cannot be measured here.
    NotHere,
}

/// One machine with its faults in one sequence.
pub(super) struct Patient<'a> {
    pub(super) machine: &'a Machine,
    pub(super) solver: &'a Solver<'a>,
    pub(super) solution: &'a Solution,
    pub(super) sequence: SequenceId,
    pub(super) table: &'a SequenceTable,
    /// All faults that any machine of this make may have.
    pub(super) known: &'a [Fault],
    /// All faults that are in the machine.
    pub(super) faults: Vec<&'a Fault>,
    /// All their changes.
    pub(super) changes: Vec<Change>,
    /// The machine solved with them.
    pub(super) outcome: Outcome,
    /// What each sequence does with them.
    pub(super) effects: Vec<Effect>,
}

impl Patient<'_> {
    /// What a check shows.
    pub(super) fn shows(&self, check: CheckKind) -> Showing {
        match check {
            CheckKind::Volts(point) => {
                let reading = &self.outcome.readings[point.0];
                Showing::Volts(reading.quantity, reading.volts)
            }
            CheckKind::SupplyVolts(part) => match self.machine.part(part).elements.first() {
                Some(&source) => self.across(source),
                None => Showing::NotHere,
            },
            CheckKind::Drop(element) if self.table.watched.contains(&element) => self.across(element),
            CheckKind::Drop(_) => Showing::NotHere,
            CheckKind::Amps(fuse) => match self.machine.part(fuse).elements.first() {
                Some(element) => Showing::Amps(self.outcome.currents[element.0].abs()),
                None => Showing::NotHere,
            },
            CheckKind::Usual(site, usual) => self.usual(site, usual),
            CheckKind::Swap(part, twin) => {
                let cured = self.faults.iter().all(|fault| self.is_cured(fault, (part, twin)));
                if cured { Showing::Works } else { Showing::Fails }
            }
            CheckKind::Try(sequence) => match self.effects[sequence.0] {
                Effect::Fails => Showing::Fails,
                _ => Showing::Works,
            },
        }
    }

    /// Whether the sequence works once a fault has gone with its part to the place of a twin.
    fn is_cured(&self, fault: &Fault, pair: (PartId, PartId)) -> bool {
        match swapped(self.machine, self.known, fault, pair) {
            Swapped::Stays | Swapped::Unknown => false,
            Swapped::Harmless => true,
            Swapped::Goes(there) => {
                let there = std::slice::from_ref(&self.known[there]);
                let table = SequenceTable::build(self.machine, self.solver, self.solution, self.sequence, there);
                let row = table.row(0);
                row.effect == Effect::Works || row.effect == Effect::Marginal && row.operates == table.healthy.operates
            }
        }
    }

    fn across(&self, element: ElementId) -> Showing {
        let element = self.machine.element(element);
        let leads = (element.from, element.to);
        let meter = &self.machine.meter;
        match self.solver.reading_between(self.solution, self.sequence, leads, meter, &self.changes) {
            Ok(reading) => Showing::Volts(reading.quantity, reading.volts),
            Err(_) => Showing::NotHere,
        }
    }

    /// A check of one place, with hand, eye or ohmmeter.
    fn usual(&self, site: Site, usual: UsualCheck) -> Showing {
        let seen = self.faults.iter().find(|fault| fault.site == site && fault.kind.usual_check() == usual);
        let blown = |element: ElementId| {
            let part = self.machine.element(element).part;
            self.outcome.opened.iter().any(|opened| opened.fuse == part)
        };
        match (usual, site) {
            // What else blew a fuse does not show in it.
            (UsualCheck::FuseOut, Site::Element(element)) if blown(element) => Showing::NoContinuity,
            (UsualCheck::OhmsLifted | UsualCheck::FuseOut | UsualCheck::Continuity, Site::Element(element)) => {
                self.ohms(element)
            }
            _ => seen.map_or(Showing::Sound, |fault| Showing::Wrong(fault.kind)),
        }
    }

    /// Ohms of an element with one lead lifted, or out of its clips.
    fn ohms(&self, element: ElementId) -> Showing {
        let ends = self.machine.element(element);
        let leads: (JointId, JointId) = (ends.from, ends.to);
        let setting = &self.machine.sequences[self.sequence.0].setting;
        let at_rest: BTreeSet<PartId> = BTreeSet::new();
        match self.solver.dead_ohms(setting, &at_rest, leads, Some(element), &self.changes) {
            Some(ohms) => Showing::Ohms(ohms),
            None => Showing::NoContinuity,
        }
    }
}
