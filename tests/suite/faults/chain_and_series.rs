//! Half-split and series lists. Worked answers computed by an independent program (exhaustive search over all orders);
//! the ratio rule is Mitten's (1960), the half-split optimum Knuth's alphabetic tree (volume 3, 6.2.2).

use benchleaf::faults::search::bounds::{entropy, huffman};
use benchleaf::faults::search::series::{
    DirectCheck, expected_confirm_all, expected_skip_last, ratio_order, skip_last_order,
};
use benchleaf::faults::search::{Check, Limits, Problem, Quality, Rule, Tree, by_rule, check_order};

const UNEVEN: [f64; 8] = [0.28, 0.04, 0.10, 0.22, 0.06, 0.03, 0.17, 0.10];

fn close(found: f64, expected: f64, digits: i32) {
    let tolerance = 0.5 * 10f64.powi(-digits) + 1e-9;
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected}");
}

/// Blocks in a row, with a test point after each but the last: it reads bad (0) with the fault before it, else good (1).
fn chain(weights: &[f64], minutes: &[f64]) -> Problem {
    let point = |(point, minutes): (usize, &f64)| {
        Check::plain(*minutes, (0..weights.len()).map(|block| usize::from(block > point)).collect())
    };
    Problem::plain(weights.to_vec(), minutes.iter().enumerate().map(point).collect())
}

/// The way through a chain that a person takes who always probes the point that is chosen between two blocks.
fn ruled((first, last): (usize, usize), choose: &dyn Fn(usize, usize) -> usize) -> Tree {
    if first == last {
        return Tree::Answer(vec![first]);
    }
    let point = choose(first, last);
    let halves = [ruled((first, point), choose), ruled((point + 1, last), choose)];
    Tree::Check { check: point, branches: (0..).zip(halves).collect() }
}

/// Expected minutes by count, by weight, and from the source.
fn by_thumb(problem: &Problem) -> [f64; 3] {
    let all = (0, problem.weights.len() - 1);
    let sum = |first: usize, last: usize| problem.weights[first..=last].iter().sum::<f64>();
    let uneven = |first, last, point| (sum(first, point) - sum(point + 1, last)).abs();
    let even: &dyn Fn(usize, usize) -> usize = &|first, last| {
        (first..last).min_by(|&a, &b| uneven(first, last, a).total_cmp(&uneven(first, last, b))).unwrap()
    };
    let middle: &dyn Fn(usize, usize) -> usize = &|first, last| usize::midpoint(first, last);
    let next: &dyn Fn(usize, usize) -> usize = &|first, _| first;
    [middle, even, next].map(|choose| problem.expected_minutes(&ruled(all, choose)))
}

fn optimum(problem: &Problem) -> (f64, Tree) {
    let order = check_order(problem, Limits::default()).unwrap();
    assert_eq!(order.quality, Quality::Optimal);
    (order.minutes, order.tree)
}

fn by_gain(problem: &Problem) -> f64 {
    problem.expected_minutes(&by_rule(problem, Rule::GainPerMinute).unwrap())
}

fn probe(point: usize, bad: Tree, good: Tree) -> Tree {
    Tree::Check { check: point - 1, branches: vec![(0, bad), (1, good)] }
}

fn block(number: usize) -> Tree {
    Tree::Answer(vec![number - 1])
}

/// Minutes of the third chain; not the circle's number, which it happens to resemble.
const DEAR: f64 = 157.0 / 25.0;

#[test]
fn equal_blocks_are_halved() {
    let chain = chain(&[1.0; 8], &[1.0; 7]);
    let (cost, tree) = optimum(&chain);
    close(cost, 3.0, 9);
    let pair = |point: usize| probe(point, block(point), block(point + 1));
    assert_eq!(tree, probe(4, probe(2, pair(1), pair(3)), probe(6, pair(5), pair(7))));
    let [by_count, by_weight, from_source] = by_thumb(&chain);
    close(from_source, 4.375, 9);
    close(by_count, 3.0, 9);
    close(by_weight, 3.0, 9);
    close(by_gain(&chain), 3.0, 9);
}

#[test]
fn uneven_blocks_are_not_halved_by_count() {
    let chain = chain(&UNEVEN, &[1.0; 7]);
    let (cost, tree) = optimum(&chain);
    close(cost, 2.81, 9);
    let left = probe(1, block(1), probe(2, block(2), block(3)));
    let right = probe(6, probe(4, block(4), probe(5, block(5), block(6))), probe(7, block(7), block(8)));
    assert_eq!(tree, probe(3, left, right));
    let [by_count, by_weight, from_source] = by_thumb(&chain);
    close(by_count, 3.0, 9);
    close(by_weight, 2.92, 9);
    close(by_gain(&chain), 2.92, 9);
    close(from_source, 3.91, 9);
    close(entropy(&UNEVEN), 2.6748, 4);
    close(huffman(&UNEVEN, 2), 2.70, 9);
}

#[test]
fn dear_points_are_avoided() {
    let chain = chain(&UNEVEN, &[1.0, 1.0, 6.0, 2.0, 1.0, 5.0, 2.0]);
    let (cost, tree) = optimum(&chain);
    close(cost, DEAR, 9);
    let right = probe(7, probe(6, block(6), block(7)), block(8));
    let middle = probe(4, probe(3, block(3), block(4)), block(5));
    assert_eq!(tree, probe(2, probe(1, block(1), block(2)), probe(5, middle, right)));
    let [by_count, by_weight, from_source] = by_thumb(&chain);
    close(by_count, 7.31, 9);
    close(by_weight, 9.30, 9);
    close(by_gain(&chain), DEAR, 9);
    close(from_source, 9.36, 9);
}

/// The optimal alphabetic tree by Knuth's recurrence over intervals: W(i,j) = min over k of c(k)·P(i..j) + W(i,k) + W(k+1,j).
fn alphabetic(weights: &[f64], minutes: &[f64]) -> f64 {
    let count = weights.len();
    let mut best = vec![vec![0.0; count]; count];
    for length in 2..=count {
        for first in 0..=count - length {
            let last = first + length - 1;
            let weight: f64 = weights[first..=last].iter().sum();
            let cost = |point: usize| minutes[point] * weight + best[first][point] + best[point + 1][last];
            best[first][last] = (first..last).map(cost).fold(f64::INFINITY, f64::min);
        }
    }
    best[0][count - 1] / weights.iter().sum::<f64>()
}

#[test]
fn chains_are_searched_as_by_the_recurrence_over_intervals() {
    let mut random = super::random::random(11);
    for _ in 0..200 {
        let count = 2 + random.below(9);
        let weights: Vec<f64> = (0..count).map(|_| 0.01 + random.unit()).collect();
        let minutes: Vec<f64> = (1..count).map(|_| 0.5 + 4.0 * random.unit()).collect();
        let problem = chain(&weights, &minutes);
        let (cost, _) = optimum(&problem);
        close(cost, alphabetic(&weights, &minutes), 9);
        for other in by_thumb(&problem).into_iter().chain([by_gain(&problem)]) {
            assert!(other >= cost - 1e-9);
        }
        let (equal, _) = optimum(&chain(&weights, &vec![1.0; count - 1]));
        assert!(equal >= huffman(&weights, 2) - 1e-9 && huffman(&weights, 2) >= entropy(&weights) - 1e-9);
    }
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

/// Expected minutes where each part is bad with its own probability and the first bad one ends the search.
fn expected_independent(checks: &[DirectCheck], order: &[usize]) -> f64 {
    let (mut reached, mut minutes) = (1.0, 0.0);
    for &check in order {
        minutes += checks[check].minutes * reached;
        reached *= 1.0 - checks[check].weight;
    }
    minutes
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

/// Expected minutes of an order of checks of one part each, the last of which need not be made; a door stays open.
fn expected_with_doors(problem: &Problem, order: &[usize]) -> f64 {
    let total: f64 = problem.weights.iter().sum();
    let (mut left, mut minutes) = (total, 0.0);
    let mut open = vec![false; problem.doors.len()];
    for &check in &order[..order.len() - 1] {
        if let Some(door) = problem.checks[check].door.filter(|&door| !open[door]) {
            open[door] = true;
            minutes += problem.doors[door] * left;
        }
        minutes += problem.checks[check].minutes * left;
        left -= problem.weights[check];
    }
    minutes / total
}

#[test]
fn doors_are_opened_when_it_pays() {
    let mut random = super::random::random(5);
    let orders = permutations(6);
    for _ in 0..100 {
        let door = |part: usize| [Some(1), Some(0), None, None, Some(0), Some(1)][part];
        let check = |part: usize, minutes: f64| Check {
            door: door(part),
            ..Check::plain(minutes, (0..6).map(|suspect| usize::from(suspect == part)).collect())
        };
        let checks = (0..6).map(|part| check(part, 0.5 + 4.0 * random.unit())).collect();
        let weights = (0..6).map(|_| 0.05 + random.unit()).collect();
        let problem =
            Problem { doors: vec![5.0 * random.unit(), 8.0 * random.unit()], ..Problem::plain(weights, checks) };
        let least = orders.iter().map(|order| expected_with_doors(&problem, order)).fold(f64::INFINITY, f64::min);
        close(optimum(&problem).0, least, 9);
    }
}
