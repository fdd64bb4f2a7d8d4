//! Checks in English, for the terminal. Paper composes its own words from the same facts.

use crate::circuit::results::Reading;
use crate::machine::model::{Current, Machine};
use crate::spec::units::{Unit, Volts};

use super::kinds::{Site, UsualCheck};
use super::order::{Bin, CheckKind, Level};

/// Says a check in a few words.
#[must_use]
pub fn check(machine: &Machine, kind: CheckKind) -> String {
    match kind {
        CheckKind::Volts(point) => {
            let point = &machine.test_points[point.0];
            format!("{} to {}, live", point.id, machine.joint(point.reference).name)
        }
        CheckKind::SupplyVolts(part) => format!("volts at the terminals of {}, live", machine.part(part).id),
        CheckKind::Drop(element) => format!("drop across {}, live", machine.element(element).name),
        CheckKind::Amps(part) => format!("amps in place of fuse {}, live", machine.part(part).id),
        CheckKind::Usual(site, usual) => usual_check(machine, site, usual),
        CheckKind::Swap(part, twin) => {
            format!("swap {} with {} and try again", machine.part(part).id, machine.part(twin).id)
        }
        CheckKind::Try(sequence) => {
            let sequence = &machine.sequences[sequence.0];
            format!("try sequence {}, {}: does it fail too?", sequence.number, sequence.title)
        }
    }
}

fn usual_check(machine: &Machine, site: Site, usual: UsualCheck) -> String {
    let place = site.label(machine);
    match usual {
        UsualCheck::Drop => format!("{place}: contact looked at and cleaned, power off"),
        UsualCheck::OhmsLifted => format!("{place}: ohms with one lead lifted, power off"),
        UsualCheck::FuseOut => format!("{place}: fuse out and measured, power off"),
        UsualCheck::Continuity => format!("{place}: continuity from end to end, power off"),
        UsualCheck::DiodeTest => format!("{place}: diode test with one lead lifted, power off"),
        UsualCheck::ByHand => format!("{place}: moved by hand, power off"),
        UsualCheck::TurnByHand => format!("{place}: turned by hand, watching its contacts, power off"),
        UsualCheck::SupplyVolts => format!("{place}: volts at its terminals, live"),
        UsualCheck::Look => format!("{place}: a look, compared with what should be there"),
    }
}

/// Says a span of volts, amps or ohms in the given symbol's unit.
#[must_use]
pub fn span<U: Unit>(bin: &Bin) -> String {
    match (bin.level, bin.low.is_finite(), bin.high.is_finite()) {
        (Level::Nothing, ..) => "nothing".into(),
        (_, true, true) => format!("{} to {}", U::new(bin.low), U::new(bin.high)),
        (_, true, false) => format!("over {}", U::new(bin.low)),
        (_, false, true) => format!("below {}", U::new(bin.high)),
        (_, false, false) => "anything".into(),
    }
}

/// Volts with their kind of current, as a meter is set.
#[must_use]
pub fn volts(value: f64, quantity: Current) -> String {
    match quantity {
        Current::Direct => format!("{} dc", Volts::new(value)),
        Current::Alternating => format!("{} ac", Volts::new(value)),
    }
}

/// The reading of a point in a solved sequence, by kind of current.
#[must_use]
pub fn reading(reading: &Reading) -> String {
    volts(reading.nominal, reading.quantity)
}
