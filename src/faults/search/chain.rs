//! Half-split on a chain: the best place to probe between a good source and a bad load.
//!
//! Blocks lie in a row with a test point after each but the last. A bad reading at a point puts the fault before it, a
//! good one behind it. Because blocks keep their order this is the optimal alphabetic tree, solved exactly by dynamic
//! programming over intervals in O(n³) time (Knuth, The Art of Computer Programming, volume 3, section 6.2.2).

use std::fmt;

/// Why a chain cannot be split.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChainError {
    /// There is no block at all.
    Empty,
    /// There must be one test point fewer than blocks.
    PointCount {
        /// Number of blocks.
        blocks: usize,
        /// Number of test points.
        points: usize,
    },
    /// A weight or a cost is negative or not a number, or all weights are zero.
    BadNumber,
}

impl fmt::Display for ChainError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ChainError::Empty => write!(f, "a chain needs at least one block"),
            ChainError::PointCount { blocks, points } => {
                write!(f, "{blocks} blocks have {} test points between them, found {points}", blocks - 1)
            }
            ChainError::BadNumber => {
                write!(f, "weights and minutes must be finite and not negative, with some weight above zero")
            }
        }
    }
}

impl std::error::Error for ChainError {}

/// A way to search a chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Split {
    /// The fault is in this block (from 0).
    Block(usize),
    /// Probe the point after block `point` (from 0).
    Probe {
        /// The point.
        point: usize,
        /// What to do when it reads bad: the fault lies before it.
        bad: Box<Split>,
        /// What to do when it reads good: the fault lies behind it.
        good: Box<Split>,
    },
}

/// How to choose the next point where no optimum is wanted: the usual rules, for comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SplitRule {
    /// Point after point from the source.
    FromSource,
    /// Point after point from the load.
    FromLoad,
    /// The middle of the blocks that are left.
    ByCount,
    /// The point that halves the weight best.
    ByWeight,
    /// The point with most information for each minute.
    ByGain,
}

/// A chain of blocks with their weights, and the minutes of a check at each point between them.
#[derive(Debug, Clone)]
pub struct Chain {
    /// Weight of each block, summing to one.
    weights: Vec<f64>,
    /// Minutes at the point after each block but the last.
    costs: Vec<f64>,
    /// `sums[i]` is the weight of the first `i` blocks.
    sums: Vec<f64>,
}

impl Chain {
    /// Takes weights of any scale.
    ///
    /// # Errors
    /// When there is no block, the counts do not match, or a number makes no sense.
    pub fn new(weights: &[f64], costs: &[f64]) -> Result<Self, ChainError> {
        if weights.is_empty() {
            return Err(ChainError::Empty);
        }
        if costs.len() + 1 != weights.len() {
            return Err(ChainError::PointCount { blocks: weights.len(), points: costs.len() });
        }
        let total: f64 = weights.iter().sum();
        let sound = |value: &f64| value.is_finite() && *value >= 0.0;
        if !weights.iter().chain(costs).all(sound) || total <= 0.0 {
            return Err(ChainError::BadNumber);
        }
        let weights: Vec<f64> = weights.iter().map(|weight| weight / total).collect();
        let mut sums = vec![0.0];
        for weight in &weights {
            sums.push(sums[sums.len() - 1] + weight);
        }
        Ok(Self { weights, costs: costs.to_vec(), sums })
    }

    /// The search with the smallest expected minutes, and those minutes.
    #[must_use]
    pub fn optimum(&self) -> (f64, Split) {
        let count = self.weights.len();
        let mut best = vec![vec![0.0; count]; count];
        let mut choice = vec![vec![0; count]; count];
        for length in 2..=count {
            for first in 0..=count - length {
                let last = first + length - 1;
                let weight = self.weight(first, last);
                let (cost, point) = (first..last)
                    .map(|point| (self.costs[point] * weight + best[first][point] + best[point + 1][last], point))
                    .fold((f64::INFINITY, first), |least, next| if next.0 < least.0 - 1e-12 { next } else { least });
                best[first][last] = cost;
                choice[first][last] = point;
            }
        }
        (best[0][count - 1], split_of(&choice, 0, count - 1))
    }

    /// The search that a rule of thumb gives.
    #[must_use]
    pub fn by_rule(&self, rule: SplitRule) -> Split {
        self.by_rule_between(rule, 0, self.weights.len() - 1)
    }

    /// Expected minutes of any search.
    #[must_use]
    pub fn expected_minutes(&self, split: &Split) -> f64 {
        self.minutes_between(split, 0, self.weights.len() - 1)
    }

    fn weight(&self, first: usize, last: usize) -> f64 {
        self.sums[last + 1] - self.sums[first]
    }

    fn by_rule_between(&self, rule: SplitRule, first: usize, last: usize) -> Split {
        if first == last {
            return Split::Block(first);
        }
        let point = match rule {
            SplitRule::FromSource => first,
            SplitRule::FromLoad => last - 1,
            SplitRule::ByCount => usize::midpoint(first, last),
            SplitRule::ByWeight => {
                self.smallest(first, last, |point| (self.weight(first, point) - self.weight(point + 1, last)).abs())
            }
            SplitRule::ByGain => self.smallest(first, last, |point| {
                let share = self.weight(first, point) / self.weight(first, last);
                -(super::bounds::entropy(&[share, 1.0 - share]) / self.costs[point])
            }),
        };
        Split::Probe {
            point,
            bad: Box::new(self.by_rule_between(rule, first, point)),
            good: Box::new(self.by_rule_between(rule, point + 1, last)),
        }
    }

    /// The point of an interval for which a figure is smallest; the first of equals.
    fn smallest(&self, first: usize, last: usize, figure: impl Fn(usize) -> f64) -> usize {
        debug_assert!(last < self.weights.len());
        (first..last)
            .map(|point| (figure(point), point))
            .fold((f64::INFINITY, first), |least, next| if next.0 < least.0 - 1e-12 { next } else { least })
            .1
    }

    fn minutes_between(&self, split: &Split, first: usize, last: usize) -> f64 {
        match split {
            Split::Block(_) => 0.0,
            Split::Probe { point, bad, good } => {
                self.costs[*point] * self.weight(first, last)
                    + self.minutes_between(bad, first, *point)
                    + self.minutes_between(good, point + 1, last)
            }
        }
    }
}

fn split_of(choice: &[Vec<usize>], first: usize, last: usize) -> Split {
    if first == last {
        return Split::Block(first);
    }
    let point = choice[first][last];
    Split::Probe {
        point,
        bad: Box::new(split_of(choice, first, point)),
        good: Box::new(split_of(choice, point + 1, last)),
    }
}
