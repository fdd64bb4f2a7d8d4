//! Words: no page holds a word of ours that is not in the language file; the places of patterns are those that the
//! sources fill; no key is idle; German pages and reports are German.
//!
//! The strongest check prints every document in a language that does not exist: every letter of the language file becomes
//! Cyrillic, every letter of the machine's own texts Greek. What is Latin on paper then is a designator, a unit, or a
//! word that somebody wrote into the program.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use benchleaf::drill::{self, Request};
use benchleaf::machine::model::PartKind;
use benchleaf::machine::{self, Opened};
use benchleaf::press::{self, Base, PressOptions};
use benchleaf::sheets::practice::{self, Practice};
use benchleaf::sheets::{self as rooms, DocumentKind, Paper, Sheet, SheetOptions, register_test};
use benchleaf::words::Words;
use benchleaf::{assets, faults};
use regex::Regex;
use serde_json::Value;

use crate::sheets as desk;

/// Keys of a description whose values are the machine's own words.
const OWN_WORDS: [&str; 21] = [
    "author",
    "change",
    "door",
    "duty",
    "label",
    "mains",
    "maker",
    "name",
    "note",
    "operated-by",
    "pattern",
    "place",
    "probe",
    "protects",
    "serial",
    "source",
    "sources",
    "symptom",
    "text",
    "timing",
    "title",
];
/// Signs that are the same in every language: units with prefixes, functions in formulas.
const SIGNS: [&str; 34] = [
    "mV", "kV", "mA", "µA", "mW", "kW", "kΩ", "MΩ", "mΩ", "µF", "nF", "pF", "mH", "µH", "Hz", "kHz", "mm", "ms", "min",
    "VA", "Ri", "kA", "ln", "log10", "asin", "mean", "In", "Vn", "Vs", "Zl", "Z0", "dB", "AWG", "kg",
];
/// Standards by their numbers, diodes by their types, a wire colour of IEC 60757 as an example, and a log that is typed as
/// TOML: keys of a file.
const CODES: [&str; 14] = [
    "IEC", "UL", "N4002", "N4007", "WH", "spec", "set", "count", "seed", "faults", "exercise", "checks", "answer",
    "toml",
];

/// Letters of a text by those of another alphabet; what stands in braces stays.
fn disguised(text: &str, alphabet: &str) -> String {
    let letters: Vec<char> = alphabet.chars().collect();
    let mut inside = false;
    let other = |letter: char| {
        let index = (letter.to_ascii_lowercase() as usize).wrapping_sub('a' as usize);
        letters.get(index).copied().unwrap_or(letter)
    };
    text.chars()
        .map(|letter| {
            inside = (inside || letter == '{') && letter != '}';
            if inside || !letter.is_ascii_alphabetic() { letter } else { other(letter) }
        })
        .collect()
}

fn cyrillic(text: &str) -> String {
    disguised(text, "абвгдежзийклмнопрстуфхцчшщ")
}

fn greek(text: &str) -> String {
    disguised(text, "αβγδεζηθικλμνξοπρστυφχψωϑϕ")
}

/// Every text of a value in other letters, where the key says so.
fn translated(value: &mut toml::Value, key: &str, wanted: &dyn Fn(&str) -> bool, other: &dyn Fn(&str) -> String) {
    match value {
        toml::Value::String(text) if wanted(key) => *text = other(text),
        toml::Value::Table(table) => {
            table.iter_mut().for_each(|(key, value)| translated(value, key, wanted, other));
        }
        toml::Value::Array(items) => items.iter_mut().for_each(|item| translated(item, key, wanted, other)),
        _ => {}
    }
}

/// The language that does not exist.
fn invented() -> String {
    let english = assets::languages().find(|(code, _)| *code == "en").expect("built in").1;
    let mut table: toml::Value = toml::from_str(english).expect("TOML");
    translated(&mut table, "", &|key| key != "decimal", &cyrillic);
    toml::to_string(&table).expect("TOML")
}

/// A demonstration machine whose own words are Greek, and all its names and values as they were written.
fn disguise(name: &str) -> (Opened, BTreeSet<String>) {
    let text = fs::read_to_string(desk::demo(name)).expect("a demonstration machine");
    let mut table: toml::Value = toml::from_str(&text).expect("TOML");
    translated(&mut table, "", &|key| OWN_WORDS.contains(&key), &greek);
    if let Some(kind) = table.get_mut("machine").and_then(|machine| machine.get_mut("kind")) {
        translated(kind, "kind", &|_| true, &greek);
    }
    let text = toml::to_string(&table).expect("TOML");
    // A designator, a terminal, a wire colour: something with a capital or a figure in it.
    let name = Regex::new(r"[A-Za-z][A-Za-z0-9]*").expect("a pattern");
    let told = |word: &&str| word.contains(|letter: char| letter.is_ascii_uppercase() || letter.is_ascii_digit());
    let mut names: BTreeSet<String> =
        name.find_iter(&text).map(|found| found.as_str()).filter(told).map(str::to_string).collect();
    let opened = machine::from_text("disguised.toml", &text)
        .unwrap_or_else(|refused| panic!("{}", refused.report.render(&refused.sources, false)));
    // Wires have designators of the program's own making; rings of selectors have names as keys.
    let parts = &opened.machine.parts;
    let rings = parts.iter().filter_map(|part| match &part.kind {
        PartKind::Selector(selector) => Some(selector.rings.iter().map(|(name, _)| name.clone())),
        _ => None,
    });
    let all =
        parts.iter().map(|part| part.id.clone()).chain(rings.flatten()).chain([opened.machine.identity.id.clone()]);
    for one in all {
        names.extend(name.find_iter(&one).map(|found| found.as_str().to_string()));
    }
    (opened, names)
}

/// Every document of a machine.
fn documents(opened: &Opened, options: &SheetOptions) -> Vec<Sheet> {
    desk::with_material(opened, options, |material| {
        let mut sheets = rooms::compose(material, &DocumentKind::ALL);
        let findings = material.findings.expect("it was analysed");
        let request = Request { count: 6, seed: 1, level: None, sequence: None, faults: 1 };
        let set = drill::generate(material.machine, material.solver, material.solution, findings, &request)
            .unwrap_or_else(|refusal| panic!("{refusal}"));
        let all: Vec<usize> = (0..set.exercises.len()).collect();
        let say = |showing| practice::showing_text(material, showing);
        let booklets = [drill::booklet(&set, &all, &say, &|_| String::new())];
        sheets.extend(practice::compose(&Practice {
            material: *material,
            findings,
            set: &set,
            names: &[],
            booklets: &booklets,
        }));
        sheets.push(register_test::compose(options));
        sheets
    })
}

/// What a screen reader says for the drawings of a document.
fn spoken(value: &Value, texts: &mut Vec<String>) {
    match value {
        Value::Object(object) => {
            texts.extend(object.get("alt").and_then(Value::as_str).map(str::to_string));
            object.values().for_each(|value| spoken(value, texts));
        }
        Value::Array(items) => items.iter().for_each(|item| spoken(item, texts)),
        _ => {}
    }
}

/// Latin words of a document that are neither names nor signs, with where they stand.
fn strange_words(sheet: &Sheet, words: &str, names: &BTreeSet<String>) -> BTreeMap<String, String> {
    let options = PressOptions { words: words.to_string(), ..PressOptions::default() };
    let base = Base::embedded().expect("built in");
    let (document, _) = press::lay_out(base, sheet, &options).unwrap_or_else(|error| panic!("{error}"));
    let mut texts: Vec<String> = vec![sheet.title.clone()];
    spoken(&sheet.data, &mut texts);
    texts.extend(desk::pages(&document).iter().flat_map(|page| page.letters.iter().map(|run| run.text.clone())));
    let word = Regex::new(r"[A-Za-zµ][A-Za-z0-9Ω]+").expect("a pattern");
    let mut strange = BTreeMap::new();
    for text in &texts {
        for found in word.find_iter(text) {
            let found = found.as_str();
            if !names.contains(found) && !SIGNS.contains(&found) && !CODES.contains(&found) {
                strange.entry(found.to_string()).or_insert_with(|| text.clone());
            }
        }
    }
    strange
}

#[test]
fn every_printed_word_comes_from_the_language_file() {
    let invented = invented();
    let words = Words::read("en", &invented).expect("it reads");
    let mut strange = BTreeMap::new();
    for name in desk::MACHINES {
        let (opened, mut names) = disguise(name);
        let options = SheetOptions { words: words.clone(), ..desk::options("en", Paper::A4) };
        names.extend(["KD4", "HACM"].map(str::to_string));
        for sheet in documents(&opened, &options) {
            strange.extend(strange_words(&sheet, &invented, &names));
        }
    }
    assert!(strange.is_empty(), "{strange:#?}");
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All sources of the program, or all templates.
fn sources(pattern: &str) -> Vec<String> {
    let pattern = root().join(pattern);
    let paths = glob::glob(pattern.to_str().expect("a path in Unicode")).expect("a pattern");
    paths.map(|path| fs::read_to_string(path.expect("a file")).expect("text")).collect()
}

fn languages() -> Vec<Words> {
    assets::languages().map(|(code, _)| Words::of(code).expect("it reads")).collect()
}

/// What stands between the bracket that a text begins with and the one that closes it, letters in quotes apart.
fn bracketed(text: &str) -> &str {
    let (mut depth, mut quoted, mut escaped) = (0_usize, false, false);
    for (at, letter) in text.char_indices() {
        match letter {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => {
                depth -= 1;
                if depth == 0 {
                    return &text[1..at];
                }
            }
            _ => {}
        }
    }
    text
}

/// Names before an equals sign outside all brackets.
fn arguments(text: &str) -> BTreeSet<String> {
    let mut flat = String::new();
    let (mut depth, mut quoted) = (0_usize, false);
    for letter in text.chars() {
        match letter {
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => depth -= 1,
            _ if depth == 0 && !quoted => flat.push(letter),
            _ => {}
        }
    }
    let name = Regex::new(r",\s*([a-z_]+) =[^=]").expect("a pattern");
    name.captures_iter(&flat).map(|found| found[1].to_string()).collect()
}

/// Every fact that the program states: its key with the places that it fills.
fn facts() -> Vec<(String, BTreeSet<String>)> {
    let key = Regex::new(r#"^\(\s*"([a-z0-9.-]+)""#).expect("a pattern");
    let mut facts = Vec::new();
    let remark = Regex::new(r"(?m)^\s*//.*$").expect("a pattern");
    for source in sources("src/**/*.rs") {
        let source = remark.replace_all(&source, "");
        for rest in source.split("fact!").skip(1) {
            if let Some(found) = key.captures(rest) {
                facts.push((found[1].to_string(), arguments(bracketed(rest))));
            }
        }
    }
    facts
}

/// Places in the patterns of a key, in all its forms.
fn places(words: &Words, key: &str) -> Option<BTreeSet<String>> {
    let place = Regex::new(r"\{([a-z_-]+)\}").expect("a pattern");
    let forms = [key.to_string(), format!("{key}.one"), format!("{key}.other")];
    let known: Vec<&String> = forms.iter().filter(|form| words.has(form)).collect();
    let text: String = known.iter().map(|form| words.get(form)).collect();
    (!known.is_empty()).then(|| place.captures_iter(&text).map(|found| found[1].to_string()).collect())
}

#[test]
fn every_fact_fills_the_places_of_its_pattern() {
    let facts = facts();
    assert!(facts.len() > 200, "{} facts found", facts.len());
    for words in languages() {
        for (key, filled) in &facts {
            let places = places(&words, key);
            let places = places.unwrap_or_else(|| panic!("{} has no words for `{key}`", words.language));
            let lacking: Vec<_> = places.difference(filled).collect();
            assert!(lacking.is_empty(), "{}: nothing fills {lacking:?} of `{key}`", words.language);
            let idle: Vec<_> = filled.difference(&places).filter(|place| *place != "count").collect();
            assert!(idle.is_empty(), "{}: `{key}` has no place for {idle:?}", words.language);
        }
    }
}

#[test]
fn a_count_has_a_form_for_one_and_one_for_more() {
    for words in languages() {
        for key in words.keys() {
            for (form, other) in [(".one", ".other"), (".other", ".one")] {
                if let Some(stem) = key.strip_suffix(form) {
                    assert!(words.has(&format!("{stem}{other}")), "{}: {stem} lacks {other}", words.language);
                }
            }
        }
    }
    let german = Words::of("de").expect("built in");
    let said = |count: usize| german.say(&benchleaf::fact!("check.defects", count = count));
    assert_eq!([said(0), said(1), said(2)], ["0 Mängel", "1 Mangel", "2 Mängel"]);
}

#[test]
fn values_go_into_their_places_as_they_are() {
    let german = Words::of("de").expect("built in");
    let fact = benchleaf::fact!("audit.touch-voltage.advice-dry", limit = benchleaf::spec::units::Volts::new(42.4));
    assert!(german.say(&fact).contains("42,4 V DC"), "{}", german.say(&fact));
    // A name with braces or a point in it stays what it is.
    let odd = benchleaf::fact!("faults.place.coil", name = "{name} 1.5");
    assert_eq!(german.say(&odd), "Spule {name} 1.5");
}

/// Tables that are read as a whole, or by codes of a standard, or by a kind and a part of it.
const WHOLE_TABLES: [&str; 7] = [
    "cautions.",
    "glossary.",
    "language.name",
    "method.sources",
    "practice.by-hand-steps",
    "practice.outlook.",
    "wire-colours.",
];

/// Keys are whole in the sources, or are put together from a beginning and a name that stands there too.
#[test]
fn no_key_is_idle() {
    let all: String = sources("src/**/*.rs").into_iter().chain(sources("templates/**/*.typ")).collect();
    let literal = Regex::new(r#""([a-z0-9-]+(?:\.[a-z0-9-]+)*)""#).expect("a pattern");
    let literals: BTreeSet<&str> =
        literal.captures_iter(&all).map(|found| found.get(1).expect("it").as_str()).collect();
    let begun = Regex::new(r#""([a-z0-9-]+\.(?:[a-z0-9-]+\.)*)(?:[a-z]+-)?(?:\{|")"#).expect("a pattern");
    let begun: BTreeSet<&str> = begun.captures_iter(&all).map(|found| found.get(1).expect("it").as_str()).collect();
    let words = Words::of("en").expect("built in");
    let number = |part: &str| part.chars().all(|letter| letter.is_ascii_digit());
    let idle: Vec<&str> = words
        .keys()
        .filter(|key| {
            let parts: Vec<&str> = key.split('.').collect();
            let stem = match parts.as_slice() {
                [stem @ .., last] if number(last) || ["one", "other"].contains(last) => stem.join("."),
                _ => (*key).to_string(),
            };
            let composed = stem.rsplit_once('.').is_some_and(|(beginning, name)| {
                // Names of wire colours come from IEC 60757, sources of rules from the rule, kinds of names from enums.
                begun.contains(format!("{beginning}.").as_str()) && {
                    let known = |name: &str| literals.contains(name);
                    known(name) || name.split_once('-').is_some_and(|(_, rest)| known(rest))
                }
            });
            let whole = WHOLE_TABLES.iter().any(|table| stem.starts_with(table));
            !literals.contains(stem.as_str()) && !composed && !whole && !stem.ends_with(".source")
        })
        .collect();
    assert!(idle.is_empty(), "{idle:#?}");
}

/// Runs the program in the folder of the demonstration machines.
fn told(arguments: &[&str]) -> String {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_benchleaf"))
        .args(arguments)
        .current_dir(root().join("specs"))
        .output()
        .expect("the program starts");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn reports_speak_the_language_that_is_asked_for() {
    let check = told(&["check", "gull-gallery.toml", "--language", "de"]);
    assert!(check.contains("Gefahr: in den Klemmen der Sicherung") && check.contains("Regel wrong-fuse-fitted"));
    let solve = told(&["solve", "lesson-board-12.toml", "--language", "de"]);
    assert!(solve.contains("Ablauf 1") && solve.contains("rote Leitung") && solve.contains("11,9"), "{solve}");
    let narrow = told(&["narrow", "lesson-board-12.toml", "--sequence", "3", "--read", "TP3=7", "--language", "de"]);
    assert!(narrow.contains("Ein Fehler wird angenommen") && narrow.contains("Als Nächstes, in Ablauf 3"), "{narrow}");
    let sum = told(&["sum", "clip-drop", "drop=0.3V", "current=2A", "--language", "de"]);
    assert!(sum.contains("Widerstand der Klemme") && sum.contains("Quelle: ohmsches Gesetz"), "{sum}");
    let json = told(&["sum", "clip-drop", "drop=0.3V", "current=2A", "--language", "de", "--format", "json"]);
    let json: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["results"][0]["name"], "clip-resistance");
    assert_eq!(json["results"][0]["label"], "Widerstand der Klemme");
    assert_eq!(json["judgement"]["verdict"], "refused");
}

#[test]
fn a_fault_of_the_dictionary_has_words_in_every_language() {
    for words in languages() {
        for kind in faults::kinds::FaultKind::ALL {
            assert!(words.has(&kind.said().key), "{}: {}", words.language, kind.name());
        }
    }
}
