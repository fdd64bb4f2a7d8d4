//! Reads the description back out of a pack.
//!
//! A pack carries its own TOML and the files it builds on as attachments, so it can be printed again when everything else
//! is lost. Only the file specifications of the PDF are looked at; names that lead out of a folder are refused.

use std::fmt;
use std::path::{Component, Path, PathBuf};

use hayro_syntax::Pdf;
use hayro_syntax::object::{Dict, Name, Object, Stream, String as PdfString};

/// A file out of a pack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// Its path below a common folder.
    pub path: PathBuf,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// Whether it is the description itself, not one that it builds on.
    pub main: bool,
}

/// Why a PDF file is no pack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoPack {
    /// It is not a readable PDF file.
    NotPdf,
    /// No description is attached to it.
    Nothing,
    /// An attachment whose name leads out of the folder.
    Outside(String),
    /// An attachment that cannot be unpacked.
    Broken(String),
}

impl fmt::Display for NoPack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPdf => write!(f, "not a PDF file that can be read"),
            Self::Nothing => write!(f, "no description is attached to it, so it is not a pack"),
            Self::Outside(name) => write!(f, "the attachment `{name}` has a name that leads elsewhere"),
            Self::Broken(name) => write!(f, "the attachment `{name}` cannot be unpacked"),
        }
    }
}

impl std::error::Error for NoPack {}

/// The attached descriptions, the main one first.
///
/// # Errors
/// [`NoPack`] where there are none, or one cannot be used.
pub fn attachments(pdf: Vec<u8>) -> Result<Vec<Attachment>, NoPack> {
    let pdf = Pdf::new(pdf).map_err(|_| NoPack::NotPdf)?;
    let mut found = Vec::new();
    for object in pdf.objects() {
        if let Object::Dict(dict) = object
            && let Some(attachment) = attachment(&dict)?
            && !found.contains(&attachment)
        {
            found.push(attachment);
        }
    }
    found.sort_by_key(|attachment| (!attachment.main, attachment.path.clone()));
    if found.first().is_some_and(|first| first.main) { Ok(found) } else { Err(NoPack::Nothing) }
}

/// A file specification with an embedded TOML file; none for every other dictionary.
fn attachment(dict: &Dict<'_>) -> Result<Option<Attachment>, NoPack> {
    let (Some(files), Some(name)) = (dict.get::<Dict<'_>>("EF"), text(dict, "UF").or_else(|| text(dict, "F"))) else {
        return Ok(None);
    };
    let path = PathBuf::from(&name);
    if path.extension().is_none_or(|ending| ending != "toml") {
        return Ok(None);
    }
    if !stays_inside(&path) {
        return Err(NoPack::Outside(name));
    }
    let broken = || NoPack::Broken(name.clone());
    let stream = files.get::<Stream<'_>>("F").or_else(|| files.get("UF")).ok_or_else(broken)?;
    let bytes = stream.decoded().map_err(|_| broken())?.into_owned();
    // A pack is made from its own description; what that builds on only supplements it.
    let main = dict.get::<Name<'_>>("AFRelationship").is_some_and(|relationship| relationship.as_ref() == b"Source");
    Ok(Some(Attachment { path, bytes, main }))
}

fn stays_inside(path: &Path) -> bool {
    path.components().all(|component| matches!(component, Component::Normal(_)))
}

/// A text of a dictionary: UTF-16 with its mark, else bytes as they are.
fn text(dict: &Dict<'_>, key: &str) -> Option<String> {
    let string = dict.get::<PdfString<'_>>(key)?;
    let bytes = string.as_bytes();
    Some(match bytes {
        [0xFE, 0xFF, rest @ ..] => {
            let units: Vec<u16> = rest.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        [0xEF, 0xBB, 0xBF, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        _ => String::from_utf8_lossy(bytes).into_owned(),
    })
}
