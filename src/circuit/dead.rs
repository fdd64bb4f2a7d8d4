//! The network with the power off: what an ohmmeter finds, and by which way a charge leaves.
//!
//! Sources give nothing, but the winding of an AC supply still conducts. Rectifiers and diodes block, and so does a DC
//! supply, which has a rectifier inside or something that an ohmmeter's volt does not open.

use std::collections::BTreeSet;

use crate::machine::model::{Current, ElementId, JointId, PartId, Setting};

use super::change::Change;
use super::field::{Branches, Field};
use super::network::{Circuit, Situation};
use super::solver::{Solver, bridges};
use super::values::{LEAST_OHMS, Model, Values};

/// A network with the power off, to be asked for its resistances.
#[derive(Debug)]
pub struct DeadNetwork {
    field: Field<f64>,
    islands: Vec<usize>,
}

impl DeadNetwork {
    /// Ohms between two joints; none where nothing conducts.
    #[must_use]
    pub fn ohms(&self, a: JointId, b: JointId) -> Option<f64> {
        (self.islands[a.0] == self.islands[b.0]).then(|| {
            let ohms = self.field.structure.impedance(&self.field.factor, a.0, b.0, &mut Vec::new());
            if ohms <= 2.0 * LEAST_OHMS { 0.0 } else { ohms }
        })
    }

    /// Volts between one pair of joints for each ampere driven through another pair: zero where they share no way.
    /// From resistances alone: (R(a,d) + R(b,c) − R(a,c) − R(b,d)) / 2.
    #[must_use]
    pub fn shared_ohms(&self, (a, b): (JointId, JointId), (c, d): (JointId, JointId)) -> f64 {
        let all = [self.ohms(a, d), self.ohms(b, c), self.ohms(a, c), self.ohms(b, d)];
        match all {
            [Some(a_to_d), Some(b_to_c), Some(a_to_c), Some(b_to_d)] => (a_to_d + b_to_c - a_to_c - b_to_d) / 2.0,
            _ => 0.0,
        }
    }
}

impl Circuit<'_> {
    /// Whether an ohmmeter finds no way through an element though it conducts in use.
    fn blocks_dead(&self, element: usize) -> bool {
        match &self.elements.models[element] {
            Model::Diode(_) => true,
            Model::Source(source) => source.rectifier.is_some() || source.current == Current::Direct,
            _ => false,
        }
    }
}

impl Solver<'_> {
    /// What an ohmmeter shows between two joints with the power off; none where nothing conducts.
    ///
    /// Lamps are cold. `lifted` takes one lead of an element off: measured at that element's own ends it alone is seen.
    #[must_use]
    pub fn dead_ohms(
        &self,
        setting: &Setting,
        energised: &BTreeSet<PartId>,
        (a, b): (JointId, JointId),
        lifted: Option<ElementId>,
        changes: &[Change],
    ) -> Option<f64> {
        let extras = bridges(changes);
        let set = self.circuit.set(setting);
        let situation = Situation { set: &set, values: &self.circuit.elements.nominal, changes, extras: &extras };
        let mut branches = self.dead_branches(&situation, energised, false);
        if let Some(element) = lifted {
            let ends = self.circuit.machine.element(element);
            if (ends.from, ends.to) == (a, b) || (ends.from, ends.to) == (b, a) {
                let admittance = branches.admittances[element.0];
                return (admittance > 0.0).then(|| 1.0 / admittance);
            }
            branches.admittances[element.0] = 0.0;
        }
        self.dead_network(branches, &situation).ohms(a, b)
    }

    /// The network of a healthy machine with the power off in which every resistance is the largest it may be, every
    /// filament as hot as at its rated volts: no charge leaves slower. (The resistance between two joints never falls when
    /// one inside grows: Rayleigh's monotonicity law.)
    #[must_use]
    pub fn dead_at_most(&self, setting: &Setting, energised: &BTreeSet<PartId>) -> DeadNetwork {
        let set = self.circuit.set(setting);
        let values = self.most_ohms();
        let situation = Situation { set: &set, values: &values, changes: &[], extras: &[] };
        let branches = self.dead_branches(&situation, energised, true);
        self.dead_network(branches, &situation)
    }

    /// Every span at its high end, but the amperes of filaments at their low end.
    fn most_ohms(&self) -> Values {
        let elements = &self.circuit.elements;
        let pick = |(model, [first, second]): (&Model, &[super::values::Span; 2])| match model {
            Model::Lamp(_) => [first.low, second.low],
            _ => [first.high, second.high],
        };
        let pairs = elements.models.iter().zip(&elements.spans).map(pick).collect();
        Values(pairs, elements.reservoirs.iter().map(|(&element, span)| (element, span.high)).collect())
    }

    fn dead_branches(&self, situation: &Situation<'_>, energised: &BTreeSet<PartId>, leaving: bool) -> Branches<f64> {
        let circuit = &self.circuit;
        let mut positions = circuit.at_rest();
        for part in energised {
            positions.energised[part.0] = true;
        }
        let mut inner = circuit.cold(situation);
        if leaving {
            for (element, model) in circuit.elements.models.iter().enumerate() {
                if let Model::Lamp(lamp) = model {
                    inner.filaments[element] = lamp.ohms(situation.values.0[element][0], lamp.nominal);
                }
            }
        }
        let mut branches = circuit.direct_where(situation, &circuit.live(situation, &positions), &inner, |_| true);
        for (index, source) in branches.sources.iter_mut().enumerate() {
            *source = 0.0;
            let shorted = situation.changes.contains(&Change::Short(ElementId(index)));
            let blocks = circuit.blocks_dead(index);
            if blocks && !shorted {
                branches.admittances[index] = 0.0;
            }
        }
        branches
    }

    fn dead_network(&self, branches: Branches<f64>, situation: &Situation<'_>) -> DeadNetwork {
        let field = self.circuit.field(branches, situation.extras);
        let islands = field.structure.islands(&field.factor);
        DeadNetwork { field, islands }
    }
}
