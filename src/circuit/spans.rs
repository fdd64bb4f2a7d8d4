//! The branches of a settled sequence with the spans that healthy parts leave them.

use num_complex::Complex64;

use crate::machine::model::{Current, SequenceId};

use super::diode::DiodeState;
use super::graph::{Graph, SpanBranch};
use super::network::{BLOCKED, Circuit, Situation, alternating, winding};
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
}

/// Both kinds of network with spans, reduced as far as all readings allow.
pub(crate) struct SpanNets {
    pub(crate) direct: Graph<f64>,
    pub(crate) alternating: Vec<Graph<Complex64>>,
}

impl Solver<'_> {
    /// The networks of a settled sequence; `keep` says which joints readings and devices need.
    pub(crate) fn span_nets(&self, sequence: SequenceId, doubts: &Doubts, keep: &[bool]) -> SpanNets {
        let circuit = &self.circuit;
        let (rest, situation) = (&self.rests[sequence.0], self.nominal(sequence));
        let joints = circuit.machine.joints.len();
        let live = |element: usize| rest.point.direct.admittance(element) != 0.0;
        let count = circuit.elements.models.len();
        let mut direct = Graph::new(
            joints,
            (0..count)
                .filter(|&element| live(element))
                .map(|element| circuit.direct_span(element, &situation, rest, doubts)),
        );
        direct.reduce(|joint| keep[joint]);
        let mut nets = Vec::new();
        for (frequency, field) in &rest.point.alternating {
            let conducts = |&element: &usize| field.admittance(element) != Complex64::new(0.0, 0.0);
            let branches =
                (0..count).filter(conducts).map(|element| circuit.alternating_span(element, *frequency, rest, doubts));
            let mut graph = Graph::new(joints, branches);
            graph.reduce(|joint| keep[joint]);
            nets.push(graph);
        }
        SpanNets { direct, alternating: nets }
    }
}

impl Circuit<'_> {
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
                    doubtful: doubts.diodes[element] || rest.point.inner.averages.contains_key(&element),
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
        if let Some(&(average, ohms)) = rest.point.inner.averages.get(&element) {
            // The average of pulses goes with the winding's volts, roughly.
            let source = Some([volts.low, volts.high].map(|winding| average * winding / volts.nominal));
            return SpanBranch { ohms: [ohms; 2], source, ..nothing };
        }
        let amperes = -rest.point.direct.current(element);
        let at = |winding: f64, internal: f64| self.source_of(&Feed { winding, internal, ..feed }, amperes);
        if feed.reservoir > 0.0 {
            // Tangents at the nominal current: near the truth, no proof.
            let (weak, strong) = (at(volts.low, ohms.nominal).0, at(volts.high, ohms.nominal).0);
            let (soft, hard) = (at(volts.nominal, ohms.high).1, at(volts.nominal, ohms.low).1);
            SpanBranch { ohms: [hard, soft], source: Some([weak, strong]), ..nothing }
        } else {
            let source = Some([at(volts.low, ohms.low).0, at(volts.high, ohms.low).0]);
            SpanBranch { source, doubtful: false, ..nothing }
        }
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
