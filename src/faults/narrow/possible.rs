//! What a place can ever read: which supplies reach it, whichever way the contacts stand, and how much they give.
//!
//! Wires and parts join places into zones; the reference joins none, for it holds its voltage whoever draws on it. Within
//! a zone of resistances, coils and diodes nothing stands above the highest source or below the lowest. One fault may join
//! a zone with the metal of the cabinet, so what stands on that counts everywhere.

use std::f64::consts::SQRT_2;

use crate::machine::model::{Current, JointId, Law, Machine, PartKind, Supply};

/// Room for a light load and for the mains, on top of the supply's own band: common practice, no source.
const ROOM: f64 = 1.2;
/// Volts by which a meter may stand beside zero.
const NOTHING: f64 = 0.5;
/// By how much a capacitor that runs with a winding may raise AC: common practice, no source.
const RESONANCE: f64 = 2.0;

/// What the leads of a meter can find between two places.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Possible {
    /// Lowest DC volts.
    pub(super) low: f64,
    /// Highest DC volts.
    pub(super) high: f64,
    /// Highest AC volts.
    pub(super) alternating: f64,
    /// Supplies that reach one of the places.
    pub(super) supplies: Vec<String>,
}

impl Possible {
    /// Between the red and the black lead.
    pub(super) fn between(machine: &Machine, red: JointId, black: JointId) -> Self {
        let zones = Zones::of(machine);
        let (a, b) = (zones.reach(red), zones.reach(black));
        let supplies = |reached: &dyn Fn(usize) -> bool| {
            let ids = machine.parts.iter().enumerate().filter(|(part, _)| reached(*part));
            ids.map(|(_, part)| part.id.clone()).collect()
        };
        Self {
            low: ROOM * (a.low - b.high) - NOTHING,
            high: ROOM * (a.high - b.low) + NOTHING,
            alternating: ROOM * (a.alternating + b.alternating) + NOTHING,
            supplies: supplies(&|part| a.supplies.contains(&part) || b.supplies.contains(&part)),
        }
    }

    /// Whether a kind of current can come there at all.
    pub(super) fn carries(&self, current: Current) -> bool {
        match current {
            Current::Direct => self.low < -NOTHING || self.high > NOTHING,
            Current::Alternating => self.alternating > NOTHING,
        }
    }

    /// Whether a reading can come there.
    pub(super) fn holds(&self, volts: f64) -> bool {
        (self.low..=self.high).contains(&volts) || volts.abs() <= self.alternating
    }

    /// The most that any meter can show.
    pub(super) fn most(&self) -> f64 {
        self.high.max(-self.low).max(self.alternating)
    }
}

/// What reaches a joint, against the reference.
#[derive(Default)]
struct Reached {
    low: f64,
    high: f64,
    alternating: f64,
    /// Indices of parts.
    supplies: Vec<usize>,
}

struct Zones<'m> {
    machine: &'m Machine,
    of_joint: Vec<usize>,
}

impl<'m> Zones<'m> {
    fn of(machine: &'m Machine) -> Self {
        Self { machine, of_joint: crate::circuit::zones(machine) }
    }

    fn reach(&self, joint: JointId) -> Reached {
        let Machine { reference, frame, .. } = *self.machine;
        let mut reached = Reached::default();
        if joint == reference {
            return reached;
        }
        let metal = frame.filter(|&frame| frame != reference).map(|frame| self.of_joint[frame.0]);
        let zone = self.of_joint[joint.0];
        let near = |joint: JointId| {
            let own = self.of_joint[joint.0];
            joint != reference && (own == zone || metal.is_some_and(|metal| own == metal || zone == metal))
        };
        let laws =
            || self.machine.elements.iter().filter(|ends| near(ends.from) || near(ends.to)).map(|ends| &ends.law);
        let rectifies = laws().any(|law| matches!(law, Law::Junction));
        let raises = laws().any(|law| matches!(law, Law::Capacitance));
        let supplies = || {
            let parts = self.machine.parts.iter().enumerate();
            parts.filter_map(|(index, part)| match &part.kind {
                PartKind::Supply(supply) => Some((index, supply)),
                _ => None,
            })
        };
        let is_near = |supply: &Supply| supply.terminals.iter().any(|(_, joint)| near(*joint));
        // A place that no supply is drawn to may still be fed by a way that nobody drew.
        let fed = supplies().any(|(_, supply)| is_near(supply));
        let mut near: Vec<(usize, &Supply)> = supplies().filter(|(_, supply)| !fed || is_near(supply)).collect();
        near.sort_by_key(|(_, supply)| floats(supply, reference));
        for (index, supply) in near {
            reached.supplies.push(index);
            reached.add(supply, reference);
        }
        if rectifies {
            reached.low = reached.low.min(-SQRT_2 * reached.alternating);
            reached.high = reached.high.max(SQRT_2 * reached.alternating);
        }
        if raises {
            reached.alternating *= RESONANCE;
        }
        reached
    }
}

impl Reached {
    /// A supply beside others on the reference gives no more than the highest; one that floats may stand upon another.
    fn add(&mut self, supply: &Supply, reference: JointId) {
        let volts = supply.voltage.high.value();
        let floats = floats(supply, reference);
        if supply.current == Current::Alternating && supply.rectifier.is_none() {
            self.alternating = if floats { self.alternating + volts } else { self.alternating.max(volts) };
            return;
        }
        // A reservoir without load holds the peak.
        let volts = if supply.rectifier.is_some() { SQRT_2 * volts } else { volts };
        if floats {
            (self.low, self.high) = (self.low - volts, self.high + volts);
        } else if supply.terminals[1].1 == reference {
            self.high = self.high.max(volts);
        } else {
            self.low = self.low.min(-volts);
        }
    }
}

/// Whether neither terminal of a supply is the reference.
fn floats(supply: &Supply, reference: JointId) -> bool {
    supply.terminals.iter().all(|(_, joint)| *joint != reference)
}
