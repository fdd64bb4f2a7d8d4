//! Stored charge: which capacitors hold something worth a warning once the plug is out, and how long it takes to leave.
//!
//! t = R C ln(V0/Vt), with the highest voltage and the largest capacitance of a healthy machine,
//! over the setting of switches in which the charge leaves slowest. Energy is C V²/2, charge C V. Where no setting is sure
//! to lead the charge away, a discharge tool is worked out instead of a waiting time.

use std::collections::BTreeSet;

use super::{Material, cautions};
use crate::circuit::Change;
use crate::machine::model::{ElementId, JointId, PartId, PartKind, RectifierForm, SequenceId, Supply};
use crate::spec::units::{Farads, Ohms, Seconds, Volts, Watts};
use crate::words::Words;

/// Charge below which a voltage does no harm, in coulombs (IEC 60204-1 clause 6.2.4, restated).
const HARMLESS_CHARGE: f64 = 60e-6;
/// Energy from which a discharge sparks, pits a contact or ruins a meter, in joules; common practice, no source.
const SPARK: f64 = 0.05;
/// Voltage below which an ohmmeter may be joined to a capacitor.
const METER_LIMIT: Volts = Volts::new(5.0);
/// Time in which a discharge tool should do its work.
const TOOL_TIME: Seconds = Seconds::new(5.0);
/// Waiting longer than this is not asked of anybody; a tool is asked for instead.
const LONGEST_WAIT: Seconds = Seconds::new(1800.0);

/// A charge that stays after the plug is out.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredCharge {
    /// The capacitor, or the supply whose reservoir it is.
    pub part: PartId,
    /// How paper names it.
    pub name: String,
    /// The highest healthy voltage on it.
    pub volts: Volts,
    /// Its largest healthy capacitance.
    pub capacitance: Farads,
    /// What it holds.
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
    /// The waiting time as it is printed: until the lower of the limits that matter.
    #[must_use]
    pub fn wait_text(&self, words: &Words) -> String {
        self.wait.map_or_else(
            || crate::words::figures::UNKNOWN.into(),
            |wait| words.numerals.duration(wait.to_meter.value()),
        )
    }

    /// The largest E6 resistance that discharges it in time.
    #[must_use]
    pub fn tool(&self) -> Ohms {
        let most = TOOL_TIME.value() / (self.capacitance.value() * (self.volts / METER_LIMIT).ln());
        Ohms::new(preferred_below(most))
    }

    /// Heat in the tool at the first moment.
    #[must_use]
    pub fn tool_heat(&self) -> Watts {
        Watts::new(self.volts.value().powi(2) / self.tool().value())
    }

    /// The discharge tool in words.
    #[must_use]
    pub fn tool_text(&self, words: &Words) -> String {
        words.fill("discharge.tool", &[("ohms", &words.numerals.quantity(self.tool()))])
    }
}

/// The largest value of the E6 series that is not above `most`, between 1 Ω and 1 MΩ.
fn preferred_below(most: f64) -> f64 {
    const E6: [f64; 6] = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8];
    let all = (0..6).flat_map(|decade| E6.map(|step| step * 10_f64.powi(decade)));
    all.filter(|value| *value <= most).fold(1.0, f64::max)
}

/// All charges worth a word, in the order of the parts.
#[must_use]
pub fn stored_charges(material: &Material<'_>) -> Vec<StoredCharge> {
    let machine = material.machine;
    let charges = (0..machine.parts.len()).map(PartId).filter_map(|id| match &machine.part(id).kind {
        PartKind::Capacitor(_) => capacitor(material, id),
        PartKind::Supply(supply) => reservoir(material, id, supply),
        _ => None,
    });
    charges.collect()
}

fn capacitor(material: &Material<'_>, id: PartId) -> Option<StoredCharge> {
    let machine = material.machine;
    let part = machine.part(id);
    let PartKind::Capacitor(capacitor) = &part.kind else { return None };
    let &element = part.elements.first()?;
    let (from, to) = (machine.element(element).from, machine.element(element).to);
    let volts = highest_volts(material, from, to);
    let bleeder = capacitor.bleeder.and_then(|bleeder| match &machine.part(bleeder).kind {
        PartKind::Resistor(resistor) => Some(resistor.resistance.high),
        _ => None,
    });
    let through = slowest_path(material, from, to, element)
        .map_or(bleeder, |path| Some(bleeder.filter(|bleeder| *bleeder < path).unwrap_or(path)));
    charge(id, part.id.clone(), volts, capacitor.capacitance.high, through)
}

/// The reservoir behind a rectifier charges to the peak of the winding when nothing loads it.
fn reservoir(material: &Material<'_>, id: PartId, supply: &Supply) -> Option<StoredCharge> {
    let rectifier = supply.rectifier.as_ref()?;
    let capacitance = rectifier.reservoir?;
    let drops = if rectifier.form == RectifierForm::Bridge { 2.0 } else { 1.0 };
    let peak = supply.voltage.high.value() * std::f64::consts::SQRT_2 - drops * rectifier.forward.value();
    let part = material.machine.part(id);
    let &source = part.elements.first()?;
    let [(_, from), (_, to)] = &supply.terminals;
    let name = material.options.words.fill("discharge.reservoir", &[("supply", &part.id)]);
    charge(id, name, Volts::new(peak), capacitance, slowest_path(material, *from, *to, source))
}

fn charge(
    part: PartId,
    name: String,
    volts: Volts,
    capacitance: Farads,
    through: Option<Ohms>,
) -> Option<StoredCharge> {
    let coulombs = capacitance.value() * volts.value();
    let joules = coulombs * volts.value() / 2.0;
    let shocks = volts > cautions::TOUCH_LIMIT && coulombs > HARMLESS_CHARGE;
    let sparks = volts > METER_LIMIT && joules >= SPARK;
    (shocks || sparks).then(|| {
        let wait = through.map(|ohms| wait(volts, capacitance, ohms)).filter(|wait| wait.to_meter <= LONGEST_WAIT);
        StoredCharge { part, name, volts, capacitance, joules, through, wait }
    })
}

/// Times to the touch limit and to the meter limit through a resistance.
#[must_use]
pub fn wait(volts: Volts, capacitance: Farads, ohms: Ohms) -> Wait {
    let seconds = |target: Volts| Seconds::new(ohms.value() * capacitance.value() * (volts / target).ln());
    Wait {
        to_touch: (volts > cautions::TOUCH_LIMIT).then(|| seconds(cautions::TOUCH_LIMIT)),
        to_meter: seconds(METER_LIMIT),
    }
}

/// The highest voltage between two joints in any sequence: direct part and peak of the alternating part, scaled to the
/// highest healthy supply.
#[must_use]
pub fn highest_volts(material: &Material<'_>, from: JointId, to: JointId) -> Volts {
    let highest = material
        .solution
        .sequences
        .iter()
        .map(|solved| {
            let (one, other) = (solved.joints[from.0], solved.joints[to.0]);
            let alternating = (one.real - other.real).hypot(one.imaginary - other.imaginary);
            (one.direct - other.direct).abs() + alternating * std::f64::consts::SQRT_2
        })
        .fold(0.0, f64::max);
    let scale = cautions::supplies(material.machine)
        .map(|(_, supply)| supply.voltage.high / supply.voltage.nominal)
        .filter(|scale| scale.is_finite())
        .fold(1.0, f64::max);
    Volts::new(highest * scale)
}

/// The largest resistance that joins two joints with the power off, over the settings of all sequences, the capacitor or
/// source itself left out; none if some setting joins them by nothing.
fn slowest_path(material: &Material<'_>, from: JointId, to: JointId, own: ElementId) -> Option<Ohms> {
    let sequences = &material.machine.sequences;
    let paths: Option<Vec<f64>> = sequences
        .iter()
        .enumerate()
        .map(|(index, sequence)| {
            let latched = latched(material, SequenceId(index));
            let changes = [Change::Open(own)];
            let ohms = material.solver.dead_ohms(&sequence.setting, &latched, (from, to), None, &changes)?;
            Some(ohms).filter(|ohms| ohms.is_finite())
        })
        .collect();
    let largest = paths?.into_iter().reduce(f64::max)?;
    Some(Ohms::new(largest))
}

/// Relays that keep their contacts when the power goes: those with a coil to move them back.
fn latched(material: &Material<'_>, sequence: SequenceId) -> BTreeSet<PartId> {
    let energised = &material.solution.sequence(sequence).energised;
    energised
        .iter()
        .copied()
        .filter(|&part| matches!(&material.machine.part(part).kind, PartKind::Relay(relay) if relay.reset.is_some()))
        .collect()
}
