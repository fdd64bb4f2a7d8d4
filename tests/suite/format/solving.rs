//! What opens can be solved, or is refused with a reason: a description may be odd, but never makes the solver panic or
//! print what is no number.

use std::panic::catch_unwind;

use benchleaf::circuit::{self, Effort};
use benchleaf::machine;
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};

/// Values at the edges of what may be written, by what they measure.
const EDGES: [(&str, &[&str]); 6] = [
    ("ohm", &["0 ohm", "1 uohm", "1 Gohm", "1e-12 ohm", "1e15 ohm", "5 ohm (0..1e6)"]),
    (" A\"", &["1 uA\"", "1000 A\"", "1e-9 A\""]),
    ("V dc", &["1 uV dc", "100 kV dc", "24 V ac 50 Hz", "1e-9 V dc"]),
    ("rest = \"", &["rest = \"open\" # \"", "rest = \"closed\" # \""]),
    ("set = [", &["set = [\"S2\", ", "set = [\"S2..S3\", "]),
    ("route = \"", &["route = \"COM > ", "route = \"P24 > ", "route = \"TP1 > ", "route = \"TP2 > "]),
];

fn below(random: &mut ChaCha8Rng, limit: usize) -> usize {
    (random.next_u32() as usize) % limit.max(1)
}

/// Replaces one value of the text by one at the edge of its measure.
fn push_to_the_edge(random: &mut ChaCha8Rng, text: &str) -> String {
    let (word, edges) = EDGES[below(random, EDGES.len())];
    let places: Vec<usize> = text.match_indices(word).map(|(at, _)| at).collect();
    if places.is_empty() {
        return text.to_string();
    }
    let at = places[below(random, places.len())];
    let edge = edges[below(random, edges.len())];
    // A quantity is replaced from its opening quotes on; the rest of its line is kept behind it.
    let start = if edge.starts_with(|first: char| first.is_ascii_digit()) {
        text[..at].rfind('"').map_or(at, |quote| quote + 1)
    } else {
        at
    };
    format!("{}{edge}{}", &text[..start], &text[at + word.len()..])
}

#[test]
fn what_opens_is_solved_or_refused_with_a_reason() {
    let template = benchleaf::spec::template("edge");
    let mut random = ChaCha8Rng::seed_from_u64(26);
    let (mut opened, mut solved) = (0, 0);
    for _ in 0..400 {
        let mut text = template.clone();
        for _ in 0..=below(&mut random, 3) {
            text = push_to_the_edge(&mut random, &text);
        }
        let Ok(machine) = machine::from_text("edge.toml", &text).map(|opened| opened.machine) else { continue };
        opened += 1;
        let outcome = catch_unwind(|| circuit::solve(&machine, Effort::Nominal));
        match outcome.unwrap_or_else(|_| panic!("this description makes the solver panic:\n{text}")) {
            Err(error) => assert!(!error.describe(&machine).is_empty()),
            Ok(solution) => {
                solved += 1;
                for reading in solution.sequences.iter().flat_map(|sequence| &sequence.readings) {
                    assert!(reading.nominal.is_finite(), "{reading:?} in\n{text}");
                }
                for device in solution.sequences.iter().flat_map(|sequence| &sequence.devices) {
                    assert!(device.volts.is_finite() && device.amps.is_finite(), "{device:?} in\n{text}");
                }
            }
        }
    }
    assert!(opened > 100 && solved > 50, "{opened} opened, {solved} solved: the test has lost its sharpness");
}
