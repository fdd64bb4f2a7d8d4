//! Extremes of what is read in the networks with spans: one quantity at one pair of leads, or many pairs at once.

use crate::machine::model::{Current, JointId};

use super::graph::{Asked, Graph};
use super::kernel::{Kernel, Work};
use super::results::Certainty;
use super::scalar::Scalar;
use super::shown::{Extremes, Shown};
use super::spans::SpanNets;

/// Scratch numbers for both kinds of network.
#[derive(Default)]
pub(super) struct Works {
    real: Work<f64>,
    complex: Work<num_complex::Complex64>,
}

/// Of what is not connected at all.
pub(super) const NOTHING: Extremes = Extremes { low: 0.0, high: 0.0, certainty: Certainty::Exact };

impl SpanNets {
    /// Extremes of DC volts across a part of a source's own branch, or across all of it.
    pub(super) fn source_extremes(&self, leads: (JointId, JointId), works: &mut Works) -> Extremes {
        // Next to nothing across them makes them neighbours, as a kernel wants them.
        let Some(kernel) = kernel(&self.direct, leads, Some(1e15)) else { return NOTHING };
        kernel.beside_the_only_source(&mut works.real).unwrap_or_else(|| kernel.extremes(&mut works.real))
    }

    /// Extremes of what is read between two joints.
    pub(super) fn extremes(
        &self,
        quantity: Current,
        leads: (JointId, JointId),
        meter: Option<f64>,
        works: &mut Works,
    ) -> Extremes {
        match quantity {
            Current::Direct => direct(&self.direct, leads, meter, works),
            Current::Alternating => self.alternating(leads, meter, works),
        }
    }

    /// The same for many pairs of leads at once.
    pub(super) fn all_extremes(&self, asked: &[(Current, Asked)], works: &mut Works) -> Vec<Extremes> {
        let of = |wanted: Current| -> Vec<Asked> {
            asked.iter().filter(|(quantity, _)| *quantity == wanted).map(|(_, ask)| *ask).collect()
        };
        let mut all = vec![NOTHING; asked.len()];
        self.direct.kernels(&of(Current::Direct), &mut |number, kernel| all[number] = kernel.extremes(&mut works.real));
        let alternating = of(Current::Alternating);
        for graph in &self.alternating {
            graph.kernels(&alternating, &mut |number, kernel| {
                all[number] = together(all[number], magnitude(&kernel, works));
            });
        }
        all
    }

    fn alternating(&self, (red, black): (JointId, JointId), meter: Option<f64>, works: &mut Works) -> Extremes {
        let kernels = self.alternating.iter().filter_map(|graph| kernel(graph, (red, black), meter));
        kernels.fold(NOTHING, |sum, kernel| together(sum, magnitude(&kernel, works)))
    }

    /// Extremes of the RMS of everything across a lamp.
    pub(super) fn heating(&self, ends: (JointId, JointId), works: &mut Works) -> Extremes {
        let steady = direct(&self.direct, ends, None, works);
        let (low, high) = magnitudes(steady.low, steady.high);
        let alternating = self.alternating(ends, None, works);
        Extremes {
            low: low.hypot(alternating.low),
            high: high.hypot(alternating.high),
            certainty: steady.certainty.max(alternating.certainty),
        }
    }
}

/// Extremes of the magnitude at one frequency.
fn magnitude(kernel: &Kernel<num_complex::Complex64>, works: &mut Works) -> Extremes {
    let Some(real) = kernel.in_phase() else { return kernel.extremes(&mut works.complex) };
    let signed = real.extremes(&mut works.real);
    let (low, high) = magnitudes(signed.low, signed.high);
    Extremes { low, high, ..signed }
}

/// Two frequencies at one meter: squares add.
fn together(one: Extremes, other: Extremes) -> Extremes {
    Extremes {
        low: one.low.hypot(other.low),
        high: one.high.hypot(other.high),
        certainty: one.certainty.max(other.certainty),
    }
}

fn direct(graph: &Graph<f64>, leads: (JointId, JointId), meter: Option<f64>, works: &mut Works) -> Extremes {
    kernel(graph, leads, meter).map_or(NOTHING, |kernel| kernel.extremes(&mut works.real))
}

fn kernel<T: Scalar + Shown>(
    graph: &Graph<T>,
    (red, black): (JointId, JointId),
    meter: Option<f64>,
) -> Option<Kernel<T>> {
    if red == black { None } else { graph.kernel(red.0, black.0, meter) }
}

/// Least and greatest magnitude of a span.
pub(super) fn magnitudes(low: f64, high: f64) -> (f64, f64) {
    if low >= 0.0 {
        (low, high)
    } else if high <= 0.0 {
        (-high, -low)
    } else {
        (0.0, high.max(-low))
    }
}
