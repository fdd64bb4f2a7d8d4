//! Faults as they are typed: `F2=open`, `K1:5-6=dirty`, `S10=stuck-closed`.
//!
//! Every kind is one of the fault room's catalogue for that part; `shorted` holds for anything, and so does `open` where the
//! catalogue has none.

use super::answer::Complaint;
use crate::circuit::Change;
use crate::faults::kinds::{self, Fault};
use crate::machine::model::{ElementId, Machine, PartId};

/// All changes to the machine that were typed.
///
/// # Errors
/// Something that is not `PART=KIND`, a part or kind that the machine does not have.
pub fn read(machine: &Machine, typed: &[String]) -> Result<Vec<Change>, Complaint> {
    typed.iter().map(|text| read_one(machine, text)).collect::<Result<Vec<_>, _>>().map(|changes| changes.concat())
}

fn read_one(machine: &Machine, typed: &str) -> Result<Vec<Change>, Complaint> {
    let (name, kind) = typed.split_once('=').ok_or_else(|| {
        Complaint::new(format!("expected a part and what is wrong with it such as `F2=open`, found `{typed}`"))
    })?;
    let place = find(machine, name.trim())?;
    let kind = kind.trim();
    match kind {
        // Of a relay, `open` is the coil alone, as everywhere else; every part without such a fault opens as a whole.
        "open" => from_catalogue(machine, &place, name, kind)
            .or_else(|_| Ok(place.elements.into_iter().map(Change::Open).collect())),
        "shorted" => Ok(place.elements.into_iter().map(Change::Short).collect()),
        _ => from_catalogue(machine, &place, name, kind),
    }
}

/// What a name stands for.
struct Place {
    part: PartId,
    elements: Vec<ElementId>,
}

fn find(machine: &Machine, name: &str) -> Result<Place, Complaint> {
    if let Some(part) = machine.part_named(name) {
        return Ok(Place { part, elements: machine.part(part).elements.clone() });
    }
    if let Some(element) = machine.elements.iter().position(|element| element.name == name) {
        return Ok(Place { part: machine.elements[element].part, elements: vec![ElementId(element)] });
    }
    let known = machine
        .parts
        .iter()
        .map(|part| part.id.as_str())
        .chain(machine.elements.iter().map(|element| element.name.as_str()));
    let complaint = Complaint::new(format!("there is no part or contact `{name}`"));
    Err(match nearest(name, known) {
        Some(near) => complaint.hint(format!("did you mean `{near}`?")),
        None => complaint,
    })
}

/// The fault of this kind; of one that comes in sizes, the gravest.
fn from_catalogue(machine: &Machine, place: &Place, name: &str, kind: &str) -> Result<Vec<Change>, Complaint> {
    let here: Vec<Fault> = kinds::catalogue(machine)
        .into_iter()
        .filter(|fault| {
            fault.part == place.part && fault.element.is_none_or(|element| place.elements.contains(&element))
        })
        .collect();
    let gravest = here
        .iter()
        .filter(|fault| fault.kind.name() == kind)
        .max_by(|one, other| one.size.unwrap_or(0.0).total_cmp(&other.size.unwrap_or(0.0)));
    match gravest {
        Some(fault) => Ok(fault.changes.clone()),
        None => Err(unknown_kind(&here, name, kind)),
    }
}

fn unknown_kind(here: &[Fault], name: &str, kind: &str) -> Complaint {
    let mut known = vec!["open", "shorted"];
    known.extend(here.iter().map(|fault| fault.kind.name()));
    known.sort_unstable();
    known.dedup();
    Complaint::new(format!("`{name}` cannot be `{kind}`")).hint(format!("it can be {}", known.join(", ")))
}

/// The nearest of some names, if it is near at all.
pub fn nearest<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    known
        .map(|candidate| (strsim::damerau_levenshtein(&name.to_lowercase(), &candidate.to_lowercase()), candidate))
        .filter(|(distance, candidate)| *distance <= 1 + candidate.len() / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}
