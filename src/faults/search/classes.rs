//! The fault dictionary as classes: which faults a reading can tell apart once tolerances are counted.
//!
//! Two faults share a class at a point when their bands overlap, directly or through others; two are alike when they
//! share a class at every point. Integer codes are due to Lin and Elcherif, the entropy index to Starzyk and others
//! (IEEE Transactions on Instrumentation and Measurement 53, 2004).

use std::collections::BTreeMap;

/// Lowest to highest value that a fault can show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

impl Span {
    /// A value with the same room on both sides.
    #[must_use]
    pub fn around(value: f64, half_width: f64) -> Self {
        Self { low: value - half_width, high: value + half_width }
    }

    /// The least span that holds both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// What of it lies in another; a single value where nothing does.
    #[must_use]
    pub fn within(self, other: Self) -> Self {
        let low = self.low.max(other.low).min(other.high);
        Self { low, high: self.high.min(other.high).max(low) }
    }

    /// Whether a value lies in it.
    #[must_use]
    pub fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// Whether it shares a value with another.
    #[must_use]
    pub fn meets(self, other: Self) -> bool {
        self.low <= other.high && other.low <= self.high
    }
}

/// Class of each span, numbered by ascending value: overlapping spans share one, and so do chains of them.
#[must_use]
pub fn codes(spans: &[Span]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..spans.len()).collect();
    order.sort_by(|&a, &b| spans[a].low.total_cmp(&spans[b].low).then(a.cmp(&b)));
    let mut codes = vec![0; spans.len()];
    let mut class = 0;
    let mut reach = f64::NEG_INFINITY;
    for (place, &index) in order.iter().enumerate() {
        if place > 0 && spans[index].low > reach {
            class += 1;
        }
        reach = reach.max(spans[index].high);
        codes[index] = class;
    }
    codes
}

/// Faults with equal classes at all points, each set ascending, ordered by their first. `table[point][fault]`.
#[must_use]
pub fn alike_sets(table: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let faults = table.first().map_or(0, Vec::len);
    let mut sets: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
    for fault in 0..faults {
        sets.entry(table.iter().map(|codes| codes[fault]).collect()).or_default().push(fault);
    }
    let mut sets: Vec<Vec<usize>> = sets.into_values().collect();
    sets.sort();
    sets
}

/// Entropy index of a point, the sum of n ln n over its class sizes: small is good.
#[must_use]
pub fn entropy_index(codes: &[usize]) -> f64 {
    let mut sizes: BTreeMap<usize, f64> = BTreeMap::new();
    for &code in codes {
        *sizes.entry(code).or_default() += 1.0;
    }
    sizes.values().map(|size| size * size.ln()).sum()
}

/// Number of sets that some points tell apart.
fn sets_of(table: &[Vec<usize>], points: &[usize]) -> usize {
    let chosen: Vec<Vec<usize>> = points.iter().map(|&point| table[point].clone()).collect();
    alike_sets(&chosen).len()
}

/// Most points for which every choice is tried.
pub const MOST_POINTS: usize = 20;

/// All smallest choices of points that tell apart whatever all points together do; nothing past [`MOST_POINTS`] points.
#[must_use]
pub fn minimum_points(table: &[Vec<usize>]) -> Option<Vec<Vec<usize>>> {
    if table.len() > MOST_POINTS {
        return None;
    }
    let wanted = alike_sets(table).len();
    for size in 0..=table.len() {
        let mut found = Vec::new();
        for mask in 0u32..1 << table.len() {
            if mask.count_ones() as usize != size {
                continue;
            }
            let points: Vec<usize> = (0..table.len()).filter(|point| mask & (1 << point) != 0).collect();
            if sets_of(table, &points) == wanted || (size == 0 && wanted <= 1) {
                found.push(points);
            }
        }
        if !found.is_empty() {
            found.sort();
            return Some(found);
        }
    }
    None
}

/// Points in the order in which they tell most apart, each with the number of sets reached; ties go to the smaller
/// entropy index, then the cheaper, then the first. Ends when nothing more can be told apart.
#[must_use]
pub fn greedy_points(table: &[Vec<usize>], costs: &[f64]) -> Vec<(usize, usize)> {
    let wanted = alike_sets(table).len();
    let mut chosen: Vec<usize> = Vec::new();
    let mut steps = Vec::new();
    let mut reached = 1;
    while reached < wanted {
        let best = (0..table.len())
            .filter(|point| !chosen.contains(point))
            .map(|point| {
                let mut with = chosen.clone();
                with.push(point);
                (sets_of(table, &with), entropy_index(&table[point]), costs[point], point)
            })
            .min_by(|a, b| b.0.cmp(&a.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2)).then(a.3.cmp(&b.3)));
        let Some((sets, _, _, point)) = best else {
            break;
        };
        chosen.push(point);
        reached = sets;
        steps.push((point, sets));
    }
    steps
}
