//! The usual ways of searching, for comparison: with the same checks and the same minutes.

use crate::machine::model::{ElementId, JointId, Machine};

use super::super::dictionary::SequenceTable;
use super::super::kinds::Site;
use super::super::search::{Problem, Tree};
use super::checks::{CheckKind, Offer};
use super::plan::Baselines;

/// Expected minutes of each.
pub(super) fn minutes(machine: &Machine, table: &SequenceTable, problem: &Problem, offers: &[Offer]) -> Baselines {
    let part_by_part = direct_checks(machine, table, offers);
    let points = points_along(machine, table, offers);
    let others: Vec<usize> =
        (0..offers.len()).filter(|check| !part_by_part.contains(check) && !points.contains(check)).collect();
    let in_order = |first: Vec<usize>, second: &[usize]| {
        let mut order = first;
        order.extend(second);
        order.extend(part_by_part.iter().chain(&points).chain(&others));
        problem.expected_minutes(&problem.in_fixed_order(&order))
    };
    let backwards: Vec<usize> = points.iter().rev().copied().collect();
    let parts_backwards: Vec<usize> = part_by_part.iter().rev().copied().collect();
    Baselines {
        along_the_path: in_order(Vec::new(), &part_by_part),
        from_the_supply: in_order(points.clone(), &part_by_part),
        from_the_load: in_order(backwards, &parts_backwards),
        half_split: problem.expected_minutes(&halved(
            problem,
            &points,
            &part_by_part,
            (0..problem.weights.len()).collect(),
        )),
    }
}

/// Checks of single places in the order of the path; those off the path last.
fn direct_checks(machine: &Machine, table: &SequenceTable, offers: &[Offer]) -> Vec<usize> {
    let place_of = |element: ElementId| table.path.iter().position(|&one| one == element).unwrap_or(usize::MAX);
    let mut checks: Vec<(usize, usize)> = offers
        .iter()
        .enumerate()
        .filter_map(|(index, offer)| match offer.kind {
            CheckKind::Drop(element) => Some((place_of(element), index)),
            CheckKind::SupplyVolts(_) => Some((0, index)),
            CheckKind::Usual(site, _) => Some((site_place(machine, site, place_of), index)),
            _ => None,
        })
        .collect();
    checks.sort_unstable();
    checks.into_iter().map(|(_, index)| index).collect()
}

fn site_place(machine: &Machine, site: Site, place_of: impl Fn(ElementId) -> usize) -> usize {
    match site {
        Site::Element(element) => place_of(element),
        Site::Group(part) | Site::Whole(part) => {
            machine.part(part).elements.iter().map(|&element| place_of(element)).min().unwrap_or(usize::MAX)
        }
    }
}

/// Voltage checks in the order in which the path passes their joints.
fn points_along(machine: &Machine, table: &SequenceTable, offers: &[Offer]) -> Vec<usize> {
    let place = |joint: JointId| {
        table
            .path
            .iter()
            .position(|&element| machine.element(element).from == joint || machine.element(element).to == joint)
            .unwrap_or(usize::MAX)
    };
    let mut points: Vec<(usize, usize)> = offers
        .iter()
        .enumerate()
        .filter_map(|(index, offer)| match offer.kind {
            CheckKind::Volts(point) => Some((place(machine.test_points[point.0].joint), index)),
            _ => None,
        })
        .collect();
    points.sort_unstable();
    points.into_iter().map(|(_, index)| index).collect()
}

/// Probes where the number of suspects is halved best; where no point tells anything, part after part.
fn halved(problem: &Problem, points: &[usize], parts: &[usize], suspects: Vec<usize>) -> Tree {
    if suspects.iter().all(|&one| problem.repairs[one] == problem.repairs[suspects[0]]) {
        return Tree::Answer(suspects);
    }
    let largest = |&check: &usize| problem.checks[check].largest_part(&suspects);
    let tells = |check: &usize| largest(check).is_some();
    let point = points.iter().copied().filter(tells).min_by_key(largest);
    let check = point.or_else(|| parts.iter().copied().chain(0..problem.checks.len()).find(tells));
    let found = check.and_then(|check| Some((check, problem.checks[check].parts(&suspects)?)));
    let Some((check, groups)) = found else { return Tree::Answer(suspects) };
    let branches = groups.into_iter().map(|(result, part)| (result, halved(problem, points, parts, part))).collect();
    Tree::Check { check, branches }
}
