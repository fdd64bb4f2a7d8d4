//! The files of a run: their names and texts, and why one could not be read.
//!
//! A [`Place`] names a file by its index here. Reading is forgiving about a UTF-8 byte order mark, which TOML allows, and
//! about nothing else: a directory, a binary file or a broken character is a message, not a guess.

use std::fs;
use std::io;
use std::path::Path;

use codespan_reporting::files::SimpleFiles;

use super::diagnostic::{Diagnostic, Place};
use super::kind::Kind;

/// Largest file that is taken for a spec, in bytes. The largest machines need some ten thousands; the limit keeps a
/// wrong file name from filling the memory.
pub const LARGEST_FILE: usize = 1 << 20;

/// All files that were read in a run: names and texts.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    names: Vec<String>,
    texts: Vec<String>,
}

impl Sources {
    /// No files yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a text under a name and returns its index.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> usize {
        self.names.push(name.into());
        self.texts.push(text.into());
        self.names.len() - 1
    }

    /// Name of a file as the user gave it; empty for an unknown index.
    #[must_use]
    pub fn name(&self, file: usize) -> &str {
        self.names.get(file).map_or("", String::as_str)
    }

    /// Text of a file; empty for an unknown index.
    #[must_use]
    pub fn text(&self, file: usize) -> &str {
        self.texts.get(file).map_or("", String::as_str)
    }

    /// How many files there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.names.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.names.is_empty()
    }

    /// The text at a place; empty where the place is not in the file.
    #[must_use]
    pub fn slice(&self, place: Place) -> &str {
        self.text(place.file).get(place.start..place.end).unwrap_or("")
    }

    /// Line and column of the first character of a place, both counted from one; columns count characters.
    #[must_use]
    pub fn line_column(&self, place: Place) -> (usize, usize) {
        let text = self.text(place.file);
        let mut start = place.start.min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        let before = &text[..start];
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }

    /// Reads a file, adds it, and returns its index. A file that cannot be used is still added, with whatever of its text
    /// can be shown, so that the message has a place.
    ///
    /// # Errors
    /// A [`Diagnostic`] at the file, or at its first bad byte, when it cannot be used as a spec.
    pub fn read(&mut self, path: &Path) -> Result<usize, Box<Diagnostic>> {
        let name = path.display().to_string();
        let bytes = match read_bytes(path) {
            Ok(bytes) => bytes,
            Err(kind) => {
                let file = self.add(name, "");
                return Err(Box::new(Diagnostic::error(kind, Place::new(file, 0, 0))));
            }
        };
        match String::from_utf8(bytes) {
            Ok(text) => Ok(self.add(name, text)),
            Err(broken) => {
                let valid = broken.utf8_error().valid_up_to();
                let (kind, text) = not_text(broken.as_bytes(), valid);
                let file = self.add(name, text);
                Err(Box::new(Diagnostic::error(kind, Place::new(file, valid, valid))))
            }
        }
    }

    /// The same files in the form the diagnostic printer wants.
    pub(super) fn for_printing(&self) -> SimpleFiles<&str, &str> {
        let mut files = SimpleFiles::new();
        for (name, text) in self.names.iter().zip(&self.texts) {
            files.add(name.as_str(), text.as_str());
        }
        files
    }
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, Kind> {
    let shown = path.display().to_string();
    let metadata = fs::metadata(path).map_err(|error| cannot_read(&shown, &error))?;
    if metadata.is_dir() {
        return Err(Kind::Directory { path: shown });
    }
    if metadata.len() > LARGEST_FILE as u64 {
        return Err(Kind::TooLarge { path: shown, bytes: metadata.len() });
    }
    let bytes = fs::read(path).map_err(|error| cannot_read(&shown, &error))?;
    if bytes.len() > LARGEST_FILE {
        return Err(Kind::TooLarge { path: shown, bytes: bytes.len() as u64 });
    }
    Ok(bytes)
}

fn cannot_read(path: &str, error: &io::Error) -> Kind {
    if error.kind() == io::ErrorKind::NotFound {
        Kind::FileMissing { path: path.into() }
    } else {
        Kind::Unreadable { path: path.into(), reason: error.to_string() }
    }
}

/// Why bytes are not UTF-8 text, and the text that can be shown: all before the first bad byte and the rest of its line.
fn not_text(bytes: &[u8], valid: usize) -> (Kind, String) {
    let kind = if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        Kind::Utf16
    } else if bytes.iter().take(4096).any(|byte| *byte == 0) {
        Kind::Binary
    } else {
        Kind::InvalidUtf8 { byte: bytes.get(valid).copied().unwrap_or_default(), offset: valid }
    };
    let shown = if matches!(kind, Kind::InvalidUtf8 { .. }) {
        let line_end =
            bytes[valid..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |length| valid + length);
        String::from_utf8_lossy(&bytes[..line_end]).into_owned()
    } else {
        String::new()
    };
    (kind, shown)
}
