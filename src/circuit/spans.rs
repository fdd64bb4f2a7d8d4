//! The branches of a settled sequence with the spans that healthy parts leave them.

use num_complex::Complex64;

use crate::machine::model::{Current, SequenceId};

use super::branches::winding;
use super::diode::DiodeState;
use super::graph::{Graph, SpanBranch};
use super::network::{BLOCKED, Circuit, Situation, alternating};
use super::rectifier::Feed;
use super::settle::Rest;
use super::solver::Solver;
use super::values::{Model, Span};

/// Spans of what a sequence's own solution decides.
#[derive(Debug, Clone)]
pub(crate) struct Doubts {
    /// By element: lowest and highest ohms of each filament, and whether they are proved to enclose the truth.
    pub(crate) filaments: Vec<Option<([f64; 2], bool)>>,
    /// By element: diodes that may change sides within the box.
    pub(crate) diodes: Vec<bool>,
    /// By element: what stands for a rectified supply with a reservoir.
    pub(crate) feeds: Vec<Option<FeedSpan>>,
}

/// A source behind fixed ohms that encloses a supply with a reservoir, whatever it delivers within its span.
///
/// For a load of R ohms such a supply gives V(R) volts on average and V/R amperes: both grow with the winding's volts and fall
/// with its ohms, at every moment of the cycle (comparison of solutions of one differential equation of the first order).
/// They grow with the reservoir as well: no reservoir of many that were tried, from next to none to one that leaves no
/// ripple, with all ohms from a winding's to a stiff source's, gave less than a smaller one (`circuit/reservoirs` of the tests).
/// With fixed ohms ρ the source E = V + ρ V/R grows and falls with them too, so that its extremes over all windings are those
/// of the weakest and of the strongest one, each with its reservoir, over all loads that can occur.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FeedSpan {
    /// Lowest and highest E.
    pub(crate) volts: [f64; 2],
    /// ρ.
    pub(crate) ohms: f64,
    /// Fewest and most ohms of its load.
    pub(crate) loads: [f64; 2],
    /// Whether all this is proved.
    pub(crate) proved: bool,
}

/// Both kinds of network with spans, reduced as far as all readings allow.
pub(crate) struct SpanNets {
    pub(crate) direct: Graph<f64>,
    pub(crate) alternating: Vec<Graph<Complex64>>,
}

impl Solver<'_> {
    /// The networks that some elements make in a settled sequence; `keep` says which of their joints must stay.
    pub(crate) fn span_nets(
        &self,
        sequence: SequenceId,
        rest: &Rest,
        doubts: &Doubts,
        (wanted, keep): (impl Fn(usize) -> bool, &[bool]),
    ) -> SpanNets {
        let circuit = &self.circuit;
        let situation = self.nominal(sequence);
        // Each rectified supply has a joint of its own in the middle of its ohms, for its current to be read.
        let joints = circuit.machine.joints.len() + circuit.rectified.len();
        let live = |element: usize| rest.point.direct.admittance(element) != 0.0;
        let wanted: Vec<usize> = (0..circuit.elements.models.len()).filter(|&element| wanted(element)).collect();
        let all = || wanted.iter().copied();
        let mut direct = Graph::new(
            joints,
            all()
                .filter(|&element| live(element))
                .flat_map(|element| circuit.direct_spans(element, &situation, rest, doubts)),
        );
        direct.reduce(|joint| keep[joint]);
        let mut nets = Vec::new();
        for (frequency, field) in &rest.point.alternating {
            let conducts = |&element: &usize| field.admittance(element) != Complex64::new(0.0, 0.0);
            let branches =
                all().filter(conducts).map(|element| circuit.alternating_span(element, *frequency, rest, doubts));
            let mut graph = Graph::new(joints, branches);
            graph.reduce(|joint| keep[joint]);
            nets.push(graph);
        }
        SpanNets { direct, alternating: nets }
    }
}

impl Circuit<'_> {
    /// The joint in the middle of a rectified supply's ohms.
    pub(crate) fn middle_of(&self, element: usize) -> Option<usize> {
        let place = self.rectified.iter().position(|&rectified| rectified == element)?;
        Some(self.machine.joints.len() + place)
    }

    /// An element as one branch, a supply with a reservoir as two.
    fn direct_spans(
        &self,
        element: usize,
        situation: &Situation<'_>,
        rest: &Rest,
        doubts: &Doubts,
    ) -> Vec<SpanBranch<f64>> {
        let whole = self.direct_span(element, situation, rest, doubts);
        let (Some(feed), Some(middle)) = (doubts.feeds[element], self.middle_of(element)) else { return vec![whole] };
        let half = SpanBranch { ohms: [feed.ohms / 2.0; 2], doubtful: !feed.proved, ..whole };
        vec![
            SpanBranch { to: middle, source: Some(feed.volts), ..half },
            SpanBranch { from: middle, source: None, ..half },
        ]
    }

    fn direct_span(&self, element: usize, situation: &Situation<'_>, rest: &Rest, doubts: &Doubts) -> SpanBranch<f64> {
        let (from, to) = self.structure.edges()[element];
        let [first, second] = self.elements.spans[element];
        let plain = |span: Span| SpanBranch { from, to, ohms: [span.low, span.high], source: None, doubtful: false };
        match &self.elements.models[element] {
            Model::Source(source) if source.rectifier.is_some() => self.feed_span(element, situation, rest),
            Model::Source(source) if source.current == Current::Direct => {
                SpanBranch { source: Some([first.low, first.high]), ..plain(second) }
            }
            Model::Source(_) => plain(second),
            Model::Lamp(_) => lamp_span(plain(first), element, doubts),
            Model::Diode(_) => {
                // Diodes have no tolerance of their own: what the nominal solution used holds.
                let ohms = 1.0 / rest.point.direct.admittance(element);
                let volts = rest.point.direct.source(element);
                let source = (volts != 0.0).then_some([volts; 2]);
                SpanBranch {
                    ohms: [ohms; 2],
                    source,
                    doubtful: doubts.diodes[element] || rest.point.inner.averages.get(element).is_some(),
                    ..plain(first)
                }
            }
            _ => plain(first),
        }
    }

    fn feed_span(&self, element: usize, situation: &Situation<'_>, rest: &Rest) -> SpanBranch<f64> {
        let (from, to) = self.structure.edges()[element];
        let [volts, ohms] = self.elements.spans[element];
        let nothing = SpanBranch { from, to, ohms: [ohms.low, ohms.high], source: None, doubtful: true };
        let Some(feed) = self.feed(element, situation) else { return nothing };
        if let Some((average, ohms)) = rest.point.inner.averages.get(element) {
            // The average of pulses goes with the winding's volts, roughly.
            let source = Some([volts.low, volts.high].map(|winding| average * winding / volts.nominal));
            return SpanBranch { ohms: [ohms; 2], source, ..nothing };
        }
        if is_blocked(element, rest) {
            let source = rest.point.direct.source(element);
            return SpanBranch { ohms: [1.0 / BLOCKED; 2], source: Some([source; 2]), ..nothing };
        }
        if feed.reservoir > 0.0 {
            return nothing; // stands as what encloses it, see `direct_spans`
        }
        let at = |winding: f64| self.source_of(&Feed { winding, internal: ohms.low, ..feed }, 0.0).0;
        SpanBranch { source: Some([at(volts.low), at(volts.high)]), doubtful: false, ..nothing }
    }

    fn alternating_span(&self, element: usize, frequency: f64, rest: &Rest, doubts: &Doubts) -> SpanBranch<Complex64> {
        let (from, to) = self.structure.edges()[element];
        let [first, second] = self.elements.spans[element];
        let omega = std::f64::consts::TAU * frequency;
        let plain =
            |low: Complex64, high: Complex64| SpanBranch { from, to, ohms: [low, high], source: None, doubtful: false };
        let real = |span: Span| plain(Complex64::new(span.low, 0.0), Complex64::new(span.high, 0.0));
        match &self.elements.models[element] {
            Model::Source(source) => {
                let own = alternating(&self.elements.models[element]) == Some(frequency);
                let volts = [source.direction * first.low, source.direction * first.high];
                SpanBranch { source: own.then_some(volts), ..real(second) }
            }
            Model::Speaker => real(second),
            Model::Coil(coil) => {
                plain(winding(*coil, first.low, second.low, omega), winding(*coil, first.high, second.high, omega))
            }
            Model::Lamp(_) => {
                let (ohms, proved) = doubts.filaments[element].unwrap_or(([1.0; 2], false));
                SpanBranch { doubtful: !proved, ..plain(Complex64::new(ohms[0], 0.0), Complex64::new(ohms[1], 0.0)) }
            }
            Model::Diode(diode) => {
                let conducts = rest.point.inner.diodes[element] != DiodeState::Blocks;
                let ohms = Complex64::new(if conducts { diode.on } else { 1.0 / BLOCKED }, 0.0);
                SpanBranch { doubtful: doubts.diodes[element], ..plain(ohms, ohms) }
            }
            Model::Capacitor => {
                plain(Complex64::new(0.0, -1.0 / (omega * first.low)), Complex64::new(0.0, -1.0 / (omega * first.high)))
            }
            Model::Inductor => {
                plain(Complex64::new(first.low, omega * second.low), Complex64::new(first.high, omega * second.high))
            }
            Model::Resistance | Model::Contact(_) => real(first),
        }
    }
}

fn lamp_span(plain: SpanBranch<f64>, element: usize, doubts: &Doubts) -> SpanBranch<f64> {
    let (ohms, proved) = doubts.filaments[element].unwrap_or(([1.0; 2], false));
    SpanBranch { ohms, doubtful: !proved, ..plain }
}

/// Whether a supply with a reservoir is driven from outside, so that its diodes block.
pub(crate) fn is_blocked(element: usize, rest: &Rest) -> bool {
    rest.point.inner.feeds[element].is_some_and(|(_, ohms)| ohms >= 1.0 / BLOCKED)
}
