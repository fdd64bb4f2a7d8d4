//! `build --watch`: builds again whenever a file that was read changes.
//!
//! The typesetter's caches and the base stay alive between builds, so that only what changed is set again. Folders are
//! watched rather than files, since editors replace a file when they save it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher};

use super::answer::{Answer, Complaint, Ending};
use super::args::BuildArguments;
use super::build::Templates;
use super::memory::Memory;
use super::rebuild;
use super::source;
use super::terminal::Terminal;

/// Editors save in several steps; a build waits until so long nothing has happened.
const QUIET: Duration = Duration::from_millis(15);

/// Builds, then waits, until interrupted.
#[must_use]
pub fn run(arguments: &BuildArguments, terminal: Terminal) -> Answer {
    watch(arguments, terminal).unwrap_or_else(Answer::from)
}

fn watch(arguments: &BuildArguments, terminal: Terminal) -> Result<Answer, Complaint> {
    let (sender, events) = mpsc::channel();
    let complain = |error: notify::Error| Complaint::new(format!("files cannot be watched: {error}"));
    let mut watcher = notify::recommended_watcher(move |event| {
        // The receiver is only gone when the command has ended.
        let _ = sender.send(event);
    })
    .map_err(complain)?;
    let folder = arguments.templates.as_deref();
    let mut templates = Templates::of(folder)?;
    let mut saves = Saves { events, templates: folder.and_then(|folder| folder.canonicalize().ok()), saved: false };
    let mut memory = Memory::default();
    let mut folders = BTreeSet::new();
    // Watched before the first build, so that nothing saved meanwhile is missed.
    let typed = files(&source::find(&arguments.specs)?);
    watch_folders(&mut watcher, arguments, &typed, &mut folders).map_err(complain)?;
    loop {
        let clock = Instant::now();
        let interrupted = |read: &[PathBuf]| saves.have_come(&files(read));
        let (answer, read) = rebuild::again(arguments, templates.base(), &mut memory, terminal, interrupted);
        let read = files(&read);
        watch_folders(&mut watcher, arguments, &read, &mut folders).map_err(complain)?;
        terminal.say(&format!("{}{}", answer.messages, answer.output));
        let took = clock.elapsed().as_millis();
        terminal.say(&if answer.ending == Ending::Fine {
            format!("built in {took} ms, watching")
        } else {
            format!("failed after {took} ms, watching")
        });
        if saves.wait(&read).is_none() {
            return Ok(Answer::default());
        }
        if folder.is_some() {
            // A template that is half saved is said, and the earlier ones stay.
            match Templates::of(folder) {
                Ok(changed) => templates = changed,
                Err(complaint) => terminal.say(&format!("error: {complaint}")),
            }
        }
    }
}

/// Files by their full path, those among them that are not there yet.
fn files(paths: &[PathBuf]) -> BTreeSet<PathBuf> {
    let full = |path: &PathBuf| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        path.canonicalize().ok().or_else(|| Some(folder.canonicalize().ok()?.join(path.file_name()?)))
    };
    paths.iter().filter_map(full).collect()
}

/// Watches the folders of all files that were read, and the templates if they come from a folder.
fn watch_folders(
    watcher: &mut RecommendedWatcher,
    arguments: &BuildArguments,
    read: &BTreeSet<PathBuf>,
    known: &mut BTreeSet<PathBuf>,
) -> Result<(), notify::Error> {
    let beside =
        read.iter().filter_map(|path| path.parent()).map(|folder| (folder.to_path_buf(), RecursiveMode::NonRecursive));
    let templates = arguments.templates.iter().map(|folder| (folder.clone(), RecursiveMode::Recursive));
    for (folder, mode) in beside.chain(templates) {
        if known.insert(folder.clone()) {
            watcher.watch(&folder, mode)?;
        }
    }
    Ok(())
}

/// What was saved since the last build.
struct Saves {
    events: Receiver<notify::Result<notify::Event>>,
    /// The folder of the templates, where they are not built in.
    templates: Option<PathBuf>,
    /// Whether something that matters was saved while a build went on.
    saved: bool,
}

impl Saves {
    fn matters(&self, event: &notify::Event, read: &BTreeSet<PathBuf>) -> bool {
        let ours = |path: &PathBuf| {
            read.contains(path) || self.templates.as_ref().is_some_and(|folder| path.starts_with(folder))
        };
        !matches!(event.kind, EventKind::Access(_)) && event.paths.iter().any(ours)
    }

    /// Whether something that matters was saved already.
    fn have_come(&mut self, read: &BTreeSet<PathBuf>) -> bool {
        while let Ok(event) = self.events.try_recv() {
            self.saved |= event.is_ok_and(|event| self.matters(&event, read));
        }
        self.saved
    }

    /// Waits until a file that matters has changed and its folder is quiet; none when there are no events any more.
    fn wait(&mut self, read: &BTreeSet<PathBuf>) -> Option<()> {
        while !self.saved {
            let event = self.events.recv().ok()?;
            self.saved = event.is_ok_and(|event| self.matters(&event, read));
        }
        self.saved = false;
        loop {
            match self.events.recv_timeout(QUIET) {
                Ok(_) => {}
                Err(RecvTimeoutError::Timeout) => return Some(()),
                Err(RecvTimeoutError::Disconnected) => return None,
            }
        }
    }
}
