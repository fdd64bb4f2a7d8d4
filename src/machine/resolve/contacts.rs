//! Parts with contacts: relays, switches, cams, selectors.

use super::builder::{Builder, Link, Links, Reached};
use super::coils;
use super::declare::{Made, check_positive, origin};
use super::defaults;
use super::joints::Naming;
use crate::machine::model::{
    Contact, ContactForm, Gate, JointId, Law, PartId, PartKind, Relay, Selector, Switch, Toleranced,
};
use crate::spec::diagnostic::{Diagnostic, Place};
use crate::spec::format::{CamSection, FormWord, RelaySection, RestWord, SelectorSection, SwitchSection};
use crate::spec::kind::Kind;
use crate::spec::range;
use crate::spec::units::{Amperes, Ohms};
use crate::spec::values::{Entries, Located, Quantity};

/// Most rings of a selector.
const MOST_RINGS: usize = 16;

/// Joint of the wiper of a selector.
pub(super) const WIPER: &str = "W";

pub(super) fn relay(builder: &mut Builder<'_>, section: &RelaySection) -> Made {
    let coil = coils::coil(builder, &section.id, &section.winding, &section.placement);
    let reset = section.reset_coil.as_ref().map(|ohms| {
        check_positive(builder, ohms);
        let resistance = ohms.toleranced(defaults::SPREAD, origin(&section.placement));
        let impedance = section.reset_impedance.as_ref();
        let impedance = impedance.map(|ohms| ohms.toleranced(defaults::SPREAD, origin(&section.placement)));
        crate::machine::model::Coil { resistance, ohms_known: true, impedance, inductance: None, ..coil.clone() }
    });
    let contact_rating = rating(builder, section.contact_rating.as_ref());
    let mut links = vec![Link::new("A1", "A2", section.id.name.clone(), Law::Winding)];
    if reset.is_some() {
        links.push(Link::new("B1", "B2", format!("{}:B1-B2", section.id.name), Law::ResetWinding));
    }
    let relay = PartId(builder.parts.len());
    let closed = closed(section.closed.as_ref(), origin(&section.placement));
    let taken: Vec<String> = links.iter().flat_map(|link| [link.from.clone(), link.to.clone()]).collect();
    let contacts = contacts(builder, section.contacts.as_ref(), &taken);
    for contact in &contacts {
        links.extend(contact_links(&section.id.name, contact, &closed, |when| Gate::Relay {
            relay,
            when_energised: when,
        }));
    }
    (PartKind::Relay(Relay { coil, reset, contacts, contact_rating }), Links { links, bare: Some(0) })
}

pub(super) fn switch(builder: &mut Builder<'_>, section: &SwitchSection) -> Made {
    let id = (section.id.name.as_str(), section.written);
    let closed = closed(section.closed.as_ref(), origin(&section.placement));
    let (contacts, links) = hand_contacts(builder, id, section.rest, section.contacts.as_ref(), &closed);
    let operated_by = section.operated_by.clone();
    let contact_rating = rating(builder, section.contact_rating.as_ref());
    (PartKind::Switch(Switch { contacts, driven_by: None, timing: None, operated_by, contact_rating }), links)
}

pub(super) fn cam(builder: &mut Builder<'_>, section: &CamSection) -> Made {
    let id = (section.id.name.as_str(), section.written);
    let closed = closed(section.closed.as_ref(), origin(&section.placement));
    let (contacts, links) = hand_contacts(builder, id, section.rest, section.contacts.as_ref(), &closed);
    let timing = section.timing.clone();
    let contact_rating = rating(builder, section.contact_rating.as_ref());
    (PartKind::Cam(Switch { contacts, driven_by: None, timing, operated_by: None, contact_rating }), links)
}

fn rating(builder: &mut Builder<'_>, stated: Option<&Quantity<Amperes>>) -> Option<Amperes> {
    stated.map(|rating| {
        check_positive(builder, rating);
        rating.nominal
    })
}

fn closed(stated: Option<&Quantity<Ohms>>, origin: crate::machine::model::Origin) -> Toleranced<Ohms> {
    stated.map_or_else(defaults::closed_contact, |closed| closed.toleranced(0.0, origin))
}

/// Contacts of a switch or cam: one by its rest position, or several by their terminals.
fn hand_contacts(
    builder: &mut Builder<'_>,
    (id, written): (&str, Place),
    rest: Option<RestWord>,
    stated: Option<&Entries<FormWord>>,
    closed: &Toleranced<Ohms>,
) -> (Vec<Contact>, Links) {
    if rest.is_some() && stated.is_some() {
        builder.error(Kind::RestAndContacts, written);
    }
    let contacts = if let Some(stated) = stated {
        if stated.0.is_empty() {
            builder.error(Kind::NoContacts, written);
        }
        contacts(builder, Some(stated), &[])
    } else {
        let form = if rest == Some(RestWord::Closed) { ContactForm::Break } else { ContactForm::Make };
        vec![Contact { terminals: "1-2".into(), form }]
    };
    let switch = PartId(builder.parts.len());
    let mut links: Vec<Link> = Vec::new();
    for contact in &contacts {
        links.extend(contact_links(id, contact, closed, |when| Gate::Hand { switch, when_operated: when }));
    }
    let only = links.len() == 1;
    if only {
        links[0].name = id.to_string();
    }
    (contacts, Links { links, bare: only.then_some(0) })
}

/// The contacts as written, checked: as many terminals as the form wants, none in two contacts.
fn contacts(builder: &mut Builder<'_>, stated: Option<&Entries<FormWord>>, taken: &[String]) -> Vec<Contact> {
    let mut seen: Vec<(String, Option<Place>)> = taken.iter().map(|name| (name.clone(), None)).collect();
    let mut contacts = Vec::new();
    for (terminals, form) in stated.into_iter().flat_map(|stated| &stated.0) {
        let (form, expected, word) = match form {
            FormWord::Make => (ContactForm::Make, 2, "make"),
            FormWord::Break => (ContactForm::Break, 2, "break"),
            FormWord::ChangeOver => (ContactForm::ChangeOver, 3, "change-over"),
        };
        let names: Vec<&str> = terminals.value.split('-').map(str::trim).collect();
        if names.len() != expected || names.iter().any(|name| name.is_empty()) {
            let kind = Kind::ContactTerminals { form: word, expected, found: terminals.value.clone() };
            builder.error(kind, terminals.place);
            continue;
        }
        check_terminals(builder, &names, terminals.place, &mut seen);
        contacts.push(Contact { terminals: names.join("-"), form });
    }
    contacts
}

fn check_terminals(builder: &mut Builder<'_>, names: &[&str], at: Place, seen: &mut Vec<(String, Option<Place>)>) {
    for name in names {
        if let Some((_, first)) = seen.iter().find(|(known, _)| known == name) {
            let terminal = (*name).to_string();
            builder.report(match first {
                Some(first) => {
                    Diagnostic::error(Kind::TerminalOfTwoContacts { terminal }, at).with(*first, "first used here")
                }
                None => Diagnostic::error(Kind::TerminalOfCoil { terminal }, at),
            });
        }
        seen.push(((*name).to_string(), Some(at)));
    }
}

/// The ways through a contact. A change-over has two, both from its common terminal.
fn contact_links(id: &str, contact: &Contact, closed: &Toleranced<Ohms>, gate: impl Fn(bool) -> Gate) -> Vec<Link> {
    let names: Vec<&str> = contact.terminals.split('-').collect();
    let link = |from: &str, to: &str, when: bool| {
        let law = Law::Contact { closed: closed.clone(), gate: gate(when) };
        Link::new(from, to, format!("{id}:{from}-{to}"), law)
    };
    match (contact.form, &names[..]) {
        (ContactForm::Make, [from, to]) => vec![link(from, to, true)],
        (ContactForm::Break, [from, to]) => vec![link(from, to, false)],
        (ContactForm::ChangeOver, [common, break_side, make_side]) => {
            vec![link(common, break_side, false), link(common, make_side, true)]
        }
        _ => Vec::new(),
    }
}

pub(super) fn selector(builder: &mut Builder<'_>, section: &SelectorSection) -> Made {
    let closed = closed(section.wiper_resistance.as_ref(), origin(&section.placement));
    let selector = PartId(builder.parts.len());
    let mut rings: Vec<(String, Vec<String>)> = Vec::new();
    let mut seen: Vec<String> = vec![WIPER.into()];
    let mut links = Vec::new();
    if section.rings.0.len() > MOST_RINGS {
        builder.error(Kind::TooManyRings { limit: MOST_RINGS }, section.id.place);
    }
    for (name, segments) in section.rings.0.iter().take(MOST_RINGS) {
        let segments = segment_names(builder, segments, &mut seen);
        if segments.is_empty() {
            builder.error(Kind::EmptyRing { ring: name.value.clone() }, name.place);
        }
        for (segment, segment_name) in segments.iter().enumerate() {
            let gate = Gate::Wiper { selector, ring: rings.len(), segment };
            let law = Law::Contact { closed: closed.clone(), gate };
            let mut link = Link::new(segment_name, WIPER, format!("{}:{segment_name}", section.id.name), law);
            link.shared = true;
            links.push(link);
        }
        rings.push((name.value.clone(), segments));
    }
    let selector = Selector { rings, stepped_by: Vec::new(), driven_by: None, wiper: JointId(0) };
    (PartKind::Selector(selector), Links { links, bare: None })
}

fn segment_names(builder: &mut Builder<'_>, stated: &[Located<String>], seen: &mut Vec<String>) -> Vec<String> {
    let mut segments = Vec::new();
    for text in stated {
        let names = match range::expand(&text.value) {
            None => vec![text.value.clone()],
            Some(Ok(names)) => names,
            Some(Err(problem)) => {
                builder.error(Kind::BadRange { text: text.value.clone(), problem }, text.place);
                continue;
            }
        };
        for name in names {
            if seen.contains(&name) {
                builder.error(Kind::SegmentTwice { segment: name.clone() }, text.place);
                continue;
            }
            seen.push(name.clone());
            segments.push(name);
        }
    }
    segments
}

/// Gives the wiper its joint before any run reaches it.
pub(super) fn place_wiper(builder: &mut Builder<'_>, part: PartId, at: Place) {
    let name = format!("{}:{WIPER}", builder.parts[part.0].id);
    let point = builder.joints.add(Naming::Terminal(name), at);
    builder.terminals.insert((part, WIPER.into()), Reached { point, at });
    if let PartKind::Selector(selector) = &mut builder.parts[part.0].kind {
        selector.wiper = JointId(point);
    }
}
