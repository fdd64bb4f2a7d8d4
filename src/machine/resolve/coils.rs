//! Windings of relays, solenoids and motors.

use super::builder::Builder;
use super::declare::{Made, check_positive, origin, two_terminals};
use super::defaults;
use crate::machine::model::{Coil, Current, Law, Origin, PartKind, Toleranced};
use crate::spec::format::{Id, MotorSection, Placement, SolenoidSection, Winding};
use crate::spec::kind::Kind;
use crate::spec::units::Ohms;
use crate::spec::values::Quantity;

pub(super) fn solenoid(builder: &mut Builder<'_>, section: &SolenoidSection) -> Made {
    let coil = coil(builder, &section.id, &section.winding, &section.placement);
    (PartKind::Solenoid(coil), two_terminals(&section.id.name, "A1", "A2", Law::Winding))
}

pub(super) fn motor(builder: &mut Builder<'_>, section: &MotorSection) -> Made {
    let mut coil = coil(builder, &section.id, &section.winding, &section.placement);
    // Running, a motor makes a voltage of its own against the supply: volts over amperes is not its resistance.
    coil.ohms_known = section.winding.coil.is_some();
    (PartKind::Motor(coil), two_terminals(&section.id.name, "A1", "A2", Law::Winding))
}

/// A winding from what the section says of it.
pub(super) fn coil(builder: &mut Builder<'_>, id: &Id, winding: &Winding, placement: &Placement) -> Coil {
    check_winding(builder, winding);
    let origin = origin(placement);
    let nominal = winding.nominal.volts.nominal;
    let current = winding.nominal.current;
    let alternating = current == Current::Alternating;
    let impedance = impedance(winding, origin).filter(|_| alternating);
    let resistance = resistance(builder, id, winding, impedance.as_ref(), origin);
    if let Some(impedance) = &impedance
        && impedance.nominal < resistance.nominal * 0.999
    {
        builder.error(Kind::ImpedanceBelowResistance { id: id.name.clone() }, id.place);
    }
    let release_share = if alternating { defaults::RELEASE_ALTERNATING } else { defaults::RELEASE_DIRECT };
    let operate = winding.operate.map_or(nominal * defaults::OPERATE, |level| level.of(nominal));
    let release = winding.release.map_or(nominal * release_share, |level| level.of(nominal));
    if release > operate {
        builder.error(Kind::ReleaseAboveOperate { id: id.name.clone() }, id.place);
    }
    Coil {
        resistance,
        ohms_known: winding.coil.is_some() || !alternating,
        inductance: winding.inductance.as_ref().map(|inductance| inductance.nominal),
        impedance,
        power_factor: winding.power_factor.map(|number| number.value),
        nominal,
        current,
        operate,
        release,
        duty: winding.duty.clone(),
    }
}

fn check_winding(builder: &mut Builder<'_>, winding: &Winding) {
    check_positive(builder, &winding.nominal.volts);
    if let Some(coil) = &winding.coil {
        check_positive(builder, coil);
    }
    if let Some(current) = &winding.current {
        check_positive(builder, current);
    }
    if let Some(number) = winding.power_factor.filter(|number| !(number.value > 0.0 && number.value <= 1.0)) {
        let found = number.value.to_string();
        builder.error(Kind::PowerFactor { found }, number.place);
    }
}

/// Impedance as given, or rated volts over rated amps.
fn impedance(winding: &Winding, origin: Origin) -> Option<Toleranced<Ohms>> {
    if let Some(impedance) = &winding.impedance {
        return Some(impedance.toleranced(defaults::SPREAD, origin));
    }
    from_current(winding, origin)
}

fn from_current(winding: &Winding, origin: Origin) -> Option<Toleranced<Ohms>> {
    let current = winding.current.as_ref()?;
    let ohms = winding.nominal.volts.nominal / current.nominal;
    let quantity = Quantity {
        nominal: ohms,
        span: None,
        origin: current.origin,
        source: current.source.clone(),
        place: current.place,
    };
    Some(quantity.toleranced(defaults::SPREAD, origin))
}

/// Resistance as given; else rated volts over amps (DC), or the share of the impedance that the power factor names (AC).
fn resistance(
    builder: &mut Builder<'_>,
    id: &Id,
    winding: &Winding,
    impedance: Option<&Toleranced<Ohms>>,
    origin: Origin,
) -> Toleranced<Ohms> {
    if let Some(coil) = &winding.coil {
        return coil.toleranced(defaults::SPREAD, origin);
    }
    if winding.nominal.current == Current::Direct {
        if let Some(resistance) = from_current(winding, origin) {
            return resistance;
        }
    } else if let Some(impedance) = impedance {
        let factor = winding.power_factor.map_or(defaults::POWER_FACTOR, |number| number.value);
        let share = |ohms: Ohms| Ohms::new(ohms.value() * factor);
        return Toleranced {
            nominal: share(impedance.nominal),
            low: share(impedance.low),
            high: share(impedance.high),
            origin: if winding.power_factor.is_some() { Origin::Estimated } else { Origin::Default },
            source: impedance.source.clone(),
        };
    }
    if !id.name.is_empty() {
        let alternating = winding.nominal.current == Current::Alternating;
        let keys: &'static [&'static str] =
            if alternating { &["coil", "impedance", "current"] } else { &["coil", "current"] };
        builder.error(Kind::MissingEither { section: "a winding", keys }, id.place);
    }
    Toleranced::exactly(Ohms::new(1.0), Origin::Default)
}
