//! Suspects from which sequences work, against worked answers of an independent program.

use benchleaf::faults::search::bounds::entropy;
use benchleaf::faults::search::ranking::{Hypothesis, Prediction, RankingError, rank};
use benchleaf::faults::search::symptom::{Effect, Trust, agrees};

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

/// Shares by the way of `narrow` without readings: each fault's weight with how likely it makes the sequences do that.
fn ranked(weights: &[f64], effects: &[Vec<Effect>], seen: &[Option<bool>]) -> Result<Vec<f64>, RankingError> {
    let likelihood = |row: &[Effect]| -> f64 {
        let tried = row.iter().zip(seen).filter_map(|(effect, seen)| seen.map(|works| (*effect, works)));
        tried.map(|(effect, works)| Trust::default().likelihood(Some(effect), works)).product()
    };
    let of_one = |(weight, row): (&f64, &Vec<Effect>)| {
        let prediction = Prediction { size: None, weight: likelihood(row), values: Vec::new(), common: Vec::new() };
        Hypothesis { weight: *weight, grid: vec![prediction] }
    };
    let hypotheses: Vec<Hypothesis> = weights.iter().zip(effects).map(of_one).collect();
    let mut ranked = rank(&hypotheses, &[], 0.02)?.ranked;
    ranked.sort_by_key(|one| one.hypothesis);
    Ok(ranked.into_iter().map(|one| one.share).collect())
}

fn shares(seen: [Option<bool>; 6]) -> Vec<(&'static str, f64)> {
    let weights: Vec<f64> = parts().iter().map(|(_, weight)| *weight).collect();
    let shares = ranked(&weights, &effects(), &seen).unwrap();
    parts().iter().map(|(part, _)| *part).zip(shares).collect()
}

/// Faults that predict exactly what was seen.
fn sharp_suspects(effects: &[Vec<Effect>], seen: &[Option<bool>]) -> Vec<usize> {
    let predicts =
        |row: &[Effect]| row.iter().zip(seen).all(|(&effect, seen)| seen.is_none_or(|works| agrees(effect, works)));
    (0..effects.len()).filter(|&fault| predicts(&effects[fault])).collect()
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
    let split = |works: bool| -> Vec<f64> {
        let chance = |effect: &Effect| Trust::default().likelihood(Some(*effect), works);
        shares.iter().zip(&column).map(|(share, effect)| share * chance(effect)).collect()
    };
    let (fails, works) = (split(false), split(true));
    let chance: f64 = fails.iter().sum();
    let after = chance * entropy(&fails) + (1.0 - chance) * entropy(&works);
    let before: f64 = rounded.iter().filter(|share| **share > 0.0).map(|share| -share * share.log2()).sum();
    assert!((before - 1.5443).abs() < 5e-5);
    assert!((chance - 0.7144).abs() < 5e-5);
    assert!((before - after - 0.6296).abs() < 5e-5);
    // The same by an independent calculation without rounding.
    assert!((entropy(&shares) - 1.542_814).abs() < 1e-6);
    assert!((chance - 0.714_430).abs() < 1e-6);
    assert!((entropy(&shares) - after - 0.628_059).abs() < 1e-6);
}

#[test]
fn a_marginal_fault_agrees_with_both() {
    let effects = vec![vec![Effect::Marginal], vec![Effect::Works], vec![Effect::Fails]];
    assert_eq!(sharp_suspects(&effects, &[Some(true)]), [0, 1]);
    assert_eq!(sharp_suspects(&effects, &[Some(false)]), [0, 2]);
    assert_eq!(ranked(&[0.0; 3], &effects, &[None]), Err(RankingError::NoWeight));
}
