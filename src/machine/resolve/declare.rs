//! Declares every part, joint and test point of a document, in the order of the file.

use std::cmp::Reverse;

use super::builder::{Builder, Link, Links, Name};
use super::joints::{Naming, Point};
use super::{coils, contacts, defaults, supplies};
use crate::machine::model::{
    Capacitor, Diode, FittedFuse, Fuse, FuseStandard, Inductor, Lamp, Law, Origin, Part, PartId, PartKind, Plug,
    Resistor, Speaker, SpeakerRange, Toleranced,
};
use crate::spec::format::{
    CapacitorSection, DiodeSection, Document, FuseSection, Id, InductorSection, LampSection, Placement, PlugSection,
    ResistorSection, SpeakerSection, SpeakerWord, SpeedWord, StandardWord, TestPointSection,
};
use crate::spec::kind::Kind;
use crate::spec::quantity::VOLTAGE;
use crate::spec::units::{Hertz, Ohms, Unit, Volts};
use crate::spec::values::{Located, OriginWord};

/// What a part refers to by name, to be looked up once all are declared.
#[derive(Debug, Clone)]
pub(super) enum Reference {
    /// Part of the same make.
    Twin,
    /// Motor that moves it.
    DrivenBy,
    /// Coil that steps it.
    SteppedBy,
    /// Resistor that discharges it.
    Bleeder,
    /// Part across which it lies.
    Across,
}

/// A reference of a part.
#[derive(Debug, Clone)]
pub(super) struct Referring {
    pub(super) part: PartId,
    pub(super) how: Reference,
    pub(super) name: Located<String>,
}

/// What a section becomes: its kind and the ways through it.
pub(super) type Made = (PartKind, Links);

/// The sections of a document that declare a part.
enum Section<'d> {
    Supply(&'d crate::spec::format::SupplySection),
    Fuse(&'d FuseSection),
    Relay(&'d crate::spec::format::RelaySection),
    Solenoid(&'d crate::spec::format::SolenoidSection),
    Motor(&'d crate::spec::format::MotorSection),
    Lamp(&'d LampSection),
    Switch(&'d crate::spec::format::SwitchSection),
    Cam(&'d crate::spec::format::CamSection),
    Selector(&'d crate::spec::format::SelectorSection),
    Resistor(&'d ResistorSection),
    Capacitor(&'d CapacitorSection),
    Inductor(&'d InductorSection),
    Diode(&'d DiodeSection),
    Speaker(&'d SpeakerSection),
    Plug(&'d PlugSection),
}

macro_rules! each_section {
    ($section:expr, $inner:ident => $body:expr) => {
        match $section {
            Section::Supply($inner) => $body,
            Section::Fuse($inner) => $body,
            Section::Relay($inner) => $body,
            Section::Solenoid($inner) => $body,
            Section::Motor($inner) => $body,
            Section::Lamp($inner) => $body,
            Section::Switch($inner) => $body,
            Section::Cam($inner) => $body,
            Section::Selector($inner) => $body,
            Section::Resistor($inner) => $body,
            Section::Capacitor($inner) => $body,
            Section::Inductor($inner) => $body,
            Section::Diode($inner) => $body,
            Section::Speaker($inner) => $body,
            Section::Plug($inner) => $body,
        }
    };
}

/// Declares everything and returns what the parts refer to.
pub(super) fn declare(builder: &mut Builder<'_>, document: &Document) -> Vec<Referring> {
    let mains = document.machine.mains.as_deref().and_then(|mains| VOLTAGE.scan(mains).ok());
    builder.mains_frequency = mains.and_then(|mains| mains.frequency).map(Hertz::new);
    // Parts first: of a name that is given twice, the part is what runs pass through.
    let mut references = Vec::new();
    for section in in_file_order(document) {
        declare_part(builder, &section, &mut references);
    }
    for joint in &document.joint {
        if !builder.names.contains_key(&joint.id.name) {
            builder.named_joint(&joint.id.name, joint.id.place);
        }
    }
    for point in &document.test_point {
        declare_test_point(builder, point);
    }
    references
}

fn declare_test_point(builder: &mut Builder<'_>, section: &TestPointSection) {
    if builder.names.contains_key(&section.id.name) {
        return;
    }
    let point: Point = builder.joints.add(Naming::TestPoint(section.id.name.clone()), section.id.place);
    builder.add_name(&section.id.name, Name::Point(point));
}

/// All part sections in the order in which they are written; those of a base come before those of the spec that builds on
/// it.
fn in_file_order(document: &Document) -> Vec<Section<'_>> {
    let mut sections: Vec<Section<'_>> = Vec::new();
    sections.extend(document.supply.iter().map(Section::Supply));
    sections.extend(document.fuse.iter().map(Section::Fuse));
    sections.extend(document.relay.iter().map(Section::Relay));
    sections.extend(document.solenoid.iter().map(Section::Solenoid));
    sections.extend(document.motor.iter().map(Section::Motor));
    sections.extend(document.lamp.iter().map(Section::Lamp));
    sections.extend(document.switch.iter().map(Section::Switch));
    sections.extend(document.cam.iter().map(Section::Cam));
    sections.extend(document.selector.iter().map(Section::Selector));
    sections.extend(document.resistor.iter().map(Section::Resistor));
    sections.extend(document.capacitor.iter().map(Section::Capacitor));
    sections.extend(document.inductor.iter().map(Section::Inductor));
    sections.extend(document.diode.iter().map(Section::Diode));
    sections.extend(document.speaker.iter().map(Section::Speaker));
    sections.extend(document.plug.iter().map(Section::Plug));
    sections.sort_by_key(|section| {
        let written = each_section!(section, inner => inner.written);
        (Reverse(written.file), written.start)
    });
    sections
}

fn declare_part(builder: &mut Builder<'_>, section: &Section<'_>, references: &mut Vec<Referring>) {
    let (id, placement, group) = each_section!(section, inner => (&inner.id, &inner.placement, inner.group.clone()));
    if id.name.is_empty() || builder.names.contains_key(&id.name) {
        // Both have a message already; a supply's terminals are still declared, so that runs find their joints.
        if let Section::Supply(supply) = section {
            supplies::declare_terminals(builder, supply);
        }
        return;
    }
    let (kind, links) = make(builder, section);
    let part = part(id, placement, group, kind);
    let part = builder.add_part(part, links);
    each_section!(section, inner => refer_to(part, &Reference::Twin, &inner.placement.twins, references));
    place_terminals(builder, part, section);
    refer_from(part, section, references);
}

fn make(builder: &mut Builder<'_>, section: &Section<'_>) -> Made {
    match section {
        Section::Supply(supply) => supplies::supply(builder, supply),
        Section::Fuse(fuse) => make_fuse(builder, fuse),
        Section::Relay(relay) => contacts::relay(builder, relay),
        Section::Solenoid(solenoid) => coils::solenoid(builder, solenoid),
        Section::Motor(motor) => coils::motor(builder, motor),
        Section::Lamp(lamp) => make_lamp(builder, lamp),
        Section::Switch(switch) => contacts::switch(builder, switch),
        Section::Cam(cam) => contacts::cam(builder, cam),
        Section::Selector(selector) => contacts::selector(builder, selector),
        Section::Resistor(resistor) => make_resistor(builder, resistor),
        Section::Capacitor(capacitor) => make_capacitor(builder, capacitor),
        Section::Inductor(inductor) => make_inductor(builder, inductor),
        Section::Diode(diode) => make_diode(builder, diode),
        Section::Speaker(speaker) => make_speaker(builder, speaker),
        Section::Plug(plug) => make_plug(plug),
    }
}

/// Gives the terminals that do not wait for a run their joints.
fn place_terminals(builder: &mut Builder<'_>, part: PartId, section: &Section<'_>) {
    match section {
        Section::Supply(supply) => supplies::place(builder, part, supply),
        Section::Selector(selector) => contacts::place_wiper(builder, part, selector.id.place),
        _ => {}
    }
}

fn refer_from(part: PartId, section: &Section<'_>, references: &mut Vec<Referring>) {
    match section {
        Section::Cam(cam) => refer_to(part, &Reference::DrivenBy, &cam.driven_by, references),
        Section::Selector(selector) => {
            refer_to(part, &Reference::DrivenBy, &selector.driven_by, references);
            refer_to(part, &Reference::SteppedBy, &selector.stepped_by, references);
        }
        Section::Resistor(resistor) => refer_to(part, &Reference::Across, &resistor.across, references),
        Section::Capacitor(capacitor) => {
            refer_to(part, &Reference::Across, &capacitor.across, references);
            refer_to(part, &Reference::Bleeder, &capacitor.bleeder, references);
        }
        Section::Diode(diode) => refer_to(part, &Reference::Across, &diode.across, references),
        _ => {}
    }
}

fn refer_to<'n>(
    part: PartId,
    how: &Reference,
    names: impl IntoIterator<Item = &'n Located<String>>,
    references: &mut Vec<Referring>,
) {
    references.extend(names.into_iter().map(|name| Referring { part, how: how.clone(), name: name.clone() }));
}

fn part(id: &Id, placement: &Placement, group: Option<String>, kind: PartKind) -> Part {
    Part {
        id: id.name.clone(),
        label: placement.label.clone(),
        location: placement.place.clone(),
        place: id.place,
        source: placement.source.clone(),
        origin: origin(placement),
        kind,
        elements: Vec::new(),
        group,
        twins: Vec::new(),
        door: placement.door.clone(),
    }
}

/// Where the values of a part come from unless one says otherwise.
pub(super) fn origin(placement: &Placement) -> Origin {
    placement.origin.map_or(Origin::Stated, OriginWord::origin)
}

/// The links of a part with two terminals.
pub(super) fn two_terminals(id: &str, from: &str, to: &str, law: Law) -> Links {
    Links { links: vec![Link::new(from, to, id.to_string(), law)], bare: Some(0) }
}

/// Leaves a message where a value that must be more than zero is not.
pub(super) fn check_positive<U: Unit>(builder: &mut Builder<'_>, quantity: &crate::spec::values::Quantity<U>) {
    if quantity.nominal.value() <= 0.0 {
        let found = quantity.nominal.to_string();
        builder.error(Kind::NotPositive { quantity: U::QUANTITY, found }, quantity.place);
    }
}

fn make_fuse(builder: &mut Builder<'_>, section: &FuseSection) -> Made {
    check_positive(builder, &section.rated);
    let speed = section.speed.map(SpeedWord::word);
    let origin = origin(&section.placement);
    let cold = match &section.cold {
        Some(cold) => cold.toleranced(0.0, origin),
        None => defaults::fuse_ohms(section.rated.nominal, speed),
    };
    let fuse = Fuse {
        rated: section.rated.nominal,
        speed: speed.map(String::from),
        body: section.body.clone(),
        breaking: section.breaking.map(|breaking| breaking.word().to_string()),
        voltage: section.voltage.as_ref().map(|voltage| voltage.nominal),
        standard: match section.standard {
            Some(StandardWord::Ul) => FuseStandard::Ul,
            _ => FuseStandard::Iec,
        },
        fitted: section.fitted.as_ref().map(|fitted| FittedFuse { rated: fitted.rated, speed: fitted.speed.clone() }),
        protects: section.protects.clone(),
        cold: cold.clone(),
    };
    (PartKind::Fuse(fuse), two_terminals(&section.id.name, "1", "2", Law::Resistance(cold)))
}

fn make_lamp(builder: &mut Builder<'_>, section: &LampSection) -> Made {
    check_positive(builder, &section.nominal);
    check_positive(builder, &section.current);
    let origin = origin(&section.placement);
    let hot = (section.nominal.nominal / section.current.nominal).value();
    let cold = if let Some(cold) = &section.cold {
        cold.toleranced(defaults::WIDE_SPREAD, origin)
    } else {
        let cold = hot / defaults::HOT_OVER_COLD;
        Toleranced::default_span(cold, cold * 0.8, cold * 1.2)
    };
    let lamp = Lamp {
        nominal: section.nominal.nominal,
        current: section.current.toleranced(defaults::SPREAD, origin),
        cold,
        pattern: section.pattern.clone(),
    };
    (PartKind::Lamp(lamp), two_terminals(&section.id.name, "1", "2", Law::Filament))
}

fn make_resistor(_: &mut Builder<'_>, section: &ResistorSection) -> Made {
    let resistance = section.value.toleranced(defaults::SPREAD, origin(&section.placement));
    let law = Law::Resistance(resistance.clone());
    let resistor = Resistor { resistance, power: section.power.as_ref().map(|power| power.nominal) };
    (PartKind::Resistor(resistor), two_terminals(&section.id.name, "1", "2", law))
}

fn make_capacitor(builder: &mut Builder<'_>, section: &CapacitorSection) -> Made {
    check_positive(builder, &section.value);
    let capacitor = Capacitor {
        capacitance: defaults::capacitance(&section.value, origin(&section.placement)),
        voltage: section.voltage.as_ref().map(|voltage| voltage.nominal),
        bleeder: None,
    };
    (PartKind::Capacitor(capacitor), two_terminals(&section.id.name, "1", "2", Law::Capacitance))
}

fn make_inductor(builder: &mut Builder<'_>, section: &InductorSection) -> Made {
    check_positive(builder, &section.value);
    let origin = origin(&section.placement);
    let inductor = Inductor {
        inductance: section.value.toleranced(defaults::SPREAD, origin),
        resistance: match &section.resistance {
            Some(resistance) => resistance.toleranced(defaults::SPREAD, origin),
            None => Toleranced::exactly(Ohms::ZERO, Origin::Default),
        },
    };
    (PartKind::Inductor(inductor), two_terminals(&section.id.name, "1", "2", Law::Inductance))
}

fn make_speaker(builder: &mut Builder<'_>, section: &SpeakerSection) -> Made {
    check_positive(builder, &section.impedance);
    let origin = origin(&section.placement);
    let impedance = section.impedance.toleranced(defaults::WIDE_SPREAD, origin);
    let resistance = if let Some(resistance) = &section.resistance {
        resistance.toleranced(defaults::SPREAD, origin)
    } else {
        let share = |ohms: Ohms| ohms.value() * defaults::VOICE_COIL;
        Toleranced::default_span(share(impedance.nominal), share(impedance.low), share(impedance.high))
    };
    let range = match section.range {
        Some(SpeakerWord::Woofer) => SpeakerRange::Woofer,
        Some(SpeakerWord::Midrange) => SpeakerRange::Midrange,
        Some(SpeakerWord::Tweeter) => SpeakerRange::Tweeter,
        Some(SpeakerWord::Full) | None => SpeakerRange::Full,
    };
    let power = section.power.as_ref().map(|power| power.nominal);
    let speaker = Speaker { impedance, resistance, power, range };
    (PartKind::Speaker(speaker), two_terminals(&section.id.name, "1", "2", Law::VoiceCoil))
}

fn make_plug(section: &PlugSection) -> Made {
    let plug = Plug { ways: section.ways, pattern: section.pattern.clone(), pins: Vec::new() };
    let pin = match &section.pin {
        Some(pin) => pin.toleranced(0.0, origin(&section.placement)),
        None => defaults::pin(),
    };
    // The pins come from the runs; this link is their pattern.
    let links = Links { links: vec![Link::new("", "", String::new(), Law::Resistance(pin))], bare: None };
    (PartKind::Plug(plug), links)
}

fn make_diode(builder: &mut Builder<'_>, section: &DiodeSection) -> Made {
    let preset = section.preset.as_ref().map_or("silicon", |preset| preset.value.trim());
    let zener = preset.strip_prefix("zener").map(str::trim);
    let (drop, on_resistance) = match preset {
        // Ohms of the straight piece: a small part's usual slope near its working current (from memory).
        "germanium" => (0.3, 0.1),
        "selenium" => (1.0, 0.5),
        _ => (defaults::SILICON_DROP, 0.05),
    };
    if !["silicon", "germanium", "selenium"].contains(&preset) && zener.is_none() {
        unknown_preset(builder, section, preset);
    }
    let diode = Diode {
        drop: section.drop.as_ref().map_or(Volts::new(drop), |drop| drop.nominal),
        on_resistance: section.resistance.as_ref().map_or(Ohms::new(on_resistance), |ohms| ohms.nominal),
        reverse: section.reverse.as_ref().map(|reverse| reverse.nominal),
        forward: section.forward.as_ref().map(|forward| forward.nominal),
        zener: zener.and_then(|text| breakdown(builder, section, text)),
        across: None,
    };
    (PartKind::Diode(diode), two_terminals(&section.id.name, "A", "K", Law::Junction))
}

fn unknown_preset(builder: &mut Builder<'_>, section: &DiodeSection, preset: &str) {
    let nearest = crate::spec::reader::nearest(preset, ["silicon", "germanium", "selenium", "zener 12 V"]);
    let at = section.preset.as_ref().map_or(section.written, |preset| preset.place);
    builder.error(Kind::UnknownPreset { found: preset.to_string(), nearest }, at);
}

/// The voltage behind the word `zener`.
fn breakdown(builder: &mut Builder<'_>, section: &DiodeSection, text: &str) -> Option<Volts> {
    let at = section.preset.as_ref().map_or(section.written, |preset| preset.place);
    match VOLTAGE.scan(text) {
        Ok(scanned) if scanned.nominal > 0.0 => Some(Volts::new(scanned.nominal)),
        Ok(_) => {
            builder.error(Kind::NotPositive { quantity: "voltage", found: text.to_string() }, at);
            None
        }
        Err(flaw) => {
            builder.error(flaw.kind, at);
            None
        }
    }
}
