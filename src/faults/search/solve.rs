//! Which search to use: exact where affordable, near-optimal with its bound where not.

use std::hash::{BuildHasherDefault, Hasher};

use super::branch::Branch;
use super::dynamic::Dynamic;
use super::greedy::{Greedy, Rule};
use super::problem::{MOST, Prepared, Problem, ProblemError};
use super::tree::Tree;

/// How much work a search may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Sets of suspects that dynamic programming may reach.
    pub sets: usize,
    /// Sets of suspects that branch and bound may open.
    pub nodes: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self { sets: 200_000, nodes: 1_000_000 }
    }
}

/// Each small branch or group gets this part of the nodes of the whole.
const PARTS: usize = 4;

/// How good a check order is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quality {
    /// No order takes fewer expected minutes.
    Optimal,
    /// The bound says how far it may be from that.
    NearOptimal,
}

/// A check order with its cost.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckOrder {
    /// The order.
    pub tree: Tree,
    /// Its expected minutes.
    pub minutes: f64,
    /// What no order can beat; equal to `minutes` for an optimal one.
    pub bound: f64,
    /// How good it is.
    pub quality: Quality,
    /// Sets of suspects that the search looked at.
    pub searched: usize,
}

/// The best check order that the limits allow.
///
/// # Errors
/// When the problem makes no sense.
pub fn check_order(problem: &Problem, limits: Limits) -> Result<CheckOrder, ProblemError> {
    problem.verify()?;
    let alike = problem.alike();
    match alike.len() {
        0..=64 => Ok(search::<1>(problem, alike, limits)),
        65..=256 => Ok(search::<4>(problem, alike, limits)),
        257..=MOST => Ok(search::<16>(problem, alike, limits)),
        count => Err(ProblemError::TooMany(count)),
    }
}

/// The tree that a rule builds.
///
/// # Errors
/// When the problem makes no sense.
pub fn by_rule(problem: &Problem, rule: Rule) -> Result<Tree, ProblemError> {
    problem.verify()?;
    let alike = problem.alike();
    match alike.len() {
        0..=64 => Ok(rule_tree::<1>(problem, alike, rule)),
        65..=256 => Ok(rule_tree::<4>(problem, alike, rule)),
        257..=MOST => Ok(rule_tree::<16>(problem, alike, rule)),
        count => Err(ProblemError::TooMany(count)),
    }
}

fn rule_tree<const WORDS: usize>(problem: &Problem, alike: Vec<Vec<usize>>, rule: Rule) -> Tree {
    let prepared = Prepared::<WORDS>::new(problem, alike);
    Greedy::new(&prepared).tree(rule, prepared.all(), problem.start())
}

fn search<const WORDS: usize>(problem: &Problem, alike: Vec<Vec<usize>>, limits: Limits) -> CheckOrder {
    let prepared = Prepared::<WORDS>::new(problem, alike);
    let mut dynamic = Dynamic::new(&prepared, limits.sets);
    if let Some(tree) = (limits.sets > 0).then(|| dynamic.tree()).flatten() {
        return optimal(problem, tree, dynamic.reached());
    }
    let rollout = Greedy::new(&prepared).tree(Rule::Rollout, prepared.all(), problem.start());
    let mut branch = Branch::new(&prepared, limits.nodes);
    let tree = if limits.nodes > 0 { branch.improved(rollout, limits.nodes / PARTS) } else { rollout };
    let minutes = problem.expected_minutes(&tree);
    branch.allow(limits.nodes);
    if let Some(tree) = (limits.nodes > 0).then(|| branch.tree(minutes)).flatten() {
        return optimal(problem, tree, branch.expanded());
    }
    let bound = bound::<WORDS>(problem, limits).min(minutes);
    CheckOrder { tree, minutes, bound, quality: Quality::NearOptimal, searched: branch.expanded() }
}

/// What no order can beat. Minutes are counted with every value nominal, and an order that also holds for all tolerances is
/// one that holds without them: so the bound of the problem without tolerances stands.
fn bound<const WORDS: usize>(problem: &Problem, limits: Limits) -> f64 {
    let plain = problem.without_tolerances();
    let prepared = Prepared::<WORDS>::new(&plain, plain.alike());
    let mut branch = Branch::new(&prepared, limits.nodes);
    branch.bound_of_all().max(branch.bound_of_groups(limits.nodes / PARTS))
}

fn optimal(problem: &Problem, tree: Tree, searched: usize) -> CheckOrder {
    let minutes = problem.expected_minutes(&tree);
    CheckOrder { tree, minutes, bound: minutes, quality: Quality::Optimal, searched }
}

/// Hashing for sets of suspects: a few multiplications. The tables are only looked up, never walked, so their order
/// cannot reach a page.
pub(super) type Hashing = BuildHasherDefault<Mixer>;

/// The state of such a hash.
#[derive(Default)]
pub(super) struct Mixer(u64);

impl Hasher for Mixer {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }

    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut word = [0; 8];
            word[..chunk.len()].copy_from_slice(chunk);
            self.write_u64(u64::from_le_bytes(word));
        }
    }

    fn write_u8(&mut self, value: u8) {
        self.write_u64(u64::from(value));
    }

    fn write_u32(&mut self, value: u32) {
        self.write_u64(u64::from(value));
    }

    fn write_u64(&mut self, value: u64) {
        // The odd constant is 2^64 over the golden ratio: neighbours land far apart (Knuth, volume 3, section 6.4).
        self.0 = (self.0.rotate_left(5) ^ value).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    }

    fn write_usize(&mut self, value: usize) {
        self.write_u64(value as u64);
    }
}
