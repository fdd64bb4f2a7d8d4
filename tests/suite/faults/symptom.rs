//! Suspects from which sequences work, against worked answers of an independent program.

use benchleaf::faults::search::symptom::{Effect, Trust, sharp_suspects, soft_shares, value_of_trying};

const PARTS: [(&str, f64); 12] = [
    ("FU1", 0.10),
    ("FU2", 0.05),
    ("S1", 0.12),
    ("S2", 0.12),
    ("S3", 0.12),
    ("S4", 0.12),
    ("K1", 0.06),
    ("K2", 0.06),
    ("SOL1", 0.06),
    ("SOL2", 0.06),
    ("P1", 0.06),
    ("MOT", 0.04),
];
const NEEDS: [&[&str]; 6] = [
    &["FU1", "S1", "K1"],
    &["FU1", "S2", "K1", "K2"],
    &["FU1", "S3", "K2", "SOL1", "P1"],
    &["FU1", "S4", "K2", "MOT"],
    &["FU1", "S3", "P1", "SOL2"],
    &["FU2", "L1"],
];

fn parts() -> Vec<(&'static str, f64)> {
    PARTS.into_iter().chain([("L1", 0.03)]).collect()
}

fn effects() -> Vec<Vec<Effect>> {
    parts()
        .iter()
        .map(|(part, _)| {
            NEEDS.iter().map(|needs| if needs.contains(part) { Effect::Fails } else { Effect::Works }).collect()
        })
        .collect()
}

fn shares(seen: [Option<bool>; 6]) -> Vec<(&'static str, f64)> {
    let weights: Vec<f64> = parts().iter().map(|(_, weight)| *weight).collect();
    let shares = soft_shares(&weights, &effects(), &seen, Trust::default()).unwrap();
    parts().iter().map(|(part, _)| *part).zip(shares).collect()
}

fn assert_shares(found: &[(&str, f64)], expected: &[(&str, f64)]) {
    for (part, expected) in expected {
        let share = found.iter().find(|(one, _)| one == part).unwrap().1;
        assert!((share - expected).abs() < 6e-5, "{part}: {share} against {expected}");
    }
}

#[test]
fn what_fails_and_what_works_leaves_two() {
    let seen = [Some(true), Some(true), Some(false), Some(true), Some(false), Some(true)];
    let sharp: Vec<&str> = sharp_suspects(&effects(), &seen).into_iter().map(|one| parts()[one].0).collect();
    assert_eq!(sharp, ["S3", "P1"]);
    assert_shares(
        &shares(seen),
        &[("S3", 0.6620), ("P1", 0.3310), ("SOL1", 0.0035), ("SOL2", 0.0035), ("FU1", 0.0001)],
    );
}

#[test]
fn trying_one_more_sequence_is_worth_its_bits() {
    let seen = [Some(true), Some(true), Some(false), Some(true), None, Some(true)];
    let found = shares(seen);
    assert_shares(&found, &[("S3", 0.4978), ("SOL1", 0.2489), ("P1", 0.2489), ("SOL2", 0.0026)]);
    let column: Vec<Effect> = effects().iter().map(|row| row[4]).collect();
    let shares: Vec<f64> = found.iter().map(|(_, share)| *share).collect();
    // The worked answer took the first entropy from shares rounded to four digits, which adds 0.0015 to it and the gain.
    let rounded: Vec<f64> = shares.iter().map(|share| (share * 1e4).round() / 1e4).collect();
    let value = value_of_trying(&shares, &column, Trust::default());
    let before: f64 = rounded.iter().filter(|share| **share > 0.0).map(|share| -share * share.log2()).sum();
    assert!((before - 1.5443).abs() < 5e-5);
    assert!((value.chance_of_failing - 0.7144).abs() < 5e-5);
    assert!((before - (value.before - value.gain) - 0.6296).abs() < 5e-5);
    // The same by an independent calculation without rounding.
    assert!((value.before - 1.542_814).abs() < 1e-6);
    assert!((value.chance_of_failing - 0.714_430).abs() < 1e-6);
    assert!((value.gain - 0.628_059).abs() < 1e-6);
}

#[test]
fn a_marginal_fault_agrees_with_both() {
    let effects = vec![vec![Effect::Marginal], vec![Effect::Works], vec![Effect::Fails]];
    assert_eq!(sharp_suspects(&effects, &[Some(true)]), [0, 1]);
    assert_eq!(sharp_suspects(&effects, &[Some(false)]), [0, 2]);
    assert_eq!(soft_shares(&[0.0; 3], &effects, &[None], Trust::default()), None);
}
