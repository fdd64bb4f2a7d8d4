//! The typesetter: valid archival PDF, embedded fonts, complete words, nothing forgotten in the program.

mod compact;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use benchleaf::assets;
use benchleaf::circuit::{Effort, Solver};
use benchleaf::faults;
use benchleaf::machine;
use benchleaf::press::{self, Base, PressOptions, Printed, pack};
use benchleaf::sheets::cards::CardOptions;
use benchleaf::sheets::{self, DocumentKind, Material, Paper, Sheet, SheetOptions};
use benchleaf::words::Words;
use regex::Regex;

use super::support;

const PLOVER: &str = include_str!("../paper/plover.toml");

fn language(code: &str) -> String {
    assets::languages().find(|(known, _)| *known == code).expect("the language is built in").1.to_string()
}

/// All documents of the small machine as data.
fn sheets_in(code: &str) -> Vec<Sheet> {
    let opened = machine::from_text("plover.toml", PLOVER).expect("the small machine is right");
    let solver = Solver::new(&opened.machine).expect("it can be solved");
    let solution = solver.solve(Effort::Bands);
    let findings = faults::analyse(&opened.machine, &solver, &solution);
    let options = SheetOptions {
        paper: Paper::A4,
        words: Words::of(code).expect("built in"),
        north_american: false,
        card_code: "7KD4-HACM".into(),
        shop: None,
        card: CardOptions::default(),
    };
    let material = Material {
        machine: &opened.machine,
        solver: &solver,
        solution: &solution,
        findings: Some(&findings),
        audit: &[],
        options: &options,
    };
    sheets::compose(&material, &DocumentKind::ALL)
}

fn options(code: &str) -> PressOptions {
    PressOptions {
        words: language(code),
        attachments: vec![("plover.toml".into(), PLOVER.into()), ("base/stand.toml".into(), "# a base".into())],
        ..PressOptions::default()
    }
}

fn print(sheet: &Sheet, code: &str) -> Printed {
    press::typeset(sheet, &options(code)).unwrap_or_else(|fault| panic!("{fault}"))
}

/// Runs an outside tool over a PDF file; none where the tool is not there.
fn tool(name: &str, arguments: &[&str], pdf: &[u8]) -> Option<(bool, String)> {
    let file = tempfile::NamedTempFile::with_suffix(".pdf").expect("a file");
    fs::write(file.path(), pdf).expect("written");
    let Ok(output) = Command::new(name)
        .args(arguments)
        .arg(file.path())
        .args(if name == "pdftotext" { vec!["-"] } else { vec![] })
        .output()
    else {
        support::skip(name);
        return None;
    };
    Some((output.status.success(), String::from_utf8_lossy(&output.stdout).into_owned()))
}

#[test]
fn every_document_is_a_valid_file_with_all_its_fonts() {
    for code in ["en", "de"] {
        for sheet in sheets_in(code) {
            let printed = print(&sheet, code);
            assert!(printed.pages > 0 && printed.uncovered.is_empty(), "{}: {:?}", sheet.file_stem, printed.uncovered);
            let Some((valid, said)) = tool("qpdf", &["--check"], &printed.pdf) else { return };
            assert!(valid && !said.contains("WARNING"), "{}: {said}", sheet.file_stem);
            let Some((_, fonts)) = tool("pdffonts", &[], &printed.pdf) else { return };
            let rows: Vec<&str> = fonts.lines().skip(2).collect();
            assert!(!rows.is_empty(), "{}: no fonts", sheet.file_stem);
            for row in rows {
                // Columns: ..., emb, sub, uni, object, generation.
                let columns: Vec<&str> = row.split_whitespace().collect();
                assert_eq!(columns[columns.len() - 5], "yes", "{}: {row}", sheet.file_stem);
            }
        }
    }
}

#[test]
fn files_say_that_they_are_archival_and_accessible() {
    for sheet in sheets_in("en") {
        let printed = print(&sheet, "en");
        let text = String::from_utf8_lossy(&printed.pdf);
        // The XMP packet is never compressed (ISO 19005-3, 6.6.2.1, restated), so that it can be read from outside.
        for said in [
            "<pdfaid:part>3</pdfaid:part>",
            "<pdfaid:conformance>A</pdfaid:conformance>",
            "<pdfuaid:part>1</pdfuaid:part>",
        ] {
            assert!(text.contains(said), "{}: {said}", sheet.file_stem);
        }
        assert!(text.contains("2026-03-01T00:00:00"), "{}: the date of the revision", sheet.file_stem);
    }
}

#[test]
fn equal_input_gives_equal_bytes_whatever_was_printed_before() {
    let sheets = sheets_in("en");
    let first: Vec<Vec<u8>> = sheets.iter().map(|sheet| print(sheet, "en").pdf).collect();
    comemo::evict(0);
    for (sheet, first) in sheets.iter().zip(&first).rev() {
        assert!(print(sheet, "en").pdf == *first, "{} differs", sheet.file_stem);
    }
    let base = Base::embedded().expect("built in");
    let together = press::typeset_all(base, &sheets.iter().collect::<Vec<_>>(), &options("en")).expect("printed");
    assert!(together.iter().zip(&first).all(|(one, other)| one.pdf == *other), "side by side differs");
    for (sheet, first) in sheets.iter().zip(&first) {
        let alone = press::typeset_once(base, vec![sheet.clone()], &options("en")).expect("printed");
        assert!(alone[0].pdf == *first, "{} differs alone", sheet.file_stem);
    }
}

#[test]
fn there_is_one_cache_to_forget() {
    // Two versions of this crate would mean two caches, of which `evict` reaches only ours.
    let lock = fs::read_to_string(root().join("Cargo.lock")).expect("the lock file");
    assert_eq!(lock.matches("name = \"comemo\"").count(), 1);
}

#[test]
fn a_pack_carries_its_description() {
    let sheets = sheets_in("en");
    let sheet = sheets.iter().find(|sheet| sheet.kind == DocumentKind::Pack).expect("a pack");
    let found = pack::attachments(print(sheet, "en").pdf).expect("attached");
    assert_eq!(found.len(), 2);
    assert!(found[0].main && found[0].path == Path::new("plover.toml") && found[0].bytes == PLOVER.as_bytes());
    assert!(!found[1].main && found[1].path == Path::new("base/stand.toml"));
    let other = sheets.iter().find(|sheet| sheet.kind == DocumentKind::JobSheet).expect("a job sheet");
    assert_eq!(pack::attachments(print(other, "en").pdf), Err(pack::NoPack::Nothing));
    assert_eq!(pack::attachments(b"no pdf".to_vec()), Err(pack::NoPack::NotPdf));
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All files below a folder, by their path from the project's own.
fn files_below(folder: &str) -> Vec<String> {
    let mut files = Vec::new();
    let mut open = vec![root().join(folder)];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(root()).expect("below").to_string_lossy().replace('\\', "/");
                files.push(name);
            }
        }
    }
    files.sort();
    files
}

fn ending(name: &str) -> &str {
    Path::new(name).extension().and_then(|ending| ending.to_str()).unwrap_or_default()
}

#[test]
fn every_template_and_font_is_in_the_program() {
    let listed = |list: &[assets::Asset]| list.iter().map(|asset| asset.path.to_string()).collect::<Vec<_>>();
    assert_eq!(listed(assets::TEMPLATES), files_below("templates"));
    let fonts: Vec<String> = files_below("fonts").into_iter().filter(|name| ending(name) == "ttf").collect();
    assert_eq!(listed(assets::FONTS), fonts);
    let licences: Vec<String> = files_below("fonts").into_iter().filter(|name| ending(name) == "txt").collect();
    for font in fonts {
        let family = font.trim_start_matches("fonts/").split(['-', '.']).next().unwrap_or_default().to_string();
        assert!(licences.iter().any(|licence| licence.contains(&family)), "no licence beside {font}");
    }
}

/// Keys that sources name, and beginnings of keys that are put together when the program runs.
fn keys_in_use() -> (BTreeSet<String>, BTreeSet<String>) {
    let template = Regex::new(r#"\bword\(\s*"([a-z0-9.-]+)"(\s*\+)?"#).expect("a pattern");
    let program = Regex::new(r#"\b(?:get|fill|has)\(\s*"([a-z0-9-]+(?:\.[a-z0-9-]+)+)""#).expect("a pattern");
    let composed = Regex::new(r#"format!\("([a-z0-9-]+\.(?:[a-z0-9-]+\.)*)\{"#).expect("a pattern");
    let (mut whole, mut beginnings) = (BTreeSet::new(), BTreeSet::new());
    for name in files_below("templates").into_iter().chain(files_below("src")) {
        let text = fs::read_to_string(root().join(&name)).unwrap_or_default();
        if ending(&name) == "typ" {
            for found in template.captures_iter(&text) {
                let into = if found.get(2).is_some() { &mut beginnings } else { &mut whole };
                into.insert(found[1].to_string());
            }
        } else if name.starts_with("src/sheets") || name.starts_with("src/drawing") {
            whole.extend(program.captures_iter(&text).map(|found| found[1].to_string()));
            beginnings.extend(composed.captures_iter(&text).map(|found| found[1].to_string()));
        }
    }
    (whole, beginnings)
}

/// Whether a key stands for a list of texts.
fn is_list(words: &Words, key: &str) -> bool {
    words.has(&format!("{key}.0"))
}

#[test]
fn every_key_in_use_has_words_in_every_language() {
    let (whole, beginnings) = keys_in_use();
    assert!(whole.len() > 100 && !beginnings.is_empty(), "{} keys found in the sources", whole.len());
    for (code, _) in assets::languages() {
        let words = Words::of(code).expect("it reads");
        let missing: Vec<&String> = whole.iter().filter(|key| !words.has(key) && !is_list(&words, key)).collect();
        assert!(missing.is_empty(), "{code} lacks {missing:?}");
        for beginning in &beginnings {
            assert!(
                words.keys().any(|key| key.starts_with(beginning.as_str())),
                "{code} has nothing under {beginning}"
            );
        }
    }
}

#[test]
fn languages_have_the_same_keys_and_the_same_places_for_values() {
    let place = Regex::new(r"\{[a-z0-9-]+\}").expect("a pattern");
    let places = |text: &str| place.find_iter(text).map(|found| found.as_str().to_string()).collect::<BTreeSet<_>>();
    let english = Words::of("en").expect("built in");
    let keys: Vec<String> = english.keys().map(str::to_string).collect();
    for (code, _) in assets::languages() {
        let words = Words::of(code).expect("it reads");
        let own: Vec<String> = words.keys().map(str::to_string).collect();
        let lacking: Vec<&String> = keys.iter().filter(|key| !own.contains(key)).collect();
        let extra: Vec<&String> = own.iter().filter(|key| !keys.contains(key)).collect();
        assert!(lacking.is_empty() && extra.is_empty(), "{code} lacks {lacking:?}, and has too many: {extra:?}");
        for key in &keys {
            assert_eq!(places(&words.get(key)), places(&english.get(key)), "{code}: places in {key}");
            assert!(!words.get(key).trim().is_empty(), "{code}: {key} is empty");
        }
    }
}

#[test]
fn a_german_page_has_decimal_commas() {
    let sheets = sheets_in("de");
    let sheet = sheets.iter().find(|sheet| sheet.kind == DocumentKind::BenchCard).expect("a card");
    let printed = print(sheet, "de");
    let Some((_, text)) = tool("pdftotext", &["-layout"], &printed.pdf) else { return };
    assert!(text.contains("−27,2") && text.contains("Abläufe"), "{text}");
    let point = Regex::new(r"[0-9]\.[0-9]").expect("a pattern");
    let wrong: Vec<&str> = point.find_iter(&text).map(|found| found.as_str()).collect();
    assert!(wrong.is_empty(), "decimal points: {wrong:?}");
}

/// Luminance of a colour as a grey printer or a grey eye gets it (WCAG 2.1, relative luminance; sRGB coefficients).
fn luminance(hex: &str) -> f64 {
    let channel = |at: usize| {
        let value = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).expect("two digits")) / 255.0;
        if value <= 0.040_45 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
}

#[test]
fn signal_words_can_be_read_in_grey() {
    let tokens = fs::read_to_string(root().join("templates/tokens.typ")).expect("the tokens");
    let panel =
        Regex::new(r##"(danger|warning|caution|notice): \(fill: rgb\("#([0-9a-f]{6})"\), text: (black|white)"##)
            .expect("a pattern");
    let panels: Vec<_> = panel.captures_iter(&tokens).collect();
    assert_eq!(panels.len(), 4, "one panel for each signal word of ANSI Z535.4");
    for found in panels {
        let (fill, letters) = (luminance(&found[2]), if &found[3] == "white" { 1.0 } else { 0.0 });
        let (light, dark) = (f64::max(fill, letters), f64::min(fill, letters));
        let contrast = (light + 0.05) / (dark + 0.05);
        // WCAG 2.1, success criterion 1.4.3: 4.5 for text of any size.
        assert!(contrast >= 4.5, "{}: contrast {contrast:.2}", &found[1]);
    }
}

#[test]
fn structure_trees_start_with_a_first_heading_and_skip_none() {
    for sheet in sheets_in("en") {
        let Some((_, tree)) = tool("pdfinfo", &["-struct"], &print(&sheet, "en").pdf) else { return };
        let levels: Vec<u32> = tree
            .lines()
            .filter_map(|line| line.trim().strip_prefix('H')?.split([' ', '(']).next()?.trim().parse().ok())
            .collect();
        assert_eq!(levels.first(), Some(&1), "{}: {levels:?}", sheet.file_stem);
        assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{}: {levels:?}", sheet.file_stem);
        if tree.contains("Table") {
            assert!(
                tree.lines().any(|line| line.trim().starts_with("TH")),
                "{}: a table without heads",
                sheet.file_stem
            );
        }
        let figures = tree.lines().filter(|line| line.trim().starts_with("Figure")).count();
        assert!(figures >= sheet.figures.len(), "{}: {figures} of {} drawings", sheet.file_stem, sheet.figures.len());
    }
}
