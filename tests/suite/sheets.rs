//! The desk sheets: their numbers are those that `solve` reports, their cautions follow from the data, their words exist.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use benchleaf::circuit::{Effort, Solution, Solver};
use benchleaf::faults::Findings;
use benchleaf::hazards;
use benchleaf::machine::{self, Opened};
use benchleaf::press::{Base, PressOptions};
use benchleaf::sheets::cautions::{Cause, Caution, SignalWord, cautions};
use benchleaf::sheets::discharge::stored_charges;
use benchleaf::sheets::{self, DocumentKind, Material, Paper, Sheet, SheetOptions};
use benchleaf::spec::units::{Seconds, Volts};
use benchleaf::words::Words;
use benchleaf::words::figures::{self, Numerals};
use typst_layout::PagedDocument;

use crate::cards::measure::{Letters, Marked, measure};
use crate::support;

/// The demonstration machines.
pub(crate) const MACHINES: [&str; 4] = ["gull-gallery", "lesson-board-12", "old-barnabas", "tern-48"];

pub(crate) fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("specs").join(format!("{name}.toml"))
}

pub(crate) fn open(path: &Path) -> Opened {
    machine::open(path).unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)))
}

pub(crate) fn from_text(text: &str) -> Opened {
    machine::from_text("test.toml", text)
        .unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)))
}

pub(crate) fn options(language: &str, paper: Paper) -> SheetOptions {
    SheetOptions {
        paper,
        words: Words::of(language).expect("the language is built in"),
        north_american: false,
        card_code: "7KD4-HACM".into(),
        shop: None,
        card: sheets::cards::CardOptions::default(),
    }
}

/// Hands a machine with everything known about it to a test.
pub(crate) fn with_material<T>(opened: &Opened, options: &SheetOptions, test: impl FnOnce(&Material<'_>) -> T) -> T {
    let machine = &opened.machine;
    let solver = Solver::new(machine).unwrap_or_else(|error| panic!("{error}"));
    let solution: Solution = solver.solve(Effort::Bands);
    let findings: Findings = benchleaf::faults::analyse(machine, &solver, &solution);
    let audit = benchleaf::audit::audit(machine, &solver, &solution);
    let material =
        Material { machine, solver: &solver, solution: &solution, findings: Some(&findings), audit: &audit, options };
    test(&material)
}

/// The same without the analysis of faults, which takes longest.
pub(crate) fn with_figures<T>(opened: &Opened, options: &SheetOptions, test: impl FnOnce(&Material<'_>) -> T) -> T {
    let machine = &opened.machine;
    let solver = Solver::new(machine).unwrap_or_else(|error| panic!("{error}"));
    let solution: Solution = solver.solve(Effort::Bands);
    let audit = benchleaf::audit::audit(machine, &solver, &solution);
    let material = Material { machine, solver: &solver, solution: &solution, findings: None, audit: &audit, options };
    test(&material)
}

pub(crate) fn press_options(language: &str) -> PressOptions {
    let words = benchleaf::assets::languages().find(|(code, _)| *code == language).expect("built in").1.to_string();
    PressOptions { words, files: vec![], attachments: vec![], dpi: None }
}

pub(crate) fn lay_out(sheet: &Sheet, language: &str) -> PagedDocument {
    let base = Base::embedded().expect("the built-in templates");
    benchleaf::press::lay_out(base, sheet, &press_options(language)).unwrap_or_else(|error| panic!("{error}")).0
}

pub(crate) fn pages(document: &PagedDocument) -> Vec<Marked> {
    document.pages().iter().map(|page| measure(&page.frame)).collect()
}

#[test]
fn one_rounding_rule_for_page_and_report() {
    let numerals = Numerals::default();
    for (volts, shown) in [
        (-27.83, "−27.8"),
        (9.994, "9.99"),
        (9.996, "10.0"),
        (-0.004, "0.00"),
        (0.0, "0.00"),
        (230.04, "230.0"),
        (f64::NAN, "–"),
        (f64::INFINITY, "–"),
    ] {
        assert_eq!(numerals.volts(volts), shown);
    }
    assert_eq!(numerals.milliamps(0.09994), "99.9");
    assert_eq!(numerals.milliamps(0.09996), "100");
    assert_eq!(Numerals { decimal: ',' }.volts(-27.83), "−27,8");
    assert_eq!(Numerals { decimal: ',' }.localised("4.7 Ω at 2 A. Then"), "4,7 Ω at 2 A. Then");
    for step in -40_000..40_000 {
        let volts = f64::from(step) * 0.001_7;
        let read: f64 = numerals.volts(volts).replace('−', "-").parse().unwrap();
        assert!((read - figures::rounded_volts(volts)).abs() < f64::EPSILON, "{volts}");
        assert!(figures::rounded_volts(volts).to_string() != "-0");
    }
}

/// The waiting time is that of the reference example of `OpenStax` College Physics 2e, section 21.6: 8.00 µF through 1.00 kΩ
/// from 10.0 kV to 500 V takes three time constants of 8.00 ms (exactly 23.966 ms).
#[test]
fn waiting_time_follows_the_discharge_law() {
    let volts = Volts::new(10_000.0);
    let wait = hazards::wait(volts, Seconds::new(8e-6 * 1000.0));
    let to_touch = wait.to_touch.expect("10 kV may not be touched").value();
    // The law itself, at the example's own target, from two of the times that are printed.
    let constant = (to_touch - wait.to_meter.value()).abs() / (30.0_f64 / 5.0).ln();
    assert!((constant - 8e-3).abs() < 1e-9);
    assert!((constant * (10_000.0_f64 / 500.0).ln() - 23.966e-3).abs() < 5e-7);
    assert!((to_touch - 8e-3 * (10_000.0_f64 / 30.0).ln()).abs() < 1e-12);
}

/// Runs the program and hands back what it says.
fn run(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_benchleaf")).args(arguments).output().expect("the program starts");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// Readings of a machine as `solve` reports them: point, sequence, kind of current to nominal, lowest, highest.
type Readings = BTreeMap<(String, i64, String), (f64, f64, f64)>;

fn reported(name: &str) -> Readings {
    let text = run(&["solve", demo(name).to_str().unwrap(), "--format", "json"]);
    let report: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let mut readings = Readings::new();
    for sequence in report["sequences"].as_array().expect("sequences") {
        for reading in sequence["readings"].as_array().expect("readings") {
            let number = |key: &str| reading[key].as_f64().unwrap_or(f64::NAN);
            let key = (
                reading["at"].as_str().unwrap().to_string(),
                sequence["number"].as_i64().unwrap(),
                reading["quantity"].as_str().unwrap().to_string(),
            );
            readings.insert(key, (number("nominal"), number("min"), number("max")));
        }
    }
    assert!(!readings.is_empty(), "{name} reports no reading");
    readings
}

/// A word on a page with its place, in millimetres.
#[derive(Debug, Clone)]
struct Placed {
    text: String,
    left: f64,
    top: f64,
}

/// What the printed test-point table says, read back from the places of its words on the laid-out pages.
fn printed(pages: &[Vec<Placed>], points: &[String]) -> Readings {
    let mut readings = Readings::new();
    for words in pages {
        let mut labels: Vec<&Placed> =
            words.iter().filter(|word| word.left < 26.0 && points.contains(&word.text)).collect();
        labels.sort_by(|one, other| one.top.total_cmp(&other.top));
        let mut last: Option<Figures> = None;
        let mut open_list = false;
        for row in rows(words) {
            let Some(label) = labels.iter().rev().find(|label| label.top < row[0].top + 2.5) else { continue };
            // A list of sequences that does not fit on a line goes on below its figures.
            if open_list && let (Some(rest), Some((_, current, values))) = (sequences_in(&row), &last) {
                for sequence in rest {
                    readings.insert((label.text.clone(), sequence, current.clone()), *values);
                }
                open_list = row.last().is_some_and(|word| word.text.ends_with(','));
                continue;
            }
            last = row_of_figures(&row);
            open_list = false;
            if let Some((list, current, values)) = &last {
                for sequence in list.iter().copied() {
                    readings.insert((label.text.clone(), sequence, current.clone()), *values);
                }
                let before = row.iter().position(|word| word.text == *current).unwrap_or(0);
                open_list = before >= 2 && row[before - 2].text.ends_with(',');
            }
        }
    }
    readings
}

fn placed(letters: &[Letters]) -> Vec<Placed> {
    letters
        .iter()
        .filter(|letters| !letters.text.trim().is_empty())
        .map(|letters| Placed {
            text: letters.text.trim().to_string(),
            left: letters.area.left,
            top: letters.area.bottom,
        })
        .collect()
}

/// Words right of the second column (20 + 13 + 46 mm and two gaps), gathered by their line.
fn rows(words: &[Placed]) -> Vec<Vec<Placed>> {
    let mut words: Vec<Placed> = words.iter().filter(|word| word.left > 81.0).cloned().collect();
    words.sort_by(|one, other| one.top.total_cmp(&other.top).then(one.left.total_cmp(&other.left)));
    let mut rows: Vec<Vec<Placed>> = Vec::new();
    for word in words {
        match rows.last_mut() {
            Some(row) if (row[0].top - word.top).abs() < 0.8 => row.push(word),
            _ => rows.push(vec![word]),
        }
    }
    for row in &mut rows {
        row.sort_by(|one, other| one.left.total_cmp(&other.left));
    }
    rows
}

/// Sequences, kind of current and the three figures of a row.
type Figures = (Vec<i64>, String, (f64, f64, f64));

/// The sequences that a line lists, if it lists nothing else.
fn sequences_in(row: &[Placed]) -> Option<Vec<i64>> {
    let text: String = row.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
    let mut sequences = Vec::new();
    for range in text.split(',').map(str::trim).filter(|range| !range.is_empty()) {
        let (from, to) = range.split_once('–').unwrap_or((range, range));
        sequences.extend(from.parse::<i64>().ok()?..=to.parse::<i64>().ok()?);
    }
    (!sequences.is_empty()).then_some(sequences)
}

/// The figures of a row; none for a line of words.
fn row_of_figures(row: &[Placed]) -> Option<Figures> {
    let at = row.iter().position(|word| word.text == "dc" || word.text == "ac")?;
    let number = |text: &str| text.trim_end_matches('~').replace('−', "-").parse::<f64>().ok();
    let nominal = number(&row.get(at.checked_sub(1)?)?.text)?;
    let sequences = sequences_in(&row[..at - 1])?;
    let rest: Vec<f64> = row[at + 1..].iter().filter_map(|word| number(&word.text)).collect();
    let band = if row.iter().any(|word| word.text == "floats") { (f64::NAN, f64::NAN) } else { (rest[0], rest[1]) };
    Some((sequences, row[at].text.clone(), (nominal, band.0, band.1)))
}

#[test]
fn test_point_tables_print_exactly_what_solve_reports() {
    for name in MACHINES {
        let opened = open(&demo(name));
        let options = options("en", Paper::A4);
        let sheet = with_figures(&opened, &options, |material| sheets::one(material, DocumentKind::TestPointTable));
        let document = lay_out(&sheet.expect("it has test points"), "en");
        let words: Vec<Vec<Placed>> = pages(&document).iter().map(|page| placed(&page.letters)).collect();
        assert_same(name, &printed(&words, &points_of(&opened)));
    }
}

fn points_of(opened: &Opened) -> Vec<String> {
    opened.machine.test_points.iter().map(|point| point.id.clone()).collect()
}

/// What is on paper is what `solve` reports, no more and no less, to the last digit.
fn assert_same(name: &str, on_paper: &Readings) {
    let reported = reported(name);
    let keys = |readings: &Readings| readings.keys().cloned().collect::<BTreeSet<_>>();
    let missing: Vec<_> = keys(&reported).difference(&keys(on_paper)).cloned().collect();
    assert!(missing.is_empty(), "{name}: reported and not printed: {missing:?}");
    let beyond: Vec<_> = keys(on_paper).difference(&keys(&reported)).cloned().collect();
    assert!(beyond.is_empty(), "{name}: printed and not reported: {beyond:?}");
    for (key, (nominal, low, high)) in &reported {
        let shown = on_paper[key];
        // A point that floats is printed as such instead of with a band, and reported without numbers.
        if shown.1.is_nan() {
            assert!(nominal.is_nan(), "{name} {key:?}: floats, {nominal} reported");
        } else {
            assert!((shown.0 - nominal).abs() < 1e-9, "{name} {key:?}: {shown:?} printed, {nominal} reported");
            assert!((shown.1 - low).abs() < 1e-9 && (shown.2 - high).abs() < 1e-9, "{name} {key:?}: {shown:?}");
        }
    }
}

/// The same read from the finished PDF file by an outside tool.
#[test]
fn the_text_of_the_files_holds_exactly_what_solve_reports() {
    if !support::installed("pdftotext") {
        return;
    }
    for name in MACHINES {
        let opened = open(&demo(name));
        let options = options("en", Paper::A4);
        let sheet = with_figures(&opened, &options, |material| sheets::one(material, DocumentKind::TestPointTable));
        let sheet = sheet.expect("it has test points");
        let file = benchleaf::press::typeset(&sheet, &press_options("en")).unwrap_or_else(|error| panic!("{error}"));
        assert_same(name, &printed(&words_of_file(&file.pdf), &points_of(&opened)));
    }
}

/// Every number that `solve` reports for a test point stands in the text of the whole pack, too.
#[test]
fn the_text_of_a_pack_holds_every_reading() {
    if !support::installed("pdftotext") {
        return;
    }
    for name in MACHINES {
        let text = pack_text(name);
        for (key, (nominal, low, high)) in reported(name) {
            for number in [nominal, low, high].into_iter().filter(|number| !number.is_nan()) {
                let shown = Numerals::default().volts(number);
                assert!(text.contains(&shown), "{name} {key:?}: {shown} is not in the pack");
            }
        }
    }
}

/// The words of each page of a PDF file with their places, by `pdftotext`.
fn words_of_file(pdf: &[u8]) -> Vec<Vec<Placed>> {
    let word = regex::Regex::new(r#"<word xMin="([\d.]+)" yMin="[\d.]+" xMax="[\d.]+" yMax="([\d.]+)">(.*?)</word>"#)
        .expect("a pattern");
    let millimetres = |points: &str| points.parse::<f64>().expect("a number") * 25.4 / 72.0;
    let text = text_of_file(pdf, "-bbox");
    let pages = text.split("<page ").skip(1);
    pages
        .map(|page| {
            word.captures_iter(page)
                .map(|found| Placed {
                    text: found[3].to_string(),
                    left: millimetres(&found[1]),
                    top: millimetres(&found[2]),
                })
                .collect()
        })
        .collect()
}

/// What `pdftotext` makes of a file.
fn text_of_file(pdf: &[u8], layout: &str) -> String {
    let file = tempfile::NamedTempFile::with_suffix(".pdf").expect("a file");
    std::fs::write(file.path(), pdf).expect("written");
    let output = Command::new("pdftotext").arg(layout).arg(file.path()).arg("-").output().expect("pdftotext starts");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The text of a machine's pack.
fn pack_text(name: &str) -> String {
    let opened = open(&demo(name));
    let options = options("en", Paper::A4);
    let sheet = with_figures(&opened, &options, |material| sheets::one(material, DocumentKind::Pack)).expect("a pack");
    let printed = benchleaf::press::typeset(&sheet, &press_options("en")).unwrap_or_else(|error| panic!("{error}"));
    text_of_file(&printed.pdf, "-layout")
}

/// A small machine: a supply, a fuse, a lamp, and whatever a test adds.
fn small(machine_keys: &str, supply: &str, more: &str) -> Opened {
    from_text(&format!(
        r#"
[machine]
id = "m"
name = "M"
kind = "trial"
revision = 1
revised = 2026-01-01
reference = "COM"
{machine_keys}

[[supply]]
id = "PS1"
{supply}
terminals = {{ "+" = "P", "-" = "COM" }}

[[fuse]]
id = "F1"
rated = "2 A"
speed = "T"

[[resistor]]
id = "R1"
value = "10 kohm"

[[test-point]]
id = "TP1"

[[run]]
route = "P > F1 > TP1 > R1 > COM"

[[sequence]]
number = 1
title = "on"
{more}
"#
    ))
}

fn cautions_of(opened: &Opened) -> Vec<Caution> {
    with_figures(opened, &options("en", Paper::A4), cautions)
}

fn causes(cautions: &[Caution]) -> Vec<Cause> {
    cautions.iter().map(|caution| caution.cause).collect()
}

const LOW: &str = r#"voltage = "12 V dc""#;

#[test]
fn no_caution_without_a_cause() {
    assert_eq!(causes(&cautions_of(&small("", LOW, ""))), []);
}

#[test]
fn each_caution_follows_from_its_cause() {
    let mains = cautions_of(&small(r#"mains = "230 V ac 50 Hz""#, LOW, ""));
    assert_eq!(causes(&mains), [Cause::Mains]);
    assert_eq!(mains[0].word, SignalWord::Warning);
    assert!(mains[0].hazard.contains("230 V ac 50 Hz"));

    assert_eq!(causes(&cautions_of(&small(r#"weight = "92 kg""#, LOW, ""))), [Cause::Lifting]);
    assert_eq!(causes(&cautions_of(&small(r#"weight = "3 kg""#, LOW, ""))), []);
    assert_eq!(causes(&cautions_of(&small(r#"weight = "20 lb""#, LOW, ""))), []);
    assert_eq!(causes(&cautions_of(&small(r#"weight = "120 lb""#, LOW, ""))), [Cause::Lifting]);

    // 42.4 V is the limit of IEC 60335-1 clause 8.1.4 (restated) for direct current and for the peak of alternating current.
    assert_eq!(causes(&cautions_of(&small("", r#"voltage = "48 V dc""#, ""))), [Cause::LiveParts]);
    assert_eq!(causes(&cautions_of(&small("", r#"voltage = "36 V dc ±5 %""#, ""))), []);
    assert_eq!(causes(&cautions_of(&small("", r#"voltage = "34 V ac 50 Hz ±1 %""#, ""))), [Cause::LiveParts]);
    assert_eq!(causes(&cautions_of(&small("", r#"voltage = "24 V ac 50 Hz ±10 %""#, ""))), []);
}

#[test]
fn moving_and_hot_parts_are_named() {
    let moving = "
[[motor]]
id = \"M1\"
coil = \"40 ohm\"
nominal = \"12 V dc\"

[[run]]
route = \"TP1 > M1 > COM\"
";
    let cautions = cautions_of(&small("", LOW, moving));
    assert_eq!(causes(&cautions), [Cause::MovingParts]);
    assert!(cautions[0].hazard.contains("M1"));
    let hot = "
[[lamp]]
id = \"H1\"
nominal = \"12 V\"
current = \"0.2 A\"

[[run]]
route = \"TP1 > H1 > COM\"
";
    let cautions = cautions_of(&small("", LOW, hot));
    assert_eq!(causes(&cautions), [Cause::HotParts]);
    assert!(cautions[0].hazard.contains("H1") && !cautions[0].hazard.contains("R1"));
}

/// A capacitor of 4700 µF at 24 V holds C V²/2 = 1.35 J and leaves through 10 kΩ; 100 nF hold nothing worth a word.
#[test]
fn stored_charge_is_computed_from_the_parts() {
    let capacitor = |value: &str| format!("\n[[capacitor]]\nid = \"C1\"\nvalue = \"{value}\"\nacross = \"R1\"\n");
    let supply = "voltage = \"24 V dc ±0 %\"\ninternal = \"1 ohm\"";
    assert_eq!(causes(&cautions_of(&small("", supply, &capacitor("100 nF")))), []);
    let opened = small("", supply, &capacitor("4700 uF"));
    let cautions = cautions_of(&opened);
    assert_eq!(causes(&cautions), [Cause::StoredCharge]);
    // 24 V can be touched: nobody is hurt, a meter is.
    assert_eq!(cautions[0].word, SignalWord::Notice);
    let charges = with_figures(&opened, &options("en", Paper::A4), stored_charges);
    assert_eq!(charges.len(), 1);
    let charge = &charges[0];
    assert!((charge.volts.value() - 24.0).abs() < 0.05, "{:?}", charge.volts);
    let energy = charge.capacitance.value() * charge.volts.value().powi(2) / 2.0;
    assert!((charge.joules - energy).abs() < 1e-9);
    let above = small("", "voltage = \"70 V dc ±0 %\"", &capacitor("4700 uF"));
    let cautions = cautions_of(&above);
    assert_eq!(causes(&cautions), [Cause::LiveParts, Cause::StoredCharge]);
    assert_eq!(cautions[1].word, SignalWord::Warning);
}

#[test]
fn a_larger_fuse_than_called_for_is_a_warning() {
    let opened = open(&demo("gull-gallery"));
    let cautions = cautions_of(&opened);
    let wrong: Vec<&Caution> = cautions.iter().filter(|caution| caution.cause == Cause::WrongFuse).collect();
    assert_eq!(wrong.len(), 1);
    assert_eq!(wrong[0].word, SignalWord::Warning);
    assert!(wrong[0].hazard.contains("15 A"), "{}", wrong[0].hazard);
}

#[test]
fn cautions_stand_on_the_pages() {
    for name in MACHINES {
        let opened = open(&demo(name));
        let options = options("en", Paper::A4);
        let (cautions, sheet) = with_figures(&opened, &options, |material| {
            (cautions(material), sheets::one(material, DocumentKind::Pack).expect("a pack"))
        });
        let text: String = pages(&lay_out(&sheet, "en"))
            .iter()
            .flat_map(|page| &page.letters)
            .map(|letters| letters.text.split_whitespace().collect::<String>())
            .collect();
        for caution in &cautions {
            let wanted: String = caution.avoid.split_whitespace().collect();
            assert!(text.contains(&wanted), "{name}: {}", caution.avoid);
        }
        let absent = [Cause::Mains, Cause::Lifting, Cause::WrongFuse];
        for cause in absent.into_iter().filter(|cause| cautions.iter().all(|caution| caution.cause != *cause)) {
            let avoid = options.words.get(&format!("cautions.{}.avoid", cause.key()));
            let wanted: String = avoid.split_whitespace().collect();
            assert!(!text.contains(&wanted), "{name} has no cause for `{avoid}`");
        }
    }
}

/// Every key that a source or a template names is in every language.
#[test]
fn every_word_that_is_asked_for_exists() {
    let languages: Vec<Words> =
        benchleaf::assets::languages().map(|(code, _)| Words::of(code).expect("it parses")).collect();
    assert!(languages.len() >= 2);
    let english: Vec<&str> = Words::keys(&languages[0]).collect();
    for words in &languages {
        let keys: Vec<&str> = words.keys().collect();
        assert_eq!(keys, english, "{}", words.language);
    }
    let sources = concat!(env!("CARGO_MANIFEST_DIR"), "/src/sheets/**/*.rs");
    for path in glob::glob(sources).unwrap() {
        let text = std::fs::read_to_string(path.unwrap()).unwrap();
        for call in ["words.get(\"", "words.fill(\""] {
            for rest in text.split(call).skip(1) {
                let key = rest.split('"').next().unwrap();
                assert!(languages.iter().all(|words| words.has(key)), "`{key}` is in no language file");
            }
        }
    }
}
