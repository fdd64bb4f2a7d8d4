//! From what was typed to machines: single files, folders, patterns, and packs that hold their own description.

use std::fs;
use std::path::{Path, PathBuf};

use super::answer::{Answer, Complaint, Ending};
use super::profile;
use super::terminal::Terminal;
use crate::machine::{self, Opened};
use crate::press::pack;

/// The descriptions that were typed, each once, in the order typed; folders and patterns in the order of their names.
///
/// # Errors
/// A folder or pattern without any description, a broken pattern.
pub fn find(typed: &[String]) -> Result<Vec<PathBuf>, Complaint> {
    let mut found: Vec<PathBuf> = Vec::new();
    for text in typed {
        let path = Path::new(text);
        let paths = if path.is_dir() {
            in_folder(path)?
        } else if path.exists() || !text.contains(['*', '?', '[']) {
            // A file that is missing is reported when it is opened, with all that is wrong elsewhere.
            vec![path.to_path_buf()]
        } else {
            by_pattern(text)?
        };
        for path in paths {
            if !found.contains(&path) {
                found.push(path);
            }
        }
    }
    Ok(found)
}

fn in_folder(folder: &Path) -> Result<Vec<PathBuf>, Complaint> {
    let shown = folder.display();
    let entries = fs::read_dir(folder)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(|error| Complaint::new(format!("folder `{shown}` cannot be read: {error}")))?;
    let mut paths: Vec<PathBuf> =
        entries.into_iter().map(|entry| entry.path()).filter(|path| is_description(path)).collect();
    paths.sort();
    if paths.is_empty() {
        return Err(Complaint::new(format!("folder `{shown}` holds no description"))
            .hint("descriptions are files that end in `.toml`"));
    }
    Ok(paths)
}

fn by_pattern(pattern: &str) -> Result<Vec<PathBuf>, Complaint> {
    let paths = glob::glob(pattern).map_err(|error| Complaint::new(format!("pattern `{pattern}`: {error}")))?;
    // A folder in between that may not be read holds nothing for us.
    let mut paths: Vec<PathBuf> = paths.flatten().filter(|path| is_description(path)).collect();
    paths.sort();
    if paths.is_empty() { Err(Complaint::new(format!("no description matches `{pattern}`"))) } else { Ok(paths) }
}

/// A TOML file that is not the shop profile.
fn is_description(path: &Path) -> bool {
    path.is_file()
        && path.extension().is_some_and(|ending| ending == "toml")
        && path.file_name().is_some_and(|name| name != profile::FILE_NAME)
}

/// An opened machine, and the files it was read from as a pack holds them.
#[derive(Debug)]
pub struct Source {
    /// The machine with its texts and warnings.
    pub opened: Opened,
    /// Path below a common folder, and text: the description first, then what it builds on.
    pub files: Vec<(String, String)>,
    /// The files on disk that were read; empty for a pack.
    pub paths: Vec<PathBuf>,
}

/// Opens a description or a pack.
///
/// # Errors
/// An answer with all that is wrong with it.
pub fn open(path: &Path, terminal: Terminal) -> Result<Source, Box<Answer>> {
    if is_pdf(path) {
        return open_pack(path, terminal);
    }
    let opened = machine::open(path).map_err(|refused| Box::new(refused_answer(&refused, terminal)))?;
    let paths: Vec<PathBuf> = (0..opened.sources.len()).map(|file| PathBuf::from(opened.sources.name(file))).collect();
    let files = portable(&opened, &paths);
    Ok(Source { opened, files, paths })
}

fn is_pdf(path: &Path) -> bool {
    path.is_file() && path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"))
}

/// Unpacks the attached description into a folder that lasts as long as it is read.
fn open_pack(path: &Path, terminal: Terminal) -> Result<Source, Box<Answer>> {
    let shown = path.display();
    let unusable = |fault: String| Box::new(Answer::unusable(format!("pack `{shown}`: {fault}")));
    let bytes = fs::read(path).map_err(|error| unusable(error.to_string()))?;
    let attachments = pack::attachments(bytes).map_err(|fault| unusable(fault.to_string()))?;
    let folder = tempfile::tempdir().map_err(|error| unusable(error.to_string()))?;
    for attachment in &attachments {
        let file = folder.path().join(&attachment.path);
        let parent = file.parent().unwrap_or(folder.path());
        fs::create_dir_all(parent)
            .and_then(|()| fs::write(&file, &attachment.bytes))
            .map_err(|error| unusable(error.to_string()))?;
    }
    let main = attachments.first().map(|attachment| folder.path().join(&attachment.path)).unwrap_or_default();
    let opened = machine::open(&main).map_err(|refused| Box::new(refused_answer(&refused, terminal)))?;
    let files = attachments
        .into_iter()
        .map(|attachment| {
            let name = attachment.path.to_string_lossy().replace('\\', "/");
            (name, String::from_utf8_lossy(&attachment.bytes).into_owned())
        })
        .collect();
    Ok(Source { opened, files, paths: Vec::new() })
}

/// Whether the paper of an opened machine can be printed.
///
/// # Errors
/// An answer with what its description still lacks.
pub fn printable(source: &Source, terminal: Terminal) -> Result<(), Box<Answer>> {
    let Opened { unprintable, sources, .. } = &source.opened;
    if unprintable.is_empty() {
        return Ok(());
    }
    let messages = unprintable.render(sources, terminal.colour);
    Err(Box::new(Answer { output: String::new(), messages, ending: Ending::Unusable }))
}

/// Everything that is wrong with a description, as people read it.
#[must_use]
pub fn refused_answer(refused: &machine::Refused, terminal: Terminal) -> Answer {
    Answer {
        output: String::new(),
        messages: refused.report.render(&refused.sources, terminal.colour),
        ending: Ending::Unusable,
    }
}

/// The texts that were read, under names below their common folder, so that a pack says nothing of this computer.
fn portable(opened: &Opened, paths: &[PathBuf]) -> Vec<(String, String)> {
    let absolute: Vec<PathBuf> =
        paths.iter().map(|path| path.canonicalize().unwrap_or_else(|_| path.clone())).collect();
    let common = absolute
        .iter()
        .filter_map(|path| path.parent())
        .map(Path::to_path_buf)
        .reduce(|one, other| {
            one.ancestors().find(|folder| other.starts_with(folder)).unwrap_or(Path::new("")).to_path_buf()
        })
        .unwrap_or_default();
    absolute
        .iter()
        .enumerate()
        .map(|(file, path)| {
            let name = path.strip_prefix(&common).unwrap_or(path).to_string_lossy().replace('\\', "/");
            (name, opened.sources.text(file).to_string())
        })
        .collect()
}
