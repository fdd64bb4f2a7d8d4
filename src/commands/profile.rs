//! The shop profile: who prints, and how they like their paper.
//!
//! A small TOML file, `shop.toml`, beside the description or named with `--shop`. Its logo must lie in the profile's own
//! folder or below, so that a profile from elsewhere cannot pull strange files into a print.

use std::fmt::Write as _;
use std::fs;
use std::path::{Component, Path, PathBuf};

use serde::Deserialize;
use sha2::{Digest, Sha256};

use super::answer::Complaint;
use crate::press::{Base, VirtualFile};
use crate::sheets::{Paper, Shop};

/// Name of the profile beside a description.
pub const FILE_NAME: &str = "shop.toml";
/// Largest logo, in bytes: more does not print any better.
const LARGEST_LOGO: u64 = 1024 * 1024;

/// What the file may hold.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct ShopFile {
    name: Option<String>,
    address: Option<Lines>,
    telephone: Option<String>,
    logo: Option<PathBuf>,
    paper: Option<PaperKey>,
    symbols: Option<SymbolsKey>,
    language: Option<String>,
}

/// One line or several.
#[derive(Debug, Deserialize)]
#[serde(untagged, expecting = "expected a text, or a list of texts with one line each")]
enum Lines {
    One(String),
    Many(Vec<String>),
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum PaperKey {
    A4,
    Letter,
}

#[derive(Debug, Clone, Copy, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum SymbolsKey {
    Iec,
    NorthAmerican,
}

/// A profile that was read, or an empty one.
#[derive(Debug, Clone, Default)]
pub struct Profile {
    /// The shop, if the file names one.
    pub shop: Option<Shop>,
    /// Its logo as the typesetter sees it.
    pub logo: Option<VirtualFile>,
    /// Its paper.
    pub paper: Option<Paper>,
    /// Whether it likes North American symbols.
    pub north_american: Option<bool>,
    /// Its language.
    pub language: Option<String>,
    /// Hash of all that it puts on pages, for the card code; empty without a profile.
    pub digest: String,
    /// The file it was read from.
    pub path: Option<PathBuf>,
    /// The file of its logo.
    pub logo_path: Option<PathBuf>,
}

/// The language that the profile asks for: the profile that was named, else the one beside the description.
///
/// # Errors
/// A profile that was named and is not there, or one that cannot be read.
pub fn language(named: Option<&Path>, spec: &Path) -> Result<Option<String>, Complaint> {
    path(named, spec).map_or(Ok(None), |path| Ok(read_file(&path)?.1.language))
}

/// Where the profile is, if there is one.
fn path(named: Option<&Path>, spec: &Path) -> Option<PathBuf> {
    let beside = || Some(Profile::beside(spec)).filter(|path| path.is_file());
    named.map(Path::to_path_buf).or_else(beside)
}

/// Text and contents of a profile.
fn read_file(path: &Path) -> Result<(String, ShopFile), Complaint> {
    let shown = path.display();
    let text = fs::read_to_string(path)
        .map_err(|error| Complaint::new(format!("shop profile `{shown}` cannot be read: {error}")))?;
    let file = toml::from_str(&text)
        .map_err(|error| Complaint::new(format!("shop profile `{shown}`: {}", error.to_string().trim_end())))?;
    Ok((text, file))
}

impl Profile {
    /// Where a profile belongs that nobody names: beside the description.
    #[must_use]
    pub fn beside(spec: &Path) -> PathBuf {
        spec.parent().unwrap_or(Path::new("")).join(FILE_NAME)
    }

    /// The profile that was named, else the one beside the description, else none.
    ///
    /// # Errors
    /// A profile that was named and is not there; one that cannot be read; a logo that cannot be used.
    pub fn find(named: Option<&Path>, spec: &Path, base: &Base) -> Result<Self, Complaint> {
        path(named, spec).map_or_else(|| Ok(Self::default()), |path| Self::read(&path, base))
    }

    /// Reads a profile.
    fn read(path: &Path, base: &Base) -> Result<Self, Complaint> {
        let shown = path.display();
        let (text, file) = read_file(path)?;
        let logo = file.logo.as_deref().map(|logo| read_logo(path, logo, base)).transpose()?;
        let address = match file.address {
            None => Vec::new(),
            Some(Lines::One(line)) => line.lines().map(str::to_string).collect(),
            Some(Lines::Many(lines)) => lines,
        };
        if file.name.is_none() && (logo.is_some() || file.telephone.is_some() || !address.is_empty()) {
            return Err(Complaint::new(format!("shop profile `{shown}` has no `name`")).hint("add `name = \"...\"`"));
        }
        let digest = digest(&text, logo.as_ref());
        Ok(Self {
            shop: file.name.map(|name| Shop {
                name,
                address,
                telephone: file.telephone,
                logo: logo.as_ref().map(|logo| logo.path.clone()),
            }),
            logo,
            paper: file.paper.map(|paper| match paper {
                PaperKey::A4 => Paper::A4,
                PaperKey::Letter => Paper::Letter,
            }),
            north_american: file.symbols.map(|symbols| symbols == SymbolsKey::NorthAmerican),
            language: file.language,
            digest,
            path: Some(path.to_path_buf()),
            logo_path: file.logo.map(|logo| path.parent().unwrap_or(Path::new("")).join(logo)),
        })
    }
}

fn digest(text: &str, logo: Option<&VirtualFile>) -> String {
    let mut hash = Sha256::new();
    hash.update(text);
    if let Some(logo) = logo {
        hash.update(logo.bytes.as_slice());
    }
    let mut digest = String::new();
    for byte in hash.finalize() {
        // Writing to a string cannot fail.
        let _ = write!(digest, "{byte:02x}");
    }
    digest
}

/// Reads the logo and lets the typesetter try it.
fn read_logo(profile: &Path, logo: &Path, base: &Base) -> Result<VirtualFile, Complaint> {
    let shown = logo.display();
    let complain = |what: &str| Complaint::new(format!("logo `{shown}` {what}"));
    if logo.is_absolute() || logo.components().any(|component| component == Component::ParentDir) {
        return Err(outside(&complain));
    }
    let folder = profile.parent().unwrap_or(Path::new(""));
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let path = folder.join(logo);
    let size = fs::metadata(&path).map_err(|error| complain(&format!("cannot be read: {error}")))?;
    // A link inside the folder may still lead out of it.
    let inside = match (path.canonicalize(), folder.canonicalize()) {
        (Ok(path), Ok(folder)) => path.starts_with(folder),
        _ => false,
    };
    if !inside {
        return Err(outside(&complain));
    }
    if !size.is_file() {
        return Err(complain("is not a file"));
    }
    if size.len() > LARGEST_LOGO {
        return Err(complain(&format!(
            "has {} kB, more than the {} kB allowed",
            size.len() / 1024,
            LARGEST_LOGO / 1024
        ))
        .hint("save it smaller: 600 pixels across print sharply at this size"));
    }
    let kind = match logo.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase).as_deref() {
        Some("svg") => "/logo.svg",
        Some("png") => "/logo.png",
        _ => return Err(complain("is neither an `.svg` nor a `.png` file")),
    };
    let bytes = fs::read(&path).map_err(|error| complain(&format!("cannot be read: {error}")))?;
    let file = VirtualFile::new(kind, bytes);
    crate::press::try_image(base, &file).map_err(|fault| complain(&format!("cannot be printed: {fault}")))?;
    Ok(file)
}

fn outside(complain: &dyn Fn(&str) -> Complaint) -> Complaint {
    complain("lies outside the folder of the shop profile").hint("copy it beside `shop.toml` and give its name only")
}
