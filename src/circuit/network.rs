//! The network of one state of the machine: which elements conduct, with which admittance and source voltage.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use crate::machine::model::{Current, ElementId, Gate, JointId, Machine, PartId, PartKind, RectifierForm, Setting};

use super::change::Change;
use super::elimination::Structure;
use super::error::CircuitError;
use super::rectifier::{Curve, Feed};
use super::values::{Elements, Model, Values};
use super::zones::Reach;

/// Admittance of a diode that does not conduct, in siemens.
pub(crate) const BLOCKED: f64 = 1e-9;
/// Admittance above which a branch is as good as a joint when voltages are guessed or currents taken, in siemens.
pub(crate) const STIFF: f64 = 1e3;

/// Structures with further edges, by these edges.
type Extended = BTreeMap<Vec<(usize, usize)>, Arc<Structure>>;

/// A machine made ready to be solved: order of elimination, values, lists of what can switch.
#[derive(Debug)]
pub(crate) struct Circuit<'m> {
    pub(crate) machine: &'m Machine,
    pub(crate) elements: Elements,
    pub(crate) structure: Arc<Structure>,
    /// Relays with the element of the main coil and of the reset coil.
    pub(crate) relays: Vec<(PartId, ElementId, Option<ElementId>)>,
    pub(crate) diodes: Vec<usize>,
    pub(crate) lamps: Vec<usize>,
    pub(crate) fuses: Vec<(PartId, usize)>,
    /// What moves, lights or sounds.
    pub(crate) operators: Vec<(PartId, ElementId)>,
    pub(crate) sources: Vec<usize>,
    /// Elements at each joint with the joint on their other side.
    pub(crate) around: Vec<Vec<(usize, usize)>>,
    pub(crate) rectified: Vec<usize>,
    /// By element: whether DC and whether AC can reach it at all, see [`super::zones`].
    pub(crate) reach: Reach,
    /// Frequencies of AC supplies.
    pub(crate) frequencies: Vec<f64>,
    extended: Mutex<Extended>,
    curves: Mutex<BTreeMap<[u64; 6], Arc<Curve>>>,
}

/// What holds in one solution beside the values: contacts, fuses, faults, power.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Situation<'a> {
    /// For each element whether hands, cams and wipers let it conduct; relay contacts are judged by `energised`.
    pub(crate) set: &'a [bool],
    pub(crate) values: &'a Values,
    pub(crate) changes: &'a [Change],
    /// Further branches, such as a meter or a whisker.
    pub(crate) extras: &'a [Extra],
}

/// A branch that the machine does not have: joints and ohms.
pub(crate) type Extra = (JointId, JointId, f64);

/// Where relays and fuses stand, by part.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Positions {
    pub(crate) energised: Vec<bool>,
    pub(crate) blown: Vec<bool>,
}

impl<'m> Circuit<'m> {
    pub(crate) fn new(machine: &'m Machine) -> Result<Self, CircuitError> {
        let elements = Elements::of(machine)?;
        let edges = machine.elements.iter().map(|element| (element.from.0, element.to.0)).collect();
        let structure = Arc::new(Structure::new(machine.joints.len(), edges, machine.reference.0));
        let of_kind = |wanted: fn(&Model) -> bool| -> Vec<usize> {
            elements.models.iter().enumerate().filter(|(_, model)| wanted(model)).map(|(index, _)| index).collect()
        };
        let diodes = of_kind(|model| matches!(model, Model::Diode(_)));
        let lamps = of_kind(|model| matches!(model, Model::Lamp(_)));
        let sources = of_kind(|model| matches!(model, Model::Source(_)));
        let rectified = of_kind(|model| matches!(model, Model::Source(source) if source.rectifier.is_some()));
        let mut frequencies: Vec<f64> = elements.models.iter().filter_map(alternating).collect();
        frequencies.sort_by(f64::total_cmp);
        frequencies.dedup();
        let fuses = machine
            .elements
            .iter()
            .enumerate()
            .filter(|(_, element)| matches!(machine.part(element.part).kind, PartKind::Fuse(_)))
            .map(|(index, element)| (element.part, index))
            .collect();
        let operators = (0..machine.elements.len())
            .map(ElementId)
            .filter(|&element| super::describe::is_operator(machine, element))
            .map(|element| (machine.element(element).part, element))
            .collect();
        Ok(Self {
            machine,
            structure,
            relays: relays(machine),
            diodes,
            lamps,
            fuses,
            operators,
            sources,
            around: super::drops::around(machine),
            reach: Reach::of(machine, &elements),
            rectified,
            frequencies,
            elements,
            extended: Mutex::default(),
            curves: Mutex::default(),
        })
    }

    /// All relays at rest, all fuses whole.
    pub(crate) fn at_rest(&self) -> Positions {
        Positions { energised: vec![false; self.machine.parts.len()], blown: vec![false; self.machine.parts.len()] }
    }

    /// Which contacts hands, cams and wipers close; relay contacts and all else count as closed here.
    pub(crate) fn set(&self, setting: &Setting) -> Vec<bool> {
        self.elements.models.iter().map(|model| by_hand(model, setting)).collect()
    }

    /// The structure with further edges, kept for the next time.
    pub(crate) fn structure_with(&self, extras: &[Extra]) -> Arc<Structure> {
        if extras.is_empty() {
            return Arc::clone(&self.structure);
        }
        let added: Vec<(usize, usize)> = extras.iter().map(|(a, b, _)| (a.0, b.0)).collect();
        let mut kept = self.extended.lock().unwrap_or_else(PoisonError::into_inner);
        let made = kept.entry(added.clone()).or_insert_with(|| {
            let edges = self.structure.edges().iter().copied().chain(added).collect();
            Arc::new(Structure::new(self.structure.joints(), edges, self.machine.reference.0))
        });
        Arc::clone(made)
    }

    /// Average, RMS and ripple over load of a supply with a reservoir, kept for the next time.
    pub(crate) fn curve(&self, feed: &Feed) -> Arc<Curve> {
        let key = [feed.winding, feed.internal, feed.frequency, feed.lost, f64::from(feed.both_halves), feed.reservoir]
            .map(f64::to_bits);
        let mut kept = self.curves.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(kept.entry(key).or_insert_with(|| Arc::new(Curve::of(feed))))
    }

    /// The rectifier of a supply's element as the changes leave it; none for a plain supply.
    pub(crate) fn feed(&self, element: usize, situation: &Situation<'_>) -> Option<Feed> {
        let Model::Source(source) = &self.elements.models[element] else {
            return None;
        };
        let rectifier = source.rectifier.as_ref()?;
        let part = self.machine.elements[element].part;
        let [volts, ohms] = situation.values.0[element];
        let scale = scale(part, situation.changes);
        let open = situation.changes.contains(&Change::RectifierOpen(part));
        let dry = situation.changes.contains(&Change::ReservoirOpen(part));
        let feed = Feed::new(rectifier, volts * scale, ohms, source.frequency, open);
        let farads = situation.values.1.get(&element).copied().unwrap_or(0.0);
        Some(Feed { reservoir: if dry { 0.0 } else { farads }, ..feed })
    }

    /// Whether an element conducts at all in this state, diodes aside.
    pub(crate) fn conducts(&self, element: usize, situation: &Situation<'_>, positions: &Positions) -> bool {
        let owner = self.machine.elements[element].part;
        if positions.blown[owner.0] {
            return false;
        }
        let mut closed = match &self.elements.models[element] {
            Model::Contact(Gate::Relay { relay, when_energised }) => positions.energised[relay.0] == *when_energised,
            _ => situation.set[element],
        };
        for change in situation.changes {
            match *change {
                Change::Open(ElementId(at)) if at == element => return false,
                Change::StuckClosed(ElementId(at)) | Change::Short(ElementId(at)) if at == element => closed = true,
                Change::RelayStuck(part, energised) => {
                    if let Model::Contact(Gate::Relay { relay, when_energised }) = &self.elements.models[element]
                        && *relay == part
                    {
                        closed = energised == *when_energised;
                    }
                }
                Change::SwitchStuck(part, operated) => {
                    if let Model::Contact(Gate::Hand { switch, when_operated }) = &self.elements.models[element]
                        && *switch == part
                    {
                        closed = operated == *when_operated;
                    }
                }
                Change::RectifierOpen(part) if part == owner => {
                    let PartKind::Supply(supply) = &self.machine.part(part).kind else {
                        continue;
                    };
                    let half = supply.rectifier.as_ref().is_some_and(|r| r.form == RectifierForm::HalfWave);
                    closed &= !half;
                }
                _ => {}
            }
        }
        closed
    }

    /// All elements that conduct in this state, diodes aside.
    pub(crate) fn live(&self, situation: &Situation<'_>, positions: &Positions) -> Vec<usize> {
        (0..self.elements.models.len()).filter(|&element| self.conducts(element, situation, positions)).collect()
    }
}

pub(crate) fn alternating(model: &Model) -> Option<f64> {
    match model {
        Model::Source(source) if source.current == Current::Alternating && source.rectifier.is_none() => {
            Some(source.frequency)
        }
        _ => None,
    }
}

fn relays(machine: &Machine) -> Vec<(PartId, ElementId, Option<ElementId>)> {
    let mut relays = Vec::new();
    for (index, part) in machine.parts.iter().enumerate() {
        if !matches!(part.kind, PartKind::Relay(_)) {
            continue;
        }
        let find = |wanted: fn(&crate::machine::model::Law) -> bool| {
            part.elements.iter().copied().find(|&element| wanted(&machine.element(element).law))
        };
        let main = find(|law| matches!(law, crate::machine::model::Law::Winding));
        let reset = find(|law| matches!(law, crate::machine::model::Law::ResetWinding));
        if let Some(main) = main {
            relays.push((PartId(index), main, reset));
        }
    }
    relays
}

fn by_hand(model: &Model, setting: &Setting) -> bool {
    match model {
        Model::Contact(Gate::Hand { switch, when_operated }) => setting.operated.contains(switch) == *when_operated,
        Model::Contact(Gate::Wiper { selector, ring, segment }) => setting
            .positions
            .get(selector)
            .and_then(|rings| rings.get(*ring).copied().flatten())
            .is_some_and(|at| at == *segment),
        _ => true,
    }
}

pub(crate) fn scale(part: PartId, changes: &[Change]) -> f64 {
    let factor = |change: &Change| match change {
        Change::SupplyScaled(at, factor) if *at == part => Some(*factor),
        _ => None,
    };
    changes.iter().filter_map(factor).product()
}
