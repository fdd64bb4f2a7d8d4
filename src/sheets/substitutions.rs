//! Substitution sheet: for each fuse, resistor, diode, lamp and loudspeaker what may replace it, and the sums behind it.
//!
//! The sums are those of the bench-sums room, run with this machine's own figures: the current that a fuse carries, the
//! heat in a resistor, the current of the coil that a diode suppresses, the volts that a lamp gets. Parts that are alike
//! share an entry. What is offered are sizes that a drawer may hold; each is judged, none is recommended unseen.

use serde::Serialize;
use serde_json::{Value, json};

use super::common;
use super::stock::{FUSE_STEPS, LAMPS, RECTIFIERS, SPEAKER_STEPS, UL_STEPS};
use super::{DocumentKind, Material, Sheet, cautions, pack};
use crate::hazards;
use crate::machine::model::{Diode, Fuse, FuseStandard, Lamp, Part, PartId, PartKind, Resistor, Speaker};
use crate::spec::units::{Amperes, Ohms, Volts, Watts};
use crate::sums::fuse_replacement::FuseMark;
use crate::sums::speaker_replacement::SpeakerSwap;
use crate::sums::sum::{Sum, Verdict};
use crate::sums::{diode_replacement, fuse_load, fuse_replacement, lamp, resistor_replacement, speaker_replacement};
use crate::words::{Value as Said, Words};

/// Offers nearer to the size called for than this are left to the maker's own name for the same size.
const SAME: f64 = 1e-9;

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Section {
    kind: &'static str,
    entries: Vec<Entry>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Entry {
    ids: String,
    label: Option<String>,
    called_for: String,
    facts: Vec<String>,
    offers: Vec<Offer>,
    workings: Vec<Working>,
    cautions: Vec<String>,
    /// Of alike entries the one that asks most is shown.
    #[serde(skip)]
    demand: f64,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Offer {
    offered: String,
    verdict: &'static str,
    reasons: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Working {
    title: String,
    lines: Vec<Line>,
    source: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Line {
    name: String,
    formula: String,
    numbers: String,
    result: String,
}

/// Composes the sheet.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::SubstitutionSheet, body(material), Vec::new())
}

/// Data of the sheet.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let sections: Vec<Section> = ["fuses", "resistors", "diodes", "lamps", "speakers"]
        .into_iter()
        .map(|kind| Section { kind, entries: entries(material, kind) })
        .filter(|section| !section.entries.is_empty())
        .collect();
    json!({ "sections": sections })
}

/// Entries of one kind, alike parts put together.
fn entries(material: &Material<'_>, kind: &str) -> Vec<Entry> {
    let machine = material.machine;
    let mut found: Vec<(Entry, Vec<PartId>)> = Vec::new();
    for (index, part) in machine.parts.iter().enumerate() {
        let id = PartId(index);
        let entry = match (&part.kind, kind) {
            (PartKind::Fuse(fuse), "fuses") => fuse_entry(material, id, fuse),
            (PartKind::Resistor(resistor), "resistors") => resistor_entry(material, id, resistor),
            (PartKind::Diode(diode), "diodes") => diode_entry(material, id, diode),
            (PartKind::Lamp(lamp), "lamps") => lamp_entry(material, id, lamp),
            (PartKind::Speaker(speaker), "speakers") => speaker_entry(material, id, speaker),
            _ => continue,
        };
        match found.iter_mut().find(|(known, _)| alike(known, &entry)) {
            Some((known, ids)) => {
                ids.push(id);
                join(known, entry);
            }
            None => found.push((entry, vec![id])),
        }
    }
    found
        .into_iter()
        .map(|(mut entry, ids)| {
            entry.ids = common::part_ids(machine, &ids).join(", ");
            entry
        })
        .collect()
}

/// Puts an alike entry to another: all facts of both, the label only where both have it, the sums of the one that asks
/// more.
fn join(known: &mut Entry, other: Entry) {
    known.label = known.label.take().filter(|label| Some(label) == other.label.as_ref());
    if known.facts != other.facts {
        // Only suppressors differ: coil after coil in one line.
        known.facts = vec![known.facts.iter().chain(&other.facts).cloned().collect::<Vec<_>>().join(", ")];
    }
    if other.demand > known.demand {
        known.demand = other.demand;
        known.offers = other.offers;
        known.workings = other.workings;
    }
}

/// Whether two entries say the same of two parts; suppressors of different coils are alike where the same diodes serve.
fn alike(one: &Entry, other: &Entry) -> bool {
    let offers = |entry: &Entry| -> Vec<(String, &'static str)> {
        entry.offers.iter().map(|offer| (offer.offered.clone(), offer.verdict)).collect()
    };
    let facts = one.facts == other.facts || (one.demand > 0.0 && other.demand > 0.0);
    one.called_for == other.called_for && facts && offers(one) == offers(other)
}

fn entry(part: &Part, called_for: String, facts: Vec<String>) -> Entry {
    Entry {
        ids: part.id.clone(),
        label: part.label.clone(),
        called_for,
        facts,
        offers: Vec::new(),
        workings: Vec::new(),
        cautions: Vec::new(),
        demand: 0.0,
    }
}

fn fuse_entry(material: &Material<'_>, id: PartId, fuse: &Fuse) -> Entry {
    let words = &material.options.words;
    let part = material.machine.part(id);
    let carried = pack::greatest_current(material, id).filter(|amps| *amps > common::LEAST_CURRENT);
    let mut facts: Vec<String> = fuse.protects.iter().cloned().collect();
    facts.extend(
        carried.map(|amps| {
            words.fill("substitutions.carries", &[("current", &words.numerals.quantity(Amperes::new(amps)))])
        }),
    );
    let mut entry = entry(part, common::fuse_text(material, fuse), facts);
    let called = FuseMark {
        rated: fuse.rated,
        speed: fuse.speed.clone(),
        breaking: fuse.breaking.clone(),
        voltage: fuse.voltage,
        body: fuse.body.clone(),
        standard: fuse.standard,
    };
    for offered in fuse_offers(&called) {
        let sum = fuse_replacement::sum(&called, &offered);
        push_offer(&mut entry, words, &offer_words(&called, &offered), &sum);
    }
    if let Some(amps) = carried
        && let Ok(sum) = fuse_load::sum(
            fuse.rated,
            Amperes::new(amps),
            fuse.standard,
            fuse.speed.as_deref(),
            fuse.breaking.as_deref(),
        )
    {
        push_working(&mut entry, words, &sum);
    }
    entry
}

/// A fuse on offer: its standard only where it differs, the body left out, since it must be the same.
fn offer_words(called: &FuseMark, offered: &FuseMark) -> String {
    let mut words: Vec<String> = offered.speed.iter().cloned().collect();
    words.push(offered.rated.to_string());
    words.extend(offered.breaking.clone());
    if offered.standard != called.standard {
        words.push(fuse_load::standard_name(offered.standard).to_string());
    }
    words.join(" ")
}

/// Fuses that a drawer may hold instead: the step below, the step above, the other standard, the other speed.
fn fuse_offers(called: &FuseMark) -> Vec<FuseMark> {
    let steps: &[f64] = if called.standard == FuseStandard::Iec { &FUSE_STEPS } else { &UL_STEPS };
    let below = steps.iter().rev().find(|step| **step < called.rated.value() * 0.999);
    let above = steps.iter().find(|step| **step > called.rated.value() * 1.001);
    let other_speed = match called.speed.as_deref() {
        Some("T" | "TT") => Some("F"),
        Some("F" | "FF") => Some("T"),
        _ => None,
    };
    let other_standard = match called.standard {
        FuseStandard::Iec => FuseStandard::Ul,
        FuseStandard::Ul => FuseStandard::Iec,
    };
    let rated = |amps: &f64| FuseMark { rated: Amperes::new(*amps), ..called.clone() };
    let mut offers: Vec<FuseMark> = below.map(rated).into_iter().collect();
    offers.extend(above.map(rated));
    offers.extend(other_speed.map(|speed| FuseMark { speed: Some(speed.to_string()), ..called.clone() }));
    offers.push(FuseMark { standard: other_standard, breaking: None, ..called.clone() });
    offers
}

fn resistor_entry(material: &Material<'_>, id: PartId, resistor: &Resistor) -> Entry {
    let words = &material.options.words;
    let numerals = words.numerals;
    let resistance = &resistor.resistance;
    let heat = cautions::greatest_heat(material, id);
    let called_for = match resistor.power {
        Some(power) => format!("{} {}", numerals.quantity(resistance.nominal), numerals.quantity(power)),
        None => numerals.quantity(resistance.nominal),
    };
    let mut facts = Vec::new();
    if heat.value() > 1e-3 {
        facts.push(words.fill("substitutions.heat", &[("watts", &numerals.quantity(heat))]));
    }
    let mut entry = entry(material.machine.part(id), called_for, facts);
    let tolerance = ((resistance.high / resistance.nominal - 1.0) * 100.0).clamp(1.0, 99.0);
    let heat = Some(heat).filter(|heat| heat.value() > 1e-3);
    if let Ok(sum) = resistor_replacement::sum(resistance.nominal, tolerance, heat, resistor.power) {
        let rating = sum.text("rating-at-least").map(|text| words.say_value(text));
        let sized = |text: &Said| match &rating {
            Some(rating) => words.fill("substitutions.sized", &[("ohms", &words.say_value(text)), ("watts", rating)]),
            None => words.say_value(text),
        };
        if let (Some(nearest), Some(judgement)) = (sum.text("nearest-e12"), &sum.judgement) {
            entry.offers.push(Offer {
                offered: sized(nearest),
                verdict: judgement.verdict.name(),
                reasons: judgement.reasons.iter().map(|reason| words.say(&reason.what)).collect(),
            });
        }
        if let (Some(pair), Some(total)) = (sum.text("two-e12-together"), sum.text("which-make")) {
            let total = words.say_value(total);
            entry.offers.push(Offer {
                offered: sized(pair),
                verdict: Verdict::Accepted.name(),
                reasons: vec![words.fill("substitutions.together", &[("ohms", &total)])],
            });
        }
        finish(&mut entry, words, &sum);
    }
    entry
}

fn diode_entry(material: &Material<'_>, id: PartId, diode: &Diode) -> Entry {
    let words = &material.options.words;
    let numerals = words.numerals;
    let machine = material.machine;
    let part = machine.part(id);
    let blocks = part.elements.first().map_or(Volts::ZERO, |&element| {
        let element = machine.element(element);
        hazards::highest_volts(machine, material.solution, element.from, element.to)
    });
    let loaded = diode.across.unwrap_or(id);
    let carries = Amperes::new(pack::greatest_current(material, loaded).unwrap_or(0.0));
    let mut called = Vec::new();
    called.extend(diode.zener.map(|zener| words.fill("substitutions.zener", &[("volts", &numerals.quantity(zener))])));
    called.extend(diode.reverse.map(|reverse| numerals.quantity(reverse)));
    called.extend(diode.forward.map(|forward| numerals.quantity(forward)));
    let called_for = if called.is_empty() { words.get("substitutions.any-diode") } else { called.join(" ") };
    let mut facts = Vec::new();
    if let Some(across) = diode.across {
        let coil = &machine.part(across).id;
        let current = numerals.quantity(carries);
        facts.push(words.fill("substitutions.across", &[("coil", coil), ("current", &current)]));
    }
    let mut entry = entry(part, called_for, facts);
    // The sum is that of a suppressor. What a diode in series must block shows only while relays move: no sum for it.
    entry.demand = carries.value();
    if diode.zener.is_some() || diode.across.is_none() || blocks.value() <= 0.0 || carries.value() <= 0.0 {
        return entry;
    }
    let fitting = RECTIFIERS.iter().filter(|(_, reverse, forward)| {
        *reverse >= blocks.value() * diode_replacement::REVERSE_MARGIN && *forward >= carries.value()
    });
    // The smallest that serves and the largest of the same current, which serves everywhere.
    let fitting: Vec<_> = fitting.collect();
    let chosen: Vec<_> = fitting
        .first()
        .into_iter()
        .chain(fitting.iter().rfind(|(_, _, forward)| fitting.first().is_some_and(|first| first.2 >= *forward)))
        .collect();
    let mut last = None;
    for &&(name, reverse, forward) in chosen {
        let (reverse, forward) = (Volts::new(reverse), Amperes::new(forward));
        if let Ok(sum) = diode_replacement::sum(blocks, carries, Some(reverse), Some(forward)) {
            let offered = format!("{name} ({reverse} {forward})");
            if !entry.offers.iter().any(|offer| offer.offered == offered) {
                push_offer(&mut entry, words, &offered, &sum);
            }
            last = Some(sum);
        }
    }
    if let Some(sum) = last {
        push_working(&mut entry, words, &sum);
        entry.cautions = cautions_of(words, &sum);
    }
    entry
}

fn lamp_entry(material: &Material<'_>, id: PartId, lamp_data: &Lamp) -> Entry {
    let words = &material.options.words;
    let numerals = words.numerals;
    let (volts, amps) = (lamp_data.nominal, lamp_data.current.nominal);
    let gets = highest_device_volts(material, id);
    let mut called_for = format!("{} {}", numerals.quantity(volts), numerals.quantity(amps));
    if let Some(pattern) = &lamp_data.pattern {
        called_for = format!("{called_for}, {pattern}");
    }
    let mut facts = Vec::new();
    facts.extend(gets.map(|gets| words.fill("substitutions.gets", &[("volts", &numerals.quantity(gets))])));
    let mut entry = entry(material.machine.part(id), called_for, facts);
    let near = LAMPS.iter().filter(|(offered, _)| (0.8..=1.35).contains(&(offered / volts.value())));
    for &(offered_volts, offered_amps) in near {
        let offered = (Volts::new(offered_volts), Amperes::new(offered_amps));
        let same = (offered.0 - volts).abs().value() < SAME && (offered.1 - amps).abs().value() < SAME;
        if same {
            continue;
        }
        if let Ok(sum) = lamp::replacement_sum((volts, amps), offered, gets) {
            push_offer(&mut entry, words, &format!("{} {}", offered.0, offered.1), &sum);
        }
    }
    if let Some(gets) = gets
        && let Ok(sum) = lamp::sum(volts, amps, gets)
    {
        push_working(&mut entry, words, &sum);
    }
    entry
}

/// The highest volts that a part gets in any sequence, if it gets any.
fn highest_device_volts(material: &Material<'_>, id: PartId) -> Option<Volts> {
    let devices = material.solution.sequences.iter().flat_map(|solved| &solved.devices);
    let highest = devices.filter(|device| device.part == id).map(|device| device.volts.abs()).fold(0.0, f64::max);
    (highest > 0.01).then(|| Volts::new(highest))
}

fn speaker_entry(material: &Material<'_>, id: PartId, speaker: &Speaker) -> Entry {
    let words = &material.options.words;
    let numerals = words.numerals;
    let impedance = speaker.impedance.nominal;
    let called_for = match speaker.power {
        Some(power) => format!("{} {}", numerals.quantity(impedance), numerals.quantity(power)),
        None => numerals.quantity(impedance),
    };
    let facts = vec![words.get(&format!("substitutions.range-{}", range_name(speaker)))];
    let mut entry = entry(material.machine.part(id), called_for, facts);
    let heat = cautions::greatest_heat(material, id);
    let power = Some(heat).filter(|heat| *heat > Watts::new(0.01)).or(speaker.power);
    let mut kept: Option<Sum> = None;
    for step in SPEAKER_STEPS.iter().filter(|step| (*step / impedance.value() - 1.0).abs() > 0.02) {
        let swap = SpeakerSwap {
            original: impedance,
            offered: Ohms::new(*step),
            series: None,
            // One loudspeaker among several is not the amplifier's whole load: its own impedance is what must be kept.
            minimum: None,
            power,
            range: speaker.range,
        };
        let Ok(sum) = speaker_replacement::sum(&swap) else { continue };
        let series = speaker_replacement::series_for(impedance, swap.offered);
        let rating = sum.text("resistor-rating").map(|text| words.say_value(text)).unwrap_or_default();
        let offered = if series.value() > 0.0 {
            words.fill(
                "substitutions.with-series",
                &[
                    ("speaker", &numerals.quantity(swap.offered)),
                    ("ohms", &numerals.quantity(series)),
                    ("watts", &rating),
                ],
            )
        } else {
            numerals.quantity(swap.offered)
        };
        push_offer(&mut entry, words, &offered, &sum);
        if kept.is_none() || series.value() > 0.0 {
            kept = Some(sum);
        }
    }
    if let Some(sum) = kept {
        finish(&mut entry, words, &sum);
    }
    entry
}

fn range_name(speaker: &Speaker) -> &'static str {
    use crate::machine::model::SpeakerRange;
    match speaker.range {
        SpeakerRange::Woofer => "woofer",
        SpeakerRange::Midrange => "midrange",
        SpeakerRange::Tweeter => "tweeter",
        SpeakerRange::Full => "full",
    }
}

/// Adds what a sum says of an offer.
fn push_offer(entry: &mut Entry, words: &Words, offered: &str, sum: &Sum) {
    if let Some(judgement) = &sum.judgement {
        entry.offers.push(Offer {
            offered: words.numerals.localised(offered),
            verdict: judgement.verdict.name(),
            reasons: judgement
                .reasons
                .iter()
                // A reason that speaks for an offer that others speak against would only hide them.
                .filter(|reason| judgement.verdict == Verdict::Accepted || reason.verdict != Verdict::Accepted)
                .map(|reason| words.say(&reason.what))
                .collect(),
        });
    }
}

/// Adds the working and the cautions of a sum.
fn finish(entry: &mut Entry, words: &Words, sum: &Sum) {
    push_working(entry, words, sum);
    entry.cautions = cautions_of(words, sum);
}

fn cautions_of(words: &Words, sum: &Sum) -> Vec<String> {
    sum.cautions.iter().map(|caution| words.say(caution)).collect()
}

fn push_working(entry: &mut Entry, words: &Words, sum: &Sum) {
    let lines: Vec<Line> = sum
        .steps
        .iter()
        .map(|step| Line {
            name: words.say(&step.result.label),
            formula: words.say_value(&step.formula),
            numbers: words.say_value(&step.numbers),
            result: words.say_value(&step.result.text),
        })
        .collect();
    if !lines.is_empty() {
        entry.workings.push(Working { title: words.say(&sum.title), lines, source: words.say(&sum.source) });
    }
}
