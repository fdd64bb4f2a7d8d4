//! Half-split and series lists. Worked answers computed by an independent program (exhaustive search over all orders);
//! the ratio rule is Mitten's (1960), the half-split optimum Knuth's alphabetic tree (volume 3, 6.2.2).

use benchleaf::faults::search::bounds::{entropy, huffman};
use benchleaf::faults::search::chain::{Chain, ChainError, Split, SplitRule};
use benchleaf::faults::search::series::{
    Cluster, DirectCheck, expected_confirm_all, expected_independent, expected_skip_last, expected_with_doors,
    order_with_doors, ratio_order, skip_last_order,
};

const UNEVEN: [f64; 8] = [0.28, 0.04, 0.10, 0.22, 0.06, 0.03, 0.17, 0.10];

fn close(found: f64, expected: f64, digits: i32) {
    let tolerance = 0.5 * 10f64.powi(-digits) + 1e-9;
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected}");
}

fn probe(point: usize, bad: Split, good: Split) -> Split {
    Split::Probe { point: point - 1, bad: Box::new(bad), good: Box::new(good) }
}

fn block(number: usize) -> Split {
    Split::Block(number - 1)
}

/// Minutes of the third chain; not the circle's number, which it happens to resemble.
const DEAR: f64 = 157.0 / 25.0;

fn minutes(chain: &Chain, rule: SplitRule) -> f64 {
    chain.expected_minutes(&chain.by_rule(rule))
}

#[test]
fn equal_blocks_are_halved() {
    let chain = Chain::new(&[1.0; 8], &[1.0; 7]).unwrap();
    let (cost, split) = chain.optimum();
    close(cost, 3.0, 9);
    let pair = |point: usize| probe(point, block(point), block(point + 1));
    assert_eq!(split, probe(4, probe(2, pair(1), pair(3)), probe(6, pair(5), pair(7))));
    close(minutes(&chain, SplitRule::FromSource), 4.375, 9);
    for rule in [SplitRule::ByCount, SplitRule::ByWeight, SplitRule::ByGain] {
        close(minutes(&chain, rule), 3.0, 9);
    }
}

#[test]
fn uneven_blocks_are_not_halved_by_count() {
    let chain = Chain::new(&UNEVEN, &[1.0; 7]).unwrap();
    let (cost, split) = chain.optimum();
    close(cost, 2.81, 9);
    let left = probe(1, block(1), probe(2, block(2), block(3)));
    let right = probe(6, probe(4, block(4), probe(5, block(5), block(6))), probe(7, block(7), block(8)));
    assert_eq!(split, probe(3, left, right));
    close(chain.expected_minutes(&split), 2.81, 9);
    close(minutes(&chain, SplitRule::ByCount), 3.0, 9);
    close(minutes(&chain, SplitRule::ByWeight), 2.92, 9);
    close(minutes(&chain, SplitRule::ByGain), 2.92, 9);
    close(minutes(&chain, SplitRule::FromSource), 3.91, 9);
    close(entropy(&UNEVEN), 2.6748, 4);
    close(huffman(&UNEVEN, 2), 2.70, 9);
}

#[test]
fn dear_points_are_avoided() {
    let chain = Chain::new(&UNEVEN, &[1.0, 1.0, 6.0, 2.0, 1.0, 5.0, 2.0]).unwrap();
    let (cost, split) = chain.optimum();
    close(cost, DEAR, 9);
    let right = probe(7, probe(6, block(6), block(7)), block(8));
    let middle = probe(4, probe(3, block(3), block(4)), block(5));
    assert_eq!(split, probe(2, probe(1, block(1), block(2)), probe(5, middle, right)));
    close(minutes(&chain, SplitRule::ByCount), 7.31, 9);
    close(minutes(&chain, SplitRule::ByWeight), 9.30, 9);
    close(minutes(&chain, SplitRule::ByGain), DEAR, 9);
    close(minutes(&chain, SplitRule::FromSource), 9.36, 9);
}

#[test]
fn no_chain_beats_its_bounds() {
    let mut random = super::random::random(11);
    for _ in 0..200 {
        let count = 1 + random.below(9);
        let weights: Vec<f64> = (0..count).map(|_| 0.01 + random.unit()).collect();
        let chain = Chain::new(&weights, &vec![1.0; count - 1]).unwrap();
        let (cost, split) = chain.optimum();
        close(chain.expected_minutes(&split), cost, 9);
        assert!(cost >= huffman(&weights, 2) - 1e-9 && huffman(&weights, 2) >= entropy(&weights) - 1e-9);
        for rule in
            [SplitRule::ByCount, SplitRule::ByWeight, SplitRule::ByGain, SplitRule::FromSource, SplitRule::FromLoad]
        {
            assert!(minutes(&chain, rule) >= cost - 1e-9);
        }
    }
}

#[test]
fn chains_that_make_no_sense_are_refused() {
    assert_eq!(Chain::new(&[], &[]).unwrap_err(), ChainError::Empty);
    assert_eq!(Chain::new(&[1.0, 1.0], &[]).unwrap_err(), ChainError::PointCount { blocks: 2, points: 0 });
    assert_eq!(Chain::new(&[0.0, 0.0], &[1.0]).unwrap_err(), ChainError::BadNumber);
    assert_eq!(Chain::new(&[1.0, f64::NAN], &[1.0]).unwrap_err(), ChainError::BadNumber);
}

#[test]
fn half_a_thousand_blocks_are_affordable() {
    let weights: Vec<f64> = (0..500).map(|block| f64::from(1 + block % 7)).collect();
    let (cost, _) = Chain::new(&weights, &[1.0; 499]).unwrap().optimum();
    assert!(cost >= entropy(&weights) && cost < entropy(&weights) + 1.0);
}

fn checks(weights: [f64; 8], minutes: [f64; 8]) -> Vec<DirectCheck> {
    weights.into_iter().zip(minutes).map(|(weight, minutes)| DirectCheck { minutes, weight }).collect()
}

fn eight() -> Vec<DirectCheck> {
    checks([0.24, 0.16, 0.14, 0.06, 0.12, 0.08, 0.15, 0.05], [4.0, 3.0, 1.0, 0.5, 2.0, 1.5, 6.0, 2.5])
}

fn numbered(order: &[usize]) -> Vec<usize> {
    order.iter().map(|index| index + 1).collect()
}

fn sorted_by(key: impl Fn(usize) -> f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..8).collect();
    order.sort_by(|&a, &b| key(a).total_cmp(&key(b)).then(a.cmp(&b)));
    order
}

/// All orders of so many things.
fn permutations(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    permutations(count - 1)
        .into_iter()
        .flat_map(|order| {
            (0..count).map(move |place| {
                let mut longer = order.clone();
                longer.insert(place, count - 1);
                longer
            })
        })
        .collect()
}

#[test]
fn the_ratio_rule_is_best_when_all_are_confirmed() {
    let checks = eight();
    let order = ratio_order(&checks);
    assert_eq!(numbered(&order), [3, 4, 1, 5, 2, 6, 7, 8]);
    close(expected_confirm_all(&checks, &order), 8.815, 9);
    close(expected_confirm_all(&checks, &sorted_by(|one| -checks[one].weight)), 11.415, 9);
    close(expected_confirm_all(&checks, &sorted_by(|one| checks[one].minutes)), 9.690, 9);
    close(expected_confirm_all(&checks, &[0, 1, 2, 3, 4, 5, 6, 7]), 9.655, 9);
    let all: Vec<f64> = permutations(8).iter().map(|order| expected_confirm_all(&checks, order)).collect();
    close(all.iter().copied().fold(f64::INFINITY, f64::min), 8.815, 9);
    close(all.iter().copied().fold(0.0, f64::max), 14.68, 9);
}

#[test]
fn the_dearest_suspect_goes_last_when_it_is_inferred() {
    let checks = eight();
    let order = skip_last_order(&checks);
    assert_eq!(numbered(&order), [3, 4, 1, 5, 2, 6, 8, 7]);
    close(expected_skip_last(&checks, &order), 7.99, 9);
    close(expected_skip_last(&checks, &ratio_order(&checks)), 8.69, 9);
    let least = permutations(8).iter().map(|order| expected_skip_last(&checks, order)).fold(f64::INFINITY, f64::min);
    close(least, 7.99, 9);
}

#[test]
fn the_ratio_rule_is_best_for_independent_faults() {
    let checks = checks([0.10, 0.02, 0.05, 0.20, 0.01, 0.08, 0.03, 0.15], [2.0, 1.0, 3.0, 4.0, 0.5, 1.0, 2.0, 6.0]);
    let order = ratio_order(&checks);
    assert_eq!(numbered(&order), [6, 1, 4, 8, 2, 5, 3, 7]);
    close(expected_independent(&checks, &order), 13.6420, 4);
    close(expected_independent(&checks, &[0, 1, 2, 3, 4, 5, 6, 7]), 14.6707, 4);
    let least = permutations(8).iter().map(|order| expected_independent(&checks, order)).fold(f64::INFINITY, f64::min);
    close(least, 13.6420, 4);
}

#[test]
fn doors_are_opened_when_it_pays() {
    let mut random = super::random::random(5);
    let orders = permutations(6);
    for _ in 0..100 {
        let checks: Vec<DirectCheck> =
            (0..6).map(|_| DirectCheck { minutes: 0.5 + 4.0 * random.unit(), weight: 0.05 + random.unit() }).collect();
        let doors = [
            Cluster { opening: 5.0 * random.unit(), inside: vec![1, 4] },
            Cluster { opening: 8.0 * random.unit(), inside: vec![0, 5] },
        ];
        let order = order_with_doors(&checks, &doors);
        let found = expected_with_doors(&checks, &doors, &order);
        let least =
            orders.iter().map(|order| expected_with_doors(&checks, &doors, order)).fold(f64::INFINITY, f64::min);
        close(found, least, 9);
    }
}
