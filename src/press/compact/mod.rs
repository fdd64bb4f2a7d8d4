//! Makes a PDF file smaller without changing what it says or how it looks.
//!
//! The typesetter writes every object in plain text, and a tagged document has thousands of them; it writes each run of
//! letters and each rule with all that it depends on, as if nothing had come before. Here the file is taken apart
//! ([`file`]), the structure is slimmed ([`tags`]), each page is read ([`reader`]) as a list of what is on
//! it ([`page`]), what belongs together on it is joined
//! ([`join`]), what pages have in common is set apart ([`shared`]), pages are written in few words ([`ink`]), and
//! everything is put together again.
//!
//! Only the very form that the typesetter writes is understood. A page that has anything else is left as it is, and so is
//! a file, for a larger one is better than a broken one.

mod figures;
mod file;
mod ink;
mod join;
mod page;
mod pages;
mod reader;
mod shared;
mod syntax;
mod tags;

use file::File;
use pages::Names;
use tags::Structure;

/// The same document in fewer bytes.
#[must_use]
pub fn compact(pdf: Vec<u8>) -> Vec<u8> {
    match smaller(&pdf) {
        Some(smaller) if smaller.len() < pdf.len() => smaller,
        _ => pdf,
    }
}

fn smaller(pdf: &[u8]) -> Option<Vec<u8>> {
    let names = Names::new();
    let mut file = File::read(pdf)?;
    let mut structure = Structure::of(&file)?;
    structure.slim(&mut file)?;
    pages::rewrite(&mut file, &structure, &names)?;
    file.write(&structure.order(&file))
}
