//! The laid-out pages of every document of every demonstration machine, the words of their drawings among the others:
//! nothing under the least type size, nothing outside the printable area, no words over each other, no page without a
//! body, heads repeated over page breaks, letters that can be read without colours, and a hash of the picture of every
//! page, so that no page changes unseen.
//!
//! `UPDATE_GOLDEN=1` writes the hashes anew; look at the pages first.

mod grey;
mod heads;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use benchleaf::press::Base;
use benchleaf::sheets::{self, DocumentKind, Paper, Sheet};
use sha2::{Digest, Sha256};

use crate::cards::measure::{Area, Letters, Marked};
use crate::sheets as desk;

/// The documents that are read at a desk. Cards and labels have tests of their own.
const DESK: [DocumentKind; 9] = [
    DocumentKind::TestPointTable,
    DocumentKind::SignalPaths,
    DocumentKind::CoilTable,
    DocumentKind::PlugTable,
    DocumentKind::WireTable,
    DocumentKind::PartsList,
    DocumentKind::JobSheet,
    DocumentKind::SubstitutionSheet,
    DocumentKind::ServiceLog,
];
/// Least size on a sheet that is read at a desk, in points: two below the body size of CAP 676, read at half its distance.
const LEAST_SIZE: f64 = 9.0;
/// Room that every printer leaves at the edge, in millimetres; common practice, no source.
const PRINTER_EDGE: f64 = 5.0;
/// Overlap that is rounding, in millimetres.
const HAIR: f64 = 0.25;
/// Signs that say where a value comes from: shapes, not letters to be read.
const MARKS: [&str; 5] = ["●", "○", "◐", "◇", "△"];

/// A document with what is on its pages and their sizes in millimetres.
type LaidOut = (DocumentKind, Vec<Marked>, Vec<(f64, f64)>);

/// All desk documents of a machine, laid out.
fn documents(name: &str, language: &str, paper: Paper) -> Vec<LaidOut> {
    let opened = desk::open(&desk::demo(name));
    let options = desk::options(language, paper);
    let composed: Vec<Sheet> = desk::with_figures(&opened, &options, |material| sheets::compose(material, &DESK));
    composed.iter().map(|sheet| laid_out(sheet, language)).collect()
}

fn laid_out(sheet: &Sheet, language: &str) -> LaidOut {
    let document = desk::lay_out(sheet, language);
    let sizes = document.pages().iter().map(|page| (page.frame.width().to_mm(), page.frame.height().to_mm())).collect();
    (sheet.kind, desk::pages(&document), sizes)
}

fn seen(page: &Marked) -> impl Iterator<Item = &Letters> {
    page.letters.iter().filter(|letters| !letters.text.trim().is_empty())
}

fn check_pages(what: &str, pages: &[Marked], sizes: &[(f64, f64)]) {
    for (at, (page, (width, height))) in pages.iter().zip(sizes).enumerate() {
        let what = format!("{what}, page {}", at + 1);
        let printable =
            Area { left: PRINTER_EDGE, top: PRINTER_EDGE, right: width - PRINTER_EDGE, bottom: height - PRINTER_EDGE };
        for letters in seen(page) {
            assert!(letters.area.inside(&printable, 0.0), "{what}: `{}` outside the printable area", letters.text);
            let mark = MARKS.contains(&letters.text.trim());
            assert!(mark || letters.size >= LEAST_SIZE - 1e-6, "{what}: `{}` in {} pt", letters.text, letters.size);
        }
        for picture in &page.pictures {
            assert!(picture.inside(&printable, 0.0), "{what}: a drawing outside the printable area: {picture:?}");
        }
        check_no_overlap(&what, page);
        check_body(&what, page, *height);
    }
}

/// No two runs of letters on each other, those of drawings among them; none on a drawing but its own.
fn check_no_overlap(what: &str, page: &Marked) {
    let letters: Vec<&Letters> = seen(page).collect();
    for (at, one) in letters.iter().enumerate() {
        for other in &letters[at + 1..] {
            assert!(
                !one.area.overlaps(&other.area, HAIR),
                "{what}: `{}` {:?} and `{}` {:?} overlap",
                one.text,
                one.area,
                other.text,
                other.area
            );
        }
        for picture in &page.pictures {
            let meets = one.area.overlaps(picture, HAIR);
            assert!(!meets || one.drawn, "{what}: `{}` lies on a drawing", one.text);
        }
        let on_its_own = page.pictures.iter().any(|picture| one.area.inside(picture, HAIR));
        assert!(on_its_own || !one.drawn, "{what}: `{}` leaves its drawing", one.text);
    }
}

/// Something stands between the head margin and the foot.
fn check_body(what: &str, page: &Marked, height: f64) {
    let body = Area { left: 0.0, top: 13.0, right: f64::MAX, bottom: height - 17.0 };
    let words = seen(page).filter(|letters| letters.area.inside(&body, 0.0)).count();
    assert!(words + page.pictures.len() > 0, "{what} is empty");
}

#[test]
fn pages_of_every_machine_are_sound_on_a4() {
    for name in desk::MACHINES {
        for (kind, pages, sizes) in documents(name, "en", Paper::A4) {
            check_pages(&format!("{name} {}", kind.name()), &pages, &sizes);
        }
    }
}

#[test]
fn pages_are_sound_on_letter_and_in_german() {
    for name in desk::MACHINES {
        for (kind, pages, sizes) in documents(name, "de", Paper::Letter) {
            check_pages(&format!("{name} {} German", kind.name()), &pages, &sizes);
        }
    }
}

/// With the order of checks, which needs the faults to be analysed; the pack with all that it binds.
#[test]
fn a_whole_pack_is_sound() {
    let opened = desk::open(&desk::demo("lesson-board-12"));
    let options = desk::options("en", Paper::A4);
    let sheet = desk::with_material(&opened, &options, |material| sheets::one(material, DocumentKind::Pack));
    let (_, pages, sizes) = laid_out(&sheet.expect("a pack"), "en");
    check_pages("lesson-board-12 pack", &pages, &sizes);
    let text: String = pages.iter().flat_map(seen).map(|letters| letters.text.as_str()).collect();
    assert!(text.contains("Check in this order"));
    assert!(text.contains("one fault assumed"));
}

/// Names of 200 letters, a machine without points, sequences, plugs, one with nothing but a supply.
#[test]
fn odd_contents_still_make_sound_pages() {
    let long = "carriage return interlock ".repeat(8);
    let text = |label: &str, place: &str, note: &str| {
        format!(
            "[machine]\nid = \"m\"\nname = \"{label}\"\nkind = \"{label}\"\nrevision = 1\nrevised = 2026-01-01\nreference = \
             \"COM\"\n[[supply]]\nid = \"PS1\"\nlabel = \"{label}\"\nvoltage = \"28 V dc\"\nterminals = {{ \"+\" = \"P\", \"-\" = \
             \"COM\" }}\n[[fuse]]\nid = \"F1\"\nrated = \"2 A\"\nprotects = \"{label}\"\nplace = \"{place}\"\n[[relay]]\nid = \
             \"K1\"\nlabel = \"{label}\"\ncoil = \"120 ohm\"\nnominal = \"24 V dc\"\nplace = \"{place}\"\n[[test-point]]\nid = \
             \"TP1\"\nplace = \"{place}\"\nprobe = \"{note}\"\n[[run]]\nroute = \"P > F1 > TP1 > K1 > COM\"\n[[sequence]]\nnumber = \
             1\ntitle = \"{label}\"\nacts = [\"K1\"]\nsymptom = \"{note}\"\n"
        )
    };
    for (label, place, note) in
        [("x", "y", "z"), (long.as_str(), long.as_str(), long.as_str()), ("機械 آلة", "左の箱", "見る")]
    {
        let opened = benchleaf::machine::from_text("odd.toml", &text(label, place, note))
            .unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
        let options = desk::options("en", Paper::A4);
        for sheet in desk::with_figures(&opened, &options, |material| sheets::compose(material, &DESK)) {
            let (kind, pages, sizes) = laid_out(&sheet, "en");
            check_pages(&format!("{} letters, {}", label.chars().count(), kind.name()), &pages, &sizes);
        }
    }
}

/// Up to 60 fuses, 240 test points, 60 sequences; names of 12 to 200 letters.
#[test]
fn long_machines_make_sound_pages() {
    for (branches, letters) in [(60, 12), (24, 60), (8, 200)] {
        let opened = desk::from_text(&heads::long_machine(branches, letters));
        let options = desk::options("en", Paper::A4);
        for sheet in desk::with_figures(&opened, &options, |material| sheets::compose(material, &DESK)) {
            let (kind, pages, sizes) = laid_out(&sheet, "en");
            check_pages(&format!("{branches} branches, {letters} letters, {}", kind.name()), &pages, &sizes);
        }
    }
}

/// Pictures are taken coarse: a change that the eye sees changes them, and they take little time.
const DPI: f64 = 50.0;

fn golden_file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/pages.txt")
}

/// The hash of the picture of every page of every document, by machine, document and page.
fn picture_hashes() -> BTreeMap<String, (String, Vec<u8>)> {
    let base = Base::embedded().expect("the built-in templates");
    let press = benchleaf::press::PressOptions { dpi: Some(DPI), ..desk::press_options("en") };
    let mut hashes = BTreeMap::new();
    for name in desk::MACHINES {
        let opened = desk::open(&desk::demo(name));
        let options = desk::options("en", Paper::A4);
        let kinds = [DocumentKind::BenchCard, DocumentKind::FuseLabel, DocumentKind::Pack];
        let sheets = desk::with_material(&opened, &options, |material| sheets::compose(material, &kinds));
        for sheet in sheets {
            let printed = benchleaf::press::typeset_on(base, &sheet, &press).unwrap_or_else(|error| panic!("{error}"));
            for (at, picture) in printed.pictures.into_iter().enumerate() {
                let digest = Sha256::digest(&picture);
                let hash =
                    format!("{:016x}", digest.iter().take(8).fold(0_u64, |hash, byte| (hash << 8) | u64::from(*byte)));
                hashes.insert(format!("{name} {} {:03}", sheet.kind.name(), at + 1), (hash, picture));
            }
        }
    }
    hashes
}

#[test]
fn every_page_looks_as_it_was_accepted() {
    let hashes = picture_hashes();
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::create_dir_all(golden_file().parent().unwrap()).unwrap();
        let lines: Vec<String> = hashes.iter().map(|(page, (hash, _))| format!("{page} {hash}")).collect();
        std::fs::write(golden_file(), lines.join("\n") + "\n").unwrap();
        return;
    }
    let accepted = std::fs::read_to_string(golden_file()).expect("run once with UPDATE_GOLDEN=1");
    let accepted: BTreeMap<&str, &str> = accepted.lines().filter_map(|line| line.rsplit_once(' ')).collect();
    let folder = std::env::temp_dir().join("benchleaf-pages");
    let mut changed = Vec::new();
    for (page, (hash, picture)) in &hashes {
        if accepted.get(page.as_str()) != Some(&hash.as_str()) {
            std::fs::create_dir_all(&folder).unwrap();
            let file = folder.join(format!("{}.png", page.replace(' ', "-")));
            std::fs::write(&file, picture).unwrap();
            changed.push(file.display().to_string());
        }
    }
    let gone: Vec<&&str> = accepted.keys().filter(|page| !hashes.contains_key(**page)).collect();
    assert!(
        changed.is_empty() && gone.is_empty(),
        "pages look different; look at them, then accept with UPDATE_GOLDEN=1:\n{}\ngone: {gone:?}",
        changed.join("\n")
    );
}
