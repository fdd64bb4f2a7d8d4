//! What all documents share: Typst's library, the fonts, the template sources.
//!
//! Built once. Typst's caches take the library as a key, so a second library would throw them all away.

use std::collections::{BTreeMap, HashMap};
use std::fmt::Write as _;
use std::path::Path;
use std::sync::OnceLock;

use sha2::{Digest, Sha256};
use typst::foundations::Bytes;
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt};

use super::error::PressError;
use crate::assets;

/// Library, fonts and template sources.
#[derive(Debug)]
pub struct Base {
    pub(super) library: LazyHash<Library>,
    pub(super) book: LazyHash<FontBook>,
    pub(super) fonts: Vec<Font>,
    pub(super) templates: HashMap<FileId, Source>,
    /// Digest of what decides how a page looks, once it was asked for.
    digest: OnceLock<String>,
}

impl Base {
    /// The base of the built-in templates, made at the first call.
    ///
    /// # Errors
    /// [`PressError::Template`] where a built-in template is not UTF-8, which a test excludes.
    pub fn embedded() -> Result<&'static Self, PressError> {
        static BASE: OnceLock<Result<Base, PressError>> = OnceLock::new();
        BASE.get_or_init(|| {
            Self::from_templates(
                assets::TEMPLATES.iter().filter_map(|asset| {
                    Some((asset.path.strip_prefix("templates/")?.to_string(), asset.bytes.to_vec()))
                }),
            )
        })
        .as_ref()
        .map_err(Clone::clone)
    }

    /// A base whose templates are read from a folder, to work on them without building the program again.
    ///
    /// # Errors
    /// [`PressError::Template`] where the folder or a file in it cannot be read.
    pub fn from_folder(folder: &Path) -> Result<Self, PressError> {
        let mut files = Vec::new();
        gather(folder, "", &mut files)?;
        Self::from_templates(files.into_iter())
    }

    fn from_templates(files: impl Iterator<Item = (String, Vec<u8>)>) -> Result<Self, PressError> {
        let fonts: Vec<Font> = assets::FONTS.iter().flat_map(|asset| Font::iter(Bytes::new(asset.bytes))).collect();
        let mut templates = HashMap::new();
        for (path, bytes) in files {
            let text = String::from_utf8(bytes)
                .map_err(|_| PressError::Template { path: path.clone(), fault: "not UTF-8 text".into() })?;
            let id = file_id(&path)?;
            templates.insert(id, Source::new(id, text));
        }
        Ok(Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            templates,
            digest: OnceLock::new(),
        })
    }

    /// Digest (SHA-256) of all templates and fonts: another one where any of them changed, so that a card code tells it.
    /// Language files stay out of it; the code takes in the one that a page is written in.
    #[must_use]
    pub fn digest(&self) -> &str {
        self.digest.get_or_init(|| {
            let name = |id: &FileId| id.get().vpath().get_without_slash().to_string();
            let templates: BTreeMap<String, &Source> = self
                .templates
                .iter()
                .map(|(id, source)| (name(id), source))
                .filter(|(name, _)| !name.starts_with("lang/"))
                .collect();
            let templates = templates.iter().flat_map(|(name, source)| [name.as_bytes(), source.text().as_bytes()]);
            let fonts = assets::FONTS.iter().flat_map(|font| [font.path.as_bytes(), font.bytes]);
            let mut hash = Sha256::new();
            for piece in templates.chain(fonts) {
                // Each piece with its length, so that no two lists run together to the same bytes.
                hash.update((piece.len() as u64).to_le_bytes());
                hash.update(piece);
            }
            hash.finalize().iter().fold(String::new(), |mut text, byte| {
                // Writing to a string cannot fail.
                let _ = write!(text, "{byte:02x}");
                text
            })
        })
    }

    /// Whether any font draws this character. What no font needs to draw (joiners, soft hyphens) counts as drawn.
    #[must_use]
    pub fn draws(&self, letter: char) -> bool {
        self.fonts.iter().any(|font| font.info().coverage.contains(letter as u32))
    }
}

/// The typesetter's number for a path below the root of the virtual files.
pub(super) fn file_id(path: &str) -> Result<FileId, PressError> {
    let path = VirtualPath::new(path)
        .map_err(|error| PressError::Template { path: path.to_string(), fault: format!("{error:?}") })?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

/// All template files below a folder, by their path with forward slashes, sorted.
fn gather(folder: &Path, prefix: &str, into: &mut Vec<(String, Vec<u8>)>) -> Result<(), PressError> {
    let unreadable =
        |error: std::io::Error| PressError::Template { path: folder.display().to_string(), fault: error.to_string() };
    let mut entries: Vec<_> =
        std::fs::read_dir(folder).map_err(unreadable)?.collect::<Result<_, _>>().map_err(unreadable)?;
    entries.sort_by_key(std::fs::DirEntry::file_name);
    for entry in entries {
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            gather(&entry.path(), &format!("{name}/"), into)?;
        } else {
            into.push((name, std::fs::read(entry.path()).map_err(unreadable)?));
        }
    }
    Ok(())
}
