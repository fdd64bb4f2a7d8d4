//! Fault-isolation trees against worked answers (computed by an independent exhaustive program).

use benchleaf::faults::search::bounds::{entropy, huffman, minutes_for};
use benchleaf::faults::search::{
    Check, CheckOrder, Limits, Mode, Problem, ProblemError, Quality, Rule, Tree, by_rule, check_order,
};

const ONLY_SETS: Limits = Limits { sets: 200_000, nodes: 0 };
const ONLY_NODES: Limits = Limits { sets: 0, nodes: 1_000_000 };
const NOTHING: Limits = Limits { sets: 0, nodes: 0 };

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "found {found}, expected {expected}");
}

/// Six faults, six yes/no checks; one row of results a fault.
fn six() -> Problem {
    let rows = ["110011", "100100", "010111", "101000", "101111", "110111"];
    let minutes = [4.0, 2.0, 1.0, 5.0, 6.0, 1.0];
    let checks = minutes
        .into_iter()
        .enumerate()
        .map(|(check, minutes)| {
            Check::plain(minutes, rows.iter().map(|row| usize::from(row.as_bytes()[check] == b'1')).collect())
        })
        .collect();
    Problem::plain(vec![0.30, 0.05, 0.10, 0.20, 0.30, 0.05], checks)
}

/// The 13 faults of the ladder circuit with seven many-valued checks.
fn ladder() -> Problem {
    let minutes = [1.0, 2.0, 2.0, 2.0, 3.0, 4.0, 6.0];
    let checks = super::classes::table()
        .into_iter()
        .zip(minutes)
        .map(|(column, minutes)| Check::plain(minutes, column[1..].to_vec()))
        .collect();
    let weights = [6.0, 10.0, 14.0, 12.0, 10.0, 12.0, 10.0, 6.0, 8.0, 6.0, 2.0, 2.0, 2.0];
    Problem::plain(weights.to_vec(), checks)
}

fn rule_minutes(problem: &Problem, rule: Rule) -> f64 {
    problem.expected_minutes(&by_rule(problem, rule).unwrap())
}

fn answer(fault: usize) -> Tree {
    Tree::Answer(vec![fault - 1])
}

fn ask(check: usize, no: Tree, yes: Tree) -> Tree {
    Tree::Check { check: check - 1, branches: vec![(0, no), (1, yes)] }
}

fn check_of(tree: &Tree, result: usize) -> &Tree {
    match tree {
        Tree::Check { branches, .. } => &branches.iter().find(|(one, _)| *one == result).unwrap().1,
        Tree::Answer(_) => panic!("an answer has no branches"),
    }
}

fn root(tree: &Tree) -> usize {
    match tree {
        Tree::Check { check, .. } => *check,
        Tree::Answer(_) => panic!("an answer"),
    }
}

#[test]
fn six_faults_exactly() {
    let problem = six();
    for limits in [ONLY_SETS, ONLY_NODES, Limits::default()] {
        let order = check_order(&problem, limits).unwrap();
        assert_eq!(order.quality, Quality::Optimal);
        close(order.minutes, 4.80);
        close(order.bound, 4.80);
        let none = ask(4, answer(1), ask(6, answer(2), ask(1, answer(3), answer(6))));
        assert_eq!(order.tree, ask(3, none, ask(6, answer(4), answer(5))));
    }
    close(rule_minutes(&problem, Rule::GainPerMinute), 5.55);
    close(rule_minutes(&problem, Rule::Gain), 7.00);
    close(rule_minutes(&problem, Rule::Rollout), 4.80);
    assert!((entropy(&problem.weights) - 2.2710).abs() < 5e-5);
    close(huffman(&problem.weights, 2), 2.30);
    close(minutes_for(huffman(&problem.weights, 2), &[1.0, 1.0, 2.0, 4.0, 5.0, 6.0]), 2.60);
}

#[test]
fn thirteen_faults_with_many_valued_checks() {
    let problem = ladder();
    let dynamic = check_order(&problem, ONLY_SETS).unwrap();
    let branch = check_order(&problem, ONLY_NODES).unwrap();
    for order in [&dynamic, &branch] {
        assert_eq!(order.quality, Quality::Optimal);
        close(order.minutes, 5.14);
        assert_first_steps(order);
    }
    assert_eq!(dynamic.searched, 48);
    close(rule_minutes(&problem, Rule::GainPerMinute), 5.46);
    assert_eq!(root(&by_rule(&problem, Rule::GainPerMinute).unwrap()), 3);
    close(rule_minutes(&problem, Rule::Gain), 6.50);
    close(rule_minutes(&problem, Rule::Rollout), 5.14);
    close(minutes_for(huffman(&problem.weights, 8), &[1.0, 2.0, 2.0, 2.0, 3.0, 4.0, 6.0]), 1.48);
}

/// TP3 first; low and middle results lead to TP2, the low supply is known at once, the full one leads to TP4, TP5, fuse.
fn assert_first_steps(order: &CheckOrder) {
    assert_eq!(root(&order.tree), 2);
    assert_eq!(root(check_of(&order.tree, 0)), 1);
    assert_eq!(check_of(&order.tree, 1), &answer(1));
    assert_eq!(root(check_of(&order.tree, 2)), 1);
    let full = check_of(&order.tree, 3);
    assert_eq!(root(full), 3);
    let still_full = check_of(full, 3);
    assert_eq!(root(still_full), 4);
    assert_eq!(root(check_of(still_full, 0)), 5);
}

#[test]
fn gains_at_the_root() {
    let problem = ladder();
    let expected = [0.3274, 1.3330, 1.7265, 1.8072, 0.7222, 2.3472, 0.4671];
    let expected_per_minute = [0.3274, 0.6665, 0.8633, 0.9036, 0.2407, 0.5868, 0.0778];
    for ((check, expected), per_minute) in problem.checks.iter().zip(expected).zip(expected_per_minute) {
        let most = check.results.iter().max().unwrap() + 1;
        let mut parts = vec![0.0; most];
        for (suspect, &result) in check.results.iter().enumerate() {
            parts[result] += problem.weights[suspect];
        }
        assert!((entropy(&parts) - expected).abs() < 5e-5, "{} {expected}", entropy(&parts));
        assert!((entropy(&parts) / check.minutes - per_minute).abs() < 5e-5, "{} {per_minute}", entropy(&parts));
    }
}

#[test]
fn a_search_without_means_says_how_far_off_it_may_be() {
    let order = check_order(&ladder(), NOTHING).unwrap();
    assert_eq!(order.quality, Quality::NearOptimal);
    assert!(order.bound <= 5.14 + 1e-9 && order.bound > 1.48 && order.minutes >= 5.14 - 1e-9);
}

#[test]
fn suspects_of_one_repair_are_not_told_apart() {
    let mut problem = six();
    problem.repairs = vec![0, 1, 1, 0, 0, 1];
    let order = check_order(&problem, Limits::default()).unwrap();
    for answer in order.tree.answers() {
        let first = problem.repairs[answer[0]];
        assert!(answer.iter().all(|&one| problem.repairs[one] == first));
    }
    assert!(order.minutes < 4.80);
}

#[test]
fn look_alikes_stay_together() {
    let mut problem = six();
    for check in &mut problem.checks {
        check.results[3] = check.results[0];
    }
    let order = check_order(&problem, Limits::default()).unwrap();
    assert!(order.tree.answers().contains(&&[0, 3][..]));
    assert_eq!(problem.alike()[0], [0, 3]);
}

#[test]
fn going_dead_and_opening_doors_is_paid_once() {
    // Two suspects behind a door, one in the open; each has its own look. The live one is seen at once.
    let looks = |suspect: usize| (0..3).map(|one| usize::from(one == suspect)).collect();
    let mut problem = Problem::plain(
        vec![1.0, 1.0, 1.0],
        vec![
            Check { minutes: 1.0, mode: Mode::Dead, door: Some(0), results: looks(0), also: Vec::new() },
            Check { minutes: 1.0, mode: Mode::Dead, door: Some(0), results: looks(1), also: Vec::new() },
            Check { minutes: 3.0, mode: Mode::Live, door: None, results: looks(2), also: Vec::new() },
        ],
    );
    problem.doors = vec![5.0];
    problem.mode_change = (2.0, 1.0);
    let order = check_order(&problem, Limits::default()).unwrap();
    // Live look first: 3, then in two of three cases 2 + 5 + 1: (3 + 11 + 11) / 3. Dead first: 8, then in two of three
    // cases 1 for the second look: (8 + 9 + 9) / 3.
    close(order.minutes, 25.0 / 3.0);
    assert_eq!(root(&order.tree), 2);
    let dead_first = problem.in_fixed_order(&[0, 1, 2]);
    close(problem.expected_minutes(&dead_first), 26.0 / 3.0);
    problem.live = false;
    close(check_order(&problem, Limits::default()).unwrap().minutes, (6.0 + 7.0 + 7.0) / 3.0);
}

#[test]
fn problems_that_make_no_sense_are_refused() {
    let refuse = |change: fn(&mut Problem)| {
        let mut problem = six();
        change(&mut problem);
        check_order(&problem, Limits::default()).unwrap_err()
    };
    assert_eq!(refuse(|problem| problem.weights = vec![0.0; 6]), ProblemError::NoWeight);
    assert_eq!(refuse(|problem| problem.weights[0] = f64::NAN), ProblemError::BadNumber);
    assert_eq!(refuse(|problem| problem.checks[1].minutes = -1.0), ProblemError::BadNumber);
    assert_eq!(refuse(|problem| problem.checks[2].door = Some(0)), ProblemError::Shape(2));
    assert_eq!(
        refuse(|problem| {
            problem.weights.clear();
            problem.repairs.clear();
            problem.checks.clear();
        }),
        ProblemError::NoSuspects
    );
}

#[test]
fn a_thousand_alike_suspects_are_one_answer() {
    let problem = Problem::plain(vec![1.0; 1500], vec![Check::plain(1.0, vec![0; 1500])]);
    let order = check_order(&problem, Limits::default()).unwrap();
    assert_eq!(order.tree.answers(), [&(0..1500).collect::<Vec<_>>()[..]]);
    let wide = Problem::plain(vec![1.0; 1500], vec![Check::plain(1.0, (0..1500).collect())]);
    assert_eq!(check_order(&wide, Limits::default()).unwrap_err(), ProblemError::TooMany(1500));
}

#[test]
fn hundreds_of_suspects_are_searched_too() {
    let bits = |bit: usize| (0..300).map(|one: usize| one >> bit & 1).collect();
    let problem = Problem::plain(vec![1.0; 300], (0..9).map(|bit| Check::plain(1.0, bits(bit))).collect());
    let order = check_order(&problem, Limits { sets: 0, nodes: 200 }).unwrap();
    assert!(
        order.minutes <= 9.0 + 1e-9 && order.bound >= entropy(&problem.weights) && order.minutes >= order.bound - 1e-9
    );
}
