//! Bench card: what a hand with a probe in it needs, on one laminated card.
//!
//! Front: the machine, its dangers in short, its supplies, the fuses it calls for, the ohms of its coils. Back: a line for
//! each sequence, and readings by test point and sequence. What does not fit goes on to a further card; that is arranged
//! by the template, which alone knows how high a row becomes.

use serde::Serialize;
use serde_json::{Value, json};

use super::cards::{self, CardSize, Imposition};
use super::common::{self, mark};
use super::{DocumentKind, Material, Sheet, cautions};
use crate::circuit::results::Reading;
use crate::machine::model::{Coil, Current, Fuse, JointId, Part, PartKind, SequenceId, Supply, TestPointId};
use crate::words::Words;
use crate::words::figures::{UNKNOWN, span};

/// Longest run of letters without a place to break a line.
const LONGEST_WORD: usize = 12;

/// A supply as the card shows it.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct SupplyRow {
    id: String,
    reads: String,
    unit: String,
    span: String,
    mark: &'static str,
    between: String,
}

/// A fuse as it is called for.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct FuseRow {
    id: String,
    called_for: String,
    body: Option<String>,
    protects: String,
    mark: &'static str,
}

/// A winding, cold, one lead lifted.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct CoilRow {
    id: String,
    ohms: String,
    span: String,
    /// None where nobody knows the ohms.
    mark: Option<&'static str>,
    label: String,
}

/// A sequence in one line.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct SequenceRow {
    number: String,
    title: String,
    pulled_in: String,
    acts: Vec<Act>,
}

/// A device that acts, with the volts that it gets.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Act {
    id: String,
    volts: String,
}

/// A test point with its reading in each sequence.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct PointRow {
    id: String,
    current: String,
    /// Where the black lead goes, where it is not the machine's reference.
    black: Option<String>,
    /// One for each sequence; a dash where nothing but the meter holds the point.
    reads: Vec<String>,
    /// Whether each of them is other than nothing.
    tells: Vec<bool>,
    below: String,
    above: String,
}

/// Composes the card.
#[must_use]
pub fn compose(material: &Material<'_>) -> Sheet {
    super::sheet(material, DocumentKind::BenchCard, body(material), Vec::new())
}

/// Data of the card.
#[must_use]
pub fn body(material: &Material<'_>) -> Value {
    let machine = material.machine;
    let words = &material.options.words;
    let points = point_rows(material);
    let other_leads = points.iter().any(|point| point.black.is_some());
    json!({
        "sheet": imposition(material),
        "marks": marks(material),
        "duplex": material.options.card.duplex.name(),
        "kind": breakable(&machine.identity.kind),
        "name": breakable(&machine.identity.name),
        "mains": machine.identity.mains.as_deref().map(breakable),
        "reference": breakable(&common::joint_name(machine, machine.reference)),
        "meter": common::meter_text(&machine.meter, words),
        "cautions": cautions::cautions(material).into_iter().map(|caution| json!({
            "word": caution.word, "sign": caution.sign, "short": breakable(&caution.short),
        })).collect::<Vec<_>>(),
        "supplies": machine.parts.iter().filter_map(|part| supply_row(material, part)).collect::<Vec<_>>(),
        "fuses": machine.parts.iter().filter_map(|part| fuse_row(material, part)).collect::<Vec<_>>(),
        "coils": machine.parts.iter().flat_map(|part| coil_rows(material, part)).collect::<Vec<_>>(),
        "sequences": (0..machine.sequences.len()).map(|at| sequence_row(material, SequenceId(at))).collect::<Vec<_>>(),
        "points": points,
        "other-leads": other_leads,
    })
}

/// Origins of the values on the card, for its legend.
fn marks(material: &Material<'_>) -> Vec<&'static str> {
    let parts = &material.machine.parts;
    let supplies = parts.iter().filter_map(|part| supply_row(material, part)).map(|row| row.mark);
    let coils = parts.iter().flat_map(|part| coil_rows(material, part)).filter_map(|row| row.mark);
    let readings = (!material.machine.test_points.is_empty()).then_some("computed");
    let used: Vec<&str> = supplies.chain(coils).chain(readings).collect();
    ["computed", "stated", "measured", "estimated", "default"].into_iter().filter(|mark| used.contains(mark)).collect()
}

/// Where the cards stand. A size that does not fit the paper gets pages of its own size; the command refuses it earlier.
fn imposition(material: &Material<'_>) -> Imposition {
    let options = material.options;
    let size = options.card.size.unwrap_or_else(|| CardSize::usual(options.paper));
    cards::impose(size, options.paper, &options.card).unwrap_or_else(|_| cards::bare(size, &options.card))
}

/// Places to break a line inside long runs of letters, so that no name can leave its column.
#[must_use]
pub fn breakable(text: &str) -> String {
    let mut broken = String::with_capacity(text.len());
    let mut run = 0;
    for letter in text.chars() {
        run = if letter.is_whitespace() { 0 } else { run + 1 };
        if run > LONGEST_WORD {
            broken.push('\u{200B}');
            run = 1;
        }
        broken.push(letter);
    }
    broken
}

fn supply_row(material: &Material<'_>, part: &Part) -> Option<SupplyRow> {
    let PartKind::Supply(supply) = &part.kind else { return None };
    let machine = material.machine;
    let hot = hot_terminal(material, supply);
    let far = supply.terminals.iter().map(|(_, joint)| *joint).find(|joint| *joint != hot).unwrap_or(hot);
    let names = [hot, far].map(|joint| common::joint_name(machine, joint));
    let between = material.options.words.fill("card.between", &[("one", &names[0]), ("other", &names[1])]);
    let row = computed_supply(material, hot, far)
        .or_else(|| rectified_supply(material, supply, hot))
        .unwrap_or_else(|| stated_supply(material, supply, hot));
    Some(SupplyRow { id: breakable(&part.id), between: breakable(&between), ..row })
}

/// The terminal that is not the machine's reference; the second where neither or both are.
fn hot_terminal(material: &Material<'_>, supply: &Supply) -> JointId {
    let [(_, first), (_, second)] = &supply.terminals;
    if *second == material.machine.reference { *first } else { *second }
}

/// What a test point at the terminal reads over all sequences.
fn computed_supply(material: &Material<'_>, hot: JointId, far: JointId) -> Option<SupplyRow> {
    let machine = material.machine;
    let point = machine.test_points.iter().position(|point| point.joint == hot && point.reference == far)?;
    let readings: Vec<&Reading> = material
        .solution
        .sequences
        .iter()
        .flat_map(|solved| &solved.readings)
        .filter(|reading| reading.at == TestPointId(point) && !reading.floating)
        .collect();
    let first = readings.first()?;
    let same: Vec<&&Reading> = readings.iter().filter(|reading| reading.quantity == first.quantity).collect();
    let low = same.iter().map(|reading| reading.band.low).fold(f64::INFINITY, f64::min);
    let high = same.iter().map(|reading| reading.band.high).fold(f64::NEG_INFINITY, f64::max);
    let numerals = material.options.words.numerals;
    Some(SupplyRow {
        id: String::new(),
        reads: numerals.either_volts(first.nominal, &first.outcomes),
        unit: unit(&material.options.words, first.quantity),
        span: span(&numerals.volts(low), &numerals.volts(high)),
        mark: "computed",
        between: String::new(),
    })
}

/// What a rectified supply gives at its terminals, with the sign that the red lead on the hot terminal shows.
fn rectified_supply(material: &Material<'_>, supply: &Supply, hot: JointId) -> Option<SupplyRow> {
    let found = common::at_terminals(material, supply)?;
    let numerals = material.options.words.numerals;
    let sign = if supply.terminals[1].1 == hot { -1.0 } else { 1.0 };
    let mut ends = [found.low * sign, found.high * sign];
    ends.sort_by(f64::total_cmp);
    Some(SupplyRow {
        id: String::new(),
        reads: numerals.volts(found.nominal * sign),
        unit: unit(&material.options.words, Current::Direct),
        span: span(&numerals.volts(ends[0]), &numerals.volts(ends[1])),
        mark: "computed",
        between: String::new(),
    })
}

/// The voltage of the source without load, with the sign that the red lead on the hot terminal shows.
fn stated_supply(material: &Material<'_>, supply: &Supply, hot: JointId) -> SupplyRow {
    let numerals = material.options.words.numerals;
    let current = supply.current;
    let negative = current == Current::Direct && supply.terminals[1].1 == hot;
    let sign = if negative { -1.0 } else { 1.0 };
    let mut ends = [supply.voltage.low.value() * sign, supply.voltage.high.value() * sign];
    ends.sort_by(f64::total_cmp);
    SupplyRow {
        id: String::new(),
        reads: numerals.volts(supply.voltage.nominal.value() * sign),
        unit: unit(&material.options.words, current),
        span: span(&numerals.volts(ends[0]), &numerals.volts(ends[1])),
        mark: mark(supply.voltage.origin),
        between: String::new(),
    }
}

/// Unit of a reading with its kind of current.
fn unit(words: &Words, current: Current) -> String {
    words.fill("current.volts", &[("current", &common::current(words, current))])
}

fn fuse_row(material: &Material<'_>, part: &Part) -> Option<FuseRow> {
    let PartKind::Fuse(fuse) = &part.kind else { return None };
    let protects = fuse.protects.as_deref().or(part.label.as_deref()).unwrap_or_default();
    Some(FuseRow {
        id: breakable(&part.id),
        called_for: called_for(material, fuse),
        body: fuse.body.as_ref().map(|body| breakable(&body.replace('x', "\u{d7}"))),
        protects: breakable(protects),
        mark: mark(part.origin),
    })
}

/// Speed and rating, as they stand on the fuse's cap.
#[must_use]
pub fn called_for(material: &Material<'_>, fuse: &Fuse) -> String {
    let rated = material.options.words.numerals.quantity(fuse.rated).replace(' ', "\u{a0}");
    match &fuse.speed {
        Some(speed) => format!("{} {rated}", breakable(speed)),
        None => rated,
    }
}

fn coil_rows(material: &Material<'_>, part: &Part) -> Vec<CoilRow> {
    let words = &material.options.words;
    let label = part.label.clone().unwrap_or_default();
    let windings: Vec<(&Coil, String)> = match &part.kind {
        PartKind::Relay(relay) => std::iter::once((&relay.coil, label.clone()))
            .chain(relay.reset.iter().map(|reset| (reset, words.fill("card.reset-coil", &[("label", &label)]))))
            .collect(),
        PartKind::Solenoid(coil) | PartKind::Motor(coil) => vec![(coil, label)],
        _ => Vec::new(),
    };
    windings
        .into_iter()
        .map(|(coil, label)| CoilRow {
            id: breakable(&part.id),
            ohms: if coil.ohms_known { words.numerals.quantity(coil.resistance.nominal) } else { UNKNOWN.into() },
            span: if coil.ohms_known {
                words.numerals.tolerance_span(coil.resistance.low, coil.resistance.high)
            } else {
                words.get("card.ohms-unknown")
            },
            mark: coil.ohms_known.then(|| mark(coil.resistance.origin)),
            label: breakable(label.trim()),
        })
        .collect()
}

fn sequence_row(material: &Material<'_>, id: SequenceId) -> SequenceRow {
    let machine = material.machine;
    let sequence = &machine.sequences[id.0];
    let solved = material.solution.sequence(id);
    let energised: Vec<_> = solved.energised.iter().copied().filter(|part| !sequence.acts.contains(part)).collect();
    let acts = sequence
        .acts
        .iter()
        .map(|part| Act {
            id: breakable(&machine.part(*part).id),
            volts: solved.devices.iter().find(|device| device.part == *part).map_or_else(String::new, |device| {
                format!("{} V", material.options.words.numerals.volts(device.volts.abs()))
            }),
        })
        .collect();
    SequenceRow {
        number: sequence.number.to_string(),
        title: breakable(&sequence.title),
        pulled_in: breakable(&common::part_ids(machine, &energised).join(", ")),
        acts,
    }
}

/// A row for each test point and kind of current that it ever carries.
fn point_rows(material: &Material<'_>) -> Vec<PointRow> {
    (0..material.machine.test_points.len())
        .flat_map(|at| {
            let id = TestPointId(at);
            let kinds = kinds_at(material, id);
            kinds.into_iter().map(move |current| point_row(material, id, current)).collect::<Vec<_>>()
        })
        .collect()
}

/// Kinds of current that a point carries anywhere; direct where it never carries any.
fn kinds_at(material: &Material<'_>, id: TestPointId) -> Vec<Current> {
    let mut kinds: Vec<Current> = material
        .solution
        .sequences
        .iter()
        .flat_map(|solved| &solved.readings)
        .filter(|reading| reading.at == id && !reads_nothing(reading))
        .map(|reading| reading.quantity)
        .collect();
    kinds.sort_unstable();
    kinds.dedup();
    if kinds.is_empty() { vec![Current::Direct] } else { kinds }
}

fn point_row(material: &Material<'_>, id: TestPointId, current: Current) -> PointRow {
    let machine = material.machine;
    let numerals = material.options.words.numerals;
    let point = &machine.test_points[id.0];
    let found: Vec<Option<&Reading>> = material
        .solution
        .sequences
        .iter()
        .map(|solved| solved.readings.iter().find(|reading| reading.at == id && reading.quantity == current))
        .collect();
    let most = |of: fn(&Reading) -> f64| found.iter().flatten().map(|reading| of(reading)).fold(0.0, f64::max);
    PointRow {
        id: breakable(&point.id),
        current: common::current(&material.options.words, current),
        black: (point.reference != machine.reference).then(|| {
            let joint = breakable(&common::joint_name(machine, point.reference));
            material.options.words.fill("card.against", &[("joint", &joint)])
        }),
        reads: found.iter().map(|reading| reads(material, *reading)).collect(),
        tells: found.iter().map(|reading| reading.is_some_and(|reading| !reads_nothing(reading))).collect(),
        below: numerals.fixed(-most(|reading| reading.nominal - reading.band.low), 1),
        above: numerals.fixed(most(|reading| reading.band.high - reading.nominal), 1),
    }
}

/// The reading in volts; nothing read in this kind of current is zero, a point that nothing holds is a dash.
fn reads(material: &Material<'_>, reading: Option<&Reading>) -> String {
    let numerals = material.options.words.numerals;
    match reading {
        Some(reading) if reading.floating => UNKNOWN.into(),
        Some(reading) => numerals.either_volts(reading.nominal, &reading.outcomes),
        None => numerals.volts(0.0),
    }
}

/// Whether the display shows zero, or nothing but the meter holds the point.
fn reads_nothing(reading: &Reading) -> bool {
    const SHOWN: f64 = 0.05;
    reading.floating || reading.outcomes.iter().chain([&reading.nominal]).all(|volts| volts.abs() < SHOWN)
}
