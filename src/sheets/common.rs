//! Pieces that several documents share: marks, names of parts and places, sequence lists, readings put together.

use serde::Serialize;

use super::Material;
use crate::audit::Finding;
use crate::circuit::results::{Reading, Remark, SequenceSolution};
use crate::hazards::limits;
use crate::machine::model::{
    Current, Element, ElementId, FittedFuse, Fuse, Gate, JointId, Law, Machine, Meter, NoteSubject, Origin, Part,
    PartId, PartKind, Relay, SequenceId, Supply, TestPointId, Wire,
};
use crate::spec::units::Volts;
use crate::words::Words;

/// Below this a current is a meter's or a leak's, in amperes.
pub const LEAST_CURRENT: f64 = 1e-5;

/// Name of the mark that shows where a value comes from.
#[must_use]
pub fn mark(origin: Origin) -> &'static str {
    match origin {
        Origin::Stated => "stated",
        Origin::Measured => "measured",
        Origin::Estimated => "estimated",
        Origin::Default => "default",
        Origin::Computed => "computed",
    }
}

/// Name of a kind of current as it stands beside a reading.
#[must_use]
pub fn current(words: &Words, current: Current) -> String {
    words.get(match current {
        Current::Direct => "current.direct",
        Current::Alternating => "current.alternating",
    })
}

/// A list of sequence numbers with runs drawn together: `1–4, 7`.
#[must_use]
pub fn number_ranges(numbers: &[i64]) -> String {
    let mut ranges: Vec<(i64, i64)> = Vec::new();
    for &number in numbers {
        match ranges.last_mut() {
            Some((_, last)) if number == *last + 1 => *last = number,
            _ => ranges.push((number, number)),
        }
    }
    let texts: Vec<String> = ranges
        .into_iter()
        .map(|(first, last)| match last - first {
            0 => first.to_string(),
            1 => format!("{first}, {last}"),
            _ => format!("{first}–{last}"),
        })
        .collect();
    texts.join(", ")
}

/// The designator with what the part does: `K2, stop relay`.
#[must_use]
pub fn part_name(part: &Part) -> String {
    match &part.label {
        Some(label) => format!("{}, {label}", part.id),
        None => part.id.clone(),
    }
}

/// Designators of several parts; parts that were declared together are named together where all of them are meant.
#[must_use]
pub fn part_ids(machine: &Machine, parts: &[PartId]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for &id in parts {
        let all = machine.declared_with(id).iter().all(|other| parts.contains(other));
        let part = machine.part(id);
        let name = if all { group_name(part) } else { part.id.clone() };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// The group that a part was declared in, else its own designator.
#[must_use]
pub fn group_name(part: &Part) -> String {
    part.group.as_deref().map_or_else(|| part.id.clone(), |group| group.replace("..", "…"))
}

/// Wire colours base first, tracer behind a stroke: `WH/RD`.
#[must_use]
pub fn wire_colour(wire: &Wire) -> Option<String> {
    wire.colour.as_ref().map(|(base, tracer)| match tracer {
        Some(tracer) => format!("{base}/{tracer}"),
        None => base.clone(),
    })
}

/// Colours of the wires that end at a joint, without doubles, in the order of the wiring.
#[must_use]
pub fn wires_at(machine: &Machine, joint: JointId) -> Vec<String> {
    let mut colours = Vec::new();
    for element in &machine.elements {
        if element.from != joint && element.to != joint {
            continue;
        }
        if let PartKind::Wire(wire) = &machine.part(element.part).kind
            && let Some(colour) = wire_colour(wire)
            && !colours.contains(&colour)
        {
            colours.push(colour);
        }
    }
    colours
}

/// The meter in words: what it loads the circuit with.
#[must_use]
pub fn meter_text(meter: &Meter, words: &Words) -> String {
    match meter {
        Meter::Digital(input) => words.fill("meter.digital", &[("ohms", &words.numerals.quantity(*input))]),
        Meter::Analogue { ohms_per_volt, ohms_per_volt_ac, ranges } => {
            let ranges: Vec<String> = ranges.iter().map(|range| words.numerals.three_figures(range.value())).collect();
            words.fill(
                "meter.analogue",
                &[
                    ("dc", &words.numerals.quantity(*ohms_per_volt)),
                    ("ac", &words.numerals.quantity(*ohms_per_volt_ac)),
                    ("ranges", &ranges.join(", ")),
                ],
            )
        }
    }
}

/// Name of a joint as paper says it.
#[must_use]
pub fn joint_name(machine: &Machine, joint: JointId) -> String {
    machine.joint(joint).name.clone()
}

/// What lies beyond one end of an element: the joint by its name, or what else ends at a joint that nobody named, wires
/// left out.
#[must_use]
pub fn beyond(machine: &Machine, joint: JointId, own: ElementId) -> String {
    /// More neighbours than this are a star, which has a name of its own in any decent drawing.
    const MOST: usize = 3;
    if machine.joint(joint).named {
        return joint_name(machine, joint);
    }
    let mut names: Vec<String> = Vec::new();
    let mut wires: Vec<String> = Vec::new();
    for (index, element) in machine.elements.iter().enumerate() {
        if ElementId(index) == own || (element.from != joint && element.to != joint) {
            continue;
        }
        let into = if matches!(machine.part(element.part).kind, PartKind::Wire(_)) { &mut wires } else { &mut names };
        if !into.contains(&element.name) {
            into.push(element.name.clone());
        }
    }
    if names.is_empty() {
        names = wires;
    }
    names.truncate(MOST);
    names.join(" / ")
}

/// Notes that the description holds about a subject.
#[must_use]
pub fn notes_about(machine: &Machine, subject: NoteSubject) -> Vec<String> {
    machine.notes.iter().filter(|note| note.about == Some(subject)).map(|note| note.text.clone()).collect()
}

/// What one reading looks like on paper; equal ones of several sequences share a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ReadingFigures {
    /// Its kind of current, in the language of the page.
    pub current: String,
    /// The reading in volts.
    pub reads: String,
    /// The lowest healthy reading.
    pub low: String,
    /// The highest healthy reading.
    pub high: String,
    /// Whether the band was proved or searched.
    pub certainty: &'static str,
    /// The drop from the supply point, with its span, if there is one.
    pub drop: Option<DropFigures>,
    /// Ripple peak to peak, with its unit.
    pub ripple: Option<String>,
    /// Whether nothing but the meter holds the point.
    pub floating: bool,
}

/// A drop from the supply point on paper.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct DropFigures {
    /// The point that is measured first.
    pub from: String,
    /// The drop in volts.
    pub drop: String,
    /// The lowest healthy drop.
    pub low: String,
    /// The highest healthy drop.
    pub high: String,
}

/// Puts a reading into figures.
#[must_use]
pub fn reading_figures(machine: &Machine, reading: &Reading, words: &Words) -> ReadingFigures {
    let numerals = words.numerals;
    ReadingFigures {
        current: current(words, reading.quantity),
        reads: numerals.either_volts(reading.nominal, &reading.outcomes),
        low: numerals.volts(reading.band.low),
        high: numerals.volts(reading.band.high),
        certainty: reading.band.certainty.name(),
        drop: reading.drop.as_ref().filter(|drop| drop.from != reading.at).map(|drop| DropFigures {
            from: machine.test_points[drop.from.0].id.clone(),
            drop: numerals.drop_volts(drop.nominal),
            low: numerals.drop_volts(drop.band.low),
            high: numerals.drop_volts(drop.band.high),
        }),
        ripple: reading.ripple.filter(|ripple| *ripple >= 0.005).map(|ripple| numerals.drop_volts(ripple)),
        floating: reading.floating,
    }
}

/// The sequences in which current flows through an element.
#[must_use]
pub fn carrying(material: &Material<'_>, id: ElementId) -> Vec<SequenceId> {
    let solved = material.solution.sequences.iter();
    solved.filter(|solved| solved.currents[id.0].abs() > LEAST_CURRENT).map(|solved| solved.sequence).collect()
}

/// Readings of one test point, equal ones put together, in the order of the sequences.
#[must_use]
pub fn grouped_readings(material: &Material<'_>, point: TestPointId) -> Vec<(ReadingFigures, Vec<SequenceId>)> {
    let mut rows: Vec<(ReadingFigures, Vec<SequenceId>)> = Vec::new();
    for solved in &material.solution.sequences {
        for reading in solved.readings.iter().filter(|reading| reading.at == point) {
            let figures = reading_figures(material.machine, reading, &material.options.words);
            match rows.iter_mut().find(|(row, _)| *row == figures) {
                Some((_, sequences)) => sequences.push(solved.sequence),
                None => rows.push((figures, vec![solved.sequence])),
            }
        }
    }
    rows
}

/// Numbers of sequences as a list with runs drawn together.
#[must_use]
pub fn sequence_numbers(machine: &Machine, sequences: &[SequenceId]) -> String {
    let numbers: Vec<i64> = sequences.iter().map(|id| machine.sequences[id.0].number).collect();
    number_ranges(&numbers)
}

/// Whether current flows at a joint in a sequence: only there does a voltage tell something about the wiring before it.
#[must_use]
pub fn carries_current(material: &Material<'_>, joint: JointId, sequence: SequenceId) -> bool {
    let currents = &material.solution.sequence(sequence).currents;
    material
        .machine
        .elements
        .iter()
        .zip(currents)
        .any(|(element, current)| (element.from == joint || element.to == joint) && current.abs() > LEAST_CURRENT)
}

/// The supply point from which drops at a test point are measured, in most sequences; a supply point is its own.
#[must_use]
pub fn supply_point(material: &Material<'_>, point: TestPointId) -> Option<TestPointId> {
    let readings = material.solution.sequences.iter().flat_map(|solved| &solved.readings);
    let mut votes: Vec<(TestPointId, usize)> = Vec::new();
    for reading in readings.filter(|reading| reading.drop.is_some()) {
        let Some(drop) = &reading.drop else { continue };
        if reading.at != point && drop.from != point {
            continue;
        }
        let vote = if drop.from == point { point } else { drop.from };
        match votes.iter_mut().find(|(candidate, _)| *candidate == vote) {
            Some((_, count)) => *count += 1,
            None => votes.push((vote, 1)),
        }
    }
    votes.into_iter().max_by_key(|(candidate, count)| (*count, std::cmp::Reverse(candidate.0))).map(|(point, _)| point)
}

/// Name of the supply whose terminal is nearest to a supply point: the first supply met without crossing a device.
#[must_use]
pub fn supply_label(material: &Material<'_>, point: TestPointId) -> Option<String> {
    let machine = material.machine;
    let mut seen = vec![false; machine.joints.len()];
    let mut edge = vec![machine.test_points[point.0].joint];
    while let Some(joint) = edge.pop() {
        if std::mem::replace(&mut seen[joint.0], true) {
            continue;
        }
        if let Some(supply) = supply_at(machine, joint) {
            return Some(part_name(supply));
        }
        edge.extend(neighbours(machine, joint));
    }
    None
}

/// The supply with a terminal at a joint that is not the machine's reference.
fn supply_at(machine: &Machine, joint: JointId) -> Option<&Part> {
    machine.parts.iter().find(|part| match &part.kind {
        PartKind::Supply(supply) => {
            joint != machine.reference && supply.terminals.iter().any(|(_, terminal)| *terminal == joint)
        }
        _ => false,
    })
}

/// Joints beyond a fuse, wire or pin.
fn neighbours(machine: &Machine, joint: JointId) -> impl Iterator<Item = JointId> + '_ {
    machine.elements.iter().filter_map(move |element| {
        let conductor =
            matches!(machine.part(element.part).kind, PartKind::Fuse(_) | PartKind::Wire(_) | PartKind::Plug(_));
        match (conductor, element.from == joint, element.to == joint) {
            (true, true, _) => Some(element.to),
            (true, _, true) => Some(element.from),
            _ => None,
        }
    })
}

/// What limits the trust in the numbers, over all sequences, each said once.
#[must_use]
pub fn remarks(material: &Material<'_>) -> Vec<String> {
    let mut remarks: Vec<Remark> =
        material.solution.sequences.iter().flat_map(|solved| solved.remarks.clone()).collect();
    remarks.sort();
    remarks.dedup();
    remarks.iter().map(|remark| remark_text(material, remark)).collect()
}

/// A remark in words.
#[must_use]
pub fn remark_text(material: &Material<'_>, remark: &Remark) -> String {
    let (name, part) = remark.name();
    let part = &material.machine.part(part).id;
    material.options.words.fill(&format!("remarks.{name}"), &[("part", part)])
}

/// Whether a contact is closed in a sequence.
#[must_use]
pub fn is_closed(material: &Material<'_>, gate: &Gate, sequence: SequenceId) -> bool {
    let setting = &material.machine.sequences[sequence.0].setting;
    match gate {
        Gate::Relay { relay, when_energised } => {
            material.solution.sequence(sequence).energised.contains(relay) == *when_energised
        }
        Gate::Hand { switch, when_operated } => setting.operated.contains(switch) == *when_operated,
        Gate::Wiper { selector, ring, segment } => {
            setting.positions.get(selector).and_then(|rings| rings.get(*ring).copied()).flatten() == Some(*segment)
        }
    }
}

/// What a fuse holder calls for, as it is marked on the fuse: `T 2 A L 250 V, 5x20`.
#[must_use]
pub fn fuse_text(material: &Material<'_>, fuse: &Fuse) -> String {
    let numerals = material.options.words.numerals;
    let mark: Vec<String> = [
        fuse.speed.clone(),
        Some(numerals.quantity(fuse.rated)),
        fuse.breaking.clone(),
        fuse.voltage.map(|volts| numerals.quantity(volts)),
    ]
    .into_iter()
    .flatten()
    .collect();
    match &fuse.body {
        Some(body) => format!("{}, {}", mark.join(" "), body.replace('x', "\u{d7}")),
        None => mark.join(" "),
    }
}

/// What was found in a fuse holder.
#[must_use]
pub fn fitted_text(material: &Material<'_>, fitted: &FittedFuse) -> String {
    let rated = material.options.words.numerals.quantity(fitted.rated);
    fitted.speed.as_ref().map_or_else(|| rated.clone(), |speed| format!("{speed} {rated}"))
}

/// Whether a fuse that was found is other than the one called for, as far as both say.
#[must_use]
pub fn is_wrong(fuse: &Fuse, fitted: &FittedFuse) -> bool {
    let other_speed = matches!((&fuse.speed, &fitted.speed), (Some(one), Some(other)) if one != other);
    fitted.rated != fuse.rated || other_speed
}

/// What is printed on a part or stands in its parts list: `T 2 A`, `4.7 Ω 5 W`, `6.3 V 250 mA`; none for parts without.
#[must_use]
pub fn rating(material: &Material<'_>, part: &Part) -> Option<String> {
    let numerals = material.options.words.numerals;
    match &part.kind {
        PartKind::Supply(supply) => Some(winding_text(material, supply)),
        PartKind::Fuse(fuse) => Some(fuse_text(material, fuse)),
        PartKind::Relay(Relay { coil, .. }) | PartKind::Solenoid(coil) | PartKind::Motor(coil) => {
            Some(numerals.quantity(coil.resistance.nominal)).filter(|_| coil.ohms_known)
        }
        PartKind::Lamp(lamp) => {
            Some(format!("{} {}", numerals.quantity(lamp.nominal), numerals.quantity(lamp.current.nominal)))
        }
        PartKind::Resistor(resistor) => Some(match resistor.power {
            Some(power) => {
                format!("{} {}", numerals.quantity(resistor.resistance.nominal), numerals.quantity(power))
            }
            None => numerals.quantity(resistor.resistance.nominal),
        }),
        PartKind::Capacitor(capacitor) => Some(numerals.quantity(capacitor.capacitance.nominal)),
        PartKind::Inductor(inductor) => Some(numerals.quantity(inductor.inductance.nominal)),
        PartKind::Speaker(speaker) => Some(numerals.quantity(speaker.impedance.nominal)),
        PartKind::Switch(_)
        | PartKind::Cam(_)
        | PartKind::Selector(_)
        | PartKind::Diode(_)
        | PartKind::Plug(_)
        | PartKind::Wire(_) => None,
    }
}

/// What a supply's own plate says: its volts, and that a rectifier follows where one does.
#[must_use]
pub fn winding_text(material: &Material<'_>, supply: &Supply) -> String {
    let words = &material.options.words;
    let volts = format!("{} {}", words.numerals.quantity(supply.rated.nominal), current(words, supply.current));
    if supply.rectifier.is_some() { format!("{volts}, {}", words.get("drawing.rectified")) } else { volts }
}

/// What stands between the terminals of a rectified supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtTerminals {
    /// DC volts in the first sequence.
    pub nominal: f64,
    /// The least over all sequences, with the winding at its lowest.
    pub low: f64,
    /// The most over all sequences, with the winding at its highest; without load where there is a reservoir.
    pub high: f64,
}

/// DC volts from the first terminal of a rectified supply to its second, as solved; none for other supplies.
#[must_use]
pub fn at_terminals(material: &Material<'_>, supply: &Supply) -> Option<AtTerminals> {
    let rectifier = supply.rectifier.as_ref()?;
    let [(_, plus), (_, minus)] = &supply.terminals;
    let volts = |solved: &SequenceSolution| (solved.joints[plus.0].direct - solved.joints[minus.0].direct).abs();
    let all: Vec<f64> = material.solution.sequences.iter().map(volts).collect();
    let nominal = *all.first()?;
    let share = |end: Volts| end / supply.voltage.nominal;
    let (least, most) = (share(supply.voltage.low), share(supply.voltage.high));
    let unloaded = if rectifier.reservoir.is_some() {
        limits::terminal_peak(supply, limits::highest(supply)).value()
    } else {
        0.0
    };
    Some(AtTerminals {
        nominal,
        low: all.iter().copied().fold(f64::INFINITY, f64::min) * least,
        high: all.iter().map(|volts| volts * most).fold(unloaded, f64::max),
    })
}

/// Where the black lead belongs for a reading at a joint, with the islands of the sequence: the machine's reference where
/// the joint is tied to it, else the joint that test points of the same floating winding use, else that supply's second
/// terminal.
#[must_use]
pub fn black_lead(machine: &Machine, joint: JointId, islands: &[usize]) -> JointId {
    let tied = |other: &JointId| islands[other.0] == islands[joint.0];
    if tied(&machine.reference) {
        return machine.reference;
    }
    let of_points = machine.test_points.iter().map(|point| point.reference).find(|end| tied(end));
    let of_supply = || limits::supplies(machine).map(|(_, supply)| supply.terminals[1].1).find(|end| tied(end));
    of_points.or_else(of_supply).unwrap_or(machine.reference)
}

/// For each joint the first joint that it is tied to in a sequence: through what always conducts, and through what
/// carries current there.
#[must_use]
pub fn islands(material: &Material<'_>, sequence: SequenceId) -> Vec<usize> {
    let machine = material.machine;
    let currents = &material.solution.sequence(sequence).currents;
    let conducts = |index: usize, element: &Element| match element.law {
        Law::Contact { .. } | Law::Junction | Law::Capacitance => currents[index].abs() > LEAST_CURRENT,
        _ => true,
    };
    let mut islands: Vec<usize> = (0..machine.joints.len()).collect();
    let elements = machine.elements.iter().enumerate().filter(|(index, element)| conducts(*index, element));
    for (_, element) in elements {
        let (one, other) = (first_of(&islands, element.from.0), first_of(&islands, element.to.0));
        islands[one.max(other)] = one.min(other);
    }
    (0..islands.len()).map(|joint| first_of(&islands, joint)).collect()
}

fn first_of(islands: &[usize], mut joint: usize) -> usize {
    while islands[joint] != joint {
        joint = islands[joint];
    }
    joint
}

/// What the audit found, each finding in one text, of those that are wanted.
fn findings(material: &Material<'_>, wanted: impl Fn(&Finding) -> bool) -> Vec<String> {
    let found = material.audit.iter().filter(|finding| wanted(finding));
    found.map(|finding| finding_text(finding, &material.options.words)).collect()
}

/// What the audit found about one sequence: message and advice in one text.
#[must_use]
pub fn findings_of_sequence(material: &Material<'_>, sequence: SequenceId) -> Vec<String> {
    findings(material, |finding| finding.sequences.contains(&sequence) && finding.test_point.is_none())
}

/// What the audit found about one part.
#[must_use]
pub fn findings_of_part(material: &Material<'_>, part: PartId) -> Vec<String> {
    findings(material, |finding| finding.part == Some(part))
}

/// What the audit found about one test point.
#[must_use]
pub fn findings_of_point(material: &Material<'_>, point: TestPointId) -> Vec<String> {
    findings(material, |finding| finding.test_point == Some(point))
}

/// A finding in one text: what was found, then what to do.
fn finding_text(finding: &Finding, words: &Words) -> String {
    let say = |fact| sentence(&words.say(fact));
    words.fill("findings.text", &[("message", &say(&finding.message)), ("advice", &say(&finding.advice))])
}

/// A message as a sentence: a capital at its head, no stop of its own at its end.
#[must_use]
pub fn sentence(text: &str) -> String {
    let text = text.trim().trim_end_matches('.').replace('`', "");
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
