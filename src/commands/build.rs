//! `build`: from descriptions to files, all of them or none.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::answer::{Answer, Complaint, Ending};
use super::args::BuildArguments;
use super::made::{self, Made};
use super::memory::Memory;
use super::options;
use super::profile::Profile;
use super::source::{self, Source};
use super::terminal::Terminal;
use crate::circuit::{Effort, Solution, Solver};
use crate::faults::Findings;
use crate::machine::model::Machine;
use crate::press::{self, Base, PressOptions};
use crate::sheets::{self, DocumentKind, Material, Sheet, SheetOptions};
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

/// A machine that is solved and whose documents are composed.
pub(super) struct Prepared {
    pub(super) spec: PathBuf,
    pub(super) sheets: Vec<Sheet>,
    pub(super) press: PressOptions,
    pub(super) sources: Sources,
    pub(super) warnings: String,
    /// What was read from disk: to be watched.
    pub(super) read: Vec<PathBuf>,
}

/// Writes the documents of all machines.
#[must_use]
pub fn run(arguments: &BuildArguments, terminal: Terminal) -> Answer {
    Templates::of(arguments.templates.as_deref())
        .and_then(|templates| Ok(once(arguments, templates.base(), &source::find(&arguments.specs)?, terminal)))
        .unwrap_or_else(Answer::from)
}

/// All documents of all machines, or none.
fn once(arguments: &BuildArguments, base: &Base, specs: &[PathBuf], terminal: Terminal) -> Answer {
    let mut answer = Answer::default();
    let mut made = Vec::new();
    let progress = terminal.progress(specs.len());
    for spec in specs {
        progress.set_message(spec.display().to_string());
        let machine = prepare(spec, arguments, (base, None), terminal).and_then(|machine| {
            let stems: Vec<String> = machine.sheets.iter().map(|sheet| sheet.file_stem.clone()).collect();
            let printed = press::typeset_once(base, machine.sheets, &machine.press).map_err(Complaint::new)?;
            Ok((machine.warnings, Made::of(&arguments.out, &stems, printed, &machine.sources)))
        });
        match machine {
            Ok((warnings, one)) => {
                answer.messages.push_str(&warnings);
                answer.messages.push_str(&one.warnings);
                made.push(one);
            }
            Err(fault) => answer.join(&fault),
        }
        progress.inc(1);
    }
    progress.finish_and_clear();
    if answer.ending == Ending::Fine {
        answer.join(&made::write(&made));
    } else {
        answer.messages.push_str(made::NOTHING);
    }
    answer
}

/// Reads, solves and composes a machine; with what earlier builds found out, if there are to be several.
pub(super) fn prepare(
    spec: &Path,
    arguments: &BuildArguments,
    (base, memory): (&Base, Option<&mut Memory>),
    terminal: Terminal,
) -> Result<Prepared, Box<Answer>> {
    let source = source::open(spec, terminal)?;
    source::printable(&source, terminal)?;
    let profile = Profile::find(arguments.page.shop.as_deref(), spec, base)?;
    let options = sheet_options(&source, (base, &profile), arguments)?;
    let sheets = compose(spec, &source, memory, arguments, &options)?;
    let press = PressOptions {
        words: options::words_text(&options.words.language),
        files: profile.logo.clone().into_iter().collect(),
        attachments: source.files,
        dpi: arguments.png.then_some(f64::from(arguments.dpi)),
    };
    let warnings = source.opened.warnings.render(&source.opened.sources, terminal.colour);
    let mut read = source.paths;
    // A profile that is not there yet may come.
    read.push(profile.path.unwrap_or_else(|| Profile::beside(spec)));
    read.extend(profile.logo_path);
    let sources = source.opened.sources;
    Ok(Prepared { spec: spec.to_path_buf(), sheets, press, sources, warnings, read })
}

/// All options of the pages, their code among them.
fn sheet_options(
    source: &Source,
    (base, profile): (&Base, &Profile),
    arguments: &BuildArguments,
) -> Result<SheetOptions, Complaint> {
    let card = options::card_options(&arguments.page, &arguments.printer, arguments.bare_cards, !arguments.no_hole);
    let mut options = options::sheet_options(&arguments.page, profile, card)?;
    let (document, revision) = (&source.opened.document, source.opened.machine.identity.revision);
    options.card_code = options::card_code(document, revision, &options, profile, base).to_string();
    Ok(options)
}

/// Solves the machine and puts its documents together.
fn compose(
    spec: &Path,
    source: &Source,
    memory: Option<&mut Memory>,
    arguments: &BuildArguments,
    options: &SheetOptions,
) -> Result<Vec<Sheet>, Complaint> {
    let machine = &source.opened.machine;
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
    let findings = findings.as_deref();
    let material = Material { machine, solver: &solver, solution: &solution, findings, audit: &audit, options };
    Ok(sheets::compose(&material, &kinds))
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
