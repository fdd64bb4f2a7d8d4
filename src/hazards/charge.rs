//! Stored charge: which capacitors hold something worth a warning once the plug is out, and how long it takes to leave.
//!
//! t = T ln(V0/Vt) with the highest voltage of a healthy machine, over the setting of switches (all at rest, or as a
//! sequence leaves them) in which the charge leaves slowest. T is the sum of R C over all capacitors that leave by the
//! same way, each with the resistance that it shares with this one (the delay of W. C. Elmore, Journal of Applied Physics
//! 19, 1948): the time constant itself for one capacitor, and for several across the same joints. All of it with the
//! largest capacitances and resistances, filaments hot. Energy is C V²/2, charge C V. Where no setting is sure to lead the charge away there is no waiting time, and a
//! discharge tool is worked out instead.

use std::collections::BTreeSet;

use crate::circuit::{DeadNetwork, Solution, Solver};
use crate::machine::model::{JointId, Machine, PartId, PartKind, SequenceId, Setting, Supply};
use crate::spec::units::{Farads, Ohms, Seconds, Volts};
use crate::sums::discharge;
use crate::sums::tables::e_series::Series;
use crate::sums::tables::touch::SPARK;

use super::limits::{self, METER_LIMIT, MOIST_LIMIT};

/// Charge below which a voltage does no harm, in coulombs (IEC 60204-1 clause 6.2.4, restated).
const HARMLESS_CHARGE: f64 = 60e-6;
/// Time in which a discharge tool should do its work.
const TOOL_TIME: Seconds = Seconds::new(5.0);
/// Waiting longer than this is not asked of anybody; a tool is asked for instead.
const LONGEST_WAIT: Seconds = Seconds::new(1800.0);

/// A charge that stays after the plug is out.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredCharge {
    /// The capacitor, or the supply whose reservoir it is.
    pub part: PartId,
    /// Whether it is the reservoir of a supply.
    pub reservoir: bool,
    /// The highest healthy voltage on it.
    pub volts: Volts,
    /// Its largest healthy capacitance, with that of others across the same joints.
    pub capacitance: Farads,
    /// What it holds, in joules.
    pub joules: f64,
    /// The largest resistance through which it discharges by itself; none where it may have no way out.
    pub through: Option<Ohms>,
    /// How long to wait; none where waiting is no help.
    pub wait: Option<Wait>,
}

/// Waiting times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wait {
    /// Until it may be touched; none where it may be touched at once.
    pub to_touch: Option<Seconds>,
    /// Until an ohmmeter may be joined to it.
    pub to_meter: Seconds,
}

impl StoredCharge {
    /// The largest E6 resistance that discharges it in time.
    #[must_use]
    pub fn tool(&self) -> Ohms {
        discharge_tool(self.capacitance, self.volts)
    }
}

/// The largest E6 resistance, 1 Ω at the least, that takes a capacitance from so many volts to the meter limit in time.
fn discharge_tool(capacitance: Farads, volts: Volts) -> Ohms {
    let most = TOOL_TIME.value() / (capacitance.value() * (volts / METER_LIMIT).ln());
    Ohms::new(Series::E6.at_most(most).unwrap_or(1.0).clamp(1.0, 680e3))
}

/// Times to the touch limit and to the meter limit with a time constant.
#[must_use]
pub fn wait(volts: Volts, constant: Seconds) -> Wait {
    let until = |target: Volts| discharge::decay(constant, volts, target);
    Wait { to_touch: (volts > MOIST_LIMIT).then(|| until(MOIST_LIMIT)), to_meter: until(METER_LIMIT) }
}

/// A capacitor as far as its charge matters.
struct Store {
    part: PartId,
    reservoir: bool,
    ends: (JointId, JointId),
    volts: Volts,
    capacitance: Farads,
    /// What is said to discharge it, whatever the circuit does.
    bleeder: Option<Ohms>,
}

/// All charges worth a word, in the order of the parts.
#[must_use]
pub fn stored_charges(solver: &Solver<'_>, solution: &Solution) -> Vec<StoredCharge> {
    let machine = solver.machine();
    let stores: Vec<Store> = (0..machine.parts.len())
        .map(PartId)
        .filter_map(|id| match &machine.part(id).kind {
            PartKind::Capacitor(_) => capacitor(machine, solution, id),
            PartKind::Supply(supply) => reservoir(id, supply),
            _ => None,
        })
        .collect();
    let counts = |store: &Store| matters(store.volts, together(&stores, store));
    if !stores.iter().any(counts) {
        return Vec::new();
    }
    let at_rest = std::iter::once(solver.dead_at_most(&Setting::default(), &BTreeSet::new()));
    let as_left = (0..machine.sequences.len()).map(|index| {
        let setting = &machine.sequences[index].setting;
        solver.dead_at_most(setting, &latched(machine, solution, SequenceId(index)))
    });
    let dead: Vec<DeadNetwork> = at_rest.chain(as_left).collect();
    stores.iter().filter(|store| counts(store)).map(|store| charge(&stores, store, &dead)).collect()
}

fn capacitor(machine: &Machine, solution: &Solution, id: PartId) -> Option<Store> {
    let part = machine.part(id);
    let PartKind::Capacitor(capacitor) = &part.kind else { return None };
    let element = machine.element(*part.elements.first()?);
    let bleeder = capacitor.bleeder.and_then(|bleeder| match &machine.part(bleeder).kind {
        PartKind::Resistor(resistor) => Some(resistor.resistance.high),
        _ => None,
    });
    let ends = (element.from, element.to);
    let volts = highest_volts(machine, solution, ends.0, ends.1);
    Some(Store { part: id, reservoir: false, ends, volts, capacitance: capacitor.capacitance.high, bleeder })
}

/// The reservoir behind a rectifier charges to the peak of the winding when nothing loads it.
fn reservoir(id: PartId, supply: &Supply) -> Option<Store> {
    let capacitance = supply.rectifier.as_ref()?.reservoir.as_ref()?.high;
    let [(_, from), (_, to)] = &supply.terminals;
    let volts = limits::terminal_peak(supply, limits::highest(supply));
    Some(Store { part: id, reservoir: true, ends: (*from, *to), volts, capacitance, bleeder: None })
}

/// The capacitance of a store with that of all others across the same joints.
fn together(stores: &[Store], own: &Store) -> Farads {
    let across = |other: &&Store| other.ends == own.ends || (other.ends.1, other.ends.0) == own.ends;
    Farads::new(stores.iter().filter(across).map(|store| store.capacitance.value()).sum())
}

fn matters(volts: Volts, capacitance: Farads) -> bool {
    let coulombs = capacitance.value() * volts.value();
    let shocks = volts > MOIST_LIMIT && coulombs > HARMLESS_CHARGE;
    shocks || (volts > METER_LIMIT && discharge::energy(capacitance, volts) >= SPARK)
}

fn charge(stores: &[Store], own: &Store, dead: &[DeadNetwork]) -> StoredCharge {
    let capacitance = together(stores, own);
    let (through, constant) = match slowest(stores, own, dead) {
        Some((ohms, constant)) => (Some(ohms), Some(constant)),
        None => (own.bleeder, own.bleeder.map(|ohms| Seconds::new(ohms.value() * capacitance.value()))),
    };
    let wait = constant.map(|constant| wait(own.volts, constant)).filter(|wait| wait.to_meter <= LONGEST_WAIT);
    StoredCharge {
        part: own.part,
        reservoir: own.reservoir,
        volts: own.volts,
        capacitance,
        joules: discharge::energy(capacitance, own.volts),
        through,
        wait,
    }
}

/// The largest resistance and the largest time constant by which a charge leaves, over all settings;
/// none if in some setting it has no way out.
fn slowest(stores: &[Store], own: &Store, dead: &[DeadNetwork]) -> Option<(Ohms, Seconds)> {
    let mut most: Option<(f64, f64)> = None;
    for network in dead {
        let ohms = network.ohms(own.ends.0, own.ends.1).filter(|ohms| ohms.is_finite())?;
        let shared = |other: &Store| network.shared_ohms(own.ends, other.ends).abs() * other.capacitance.value();
        let constant = stores.iter().map(shared).sum::<f64>();
        let known = most.unwrap_or((0.0, 0.0));
        most = Some((known.0.max(ohms), known.1.max(constant)));
    }
    most.map(|(ohms, constant)| (Ohms::new(ohms), Seconds::new(constant)))
}

/// The highest voltage between two joints in any sequence: direct part and peak of the alternating part, scaled to the
/// highest healthy supply.
#[must_use]
pub fn highest_volts(machine: &Machine, solution: &Solution, from: JointId, to: JointId) -> Volts {
    let between = solution.sequences.iter().map(|solved| {
        let (one, other) = (solved.joints[from.0], solved.joints[to.0]);
        let alternating = (one.real - other.real).hypot(one.imaginary - other.imaginary);
        (one.direct - other.direct).abs() + alternating * std::f64::consts::SQRT_2
    });
    let scale = limits::supplies(machine)
        .map(|(_, supply)| limits::highest(supply) / supply.voltage.nominal.abs())
        .filter(|scale| scale.is_finite())
        .fold(1.0, f64::max);
    Volts::new(between.fold(0.0, f64::max) * scale)
}

/// Relays that keep their contacts when the power goes: those with a coil to move them back.
fn latched(machine: &Machine, solution: &Solution, sequence: SequenceId) -> BTreeSet<PartId> {
    let energised = solution.sequence(sequence).energised.iter().copied();
    energised
        .filter(|&part| matches!(&machine.part(part).kind, PartKind::Relay(relay) if relay.reset.is_some()))
        .collect()
}
