//! A list of direct checks, each of which looks at one part: in which order?
//!
//! With one known fault, checking in ascending minutes over weight is optimal (the P-over-C order of Kadane and Simon);
//! with independent faults the same rule holds for each part's own probability (Mitten 1960, Butterworth 1972). At a
//! bench the last suspect need not be checked at all. These orders give bounds to the search over trees.

/// One direct check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DirectCheck {
    /// Minutes.
    pub minutes: f64,
    /// Weight of the part that it looks at.
    pub weight: f64,
}

/// Whether the first check has the smaller ratio of minutes to weight; compared crosswise so that equal ratios are equal.
fn comes_first(a: (f64, f64), b: (f64, f64)) -> std::cmp::Ordering {
    (a.0 * b.1).total_cmp(&(b.0 * a.1))
}

/// Ascending minutes over weight: optimal when every suspect must be confirmed, the last one too, and also when parts
/// fail independently and the first bad one ends the search.
#[must_use]
pub fn ratio_order(checks: &[DirectCheck]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..checks.len()).collect();
    order.sort_by(|&a, &b| {
        comes_first((checks[a].minutes, checks[a].weight), (checks[b].minutes, checks[b].weight)).then(a.cmp(&b))
    });
    order
}

/// The best order when the last suspect is inferred rather than checked.
#[must_use]
pub fn skip_last_order(checks: &[DirectCheck]) -> Vec<usize> {
    let plain = ratio_order(checks);
    let mut best = (f64::INFINITY, plain.clone());
    for &last in &plain {
        let mut order: Vec<usize> = plain.iter().copied().filter(|&check| check != last).collect();
        order.push(last);
        let minutes = expected_skip_last(checks, &order);
        if minutes < best.0 - 1e-12 {
            best = (minutes, order);
        }
    }
    best.1
}

/// Expected minutes of an order with exactly one fault, every check made until it is found.
#[must_use]
pub fn expected_confirm_all(checks: &[DirectCheck], order: &[usize]) -> f64 {
    let mut left: f64 = checks.iter().map(|check| check.weight).sum();
    let total = left;
    let mut minutes = 0.0;
    for &check in order {
        minutes += checks[check].minutes * left;
        left -= checks[check].weight;
    }
    if total > 0.0 { minutes / total } else { 0.0 }
}

/// Expected minutes of an order with exactly one fault, the last suspect taken as guilty without a check.
#[must_use]
pub fn expected_skip_last(checks: &[DirectCheck], order: &[usize]) -> f64 {
    order.split_last().map_or(0.0, |(_, before)| {
        let total: f64 = checks.iter().map(|check| check.weight).sum();
        let mut left = total;
        let mut minutes = 0.0;
        for &check in before {
            minutes += checks[check].minutes * left;
            left -= checks[check].weight;
        }
        if total > 0.0 { minutes / total } else { 0.0 }
    })
}
