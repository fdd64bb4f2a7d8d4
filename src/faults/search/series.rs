//! A list of direct checks, each of which looks at one part: in which order?
//!
//! With one known fault, checking in ascending minutes over weight is optimal (the P-over-C order of Kadane and Simon);
//! with independent faults the same rule holds for each part's own probability (Mitten 1960, Butterworth 1972). Two
//! variants matter at a bench: the last suspect need not be checked at all, and parts behind one door share its opening.

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

/// Expected minutes of an order when each part is bad with its own probability and the first bad one ends the search.
#[must_use]
pub fn expected_independent(checks: &[DirectCheck], order: &[usize]) -> f64 {
    let mut reached = 1.0;
    let mut minutes = 0.0;
    for &check in order {
        minutes += checks[check].minutes * reached;
        reached *= 1.0 - checks[check].weight;
    }
    minutes
}

/// Checks behind one door.
#[derive(Debug, Clone, PartialEq)]
pub struct Cluster {
    /// Minutes to open it; it stays open.
    pub opening: f64,
    /// Indices of the checks behind it.
    pub inside: Vec<usize>,
}

/// The best order when some checks lie behind doors, every suspect being confirmed.
///
/// Each door contributes a block: its opening with the run of inside checks that brings the smallest ratio; blocks and
/// single checks are then sorted by ratio, bottom up. Optimal when a door need not be shut to make a check.
#[must_use]
pub fn order_with_doors(checks: &[DirectCheck], doors: &[Cluster]) -> Vec<usize> {
    let mut blocks: Vec<(f64, f64, Vec<usize>)> = (0..checks.len())
        .filter(|index| doors.iter().all(|door| !door.inside.contains(index)))
        .map(|index| (checks[index].minutes, checks[index].weight, vec![index]))
        .collect();
    for door in doors {
        blocks.extend(blocks_of(checks, door));
    }
    blocks.sort_by(|a, b| comes_first((a.0, a.1), (b.0, b.1)).then(a.2[0].cmp(&b.2[0])));
    blocks.into_iter().flat_map(|(_, _, order)| order).collect()
}

/// The opening block of a door, and its other checks one by one.
fn blocks_of(checks: &[DirectCheck], door: &Cluster) -> Vec<(f64, f64, Vec<usize>)> {
    let mut inside = door.inside.clone();
    inside.sort_by(|&a, &b| {
        comes_first((checks[a].minutes, checks[a].weight), (checks[b].minutes, checks[b].weight)).then(a.cmp(&b))
    });
    let (mut minutes, mut weight) = (door.opening, 0.0);
    let mut best: Option<(f64, f64, usize)> = None;
    for (place, &check) in inside.iter().enumerate() {
        minutes += checks[check].minutes;
        weight += checks[check].weight;
        if best.is_none_or(|least| comes_first((minutes, weight), (least.0, least.1)).is_lt()) {
            best = Some((minutes, weight, place + 1));
        }
    }
    let Some((minutes, weight, length)) = best else {
        return Vec::new();
    };
    let mut blocks = vec![(minutes, weight, inside[..length].to_vec())];
    blocks.extend(inside[length..].iter().map(|&check| (checks[check].minutes, checks[check].weight, vec![check])));
    blocks
}

/// Expected minutes of an order with doors, every suspect confirmed.
#[must_use]
pub fn expected_with_doors(checks: &[DirectCheck], doors: &[Cluster], order: &[usize]) -> f64 {
    let total: f64 = checks.iter().map(|check| check.weight).sum();
    let mut left = total;
    let mut minutes = 0.0;
    let mut open = vec![false; doors.len()];
    for &check in order {
        for (door, open) in doors.iter().zip(&mut open) {
            if door.inside.contains(&check) && !*open {
                *open = true;
                minutes += door.opening * left;
            }
        }
        minutes += checks[check].minutes * left;
        left -= checks[check].weight;
    }
    if total > 0.0 { minutes / total } else { 0.0 }
}
