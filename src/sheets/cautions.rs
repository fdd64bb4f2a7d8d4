//! Cautions: each follows from something in the machine's own data, and stands on paper only when its cause is there.
//!
//! The signal words are those of ANSI Z535 and ISO 3864-2: *warning* where death or serious injury could follow,
//! *caution* for minor injury, *notice* where only property suffers. Every message names the hazard, what it can do and
//! how to keep out of its way, in that order, and defers to local codes and licensed practice.
//!
//! Volts and charges are judged in `hazards`, which the audit asks as well. The watts and kilograms below are common
//! practice without a source, and err to the careful side.

use serde::Serialize;

use super::discharge::{self, stored_charges};
use super::{Material, common};
use crate::hazards::{StoredCharge, limits};
use crate::machine::model::{Machine, PartId, PartKind};
use crate::spec::units::Watts;

/// Weight from which one person should not lift alone, in kilograms.
const LIFTING: f64 = 16.0;
/// Heat from which a lamp or resistor burns a finger.
const HOT: Watts = Watts::new(1.0);
/// Heat from which a winding burns a finger.
const HOT_WINDING: Watts = Watts::new(5.0);

/// Gravity of a message.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SignalWord {
    /// Death or serious injury could follow.
    Warning,
    /// Minor or moderate injury could follow.
    Caution,
    /// Nobody is hurt; property is.
    Notice,
}

/// What a caution follows from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// The machine runs on mains.
    Mains,
    /// A supply gives more than may be touched.
    LiveParts,
    /// A capacitor keeps its charge after the plug is out.
    StoredCharge,
    /// A larger fuse than called for was found.
    WrongFuse,
    /// Motors and solenoids move.
    MovingParts,
    /// Lamps, resistors or windings are hot.
    HotParts,
    /// The machine is heavy.
    Lifting,
    /// Coils that may only be energised for a short time.
    ShortDuty,
}

impl Cause {
    /// Name of its words.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Mains => "mains",
            Self::LiveParts => "live-parts",
            Self::StoredCharge => "stored-charge",
            Self::WrongFuse => "wrong-fuse",
            Self::MovingParts => "moving-parts",
            Self::HotParts => "hot-parts",
            Self::Lifting => "lifting",
            Self::ShortDuty => "short-duty",
        }
    }

    /// Name of the sign beside it, after the ISO 7010 sign whose meaning it has.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Mains | Self::LiveParts => "electricity",
            Self::StoredCharge => "charge",
            Self::WrongFuse | Self::ShortDuty => "general",
            Self::MovingParts => "moving",
            Self::HotParts => "hot",
            Self::Lifting => "lift",
        }
    }
}

/// A safety message.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Caution {
    /// Its gravity.
    pub word: SignalWord,
    /// What it follows from.
    pub cause: Cause,
    /// Name of its sign.
    pub sign: &'static str,
    /// The hazard and where it is.
    pub hazard: String,
    /// What it can do.
    pub consequence: String,
    /// How to keep out of its way.
    pub avoid: String,
    /// All of it in one short line, for cards.
    pub short: String,
}

/// All cautions of a machine, the gravest first.
#[must_use]
pub fn cautions(material: &Material<'_>) -> Vec<Caution> {
    let mut cautions: Vec<Caution> = [mains, live_parts, wrong_fuses, moving_parts, hot_parts, lifting, short_duty]
        .into_iter()
        .filter_map(|rule| rule(material))
        .chain(stored_charges(material).iter().map(|charge| stored_charge(material, charge)))
        .collect();
    cautions.sort_by_key(|caution| (caution.word, caution.cause));
    cautions
}

fn message(material: &Material<'_>, word: SignalWord, cause: Cause, values: &[(&str, &str)]) -> Caution {
    let text = |piece: &str| material.options.words.fill(&format!("cautions.{}.{piece}", cause.key()), values);
    Caution {
        word,
        cause,
        sign: cause.sign(),
        hazard: sentence_head(&text("hazard")),
        consequence: text("consequence"),
        avoid: text("avoid"),
        short: sentence_head(&text("short")),
    }
}

/// The text with a capital at its head.
fn sentence_head(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn mains(material: &Material<'_>) -> Option<Caution> {
    let mains = material.machine.identity.mains.as_deref()?;
    Some(message(material, SignalWord::Warning, Cause::Mains, &[("mains", mains)]))
}

/// Supplies whose highest healthy voltage is above what may be touched.
fn live_parts(material: &Material<'_>) -> Option<Caution> {
    let words = &material.options.words;
    let live: Vec<String> = limits::supplies(material.machine)
        .filter(|(_, supply)| limits::live(supply, limits::highest(supply)).is_some())
        .map(|(id, supply)| format!("{} ({})", material.machine.part(id).id, common::winding_text(material, supply)))
        .collect();
    (!live.is_empty())
        .then(|| message(material, SignalWord::Warning, Cause::LiveParts, &[("supplies", &words.list(&live))]))
}

fn stored_charge(material: &Material<'_>, charge: &StoredCharge) -> Caution {
    let words = &material.options.words;
    let word = match charge.volts {
        volts if volts > limits::DRY_LIMIT => SignalWord::Warning,
        volts if volts > limits::MOIST_LIMIT => SignalWord::Caution,
        _ => SignalWord::Notice,
    };
    let mut caution = message(
        material,
        word,
        Cause::StoredCharge,
        &[
            ("part", &discharge::name(material, charge)),
            ("volts", &words.numerals.quantity(charge.volts)),
            ("joules", &words.numerals.three_figures(charge.joules)),
            ("wait", &discharge::wait_text(material, charge)),
        ],
    );
    if word == SignalWord::Notice {
        caution.consequence = words.get("cautions.stored-charge.consequence-low");
    }
    if charge.wait.is_none() {
        let name = discharge::name(material, charge);
        let short = [("part", name.as_str()), ("volts", &words.numerals.quantity(charge.volts))];
        caution.avoid =
            words.fill("cautions.stored-charge.avoid-held", &[("tool", &discharge::tool_text(material, charge))]);
        caution.short = words.fill("cautions.stored-charge.short-held", &short);
    }
    caution
}

/// Fuses that were found larger than called for.
fn wrong_fuses(material: &Material<'_>) -> Option<Caution> {
    let words = &material.options.words;
    let wrong: Vec<String> = material
        .machine
        .parts
        .iter()
        .filter_map(|part| match &part.kind {
            PartKind::Fuse(fuse) => fuse.fitted.as_ref().filter(|fitted| fitted.rated > fuse.rated).map(|fitted| {
                let (fitted, rated) = (words.numerals.quantity(fitted.rated), words.numerals.quantity(fuse.rated));
                words.fill(
                    "cautions.wrong-fuse.each",
                    &[("part", part.id.as_str()), ("fitted", &fitted), ("rated", &rated)],
                )
            }),
            _ => None,
        })
        .collect();
    (!wrong.is_empty())
        .then(|| message(material, SignalWord::Warning, Cause::WrongFuse, &[("fuses", &words.list(&wrong))]))
}

fn moving_parts(material: &Material<'_>) -> Option<Caution> {
    let moving: Vec<PartId> =
        parts_where(material.machine, |kind| matches!(kind, PartKind::Motor(_) | PartKind::Solenoid(_)));
    let names = common::part_ids(material.machine, &moving);
    (!names.is_empty()).then(|| {
        let list = material.options.words.list(&names);
        message(material, SignalWord::Caution, Cause::MovingParts, &[("parts", &list)])
    })
}

/// Lamps by their rating; resistors and windings by what they turn to heat in some sequence.
fn hot_parts(material: &Material<'_>) -> Option<Caution> {
    let machine = material.machine;
    let hot: Vec<PartId> = (0..machine.parts.len())
        .map(PartId)
        .filter(|&part| match &machine.part(part).kind {
            PartKind::Lamp(lamp) => lamp.nominal * lamp.current.nominal >= HOT,
            PartKind::Resistor(_) => greatest_heat(material, part) >= HOT,
            PartKind::Relay(_) | PartKind::Solenoid(_) | PartKind::Motor(_) => {
                greatest_heat(material, part) >= HOT_WINDING
            }
            _ => false,
        })
        .collect();
    let names = common::part_ids(machine, &hot);
    (!names.is_empty()).then(|| {
        let list = material.options.words.list(&names);
        message(material, SignalWord::Caution, Cause::HotParts, &[("parts", &list)])
    })
}

/// The most that a part turns to heat in any sequence.
#[must_use]
pub fn greatest_heat(material: &Material<'_>, part: PartId) -> Watts {
    let devices = material.solution.sequences.iter().flat_map(|solved| &solved.devices);
    let watts = devices.filter(|device| device.part == part).map(|device| device.watts).fold(0.0, f64::max);
    Watts::new(watts)
}

fn lifting(material: &Material<'_>) -> Option<Caution> {
    let weight = material.machine.identity.weight.as_deref()?;
    // A weight in other words than kilograms or pounds is taken as heavy.
    let heavy = kilograms(weight).is_none_or(|kilograms| kilograms >= LIFTING);
    heavy.then(|| message(material, SignalWord::Caution, Cause::Lifting, &[("weight", weight)]))
}

/// The number before `kg` or `lb`, in kilograms.
fn kilograms(text: &str) -> Option<f64> {
    let text = text.trim();
    let (number, factor) = match (text.strip_suffix("kg"), text.strip_suffix("lb")) {
        (Some(number), _) => (number, 1.0),
        (_, Some(number)) => (number, 0.453_592_37),
        _ => return None,
    };
    number.trim().parse::<f64>().ok().map(|number| number * factor)
}

/// Coils whose description limits how long they may be energised.
fn short_duty(material: &Material<'_>) -> Option<Caution> {
    let machine = material.machine;
    let limited: Vec<String> = (0..machine.parts.len())
        .map(PartId)
        .filter_map(|id| {
            let duty = machine.coil(id)?.duty.as_deref()?;
            Some(format!("{} ({duty})", machine.part(id).id))
        })
        .collect();
    (!limited.is_empty()).then(|| {
        let list = material.options.words.list(&limited);
        message(material, SignalWord::Notice, Cause::ShortDuty, &[("parts", &list)])
    })
}

/// Parts of certain kinds, in the order of the machine.
#[must_use]
pub fn parts_where(machine: &Machine, wanted: impl Fn(&PartKind) -> bool) -> Vec<PartId> {
    (0..machine.parts.len()).map(PartId).filter(|&id| wanted(&machine.part(id).kind)).collect()
}
