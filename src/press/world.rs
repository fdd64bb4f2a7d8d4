//! One document as the typesetter sees it: the shared base, and a few virtual files of its own.
//!
//! The same few paths serve every document (`/data.json`, `/words.toml`, `/fig/1.svg`), since Typst numbers paths for
//! the life of the process.

use std::borrow::Cow;
use std::collections::HashMap;

use typst::Library;
use typst::World;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, Source};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;

use super::PressOptions;
use super::base::{Base, file_id};
use super::coverage::{Covered, Uncovered, cover};
use super::error::PressError;
use crate::sheets::{DocumentKind, Sheet};

/// A file that exists for the typesetter only.
#[derive(Debug, Clone)]
pub struct VirtualFile {
    /// Its path, such as `/logo.svg`.
    pub path: String,
    /// What it holds. Shared, so that its hash is computed once for all documents.
    pub bytes: Bytes,
}

impl VirtualFile {
    /// A virtual file of these bytes.
    #[must_use]
    pub fn new(path: impl Into<String>, bytes: Vec<u8>) -> Self {
        Self { path: path.into(), bytes: Bytes::new(bytes) }
    }
}

/// A document and the base it stands on.
pub(super) struct Job<'a> {
    base: &'a Base,
    main: FileId,
    files: HashMap<FileId, Bytes>,
}

impl<'a> Job<'a> {
    /// Puts a sheet's data, drawings and further files in place; tells the letters that no font has. A sheet of its own is
    /// dropped, so that it takes no room beside its text while that is typeset.
    pub(super) fn new(
        base: &'a Base,
        sheet: Cow<'_, Sheet>,
        options: &PressOptions,
    ) -> Result<(Self, Vec<Uncovered>), PressError> {
        let Covered { sheet, missing } = cover(base, sheet);
        let mut files = HashMap::new();
        files.insert(file_id("/data.json")?, Bytes::from_string(sheet.data.to_string()));
        files.insert(
            file_id("/code.json")?,
            Bytes::from_string(serde_json::Value::from(sheet.code.as_str()).to_string()),
        );
        files.insert(file_id("/words.toml")?, Bytes::from_string(options.words.clone()));
        for (path, svg) in &sheet.figures {
            files.insert(file_id(path)?, Bytes::from_string(svg.clone()));
        }
        for file in &options.files {
            files.insert(file_id(&file.path)?, file.bytes.clone());
        }
        attach(&mut files, sheet.kind, options)?;
        Ok((Self { base, main: file_id("/main.typ")?, files }, missing))
    }

    /// A document that shows one picture and nothing else.
    pub(super) fn trial(base: &'a Base, picture: &VirtualFile) -> Result<Self, PressError> {
        let data = serde_json::json!({ "path": picture.path });
        let files = HashMap::from([
            (file_id("/data.json")?, Bytes::from_string(data.to_string())),
            (file_id(&picture.path)?, picture.bytes.clone()),
        ]);
        Ok(Self { base, main: file_id("/picture.typ")?, files })
    }
}

/// Puts the descriptions in place that a pack carries; every other document carries none.
fn attach(files: &mut HashMap<FileId, Bytes>, kind: DocumentKind, options: &PressOptions) -> Result<(), PressError> {
    let attachments: &[(String, String)] = if kind == DocumentKind::Pack { &options.attachments } else { &[] };
    let mut list = Vec::new();
    for (number, (name, text)) in attachments.iter().enumerate() {
        let path = format!("/attached/{number}");
        files.insert(file_id(&path)?, Bytes::from_string(text.clone()));
        list.push(serde_json::json!({ "path": path, "name": name, "main": number == 0 }));
    }
    files.insert(file_id("/attached.json")?, Bytes::from_string(serde_json::Value::from(list).to_string()));
    Ok(())
}

impl World for Job<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &self.base.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.base.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.base.templates.get(&id).cloned().ok_or_else(|| not_found(id))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        match self.files.get(&id) {
            Some(bytes) => Ok(bytes.clone()),
            None => self.source(id).map(|source| Bytes::from_string(source.text().to_string())),
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.base.fonts.get(index).cloned()
    }

    /// There is no today: dates are those of the description, never of the clock.
    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn not_found(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_without_slash().into())
}
