//! What a learner means by an answer: a place on the machine, however it was written.
//!
//! A place may be named as the key prints it, by its designator alone (`W54` for the wire, `J3 pin 7` for `J3:7`), in any
//! language of the sheets, with the fault behind it, and with its terminals in any order. What names no place, or could
//! mean several, is refused instead of being scored as wrong.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use crate::faults::dictionary::Dictionary;
use crate::faults::kinds::{Fault, Site};
use crate::machine::model::{Law, Machine};
use crate::words::{Fact, Words};

use super::log::LogError;

/// Words around a designator that say nothing more, in the languages of the sheets.
const FILLING: [&str; 32] = [
    "wire",
    "pin",
    "contact",
    "contacts",
    "fuse",
    "lamp",
    "plug",
    "relay",
    "switch",
    "part",
    "no",
    "of",
    "the",
    "at",
    "or",
    "its",
    "clips",
    "draht",
    "stift",
    "kontakt",
    "kontakte",
    "sicherung",
    "lampe",
    "stecker",
    "relais",
    "schalter",
    "teil",
    "nr",
    "oder",
    "ihre",
    "klemmen",
    "von",
];

/// What the places of a machine may be called.
pub struct Places<'a> {
    machine: &'a Machine,
    names: BTreeMap<Site, BTreeSet<Vec<String>>>,
}

impl<'a> Places<'a> {
    /// The places of all faults in a dictionary.
    #[must_use]
    pub fn of(machine: &'a Machine, dictionary: &Dictionary) -> Self {
        let mut names: BTreeMap<Site, BTreeSet<Vec<String>>> = BTreeMap::new();
        for fault in &dictionary.faults {
            names.entry(fault.site).or_default().extend(names_of(machine, fault));
        }
        Self { machine, names }
    }

    /// The place that an answer names, as [`Site::label`] says it; none for an answer that is empty.
    ///
    /// # Errors
    /// When it names no place of this machine, or could mean several.
    pub fn named(&self, answer: &str) -> Result<Option<Fact>, LogError> {
        let said = essence(answer);
        if said.is_empty() {
            return Ok(None);
        }
        let mut meant = self.names.iter().filter(|(_, known)| known.contains(&said)).map(|(site, _)| *site);
        match (meant.next(), meant.next()) {
            (Some(site), None) => Ok(Some(site.label(self.machine))),
            (found, _) => {
                let near = self.names.keys().filter(|site| said.contains(&designator(self.machine, **site)));
                let near = near.map(|site| site.label(self.machine)).collect();
                Err(LogError::UnclearPlace { answer: answer.trim().into(), several: found.is_some(), near })
            }
        }
    }
}

/// The languages of the sheets.
pub(super) fn languages() -> &'static [Words] {
    static LANGUAGES: OnceLock<Vec<Words>> = OnceLock::new();
    LANGUAGES.get_or_init(|| crate::assets::languages().filter_map(|(code, _)| Words::of(code)).collect())
}

/// Everything that a fault's place may be called.
fn names_of(machine: &Machine, fault: &Fault) -> Vec<Vec<String>> {
    let said =
        languages().iter().flat_map(|words| [words.say(&fault.site.label(machine)), words.say(&fault.label(machine))]);
    let mut names: Vec<String> = said.collect();
    match fault.site {
        // A winding that bears the designator of its part shares it with the mechanism: alone it would mean both.
        Site::Element(id) if matches!(machine.element(id).law, Law::Winding | Law::ResetWinding) => {}
        Site::Element(id) => names.push(machine.element(id).name.clone()),
        Site::Group(part) => {
            names.extend(machine.declared_with(part).iter().map(|&member| machine.part(member).id.clone()));
            names.extend(fault.element.map(|element| machine.element(element).name.clone()));
        }
        Site::Whole(_) => {}
    }
    names.iter().map(|name| essence(name)).collect()
}

/// The designator of the part at a place, as it stands in an essence.
fn designator(machine: &Machine, site: Site) -> String {
    machine.part(site.part(machine)).id.to_lowercase()
}

/// The words and numbers of a name that say which place it is, in an order of their own.
pub(super) fn essence(name: &str) -> Vec<String> {
    let lower = name.to_lowercase();
    let pieces = lower.split(|letter: char| !letter.is_alphanumeric()).filter(|piece| !piece.is_empty());
    let mut pieces: Vec<String> = pieces.filter(|piece| !FILLING.contains(piece)).map(str::to_string).collect();
    pieces.sort();
    pieces
}
