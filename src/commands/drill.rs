//! `drill`: practice faults for a class on paper, or the score of one learner's search.
//!
//! The JSON of a score is `{"machine", "exercise", "fault", "named", "points", "for-naming", "for-speed", "left", "minutes",
//! "best-minutes", "deductions":[{"why", "check", "points"}], "first-idle", "right":[...]}`; points and minutes are plain
//! numbers, `check` is the number on the sheet.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use serde_json::json;

use super::answer::{Answer, Complaint};
use super::args::{BookletName, DrillArguments, Format, LevelName};
use super::profile::Profile;
use super::source::{self, Source};
use super::terminal::Terminal;
use super::{options, table};
use crate::circuit::{Effort, Solver};
use crate::drill::{self, Deduction, Level, Log, LogError, Places, Refusal, Request, Score, Set};
use crate::fact;
use crate::faults::{self, Findings};
use crate::press::files::Staged;
use crate::press::{self, Base, PressOptions};
use crate::sheets::Material;
use crate::sheets::cards::CardOptions;
use crate::sheets::practice::{self, Practice};
use crate::words::{Value, Words};

/// Exercises of a class without a list of names.
const CLASS: usize = 10;

impl From<LevelName> for Level {
    fn from(name: LevelName) -> Self {
        match name {
            LevelName::Beginner => Self::Beginner,
            LevelName::Intermediate => Self::Intermediate,
            LevelName::Advanced => Self::Advanced,
        }
    }
}

impl From<Refusal> for Complaint {
    fn from(refusal: Refusal) -> Self {
        Complaint::new(&refusal).hint(refusal.hint())
    }
}

impl From<LogError> for Complaint {
    fn from(error: LogError) -> Self {
        Complaint::new(error)
    }
}

/// Makes a set, or scores a search.
#[must_use]
pub fn run(arguments: &DrillArguments, terminal: Terminal) -> Answer {
    let answer = match (&arguments.score, &arguments.spec) {
        (Some(log), _) => score(log, arguments, terminal),
        (None, Some(spec)) => make(spec, arguments, terminal),
        (None, None) => return Answer::unusable("a description or a log is needed"),
    };
    answer.unwrap_or_else(|answer| *answer)
}

/// Writes sheets, booklets and key.
fn make(spec: &Path, arguments: &DrillArguments, terminal: Terminal) -> Result<Answer, Box<Answer>> {
    let names = arguments.names.as_deref().map(read_names).transpose()?.unwrap_or_default();
    let request = request(arguments, &names)?;
    let source = source::open(spec, terminal)?;
    source::printable(&source, terminal)?;
    let progress = terminal.progress(3);
    progress.set_message("faults");
    let (sheets, press) = compose(&source, spec, arguments, &request, &names)?;
    progress.inc(1);
    progress.set_message("pages");
    let base = Base::embedded().map_err(Complaint::new)?;
    let stems: Vec<String> = sheets.iter().map(|sheet| sheet.file_stem.clone()).collect();
    let printed = press::typeset_once(base, sheets, &press).map_err(Complaint::new)?;
    progress.inc(1);
    let mut staged = Staged::new();
    let mut pages = 0;
    for (stem, document) in stems.iter().zip(&printed) {
        let path = arguments.out.join(format!("{stem}.pdf"));
        staged.add(&path, &document.pdf).map_err(Complaint::new)?;
        pages += document.pages;
    }
    let paths = staged.commit().map_err(Complaint::new)?;
    progress.finish_and_clear();
    let mut output = String::new();
    for path in &paths {
        let _ = writeln!(output, "{}", path.display());
    }
    let _ = writeln!(output, "{} exercises, {} files, {pages} pages", request.count, paths.len());
    let messages = source.opened.warnings.render(&source.opened.sources, terminal.colour);
    Ok(Answer { output, messages, ..Answer::default() })
}

/// What was asked for, with the count that the names give where none was typed.
fn request(arguments: &DrillArguments, names: &[String]) -> Result<Request, Complaint> {
    let count = arguments.count.unwrap_or(if names.is_empty() { CLASS } else { names.len() });
    if names.len() > count {
        return Err(Complaint::new(format!("there are {} names for {count} exercises", names.len()))
            .hint(format!("ask for `--count {}`, or leave `--count` out: one exercise a name", names.len())));
    }
    Ok(Request {
        count,
        seed: arguments.seed,
        level: arguments.level.map(Level::from),
        sequence: arguments.sequence,
        faults: arguments.faults,
    })
}

/// The names of a class, one a line; blank lines at the end do no harm, others do: somebody would be left out.
fn read_names(path: &Path) -> Result<Vec<String>, Complaint> {
    let shown = path.display();
    let text = fs::read_to_string(path).map_err(|error| Complaint::new(format!("names file `{shown}`: {error}")))?;
    let lines: Vec<&str> = text.trim_end().lines().map(str::trim).collect();
    let blank: Vec<String> =
        lines.iter().zip(1..).filter(|(line, _)| line.is_empty()).map(|(_, number)| i32::to_string(&number)).collect();
    let named = lines.len() - blank.len();
    if named == 0 {
        return Err(Complaint::new(format!("names file `{shown}` holds no name")).hint("write a name a line"));
    }
    if !blank.is_empty() {
        let plural = if blank.len() == 1 { "line" } else { "lines" };
        return Err(Complaint::new(format!("names file `{shown}`: {plural} {} blank", blank.join(", ")))
            .hint(format!("write a name there or take the line out; {named} names can be used")));
    }
    Ok(lines.into_iter().map(str::to_string).collect())
}

/// Solves the machine, makes the set and composes its documents.
fn compose(
    source: &Source,
    spec: &Path,
    arguments: &DrillArguments,
    request: &Request,
    names: &[String],
) -> Result<(Vec<crate::sheets::Sheet>, PressOptions), Complaint> {
    let machine = &source.opened.machine;
    let base = Base::embedded().map_err(Complaint::new)?;
    let profile = Profile::find(arguments.page.shop.as_deref(), spec, base)?;
    let mut options = options::sheet_options(&arguments.page, &profile, CardOptions::default())?;
    options.card_code =
        options::card_code(&source.opened.document, machine.identity.revision, &options, &profile, base).to_string();
    let solver = Solver::new(machine).map_err(|error| Complaint::new(error.describe(machine)))?;
    let solution = solver.solve(Effort::Bands);
    let findings = faults::analyse(machine, &solver, &solution);
    let set = drill::generate(machine, &solver, &solution, &findings, request)?;
    let material = Material {
        machine,
        solver: &solver,
        solution: &solution,
        findings: Some(&findings),
        audit: &[],
        options: &options,
    };
    let booklets = booklets(&material, &set, arguments.booklet);
    let practice = Practice { material, findings: &findings, set: &set, names, booklets: &booklets };
    let press = PressOptions {
        words: options::words_text(&options.words.language),
        files: profile.logo.clone().into_iter().collect(),
        ..PressOptions::default()
    };
    Ok((practice::compose(&practice), press))
}

fn booklets(material: &Material<'_>, set: &Set, wanted: BookletName) -> Vec<drill::Booklet> {
    let say = |showing| practice::showing_text(material, showing);
    let symptom = |index| practice::second_symptom(material, set, index);
    let all: Vec<usize> = (0..set.exercises.len()).collect();
    match wanted {
        BookletName::Set => vec![drill::booklet(set, &all, &say, &symptom)],
        BookletName::Exercise => all.iter().map(|&index| drill::booklet(set, &[index], &say, &symptom)).collect(),
    }
}

/// Scores the search of a log.
fn score(path: &Path, arguments: &DrillArguments, terminal: Terminal) -> Result<Answer, Box<Answer>> {
    let log = read_log(path)?;
    let spec = path.parent().unwrap_or(Path::new("")).join(&log.spec);
    let words = options::report_words(arguments.page.language.as_deref(), arguments.page.shop.as_deref(), &spec)?;
    let source = source::open(&spec, terminal)?;
    let machine = &source.opened.machine;
    let solver = Solver::new(machine).map_err(|error| Complaint::new(error.describe(machine)))?;
    let solution = solver.solve(Effort::Bands);
    let findings: Findings = faults::analyse(machine, &solver, &solution);
    let set = drill::generate(machine, &solver, &solution, &findings, &log.set).map_err(Complaint::from)?;
    let place = Places::of(machine, &findings.dictionary).named(&log.answer).map_err(|error| unclear(error, &words))?;
    let answer = place.map(|place| words.say(&place)).unwrap_or_default();
    let score = scored(&set, &Log { answer, ..log.clone() }).map_err(Complaint::from)?;
    let output = match arguments.format.format {
        Format::Text => text(&log, &score, &words),
        Format::Json => {
            let mut value = serde_json::to_value(&score).map_err(|error| Box::new(Answer::unusable(error)))?;
            value["right"] = score.right.iter().map(|place| words.say(place)).collect();
            if let Some(object) = value.as_object_mut() {
                object.shift_insert(0, "machine".into(), json!(machine.identity.id));
                object.shift_insert(1, "exercise".into(), json!(log.exercise));
                object.shift_insert(2, "fault".into(), json!(log.fault));
            }
            table::json(&value)
        }
    };
    Ok(Answer::output(output))
}

/// Says what an answer could mean that is not clear, so that it need not be scored as wrong.
fn unclear(error: LogError, words: &Words) -> Complaint {
    let hint = match &error {
        LogError::UnclearPlace { near, .. } if near.is_empty() => {
            "name one place as the sheet does, such as J3:7, W54 or K2 mechanism; leave `answer` empty if none was named"
                .to_string()
        }
        LogError::UnclearPlace { near, .. } => {
            let near: Vec<String> = near.iter().map(|place| format!("`{}`", words.say(place))).collect();
            format!("name one place: {}", near.join(", "))
        }
        _ => return error.into(),
    };
    Complaint::new(error).hint(hint)
}

fn scored(set: &Set, log: &Log) -> Result<Score, LogError> {
    let count = set.exercises.len();
    let exercise = log.exercise.checked_sub(1).and_then(|index| set.exercises.get(index));
    let exercise = exercise.ok_or(LogError::UnknownExercise { number: log.exercise, count })?;
    let count = exercise.stages.len();
    let stage = log.fault.checked_sub(1).and_then(|index| exercise.stages.get(index));
    drill::score(stage.ok_or(LogError::UnknownFault { number: log.fault, count })?, log)
}

fn read_log(path: &Path) -> Result<Log, Complaint> {
    let shown = path.display();
    let text = fs::read_to_string(path).map_err(|error| Complaint::new(format!("log `{shown}`: {error}")))?;
    toml::from_str(&text).map_err(|error| Complaint::new(format!("log `{shown}`: {}", error.to_string().trim_end())))
}

/// The score as people read it, with reasons.
fn text(log: &Log, score: &Score, words: &Words) -> String {
    let number = |value: f64| words.numerals.three_figures(value);
    let points = number(score.points.round());
    let mut lines = vec![words.fill("score.head", &[("exercise", &log.exercise.to_string()), ("points", &points)])];
    let mut line = |points: f64, text: String| lines.push(format!("  {:>5}  {text}", number(points)));
    let right = Value::Any(score.right.iter().cloned().map(Value::from).collect());
    if score.named {
        line(score.for_naming, words.say(&fact!("score.named", place = right)));
        let (used, best) = (number(score.minutes), number(score.best_minutes));
        let speed = words.fill("score.speed", &[("used", &used), ("best", &best)]);
        match i64::try_from(score.left) {
            Ok(0) => line(score.for_speed, speed),
            left => line(0.0, words.say(&fact!("score.guessed", count = left.unwrap_or(i64::MAX)))),
        }
    } else if log.answer.is_empty() {
        line(0.0, words.say(&fact!("score.nothing-named", place = right)));
    } else {
        line(0.0, words.say(&fact!("score.wrong", answer = &log.answer, place = right)));
    }
    for deduction in &score.deductions {
        let why = match deduction {
            Deduction::WrongSwap { check: Some(check), .. } => fact!("score.wrong-swap", check = *check),
            Deduction::WrongSwap { check: None, .. } => fact!("score.wrong-part"),
            Deduction::IdleCheck { check, .. } => fact!("score.idle-check", check = *check),
            Deduction::UnsafeStep { .. } => fact!("score.unsafe-step"),
        };
        line(-deduction.points(), words.say(&why));
    }
    lines.join("\n") + "\n"
}
