//! Ink: a [`Sheet`](crate::sheets::Sheet) goes in, a PDF comes out.
//!
//! Typst is embedded. Library, fonts and template sources are built once and shared ([`base`]); each document is a small
//! world of virtual files over them ([`world`]), so that what two documents have in common is typeset once. Everything a
//! document says arrives as data in `/data.json`; nothing the user wrote is ever read as markup.

pub mod base;
pub mod compact;
pub mod coverage;
pub mod error;
pub mod files;
pub mod pack;
pub mod world;

use std::borrow::Cow;

use rayon::prelude::*;
use typst::foundations::Smart;
use typst::layout::Abs;
use typst::utils::Scalar;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use typst_render::RenderOptions;

pub use base::Base;
pub use coverage::Uncovered;
pub use error::PressError;
pub use world::VirtualFile;

use crate::sheets::Sheet;
use world::Job;

/// Rounds that a cached piece of a document may go unused before it is forgotten: enough for the next build of a watched
/// machine to find everything of this one.
const CACHE_ROUNDS: usize = 10;

/// What goes with a document beside its own data.
#[derive(Debug, Clone, Default)]
pub struct PressOptions {
    /// The language file as text; templates read it as `/words.toml`.
    pub words: String,
    /// Files that templates read, such as a logo.
    pub files: Vec<VirtualFile>,
    /// The description and those that it builds on, to be attached to a pack: path below a common folder, and text. The
    /// description itself comes first.
    pub attachments: Vec<(String, String)>,
    /// Dots an inch of page pictures; none where only the PDF is wanted.
    pub dpi: Option<f64>,
}

/// A document on paper.
#[derive(Debug, Clone)]
pub struct Printed {
    /// The PDF file.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// One PNG file a page, where pictures were asked for.
    pub pictures: Vec<Vec<u8>>,
    /// Letters that no font has and that were printed as [`coverage::REPLACEMENT`].
    pub uncovered: Vec<Uncovered>,
}

/// Typesets one document with the built-in templates.
///
/// # Errors
/// [`PressError`] where a template of this project fails; the user's data cannot make it fail.
pub fn typeset(sheet: &Sheet, options: &PressOptions) -> Result<Printed, PressError> {
    typeset_on(Base::embedded()?, sheet, options)
}

/// Typesets one document over a base that may come from a folder.
///
/// # Errors
/// As [`typeset`].
pub fn typeset_on(base: &Base, sheet: &Sheet, options: &PressOptions) -> Result<Printed, PressError> {
    print(lay_out(base, sheet, options)?, &sheet.file_stem, options)
}

/// Typesets many documents side by side, in the order given, and keeps what is needed to typeset them again soon; see
/// [`forget_unused`].
///
/// # Errors
/// The first that fails, in the order given.
pub fn typeset_all(base: &Base, sheets: &[&Sheet], options: &PressOptions) -> Result<Vec<Printed>, PressError> {
    let printed: Vec<_> = sheets.par_iter().map(|sheet| typeset_on(base, sheet, options)).collect();
    printed.into_iter().collect()
}

/// Ends a round of builds: pieces of documents that went unused for some rounds are forgotten.
pub fn forget_unused() {
    comemo::evict(CACHE_ROUNDS);
}

/// Typesets documents that are not typeset again by this process: what is not needed any more makes room at once.
///
/// # Errors
/// As [`typeset_all`].
pub fn typeset_once(base: &Base, sheets: Vec<Sheet>, options: &PressOptions) -> Result<Vec<Printed>, PressError> {
    // The caches are those of all documents.
    let alone = sheets.len() == 1;
    let once = |sheet: Sheet| {
        let name = sheet.file_stem.clone();
        let (job, missing) = Job::new(base, Cow::Owned(sheet), options)?;
        let document = compile(&job, &name)?;
        drop(job);
        let export = || print((document, missing), &name, options);
        if alone { rayon::join(export, || comemo::evict(0)).0 } else { export() }
    };
    let printed: Vec<_> = sheets.into_par_iter().map(once).collect();
    printed.into_iter().collect()
}

/// Laid-out pages as files.
fn print(
    (document, uncovered): (PagedDocument, Vec<Uncovered>),
    name: &str,
    options: &PressOptions,
) -> Result<Printed, PressError> {
    let plain = export(&document, name)?;
    let pages = document.pages().len();
    let pictures = match options.dpi {
        Some(dpi) => pictures(&document, dpi)?,
        None => Vec::new(),
    };
    // Pages take a while to be dropped.
    let (pdf, ()) = rayon::join(|| compact::compact(plain), || drop(document));
    Ok(Printed { pdf, pages, pictures, uncovered })
}

/// Lays out the pages of a document without exporting them.
///
/// # Errors
/// As [`typeset`].
pub fn lay_out(
    base: &Base,
    sheet: &Sheet,
    options: &PressOptions,
) -> Result<(PagedDocument, Vec<Uncovered>), PressError> {
    let (job, missing) = Job::new(base, Cow::Borrowed(sheet), options)?;
    Ok((compile(&job, &sheet.file_stem)?, missing))
}

/// Compiles a job. A warning is a fault too: it means that a template does something else than it says.
fn compile(job: &Job<'_>, name: &str) -> Result<PagedDocument, PressError> {
    let outcome = typst::compile::<PagedDocument>(job);
    match outcome.output {
        Ok(document) if outcome.warnings.is_empty() => Ok(document),
        Ok(_) => Err(PressError::from_typst(job, name, &outcome.warnings)),
        Err(errors) => Err(PressError::from_typst(job, name, &errors)),
    }
}

/// Whether a picture of the user's, a virtual file such as `/logo.svg`, can be printed under the archival standard.
///
/// # Errors
/// What the typesetter says of it.
pub fn try_image(base: &Base, picture: &VirtualFile) -> Result<(), String> {
    let fault = |error: PressError| match error {
        PressError::Internal { faults, .. } => faults.join("; "),
        other => other.to_string(),
    };
    let job = Job::trial(base, picture).map_err(fault)?;
    let document = compile(&job, "logo").map_err(fault)?;
    export(&document, "logo").map(|_| ()).map_err(fault)
}

/// Writes laid-out pages as PDF/A-3a with PDF/UA-1. The only date is that of the data, so equal input gives equal bytes.
///
/// # Errors
/// What the standards forbid.
pub fn export(document: &PagedDocument, name: &str) -> Result<Vec<u8>, PressError> {
    let standards = PdfStandards::new(&[PdfStandard::A_3a, PdfStandard::Ua_1])
        .map_err(|error| PressError::Internal { document: name.into(), faults: vec![error.message().to_string()] })?;
    let options = PdfOptions {
        ident: Smart::Custom(format!("benchleaf/{name}")),
        creator: Smart::Custom(Some(format!("benchleaf {}", env!("CARGO_PKG_VERSION")))),
        standards,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(document, &options).map_err(|errors| PressError::Internal {
        document: name.into(),
        faults: errors.iter().map(|error| error.message.to_string()).collect(),
    })
}

/// Pages as PNG files.
fn pictures(document: &PagedDocument, dpi: f64) -> Result<Vec<Vec<u8>>, PressError> {
    let options = RenderOptions { pixel_per_pt: Scalar::new(dpi / Abs::inches(1.0).to_pt()), render_bleed: false };
    document
        .pages()
        .par_iter()
        .map(|page| {
            typst_render::render(page, &options).encode_png().map_err(|error| PressError::Picture(error.to_string()))
        })
        .collect()
}
