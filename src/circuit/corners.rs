//! Bands by search, where a proof fails: the machine itself is solved at corners of the box of tolerances.
//!
//! Where a diode may change sides within the box, or something switches within each cycle, no single network holds. Corners
//! are then chosen for each voltage by the sign of its answer to each tolerance, and bettered once by turning round single
//! tolerances; at every corner diodes, filaments and rectifiers are brought into agreement anew, and every voltage that is
//! asked for is seen at every corner that was solved for any.

use std::collections::BTreeMap;

use crate::machine::model::{Current, SequenceId};

use super::graph::Asked;
use super::network::Situation;
use super::point::Point;
use super::settle::Rest;
use super::solver::Solver;
use super::values::{Model, Values};

/// Machines that are solved for one state of the relays at most, and where each is stepped through a cycle.
const MOST_SOLVED: usize = 600;
const MOST_STEPPED: usize = 80;
/// Corners that are bettered.
const MOST_BETTERED: usize = 12;

/// Which end of each tolerance.
type Corner = Vec<bool>;

/// A search over corners.
struct Search<'a, 'm> {
    solver: &'a Solver<'m>,
    sequence: SequenceId,
    rest: &'a Rest,
    asked: &'a [(Current, Asked)],
    /// Element and which of its values, see [`Values::set`].
    tolerances: Vec<(usize, usize)>,
    left: usize,
    /// Lowest and highest of each voltage so far.
    found: Vec<[f64; 2]>,
    corners: BTreeMap<Corner, Vec<f64>>,
}

impl Solver<'_> {
    /// Lowest and highest of the voltages that are asked for, over corners that were solved.
    pub(crate) fn search(&self, sequence: SequenceId, rest: &Rest, asked: &[(Current, Asked)]) -> Vec<[f64; 2]> {
        let elements = &self.circuit.elements;
        let has_span = |&(element, which): &(usize, usize)| {
            let span = elements.span(element, which);
            span.high > span.low
        };
        let is_source = |element: usize| matches!(elements.models[element], Model::Source(_));
        let mut tolerances: Vec<(usize, usize)> = rest
            .point
            .live
            .iter()
            .flat_map(|&element| [(element, 0), (element, 1), (element, 2)])
            .filter(has_span)
            .collect();
        tolerances.sort_by_key(|&(element, which)| (!is_source(element) || which > 0, element, which));
        let left = if rest.point.inner.averages.is_empty() { MOST_SOLVED } else { MOST_STEPPED };
        let found = vec![[f64::INFINITY, f64::NEG_INFINITY]; asked.len()];
        let mut search =
            Search { solver: self, sequence, rest, asked, tolerances, left, found, corners: BTreeMap::new() };
        search.run();
        search.found
    }
}

impl Search<'_, '_> {
    fn run(&mut self) {
        let Some(middle) = self.solve(&self.solver.circuit.elements.nominal.clone()) else { return };
        let slopes = self.slopes(&middle);
        let matters = |slopes: &Vec<f64>| slopes.iter().any(|slope| slope.abs() > 1e-9);
        let kept: Vec<usize> = (0..slopes.len()).filter(|&at| matters(&slopes[at])).collect();
        self.tolerances = kept.iter().map(|&at| self.tolerances[at]).collect();
        let slopes: Vec<&Vec<f64>> = kept.iter().map(|&at| &slopes[at]).collect();
        let mut first = Vec::new();
        for number in 0..self.asked.len() {
            for up in [true, false] {
                let corner: Corner = slopes.iter().map(|slopes| (slopes[number] >= 0.0) == up).collect();
                if self.corner(&corner).is_some() && !first.contains(&corner) {
                    first.push(corner);
                }
            }
        }
        for corner in first.iter().take(MOST_BETTERED) {
            self.better(corner);
        }
    }

    /// How far each voltage moves when one value alone goes from its nominal to its end.
    fn slopes(&mut self, middle: &[f64]) -> Vec<Vec<f64>> {
        let nominal = &self.solver.circuit.elements.nominal;
        let elements = &self.solver.circuit.elements;
        let mut slopes = Vec::with_capacity(self.tolerances.len());
        for (element, which) in self.tolerances.clone() {
            let span = elements.span(element, which);
            let up = span.high > span.nominal;
            let mut values = nominal.clone();
            values.set(element, which, if up { span.high } else { span.low });
            let moved = self.solve(&values);
            let sign = if up { 1.0 } else { -1.0 };
            slopes.push(match moved {
                Some(moved) => moved.iter().zip(middle).map(|(there, here)| sign * (there - here)).collect(),
                None => vec![0.0; middle.len()],
            });
        }
        slopes
    }

    /// The voltages at a corner.
    fn corner(&mut self, corner: &Corner) -> Option<Vec<f64>> {
        if let Some(known) = self.corners.get(corner) {
            return Some(known.clone());
        }
        let elements = &self.solver.circuit.elements;
        let mut values = elements.nominal.clone();
        for (&(element, which), high) in self.tolerances.iter().zip(corner) {
            let span = elements.span(element, which);
            values.set(element, which, if *high { span.high } else { span.low });
        }
        let volts = self.solve(&values)?;
        self.corners.insert(corner.clone(), volts.clone());
        Some(volts)
    }

    /// Turns round single tolerances of a corner, then all together that helped a voltage.
    fn better(&mut self, corner: &Corner) {
        let Some(here) = self.corner(corner) else { return };
        let mut helpful: BTreeMap<(usize, bool), Corner> = BTreeMap::new();
        for at in 0..corner.len() {
            let mut turned = corner.clone();
            turned[at] = !turned[at];
            let before = self.found.clone();
            let Some(there) = self.corner(&turned) else { continue };
            for number in 0..here.len() {
                let [low, high] = before[number];
                for (up, helps) in [(true, there[number] > high + 1e-9), (false, there[number] < low - 1e-9)] {
                    if helps {
                        helpful.entry((number, up)).or_insert_with(|| corner.clone())[at] = turned[at];
                    }
                }
            }
        }
        for together in helpful.into_values() {
            self.corner(&together);
        }
    }

    /// Solves the machine with these values and takes note of all voltages.
    fn solve(&mut self, values: &Values) -> Option<Vec<f64>> {
        self.left = self.left.checked_sub(1)?;
        let situation = Situation { values, ..self.solver.nominal(self.sequence) };
        let inner = (*self.rest.point.inner).clone();
        let point = self.solver.circuit.point(&situation, &self.rest.positions, inner, &[]).ok()?;
        let volts: Vec<f64> = self.asked.iter().map(|(quantity, asked)| read(&point, *quantity, asked)).collect();
        for (found, volts) in self.found.iter_mut().zip(&volts) {
            *found = [found[0].min(*volts), found[1].max(*volts)];
        }
        Some(volts)
    }
}

/// What is asked for at a point.
fn read(point: &Point, quantity: Current, asked: &Asked) -> f64 {
    let shown = |volts: num_complex::Complex64, ohms: num_complex::Complex64| match asked.meter {
        Some(meter) => volts * meter / (ohms + meter),
        None => volts,
    };
    let (red, black) = (asked.red, asked.black);
    match quantity {
        Current::Direct => {
            let field = &point.direct;
            let islands = field.structure.islands(&field.factor);
            if islands[red] != islands[black] {
                return 0.0;
            }
            let ohms = field.structure.impedance(&field.factor, red, black, &mut Vec::new());
            shown(field.between(red, black).into(), ohms.into()).re
        }
        Current::Alternating => {
            let square = |(_, field): &(f64, std::sync::Arc<super::field::Field<num_complex::Complex64>>)| {
                let islands = field.structure.islands(&field.factor);
                if islands[red] != islands[black] {
                    return 0.0;
                }
                let ohms = field.structure.impedance(&field.factor, red, black, &mut Vec::new());
                shown(field.between(red, black), ohms).norm_sqr()
            };
            point.alternating.iter().map(square).sum::<f64>().sqrt()
        }
    }
}
