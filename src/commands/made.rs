//! What a build has made: files with their names, what there is to say about them, and how they are written.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::answer::{Answer, Complaint};
use crate::press::Printed;
use crate::press::coverage::{REPLACEMENT, Uncovered};
use crate::press::files::Staged;
use crate::spec::sources::Sources;

/// What is said where a build ends without files.
pub(super) const NOTHING: &str = "nothing was written\n";

/// Files that are ready to be written, and what there is to say about them.
pub(super) struct Made {
    files: Vec<(PathBuf, Vec<u8>)>,
    pages: usize,
    pub(super) warnings: String,
}

impl Made {
    /// The files of printed documents, which have these names without an ending.
    pub(super) fn of(out: &Path, stems: &[String], printed: Vec<Printed>, sources: &Sources) -> Self {
        Self {
            warnings: uncovered(&printed, sources),
            pages: printed.iter().map(|document| document.pages).sum(),
            files: stems.iter().zip(printed).flat_map(|(stem, document)| named(out, stem, document)).collect(),
        }
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
pub(super) fn write(made: &[Made]) -> Answer {
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
