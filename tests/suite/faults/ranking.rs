//! Ranking by readings on the ladder circuit. Worked answers computed by an independent program with the model given in
//! each test: supply 5 % common to all readings, independent variance (0.005 r + 0.02)² + 0.05².

use benchleaf::faults::search::ranking::{Hypothesis, Observation, Prediction, Ranking, RankingError, rank};

use super::ladder::{Ladder, OPEN};

const NAMES: [&str; 10] =
    ["healthy", "supply low", "fuse open", "clip", "S1 open", "S1", "S2", "P1", "coil open", "60 ohm coil"];

/// 61 sizes from 0.5 to 200 Ω, evenly spaced on a logarithmic scale.
fn ohms() -> impl Iterator<Item = f64> {
    (0..61).map(|step| 0.5 * 400f64.powf(f64::from(step) / 60.0))
}

/// Ladders by the size of their fault.
type Sizes = Vec<(Option<f64>, Ladder)>;

fn hypotheses(points: &[usize], common: bool) -> Vec<Hypothesis> {
    let healthy = Ladder::HEALTHY;
    let one = |ladder: Ladder| vec![(None, ladder)];
    let grid = |make: &dyn Fn(f64) -> Ladder| ohms().map(|added| (Some(added), make(added))).collect();
    let supplies = (0..37).map(|step| (None, Ladder { supply: 12.0 + 0.25 * f64::from(step), ..healthy })).collect();
    let cases: [(f64, Sizes); 10] = [
        (0.05, one(healthy)),
        (0.10, supplies),
        (0.10, one(Ladder { fuse: OPEN, ..healthy })),
        (0.20, grid(&|added| Ladder { fuse: healthy.fuse + added, ..healthy })),
        (0.12, one(Ladder { first: OPEN, ..healthy })),
        (0.13, grid(&|added| Ladder { first: healthy.first + added, ..healthy })),
        (0.13, grid(&|added| Ladder { second: healthy.second + added, ..healthy })),
        (0.08, grid(&|added| Ladder { pin: healthy.pin + added, ..healthy })),
        (0.06, one(Ladder { coil: OPEN, ..healthy })),
        (0.03, one(Ladder { coil: 60.0, ..healthy })),
    ];
    cases
        .into_iter()
        .map(|(weight, sizes)| Hypothesis {
            weight,
            grid: sizes.into_iter().map(|(size, ladder)| predict(size, ladder, points, common)).collect(),
        })
        .collect()
}

fn predict(size: Option<f64>, ladder: Ladder, points: &[usize], common: bool) -> Prediction {
    let all = ladder.readings();
    let values: Vec<f64> = points.iter().map(|&point| all[point]).collect();
    let supply = values.iter().map(|value| 0.05 * value).collect();
    Prediction { size, weight: 1.0, values, common: if common { vec![supply] } else { Vec::new() } }
}

fn observe(values: &[f64]) -> Vec<Observation> {
    values.iter().map(|&value| Observation { value, relative: 0.005, fixed: 0.02, model: 0.05, range: 50.0 }).collect()
}

fn ranking(points: &[usize], values: &[f64]) -> Ranking {
    rank(&hypotheses(points, true), &observe(values), 0.0).unwrap()
}

fn assert_shares(ranking: &Ranking, expected: &[(&str, f64)]) {
    for (name, expected) in expected {
        let place = NAMES.iter().position(|one| one == name).unwrap();
        let found = ranking.ranked.iter().find(|one| one.hypothesis == place).unwrap().share;
        assert!((found - expected).abs() < 6e-5, "{name}: found {found}, expected {expected}");
    }
}

fn assert_size(ranking: &Ranking, mean: f64, spread: Option<(f64, f64)>) {
    let size = ranking.ranked[0].size.unwrap();
    assert!((size.mean - mean).abs() < 6e-3, "{size:?}");
    if let Some((low, high)) = spread {
        assert!((size.low - low).abs() < 6e-3 && (size.high - high).abs() < 6e-3, "{size:?}");
    }
}

const ALL: [usize; 5] = [0, 1, 2, 3, 4];

#[test]
fn a_bad_clip_from_five_readings() {
    let found = ranking(&ALL, &[22.6, 19.4, 19.4, 19.38, 0.005]);
    assert_shares(&found, &[("clip", 1.0)]);
    assert_size(&found, 8.76, Some((8.19, 9.05)));
}

#[test]
fn one_or_two_readings_leave_several() {
    let one = ranking(&[3], &[19.38]);
    assert_shares(&one, &[("clip", 0.3021), ("supply low", 0.3016), ("S1", 0.1967), ("S2", 0.1967)]);
    let two = ranking(&[0, 3], &[22.6, 19.38]);
    assert_shares(&two, &[("clip", 0.4313), ("S1", 0.2844), ("S2", 0.2844)]);
}

#[test]
fn a_high_supply_does_not_accuse_the_coil() {
    let values = [26.0, 23.9, 23.9, 23.88, 0.006];
    let found = ranking(&ALL, &values);
    assert_shares(&found, &[("clip", 1.0)]);
    assert_size(&found, 4.50, None);
    // The same readings taken as independent: the supply's tolerance widens each reading on its own.
    let independent: Vec<Hypothesis> = hypotheses(&ALL, false);
    let misled = rank_independent(&independent, &values);
    assert_shares(
        &misled,
        &[("coil open", 0.2500), ("S2", 0.1903), ("healthy", 0.1772), ("S1", 0.1610), ("clip", 0.1332)],
    );
}

/// Each reading has the supply's variance on its own: a common column for each reading alone.
fn rank_independent(hypotheses: &[Hypothesis], values: &[f64]) -> Ranking {
    let mut widened = hypotheses.to_vec();
    for prediction in widened.iter_mut().flat_map(|one| &mut one.grid) {
        prediction.common = (0..values.len())
            .map(|one| {
                (0..values.len()).map(|other| if one == other { 0.05 * prediction.values[one] } else { 0.0 }).collect()
            })
            .collect();
    }
    rank(&widened, &observe(values), 0.0).unwrap()
}

#[test]
fn a_leaky_first_contact() {
    let found = ranking(&ALL, &[23.8, 23.75, 21.9, 21.9, 0.005]);
    assert_shares(&found, &[("S1", 1.0)]);
    assert_size(&found, 10.05, Some((9.05, 11.05)));
}

#[test]
fn a_misread_point_is_pointed_at() {
    // The readings of the bad clip, but TP3 read as if at the return.
    let hypotheses = hypotheses(&ALL, true);
    let found = rank(&hypotheses, &observe(&[22.6, 19.4, 0.0, 19.38, 0.005]), 0.02).unwrap();
    assert_eq!(NAMES[found.ranked[0].hypothesis], "clip");
    assert!(found.misread[2] > 0.99 && found.misfit > 10.0, "{:?} {}", found.misread, found.misfit);
    let sound = rank(&hypotheses, &observe(&[22.6, 19.4, 19.4, 19.38, 0.005]), 0.02).unwrap();
    assert!(sound.misread.iter().all(|&share| share < 0.1) && sound.misfit < 2.0);
}

#[test]
fn shares_sum_to_one_even_for_readings_that_nothing_explains() {
    let found = rank(&hypotheses(&ALL, true), &observe(&[-4000.0, 9e5, 19.4, 1e7, 77.0]), 0.02).unwrap();
    let sum: f64 = found.ranked.iter().map(|one| one.share).sum();
    assert!((sum - 1.0).abs() < 1e-9 && found.ranked.iter().all(|one| one.share.is_finite()));
}

#[test]
fn nonsense_is_refused() {
    let mut weightless = hypotheses(&[3], true);
    for one in &mut weightless {
        one.weight = 0.0;
    }
    assert_eq!(rank(&weightless, &observe(&[19.0]), 0.02).unwrap_err(), RankingError::NoWeight);
    assert_eq!(rank(&hypotheses(&[3], true), &observe(&[f64::NAN]), 0.02).unwrap_err(), RankingError::BadNumber);
    assert_eq!(rank(&hypotheses(&ALL, true), &observe(&[1.0]), 0.02).unwrap_err(), RankingError::BadNumber);
}
