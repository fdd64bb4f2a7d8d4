//! What a good part measures with the power off, so that a step can say when it is bad.

use crate::machine::model::{ElementId, Law, Machine, PartKind, Toleranced};
use crate::spec::units::Ohms;

use super::super::kinds::{Site, UsualCheck};
use super::bins::{Bin, Level};
use super::checks::CheckKind;

/// Ohms of leads and probes: less than this is as good as none.
const LEADS: f64 = 1.0;

/// Ohms from which a diode counts as blocking and a capacitor as whole: common practice, no source.
const INSULATES: f64 = 1e4;

/// The span of a good part; none where hand or eye tells, or the description does not know.
pub(super) fn good(machine: &Machine, kind: CheckKind) -> Option<Bin> {
    let CheckKind::Usual(Site::Element(element), usual) = kind else { return None };
    match usual {
        UsualCheck::FuseOut | UsualCheck::Continuity => {
            let own = match &machine.part(machine.element(element).part).kind {
                PartKind::Fuse(fuse) => fuse.cold.high.value(),
                _ => 0.0,
            };
            Some(Bin { low: f64::NEG_INFINITY, high: own + LEADS, level: Level::Healthy })
        }
        UsualCheck::OhmsLifted if insulates(machine, element) => {
            Some(Bin { low: INSULATES, high: f64::INFINITY, level: Level::Healthy })
        }
        UsualCheck::OhmsLifted => {
            let ohms = ohms(machine, element)?;
            Some(Bin { low: ohms.low.value(), high: ohms.high.value(), level: Level::Healthy })
        }
        _ => None,
    }
}

/// Whether a good one does not conduct: a diode the way it blocks, a capacitor once charged.
fn insulates(machine: &Machine, element: ElementId) -> bool {
    matches!(machine.element(element).law, Law::Junction | Law::Capacitance)
}

/// DC ohms of a winding or a resistor as the description has them.
fn ohms(machine: &Machine, element: ElementId) -> Option<&Toleranced<Ohms>> {
    match &machine.part(machine.element(element).part).kind {
        PartKind::Resistor(resistor) => Some(&resistor.resistance),
        _ => machine.winding_ohms(element),
    }
}
