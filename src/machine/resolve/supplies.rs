//! Supplies: their source, internal resistance, rectifier and terminals.

use super::builder::{Builder, DraftElement, Link, Links, Reached};
use super::declare::{Made, check_positive, origin};
use super::defaults;
use super::joints::Point;
use crate::machine::model::{
    Current, JointId, Law, Origin, PartId, PartKind, Rectifier, RectifierForm, Supply, Toleranced,
};
use crate::spec::format::{RectifierWord, SupplySection};
use crate::spec::kind::Kind;
use crate::spec::units::{Hertz, Ohms, Volts};

/// Below this many farads a capacitor smooths no supply that drives a coil or lamp; common practice, no source.
const LEAST_RESERVOIR: f64 = 1e-6;

pub(super) fn supply(builder: &mut Builder<'_>, section: &SupplySection) -> Made {
    check_positive(builder, &section.voltage.volts);
    if let Some(rating) = &section.rating {
        check_positive(builder, rating);
    }
    if section.rectifier.is_some() && section.voltage.current == Current::Direct {
        builder.error(Kind::RectifiedDirect, section.voltage.volts.place);
    }
    if let Some(share) = section.regulation.filter(|share| share.value >= 1.0) {
        let found = builder.sources.slice(share.place).trim_matches('"').to_string();
        builder.error(Kind::ShareTooLarge { key: "regulation", found }, share.place);
    }
    if let Some(small) = section.reservoir.as_ref().filter(|own| own.nominal.value() < LEAST_RESERVOIR) {
        let found = builder.sources.slice(small.place).trim_matches('"').to_string();
        builder.warning(Kind::ReservoirSmall { found }, small.place);
    }
    let names = terminal_names(section);
    let supply = Supply {
        voltage: no_load(section),
        rated: section.voltage.volts.toleranced(defaults::SPREAD, origin(&section.placement)),
        current: section.voltage.current,
        frequency: frequency(builder, section),
        internal: internal(section),
        rectifier: rectifier(section),
        rating: section.rating.as_ref().map(|rating| rating.nominal),
        phase: section.phase.map_or(0.0, |angle| angle.0),
        minimum_load: section.minimum_load.as_ref().map(|load| load.nominal),
        // Points for now; the joints are numbered at the end.
        terminals: names.clone().map(|name| (name, JointId(0))),
        maximum: section.maximum.as_ref().map(|maximum| maximum.nominal),
    };
    let [from, to] = names;
    let link = Link::new(&from, &to, section.id.name.clone(), Law::Source);
    (PartKind::Supply(supply), Links { links: vec![link], bare: None })
}

/// An alternating supply that names no frequency has that of the mains, where `[machine]` tells it.
fn frequency(builder: &mut Builder<'_>, section: &SupplySection) -> Option<Hertz> {
    if section.voltage.current == Current::Direct {
        return None;
    }
    let frequency = section.voltage.frequency.map(Hertz::new).or(builder.mains_frequency);
    if frequency.is_none() {
        let found = builder.sources.slice(section.voltage.volts.place).trim_matches(['"', '\'']).to_string();
        builder.error(Kind::NoFrequency { found }, section.voltage.volts.place);
    }
    frequency
}

fn terminal_names(section: &SupplySection) -> [String; 2] {
    let name = |index: usize, fallback: &str| {
        section.terminals.0.get(index).map_or_else(|| fallback.to_string(), |(name, _)| name.value.clone())
    };
    let names = [name(0, "+"), name(1, "-")];
    // Whatever the order in the file, the positive terminal of a direct supply comes first.
    let direct = section.voltage.current == Current::Direct || section.rectifier.is_some();
    if direct && names[0].starts_with(['-', '−']) && names[1].starts_with('+') {
        let [minus, plus] = names;
        return [plus, minus];
    }
    names
}

/// Voltage of the ideal source. A transformer's rated voltage is that at rated load: without load it is higher by the
/// regulation, r = (V₀ − V) / V.
fn no_load(section: &SupplySection) -> Toleranced<Volts> {
    let mut voltage = section.voltage.volts.toleranced(defaults::SPREAD, origin(&section.placement));
    if let (Some(share), Some(_)) = (section.regulation, &section.rating) {
        let rise = 1.0 + share.value;
        voltage.origin = Origin::Computed;
        (voltage.nominal, voltage.low, voltage.high) =
            (voltage.nominal * rise, voltage.low * rise, voltage.high * rise);
    }
    voltage
}

/// Internal resistance as given; else from rating and regulation, R = r · V² / S; else an estimate.
fn internal(section: &SupplySection) -> Toleranced<Ohms> {
    let volts = section.voltage.volts.nominal.value();
    if let Some(internal) = &section.internal {
        return internal.toleranced(0.0, origin(&section.placement));
    }
    let of_transformer = |share: f64, rating: f64| share * volts * volts / rating;
    match (&section.rating, section.regulation) {
        (Some(rating), Some(share)) => {
            let ohms = of_transformer(share.value, rating.nominal.value());
            Toleranced::exactly(Ohms::new(ohms), origin(&section.placement))
        }
        (Some(rating), None) => estimate(of_transformer(defaults::REGULATION, rating.nominal.value())),
        (None, _) => {
            let amperes = section.maximum.as_ref().map_or(defaults::SAG_CURRENT, |maximum| maximum.nominal.value());
            estimate(defaults::SAG * volts / amperes)
        }
    }
}

fn estimate(ohms: f64) -> Toleranced<Ohms> {
    let mut internal = Toleranced::default_span(ohms, ohms * 0.5, ohms * 2.0);
    internal.origin = Origin::Default;
    internal
}

fn rectifier(section: &SupplySection) -> Option<Rectifier> {
    let form = match section.rectifier? {
        RectifierWord::Bridge => RectifierForm::Bridge,
        RectifierWord::FullWave => RectifierForm::FullWave,
        RectifierWord::HalfWave => RectifierForm::HalfWave,
    };
    let forward = section.rectifier_drop.as_ref().map_or(Volts::new(defaults::SILICON_DROP), |drop| drop.nominal);
    let reservoir =
        section.reservoir.as_ref().map(|written| defaults::electrolytic(written, origin(&section.placement)));
    Some(Rectifier { form, forward, reservoir })
}

/// Makes the joints of a supply's terminals; the positive one (or the one of phase 0) first.
pub(super) fn declare_terminals(builder: &mut Builder<'_>, section: &SupplySection) -> Vec<Point> {
    let names = terminal_names(section);
    let mut entries: Vec<_> = section.terminals.0.iter().collect();
    entries.sort_by_key(|(name, _)| names.iter().position(|known| *known == name.value));
    entries.into_iter().filter_map(|(_, joint)| builder.named_joint(&joint.value, joint.place)).collect()
}

/// Puts the source between the joints of its terminals.
pub(super) fn place(builder: &mut Builder<'_>, part: PartId, section: &SupplySection) {
    let points = declare_terminals(builder, section);
    let found = section.terminals.0.len();
    let (2, [from, to]) = (found, &points[..]) else {
        builder.broken_wiring = true;
        if found != 2 {
            builder.error(Kind::TwoTerminals { found }, section.written);
        }
        return;
    };
    let (from, to) = (*from, *to);
    if builder.joints.same(from, to) {
        builder.broken_wiring = true;
        let kind =
            Kind::SameTerminals { supply: section.id.name.clone(), joint: section.terminals.0[0].1.value.clone() };
        builder.error(kind, section.terminals.0[1].1.place);
        return;
    }
    let link = builder.links[part.0].links[0].clone();
    for (terminal, point) in [(&link.from, from), (&link.to, to)] {
        builder.terminals.insert((part, terminal.clone()), Reached { point, at: section.id.place });
    }
    let element =
        builder.add_element(DraftElement { part, name: link.name, from, to, law: link.law, at: section.id.place });
    builder.used.insert((part, 0), element);
    if let PartKind::Supply(supply) = &mut builder.parts[part.0].kind {
        supply.terminals[0].1 = JointId(from);
        supply.terminals[1].1 = JointId(to);
    }
}
