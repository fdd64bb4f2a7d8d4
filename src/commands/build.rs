//! `build`: from descriptions to files, all of them or none.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::answer::{Answer, Complaint, Ending};
use super::args::BuildArguments;
use super::memory::Memory;
use super::options;
use super::profile::Profile;
use super::source::{self, Source};
use super::terminal::Terminal;
use crate::circuit::{Effort, Solution, Solver};
use crate::faults::Findings;
use crate::machine::model::Machine;
use crate::press::coverage::{REPLACEMENT, Uncovered};
use crate::press::files::Staged;
use crate::press::{self, Base, PressOptions, Printed};
use crate::sheets::{self, DocumentKind, Material, Sheet};
use crate::spec::sources::Sources;

/// A base that is built in, or read from a folder.
pub(super) enum Templates {
    BuiltIn(&'static Base),
    Folder(Box<Base>),
}

impl Templates {
    pub(super) fn of(folder: Option<&Path>) -> Result<Self, Complaint> {
        match folder {
            None => Base::embedded().map(Self::BuiltIn).map_err(Complaint::new),
            Some(folder) => Base::from_folder(folder).map(|base| Self::Folder(Box::new(base))).map_err(Complaint::new),
        }
    }

    pub(super) fn base(&self) -> &Base {
        match self {
            Self::BuiltIn(base) => base,
            Self::Folder(base) => base,
        }
    }
}

/// Files that are ready to be written, and what there is to say about them.
pub(super) struct Made {
    files: Vec<(PathBuf, Vec<u8>)>,
    pages: usize,
    warnings: String,
    /// What was read from disk: to be watched.
    pub(super) read: Vec<PathBuf>,
}

/// Writes the documents of all machines.
#[must_use]
pub fn run(arguments: &BuildArguments, terminal: Terminal) -> Answer {
    match Templates::of(arguments.templates.as_deref()) {
        Ok(templates) => once(arguments, &templates, None, terminal).0,
        Err(complaint) => complaint.into(),
    }
}

/// One build; gives the files that were read, too. With a memory there will be further ones.
pub(super) fn once(
    arguments: &BuildArguments,
    templates: &Templates,
    mut memory: Option<&mut Memory>,
    terminal: Terminal,
) -> (Answer, Vec<PathBuf>) {
    let specs = match source::find(&arguments.specs) {
        Ok(specs) => specs,
        Err(complaint) => return (complaint.into(), Vec::new()),
    };
    let mut answer = Answer::default();
    let mut made = Vec::new();
    let mut read = specs.clone();
    let progress = terminal.progress(specs.len());
    for spec in &specs {
        progress.set_message(spec.display().to_string());
        match make(spec, arguments, (templates.base(), memory.as_deref_mut()), terminal) {
            Ok(one) => {
                answer.messages.push_str(&one.warnings);
                read.extend(one.read.iter().cloned());
                made.push(one);
            }
            Err(fault) => answer.join(&fault),
        }
        progress.inc(1);
    }
    progress.finish_and_clear();
    if answer.ending == Ending::Fine {
        answer.join(&write(&made));
    } else {
        answer.messages.push_str("nothing was written\n");
    }
    (answer, read)
}

/// Everything of one machine, in memory.
fn make(
    spec: &Path,
    arguments: &BuildArguments,
    (base, memory): (&Base, Option<&mut Memory>),
    terminal: Terminal,
) -> Result<Made, Box<Answer>> {
    let complain = |complaint: Complaint| Box::new(Answer::from(complaint));
    let source = source::open(spec, terminal)?;
    source::printable(&source, terminal)?;
    let profile = Profile::find(arguments.page.shop.as_deref(), spec, base).map_err(complain)?;
    let again = memory.is_some();
    let (sheets, words) = compose(spec, &source, (base, memory), arguments, &profile).map_err(complain)?;
    let press = PressOptions {
        words,
        files: profile.logo.clone().into_iter().collect(),
        attachments: source.files.clone(),
        dpi: arguments.png.then_some(f64::from(arguments.dpi)),
    };
    let stems: Vec<String> = sheets.iter().map(|sheet| sheet.file_stem.clone()).collect();
    let printed =
        if again { press::typeset_all(base, &sheets, &press) } else { press::typeset_once(base, sheets, &press) };
    let printed = printed.map_err(|fault| complain(Complaint::new(fault)))?;
    let mut warnings = source.opened.warnings.render(&source.opened.sources, terminal.colour);
    warnings.push_str(&uncovered(&printed, &source.opened.sources));
    let mut read = source.paths;
    // A profile that is not there yet may come.
    read.push(profile.path.clone().unwrap_or_else(|| Profile::beside(spec)));
    read.extend(profile.logo_path.clone());
    Ok(Made {
        pages: printed.iter().map(|document| document.pages).sum(),
        files: stems.iter().zip(printed).flat_map(|(stem, document)| named(&arguments.out, stem, document)).collect(),
        warnings,
        read,
    })
}

/// Solves the machine and puts its documents together.
fn compose(
    spec: &Path,
    source: &Source,
    (base, memory): (&Base, Option<&mut Memory>),
    arguments: &BuildArguments,
    profile: &Profile,
) -> Result<(Vec<Sheet>, String), Complaint> {
    let machine = &source.opened.machine;
    let card = options::card_options(&arguments.page, &arguments.printer, arguments.bare_cards, !arguments.no_hole);
    let mut options = options::sheet_options(&arguments.page, profile, card)?;
    options.card_code =
        options::card_code(&source.opened.document, machine.identity.revision, &options, profile, base).to_string();
    let solver = Solver::new(machine).map_err(|error| Complaint::new(error.describe(machine)))?;
    let solution = solver.solve(Effort::Bands);
    let kinds: Vec<DocumentKind> = if arguments.only.is_empty() {
        DocumentKind::ALL.to_vec()
    } else {
        arguments.only.iter().filter_map(|name| DocumentKind::named(name)).collect()
    };
    let wanted = kinds.iter().any(|kind| kind.needs_findings());
    let (findings, audit) = rayon::join(
        || wanted.then(|| findings(memory, (spec, &source.opened.document), (machine, &solver, &solution))),
        || crate::audit::audit(machine, &solver, &solution),
    );
    let material = Material {
        machine,
        solver: &solver,
        solution: &solution,
        findings: findings.as_deref(),
        audit: &audit,
        options: &options,
    };
    let words = options::words_text(&options.words.language);
    Ok((sheets::compose(&material, &kinds), words))
}

/// Findings about a machine, from an earlier build where there is one that knows them.
fn findings(
    memory: Option<&mut Memory>,
    (spec, document): (&Path, &serde_json::Value),
    (machine, solver, solution): (&Machine, &Solver<'_>, &Solution),
) -> Arc<Findings> {
    match memory {
        Some(memory) => memory.findings(spec, document, (machine, solver, solution)),
        None => Arc::new(crate::faults::analyse(machine, solver, solution)),
    }
}

/// The files of a document: the PDF, and its pages as pictures if there are any.
fn named(out: &Path, stem: &str, printed: Printed) -> Vec<(PathBuf, Vec<u8>)> {
    let digits = printed.pictures.len().to_string().len();
    let pictures = printed
        .pictures
        .into_iter()
        .zip(1..)
        .map(|(picture, page)| (out.join(format!("{stem}-{page:0digits$}.png")), picture));
    std::iter::once((out.join(format!("{stem}.pdf")), printed.pdf)).chain(pictures).collect()
}

/// A warning for each letter that no font has, at its first place in the description.
fn uncovered(printed: &[Printed], sources: &Sources) -> String {
    let mut letters: Vec<Uncovered> = printed.iter().flat_map(|document| document.uncovered.iter().copied()).collect();
    letters.sort_unstable();
    letters.dedup();
    letters.iter().map(|letter| uncovered_warning(*letter, sources)).collect()
}

fn uncovered_warning(Uncovered(letter): Uncovered, sources: &Sources) -> String {
    let place = (0..sources.len()).find_map(|file| {
        let start = sources.text(file).find(letter)?;
        let place = crate::spec::diagnostic::Place { file, start, end: start + letter.len_utf8() };
        let (line, column) = sources.line_column(place);
        Some(format!("{}:{line}:{column}: ", sources.name(file)))
    });
    format!(
        "warning: {}no font has the character `{letter}` (U+{:04X}), so `{REPLACEMENT}` is printed\n",
        place.unwrap_or_default(),
        u32::from(letter)
    )
}

/// Writes all files, or none.
fn write(made: &[Made]) -> Answer {
    let mut staged = Staged::new();
    let mut seen: BTreeSet<&Path> = BTreeSet::new();
    for (path, bytes) in made.iter().flat_map(|one| &one.files) {
        if !seen.insert(path) {
            return Complaint::new(format!("two machines would both write `{}`", path.display()))
                .hint("give each its own `id`, or build them into different folders")
                .into();
        }
        if let Err(fault) = staged.add(path, bytes) {
            return Answer::unusable(fault);
        }
    }
    let pages: usize = made.iter().map(|one| one.pages).sum();
    match staged.commit() {
        Ok(paths) => {
            let mut output = String::new();
            for path in &paths {
                // Writing to a string cannot fail.
                let _ = writeln!(output, "{}", path.display());
            }
            let count = |number: usize, one: &str| format!("{number} {one}{}", if number == 1 { "" } else { "s" });
            let _ = writeln!(output, "{}, {}", count(paths.len(), "file"), count(pages, "page"));
            Answer::output(output)
        }
        Err(fault) => Answer::unusable(fault),
    }
}
