//! `narrow`: readings and sequences in, suspects with shares and the best next check out.
//!
//! The JSON is `{"machine", "sequence", "suspects":[{"place", "part", "location", "share", "fault", "kind", "added":{"mean",
//! "low", "high"}, "group"}], "no-fault", "doubts":[{"at", "reads", "expected", "chance"}], "unexplained", "sequences-disagree",
//! "undecided", "next":{"kind", "text", "sequence", "minutes", "expected-minutes"}}`; ohms, volts and minutes are plain numbers.

use serde_json::json;

use super::answer::{Answer, Complaint, Ending};
use super::args::{Format, NarrowArguments};
use super::terminal::Terminal;
use super::{narrow_text, source, table};
use crate::circuit::{Effort, Solver};
use crate::faults::narrow::{Evidence, EvidenceError, Narrowing, narrow};
use crate::faults::order::CheckKind;
use crate::machine::model::{Machine, PartId};
use crate::words::Words;

/// Narrows down a fault and reports.
#[must_use]
pub fn run(arguments: &NarrowArguments, terminal: Terminal) -> Answer {
    let words = match arguments.language.words(&arguments.spec) {
        Ok(words) => words,
        Err(complaint) => return complaint.into(),
    };
    let source = match source::open(&arguments.spec, terminal) {
        Ok(source) => source,
        Err(answer) => return *answer,
    };
    let machine = &source.opened.machine;
    let (evidence, narrowing) = match narrowing(machine, arguments) {
        Ok(found) => found,
        Err(complaint) => return complaint.into(),
    };
    let output = match arguments.format.format {
        Format::Text => narrow_text::text(machine, &evidence, &narrowing, &words),
        Format::Json => match to_json(machine, &evidence, &narrowing, &words) {
            Ok(value) => table::json(&value),
            Err(error) => return Answer::unusable(error),
        },
    };
    let contradicted = !narrowing.doubts.is_empty() || narrowing.unexplained || narrowing.sequences_disagree;
    let ending = if contradicted { Ending::Findings } else { Ending::Fine };
    Answer { output, messages: source.opened.warnings.render(&source.opened.sources, terminal.colour), ending }
}

fn narrowing(machine: &Machine, arguments: &NarrowArguments) -> Result<(Evidence, Narrowing), Complaint> {
    let evidence = evidence(machine, arguments).map_err(|errors| complain(&errors))?;
    let solver = Solver::new(machine).map_err(|error| Complaint::new(error.describe(machine)))?;
    let solution = solver.solve(Effort::Bands);
    let narrowing = narrow(machine, &solver, &solution, &evidence).map_err(Complaint::new)?;
    Ok((evidence, narrowing))
}

/// All evidence, or everything that is wrong with it.
fn evidence(machine: &Machine, arguments: &NarrowArguments) -> Result<Evidence, Vec<EvidenceError>> {
    let mut evidence = Evidence::none(machine);
    let mut errors = Vec::new();
    let mut keep = |result: Result<(), EvidenceError>| errors.extend(result.err());
    if let Some(number) = &arguments.sequence {
        keep(evidence.in_sequence(machine, number));
    }
    for text in &arguments.read {
        keep(evidence.read_volts(machine, text));
    }
    for text in &arguments.ohms {
        keep(evidence.read_ohms(machine, text));
    }
    for (numbers, works) in [(&arguments.works, true), (&arguments.fails, false)] {
        for text in numbers {
            keep(evidence.saw(machine, text, works));
        }
    }
    if !arguments.read.is_empty() && arguments.sequence.is_none() {
        keep(Err(EvidenceError::NoSequence));
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    evidence.finish(machine).map_err(|error| vec![error])
}

/// One message of all that is wrong.
fn complain(errors: &[EvidenceError]) -> Complaint {
    let line = |error: &EvidenceError| match error.hint() {
        Some(hint) => format!("{error}\n  = hint: {hint}"),
        None => error.to_string(),
    };
    Complaint::new(errors.iter().map(line).collect::<Vec<_>>().join("\nerror: "))
}

/// What a check is made at, by the names of the description.
fn made_at(machine: &Machine, kind: CheckKind, words: &Words) -> serde_json::Value {
    let part = |part: PartId| &machine.part(part).id;
    match kind {
        CheckKind::Volts(point) => json!(machine.test_points[point.0].id),
        CheckKind::SupplyVolts(supply) => json!(part(supply)),
        CheckKind::Amps(fuse) => json!(part(fuse)),
        CheckKind::Drop(element) => json!(machine.element(element).name),
        CheckKind::Usual(site, usual) => json!([words.say(&site.label(machine)), usual.name()]),
        CheckKind::Swap(one, twin) => json!([part(one), part(twin)]),
        CheckKind::Try(sequence) => json!(machine.sequences[sequence.0].number),
    }
}

/// The documented report: facts as sentences.
fn to_json(
    machine: &Machine,
    evidence: &Evidence,
    narrowing: &Narrowing,
    words: &Words,
) -> serde_json::Result<serde_json::Value> {
    let mut value = serde_json::to_value(narrowing)?;
    for (index, suspect) in narrowing.suspects.iter().enumerate() {
        value["suspects"][index]["place"] = json!(words.say(&suspect.place));
        value["suspects"][index]["fault"] = json!(words.say(&suspect.fault));
    }
    if let Some(next) = &narrowing.next {
        value["next"]["text"] = json!(words.say(&next.text));
        value["next"]["kind"]["of"] = made_at(machine, next.kind, words);
    }
    let sequence = evidence.sequence.map(|sequence| machine.sequences[sequence.0].number);
    if let Some(object) = value.as_object_mut() {
        object.shift_insert(0, "machine".into(), json!(machine.identity.id));
        object.shift_insert(1, "sequence".into(), json!(sequence));
    }
    Ok(value)
}
