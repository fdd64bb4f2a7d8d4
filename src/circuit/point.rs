//! The working point: DC and AC solved together with what depends on the result - diodes, filaments, rectifiers.

use std::collections::BTreeSet;
use std::sync::Arc;

use num_complex::Complex64;

use crate::machine::model::{PartId, SequenceId};

use super::change::Change;
use super::cycle::Averages;
use super::diode::{DiodeState, sign};
use super::error::{CircuitError, Reason};
use super::field::Field;
use super::inside::{Hand, Inner};
use super::network::{Circuit, Positions, Situation};
use super::shares::{Share, ripple};
use super::values::Model;

/// Passes after which filaments and rectifiers must have come to rest.
const MOST_PASSES: usize = 200;
/// Pivots that are smaller than this share of what made them have cancelled: the network is in resonance.
const WEAKEST: f64 = 1e-12;

/// The solved networks of all frequencies, each with its own.
type Phasors = Vec<(f64, Arc<Field<Complex64>>)>;

/// A DC network with what rectified supplies make of it, see [`Point`].
struct Rectified {
    direct: Arc<Field<f64>>,
    waves: Vec<Share>,
}

/// A solved state of the machine.
#[derive(Debug, Clone)]
pub(crate) struct Point {
    /// All elements that conduct, diodes aside.
    pub(crate) live: Arc<[usize]>,
    pub(crate) direct: Arc<Field<f64>>,
    /// One for each frequency of the machine's AC supplies.
    pub(crate) alternating: Phasors,
    pub(crate) inner: Arc<Inner>,
    /// What each rectified supply gives, where nothing switches within a cycle.
    pub(crate) waves: Vec<Share>,
}

impl Point {
    /// Whether an element conducts nothing at all.
    pub(crate) fn is_open(&self, element: usize) -> bool {
        self.direct.admittance(element) == 0.0
            && self.alternating.iter().all(|(_, field)| field.admittance(element) == Complex64::new(0.0, 0.0))
    }

    /// AC volts across an element, all frequencies together, RMS.
    pub(crate) fn alternating_across(&self, element: usize) -> f64 {
        self.alternating.iter().map(|(_, field)| field.across(element).norm_sqr()).sum::<f64>().sqrt()
    }

    /// AC amperes through an element, all frequencies together, RMS.
    pub(crate) fn alternating_current(&self, element: usize) -> f64 {
        self.alternating.iter().map(|(_, field)| field.current(element).norm_sqr()).sum::<f64>().sqrt()
    }

    /// RMS of everything across an element: what heats it and what moves an AC coil.
    pub(crate) fn heating_volts(&self, element: usize) -> f64 {
        let alternating = self.alternating.iter().map(|(_, field)| field.across(element).norm_sqr()).sum::<f64>();
        (self.square_of_volts(element) + alternating).sqrt()
    }

    /// RMS of everything through an element.
    pub(crate) fn heating_current(&self, element: usize) -> f64 {
        let alternating = self.alternating.iter().map(|(_, field)| field.current(element).norm_sqr()).sum::<f64>();
        (self.square_of_amperes(element) + alternating).sqrt()
    }

    /// Mean of the square of the volts across an element, DC with its ripple.
    fn square_of_volts(&self, element: usize) -> f64 {
        self.inner.averages.squares(element).map_or_else(
            || self.direct.across(element).powi(2) + ripple(&self.waves, |field| field.across(element)).1,
            |(volts, _)| volts,
        )
    }

    /// Mean of the square of the amperes through an element, DC with its ripple.
    pub(crate) fn square_of_amperes(&self, element: usize) -> f64 {
        self.inner.averages.squares(element).map_or_else(
            || self.direct.current(element).powi(2) + ripple(&self.waves, |field| field.current(element)).1,
            |(_, amperes)| amperes,
        )
    }
}

impl Circuit<'_> {
    /// Solves a state with relays and fuses where they are, starting from a guess of what is inside.
    ///
    /// `known` are points that were solved before: networks that are the same are not solved again.
    pub(crate) fn point(
        &self,
        situation: &Situation<'_>,
        positions: &Positions,
        inner: Inner,
        known: &[Arc<Point>],
    ) -> Result<Arc<Point>, CircuitError> {
        self.point_of(situation, &self.live(situation, positions).into(), inner, known)
    }

    /// The same of the elements that conduct.
    pub(crate) fn point_of(
        &self,
        situation: &Situation<'_>,
        live: &Arc<[usize]>,
        mut inner: Inner,
        known: &[Arc<Point>],
    ) -> Result<Arc<Point>, CircuitError> {
        if let Some(same) = unchanged(situation, live, known) {
            return Ok(same);
        }
        let mut hands: Vec<Hand> = self.lamps.iter().map(|_| Hand::default()).collect();
        let mut last: Option<Point> = None;
        for _ in 0..MOST_PASSES {
            let relit = last.as_ref().and_then(|last| self.relit(situation, live, last, &inner));
            let (rectified, alternating) = match (relit, last.take()) {
                (Some((direct, alternating)), Some(last)) => (Rectified { direct, waves: last.waves }, alternating),
                (_, last) => {
                    let before = || known.iter().map(AsRef::as_ref).chain(last.as_ref());
                    let rectified = self.rectified_field(situation, live, &mut inner, &before())?;
                    (rectified, self.alternating_fields(situation, live, &inner, &before())?)
                }
            };
            let Rectified { direct, waves } = rectified;
            let inside = Arc::new(inner.clone());
            let mut point = Point { live: Arc::clone(live), direct, alternating, inner: inside, waves };
            let lamps_rest = self.follow_filaments(situation, &point, &mut inner, &mut hands);
            let feeds_rest = self.follow_feeds(situation, &point, &mut inner);
            if lamps_rest && feeds_rest {
                if point.waves.is_empty() && point.inner.averages.is_empty() {
                    point.waves = self.waves(situation, &point.direct);
                }
                return self.checked(point, situation).map(Arc::new);
            }
            last = Some(point);
        }
        let lamps = self.lamps.iter().chain(&self.rectified);
        Err(refusal(Reason::Unsettled { parts: lamps.map(|&element| self.machine.elements[element].part).collect() }))
    }

    /// The fields after nothing but filaments moved, where these are all fed with AC: DC and all other branches stay.
    fn relit(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        last: &Point,
        inner: &Inner,
    ) -> Option<(Arc<Field<f64>>, Phasors)> {
        let in_direct = self.lamps.iter().any(|&lamp| self.reach.direct[lamp]);
        if in_direct || !situation.extras.is_empty() || inner.feeds != last.inner.feeds {
            return None;
        }
        let mut fields = Vec::with_capacity(last.alternating.len());
        for (frequency, field) in &last.alternating {
            let mut branches = field.branches();
            for &lamp in self.lamps.iter().filter(|lamp| live.binary_search(lamp).is_ok()) {
                if self.reach.alternating[lamp] {
                    branches.admittances[lamp] = self.alternating_ohms(lamp, *frequency, situation, inner).inv();
                }
            }
            let field = self.field(branches, &[]);
            if field.factor.weakest < WEAKEST {
                return None;
            }
            fields.push((*frequency, Arc::new(field)));
        }
        Some((Arc::clone(&last.direct), fields))
    }

    /// DC with the one set of conducting diodes that fits.
    fn direct_field<'a>(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &mut Inner,
        known: &(impl Iterator<Item = &'a Point> + Clone),
    ) -> Result<Arc<Field<f64>>, CircuitError> {
        let mut seen: BTreeSet<Vec<DiodeState>> = BTreeSet::new();
        let mut singly = false;
        let limit = 100 + 20 * self.diodes.len();
        inner.averages = Averages::default();
        for _ in 0..limit {
            let branches = self.direct(situation, live, inner);
            let same = known.clone().find(|point| point.direct.is_of(&branches));
            let field = match same {
                Some(point) => Arc::clone(&point.direct),
                None => Arc::new(self.field(branches, situation.extras)),
            };
            let wrong: Vec<(usize, DiodeState)> = self
                .diodes
                .iter()
                .map(|&diode| (diode, self.fitting(diode, &field, 0.0, inner.diodes[diode], situation.changes)))
                .filter(|&(diode, state)| state != inner.diodes[diode])
                .collect();
            if wrong.is_empty() {
                return Ok(field);
            }
            // All at once is fastest; if a pattern comes back, one at a time, lowest first, must end (Murty 1974).
            singly |= !seen.insert(self.diodes.iter().map(|&diode| inner.diodes[diode]).collect());
            for &(diode, state) in wrong.iter().take(if singly { 1 } else { wrong.len() }) {
                inner.diodes[diode] = state;
            }
        }
        Err(refusal(Reason::Unsettled {
            parts: self.diodes.iter().map(|&diode| self.machine.elements[diode].part).collect(),
        }))
    }

    /// DC with what rectified supplies make of it.
    fn rectified_field<'a>(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &mut Inner,
        known: &(impl Iterator<Item = &'a Point> + Clone),
    ) -> Result<Rectified, CircuitError> {
        let direct = self.direct_field(situation, live, inner, known)?;
        let flat = |&element: &usize| self.feed(element, situation).is_none_or(|feed| feed.reservoir > 0.0);
        if self.lamps.is_empty() && self.rectified.iter().all(flat) {
            // Ripple is then asked for when all is at rest.
            return Ok(Rectified { direct, waves: Vec::new() });
        }
        let mut waves = self.waves(situation, &direct);
        Ok(match self.with_pulses(situation, live, inner, &direct, &waves)? {
            Some(averaged) => {
                waves.retain(|share| inner.averages.get(share.element).is_none());
                Rectified { direct: averaged, waves }
            }
            None => Rectified { direct, waves },
        })
    }

    /// The DC network of averages where something switches within a cycle.
    fn with_pulses(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &mut Inner,
        field: &Field<f64>,
        waves: &[Share],
    ) -> Result<Option<Arc<Field<f64>>>, CircuitError> {
        let uneven = self.uneven(situation, live, inner, field, waves);
        let Some(averages) = self.pulse_averages(situation, live, inner, (field, &uneven))? else { return Ok(None) };
        inner.averages = averages;
        let field = self.field(self.direct(situation, live, inner), situation.extras);
        for &diode in self.diodes.iter().filter(|&&diode| inner.averages.get(diode).is_some()) {
            let conducts = field.current(diode).abs() > 1e-6;
            inner.diodes[diode] = if conducts { DiodeState::Conducts } else { DiodeState::Blocks };
        }
        Ok(Some(Arc::new(field)))
    }

    fn alternating_fields<'a>(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &Inner,
        known: &(impl Iterator<Item = &'a Point> + Clone),
    ) -> Result<Phasors, CircuitError> {
        let mut fields = Vec::with_capacity(self.frequencies.len());
        for (index, &frequency) in self.frequencies.iter().enumerate() {
            let branches = self.alternating(frequency, situation, live, inner);
            let at = |point: &'a Point| point.alternating.get(index).map(|(_, field)| field);
            if let Some(field) = known.clone().filter_map(at).find(|field| field.is_of(&branches)) {
                fields.push((frequency, Arc::clone(field)));
                continue;
            }
            let field = self.field(branches, situation.extras);
            if field.factor.weakest < WEAKEST {
                let parts = self.sources.iter().map(|&source| self.machine.elements[source].part).collect();
                return Err(refusal(Reason::Resonance { parts }));
            }
            fields.push((frequency, Arc::new(field)));
        }
        Ok(fields)
    }

    /// Refuses a point that must not be trusted.
    fn checked(&self, point: Point, situation: &Situation<'_>) -> Result<Point, CircuitError> {
        self.untrusted(&point, situation)?;
        Ok(point)
    }

    pub(crate) fn untrusted(&self, point: &Point, situation: &Situation<'_>) -> Result<(), CircuitError> {
        for &source in &self.sources {
            let amperes = point.direct.current(source).abs().max(point.alternating_current(source));
            if !amperes.is_finite() || amperes > 1e6 {
                let parts =
                    self.sources.iter().copied().filter(|&other| {
                        point.direct.current(other).abs() > 1e5 || point.alternating_current(other) > 1e5
                    });
                let parts = parts.map(|other| self.machine.elements[other].part).collect();
                return Err(refusal(Reason::SourcesConflict { parts }));
            }
        }
        if !self.frequencies.is_empty() {
            self.refuse_switched_diodes(point, situation)?;
        }
        Ok(())
    }

    /// Superposition of DC and AC holds only where no diode switches within a cycle.
    fn refuse_switched_diodes(&self, point: &Point, situation: &Situation<'_>) -> Result<(), CircuitError> {
        for &element in self.diodes.iter().chain(&self.rectified) {
            let volts = std::f64::consts::SQRT_2 * point.alternating_across(element);
            let amperes = std::f64::consts::SQRT_2 * point.alternating_current(element);
            let across = point.direct.across(element);
            let switches = match &self.elements.models[element] {
                Model::Diode(diode) => match point.inner.diodes[element] {
                    DiodeState::Blocks => {
                        across.abs().max(0.0) + volts > diode.drop
                            && volts > 1e-3
                            && self.could_conduct(element, across, volts, situation)
                    }
                    DiodeState::Conducts | DiodeState::BreaksDown => {
                        amperes > point.direct.current(element).abs() && volts > 1e-6
                    }
                },
                _ => amperes > point.direct.current(element).abs() + 1e-6,
            };
            if switches {
                let live = |&&source: &&usize| {
                    point
                        .alternating
                        .iter()
                        .any(|(_, field)| field.source(source).norm() > 0.0 && field.current(source).norm() > 1e-9)
                };
                let supplies =
                    self.sources.iter().filter(live).map(|&source| self.machine.elements[source].part).collect();
                return Err(refusal(Reason::DiodeUnderAlternating {
                    diode: self.machine.elements[element].part,
                    supplies,
                }));
            }
        }
        Ok(())
    }

    /// Whether a blocking diode is driven past its knees by an AC peak on top of its DC voltage.
    fn could_conduct(&self, element: usize, across: f64, peak: f64, situation: &Situation<'_>) -> bool {
        let Model::Diode(diode) = &self.elements.models[element] else {
            return false;
        };
        let across = sign(element, situation.changes) * across;
        across + peak > diode.drop || across - peak < -diode.zener.unwrap_or(f64::INFINITY)
    }
}

pub(crate) fn refusal(reason: Reason) -> CircuitError {
    CircuitError { sequence: None, reason }
}

impl CircuitError {
    /// The same, of a sequence.
    pub(crate) fn within(mut self, sequence: SequenceId) -> Self {
        self.sequence.get_or_insert(sequence);
        self
    }
}

/// The parts with a flag set.
pub(crate) fn flagged(flags: &[bool]) -> BTreeSet<PartId> {
    flags.iter().enumerate().filter(|(_, flag)| **flag).map(|(index, _)| PartId(index)).collect()
}

/// A known point of the healthy machine, where the changes touch nothing that conducts.
fn unchanged(situation: &Situation<'_>, live: &[usize], known: &[Arc<Point>]) -> Option<Arc<Point>> {
    let touches = |change: &Change| match *change {
        Change::Open(_) | Change::StuckClosed(_) | Change::RelayStuck(..) | Change::SwitchStuck(..) => false,
        Change::Short(element) | Change::Added(element, _) | Change::Value(element, _) | Change::Reversed(element) => {
            live.binary_search(&element.0).is_ok()
        }
        Change::SupplyScaled(..) | Change::RectifierOpen(_) | Change::ReservoirOpen(_) | Change::Bridge(..) => true,
    };
    if !situation.extras.is_empty() || situation.changes.iter().any(touches) {
        return None;
    }
    known.iter().find(|point| *point.live == *live).cloned()
}
