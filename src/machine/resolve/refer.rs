//! Looks up what parts refer to: twins, motors, stepping coils, bleeders.

use super::builder::Builder;
use super::declare::{Reference, Referring};
use crate::machine::model::{PartId, PartKind};
use crate::spec::kind::Kind;

/// Fills in every reference; one to nothing is a message.
pub(super) fn resolve(builder: &mut Builder<'_>, references: &[Referring]) {
    for reference in references {
        if matches!(reference.how, Reference::Across) {
            continue;
        }
        let name = &reference.name;
        let Some(target) = builder.part_named(&name.value) else {
            let nearest = builder.nearest_part(&name.value);
            builder.error(Kind::UnknownPart { name: name.value.clone(), nearest }, name.place);
            continue;
        };
        if let Some(expected) = refused(builder, &reference.how, target) {
            let what = builder.noun(target);
            builder.error(Kind::WrongPart { id: name.value.clone(), what, expected }, name.place);
            continue;
        }
        fill_in(builder, reference.part, &reference.how, target);
    }
}

/// What was expected, where the target is of the wrong kind.
fn refused(builder: &Builder<'_>, how: &Reference, target: PartId) -> Option<&'static str> {
    let kind = &builder.parts[target.0].kind;
    let (good, expected) = match how {
        Reference::Twin | Reference::Across => (true, ""),
        Reference::DrivenBy => (matches!(kind, PartKind::Motor(_) | PartKind::Solenoid(_)), "a motor or a solenoid"),
        Reference::SteppedBy => (matches!(kind, PartKind::Solenoid(_) | PartKind::Relay(_)), "a solenoid or a relay"),
        Reference::Bleeder => (matches!(kind, PartKind::Resistor(_)), "a resistor"),
    };
    (!good).then_some(expected)
}

fn fill_in(builder: &mut Builder<'_>, part: PartId, how: &Reference, target: PartId) {
    match (how, &mut builder.parts[part.0].kind) {
        (Reference::Twin, _) => {
            // Twins are twins both ways.
            for (one, other) in [(part, target), (target, part)] {
                let twins = &mut builder.parts[one.0].twins;
                if one != other && !twins.contains(&other) {
                    twins.push(other);
                }
            }
        }
        (Reference::DrivenBy, PartKind::Cam(cam)) => cam.driven_by = Some(target),
        (Reference::DrivenBy, PartKind::Selector(selector)) => selector.driven_by = Some(target),
        (Reference::SteppedBy, PartKind::Selector(selector)) => selector.stepped_by.push(target),
        (Reference::Bleeder, PartKind::Capacitor(capacitor)) => capacitor.bleeder = Some(target),
        _ => {}
    }
}
