//! Specs broken at random: nothing panics, and each either opens or is refused with a place.

use std::fs;
use std::panic::catch_unwind;
use std::path::Path;

use benchleaf::machine;
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};

/// Pieces that mean something somewhere in the format.
const PIECES: [&str; 40] = [
    "\"",
    "\"\"\"",
    "'",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "..",
    ">",
    ":",
    "-",
    "\\",
    "\\u00e9",
    "\n",
    "\r\n",
    "#",
    "id",
    "K1",
    "COM",
    "base = \"x\"\n",
    "S1..S9",
    "\u{feff}",
    "Ω",
    "µ",
    "±",
    "%",
    "999999999999999999999",
    "-1",
    "1e400",
    "nan",
    "wire ",
    "AWG 22",
    "[[run]]\nroute = \"COM > COM\"\n",
    "true",
    "2026-02-30",
];

fn below(random: &mut ChaCha8Rng, limit: usize) -> usize {
    let limit = u32::try_from(limit).unwrap_or(u32::MAX).max(1);
    (random.next_u32() % limit) as usize
}

/// A place in the text between two characters.
fn boundary(random: &mut ChaCha8Rng, text: &str) -> usize {
    let mut at = below(random, text.len() + 1);
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn mutate(random: &mut ChaCha8Rng, text: &mut String) {
    let (one, other) = (boundary(random, text), boundary(random, text));
    let (start, end) = (one.min(other), one.max(other));
    // Long cuts leave little to look at.
    let mut short = end.min(start + below(random, 40));
    while !text.is_char_boundary(short) {
        short -= 1;
    }
    match below(random, 7) {
        0 => text.replace_range(start..short, ""),
        1 => text.insert_str(start, PIECES[below(random, PIECES.len())]),
        2 => text.replace_range(start..short, PIECES[below(random, PIECES.len())]),
        3 => {
            let copied = text[start..short].to_string();
            text.insert_str(end, &copied);
        }
        4 => swap_lines(random, text),
        5 => drop_line(random, text),
        _ => swap_words(random, text),
    }
}

fn swap_lines(random: &mut ChaCha8Rng, text: &mut String) {
    let mut lines: Vec<&str> = text.lines().collect();
    let (one, other) = (below(random, lines.len()), below(random, lines.len()));
    if !lines.is_empty() {
        lines.swap(one, other);
        *text = lines.join("\n");
    }
}

fn drop_line(random: &mut ChaCha8Rng, text: &mut String) {
    let mut lines: Vec<&str> = text.lines().collect();
    if !lines.is_empty() {
        lines.remove(below(random, lines.len()));
        *text = lines.join("\n");
    }
}

/// Exchanges two words, so that ids, units and keys turn up where they do not belong.
fn swap_words(random: &mut ChaCha8Rng, text: &mut String) {
    let mut words: Vec<&str> = text.split(' ').collect();
    let (one, other) = (below(random, words.len()), below(random, words.len()));
    words.swap(one, other);
    *text = words.join(" ");
}

fn seeds() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("specs");
    let mut files: Vec<_> =
        fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok).map(|entry| entry.path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    let mut seeds = vec![benchleaf::spec::template("seed")];
    seeds.extend(files.iter().filter_map(|file| fs::read_to_string(file).ok()));
    seeds
}

/// Opens a text and checks what comes out of it.
fn judge(text: &str) {
    let outcome = catch_unwind(|| machine::from_text("fuzz.toml", text));
    let outcome = outcome.unwrap_or_else(|_| panic!("this spec makes the reader panic:\n{text}"));
    match outcome {
        Ok(opened) => {
            assert!(!opened.warnings.has_errors());
            for element in &opened.machine.elements {
                assert!(element.from.0 < opened.machine.joints.len() && element.to.0 < opened.machine.joints.len());
                assert_ne!(element.from, element.to, "{} is bridged", element.name);
            }
        }
        Err(refused) => {
            assert!(refused.report.has_errors(), "refused without an error:\n{text}");
            for problem in &refused.report {
                assert!(problem.at.end <= refused.sources.text(problem.at.file).len(), "{problem:?}");
                assert!(!problem.message().is_empty());
            }
            assert!(!refused.report.render(&refused.sources, false).is_empty());
        }
    }
}

#[test]
fn broken_specs_never_panic_and_always_say_where() {
    let seeds = seeds();
    let mut random = ChaCha8Rng::seed_from_u64(48);
    for round in 0..2000 {
        // The small template is cheap and every change hits something; the large machines bring every kind of section.
        let seed = if round % 20 == 0 { below(&mut random, seeds.len()) } else { 0 };
        let mut text = seeds[seed].clone();
        for _ in 0..=below(&mut random, 4) {
            mutate(&mut random, &mut text);
        }
        judge(&text);
    }
}

#[test]
fn noise_never_panics() {
    let mut random = ChaCha8Rng::seed_from_u64(12);
    for _ in 0..2000 {
        let mut text = String::from("[machine]\nid = \"x\"\nname = \"x\"\n");
        for _ in 0..below(&mut random, 30) {
            text.push_str(PIECES[below(&mut random, PIECES.len())]);
            text.push(if below(&mut random, 3) == 0 { '\n' } else { ' ' });
        }
        judge(&text);
    }
}

#[test]
fn random_quantities_and_routes_never_panic() {
    const CHARACTERS: [char; 32] = [
        '0', '1', '9', '.', ',', 'k', 'R', 'M', 'u', 'µ', 'V', 'A', 'o', 'h', 'm', 'Ω', ' ', '±', '+', '-', '/', '%',
        '(', ')', 'e', 'd', 'c', 'H', 'z', '>', ':', '→',
    ];
    let mut random = ChaCha8Rng::seed_from_u64(7);
    for _ in 0..20_000 {
        let length = below(&mut random, 14);
        let text: String = (0..length).map(|_| CHARACTERS[below(&mut random, CHARACTERS.len())]).collect();
        for measure in [
            &benchleaf::spec::quantity::VOLTAGE,
            &benchleaf::spec::quantity::RESISTANCE,
            &benchleaf::spec::quantity::CAPACITANCE,
        ] {
            match measure.scan(&text) {
                Ok(scanned) => {
                    assert!(scanned.nominal.is_finite(), "{text}");
                    assert!(
                        scanned.span.is_none_or(|(low, high)| low <= scanned.nominal && scanned.nominal <= high),
                        "{text}"
                    );
                }
                Err(flaw) => assert!(text.get(flaw.range.clone()).is_some(), "{text}: {flaw:?}"),
            }
        }
        let (items, flaws) = benchleaf::spec::route::parse(&text);
        assert!(items.iter().all(|item| text.get(item.range.clone()).is_some()), "{text}");
        assert!(flaws.iter().all(|flaw| text.get(flaw.range.clone()).is_some()), "{text}: {flaws:?}");
    }
}
