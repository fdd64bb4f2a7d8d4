//! Seeded random series-parallel networks: the tree that is found is the one that was built, and its drawing is clean.

use benchleaf::circuit::path::{Branch, signal_paths};
use benchleaf::machine::model::{Machine, SequenceId};
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};

use super::bench::Bench;
use super::{STYLES, drawn, labels};

/// Builds a random network between two joints and answers its tree in a form that does not depend on order.
fn network(bench: &mut Bench, random: &mut ChaCha8Rng, from: &str, to: &str, depth: u32, series: bool) -> String {
    let count = 2 + random.next_u32() % 3;
    let mut parts: Vec<String> = Vec::new();
    let mut at = from.to_string();
    for index in 0..count {
        let next = match (series, index + 1 == count) {
            (true, false) => new_joint(bench, random),
            _ => to.to_string(),
        };
        let start = if series { at.clone() } else { from.to_string() };
        if depth > 0 && random.next_u32().is_multiple_of(2) {
            parts.push(network(bench, random, &start, &next, depth - 1, !series));
        } else {
            let thing = thing(bench, random);
            bench.run(&format!("{start} > {thing} > {next}"));
            parts.push(bench.machine.elements[bench.machine.elements.len() - 1].name.clone());
        }
        at = next;
    }
    parts.sort();
    if series { format!("({})", parts.join("-")) } else { format!("[{}]", parts.join("|")) }
}

/// A joint that no other has the name of: plain, named or with a test point.
fn new_joint(bench: &mut Bench, random: &mut ChaCha8Rng) -> String {
    let name = format!("{}{}", ["X", "BUS", "TP"][random.next_u32() as usize % 3], bench.machine.joints.len() + 1);
    bench.joint(&name, true);
    name
}

/// A part that conducts.
fn thing(bench: &Bench, random: &mut ChaCha8Rng) -> String {
    let number = bench.machine.elements.len();
    match random.next_u32() % 5 {
        0 => format!("R{number}"),
        1 => format!("S{number}"),
        2 => format!("F{number}"),
        3 => "wire GY/YE".to_string(),
        _ => format!("J{number}:1"),
    }
}

fn unordered(machine: &Machine, branch: &Branch) -> String {
    let sorted = |parts: &[Branch]| {
        let mut texts: Vec<String> = parts.iter().map(|part| unordered(machine, part)).collect();
        texts.sort();
        texts
    };
    match branch {
        Branch::Element { element, .. } => machine.element(*element).name.clone(),
        Branch::Series(parts) => format!("({})", sorted(parts).join("-")),
        Branch::Parallel(parts) => format!("[{}]", sorted(parts).join("|")),
        Branch::Net { .. } => "net".to_string(),
    }
}

fn random_bench(seed: u64) -> (Bench, String) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut bench = Bench::new();
    let depth = 1 + random.next_u32() % 4;
    let series = random.next_u32().is_multiple_of(2);
    let tree = network(&mut bench, &mut random, "N28", "X0", depth, series);
    bench.run("X0 > K1 > COM").sequence(&[], &["K1"]);
    (bench, tree)
}

#[test]
fn the_tree_that_was_built_is_found_again() {
    for seed in 0..400 {
        let (bench, built) = random_bench(seed);
        let solution = bench.solved(&[]);
        let paths = signal_paths(&bench.machine, &solution, SequenceId(0));
        let found = unordered(&bench.machine, &paths[0].tree);
        // The coil is one more part of the outermost series.
        let mut expected = match built.strip_prefix('(') {
            Some(inner) => split(&inner[..inner.len() - 1]),
            None => vec![built.clone()],
        };
        expected.push("K1".into());
        expected.sort();
        let expected = format!("({})", expected.join("-"));
        let wiring: Vec<String> = bench
            .machine
            .elements
            .iter()
            .map(|element| format!("{} {}-{}", element.name, element.from.0, element.to.0))
            .collect();
        assert_eq!(found, expected, "seed {seed}: {wiring:?}");
    }
}

/// Splits a series at its own hyphens only.
fn split(series: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    let mut depth = 0;
    for letter in series.chars() {
        match letter {
            '(' | '[' => depth += 1,
            ')' | ']' => depth -= 1,
            _ => {}
        }
        match letter {
            '-' if depth == 0 => parts.push(String::new()),
            other => parts.last_mut().unwrap().push(other),
        }
    }
    parts
}

#[test]
fn random_networks_are_drawn_without_a_label_on_another() {
    for seed in 0..150 {
        let (bench, _) = random_bench(seed);
        let solution = bench.solved(&[]);
        let look = STYLES[usize::try_from(seed).unwrap() % STYLES.len()];
        let pages = drawn(&bench.machine, &solution, 0, look);
        assert!(!pages.is_empty());
        for (page, drawing) in pages.iter().enumerate() {
            labels::check(&format!("seed {seed} page {page}"), &drawing.standalone());
        }
    }
}

#[test]
fn random_networks_with_bridges_are_drawn_too() {
    for seed in 0..60 {
        let (mut bench, _) = random_bench(seed);
        let mut random = ChaCha8Rng::seed_from_u64(seed ^ 0x5eed);
        let joints: Vec<String> =
            bench.machine.joints.iter().filter(|joint| joint.named).map(|joint| joint.name.clone()).collect();
        for extra in 0..3 {
            let mut pick = || joints[random.next_u32() as usize % joints.len()].clone();
            let (a, b) = (pick(), pick());
            if a != b && a != "COM" && b != "COM" {
                bench.run(&format!("{a} > R90{extra} > {b}"));
            }
        }
        let solution = bench.solved(&[]);
        for (page, drawing) in drawn(&bench.machine, &solution, 0, STYLES[0]).iter().enumerate() {
            labels::check(&format!("seed {seed} page {page}"), &drawing.standalone());
        }
    }
}
