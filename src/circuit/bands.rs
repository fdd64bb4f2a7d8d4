//! Bands: lowest and highest reading over all healthy machines, proved where it can be.

use std::collections::BTreeSet;

use crate::machine::model::{Current, JointId, Meter, PartId, PartKind, SequenceId};

use super::diode::DiodeState;
use super::graph::{Asked, Graph};
use super::kernel::{Extremes, Kernel, Shown, Work};
use super::meter::meter_ohms;
use super::results::{Band, Certainty, DeviceReading, SequenceSolution};
use super::scalar::Scalar;
use super::settle::Rest;
use super::shares::Share;
use super::solver::Solver;
use super::spans::{Doubts, SpanNets, is_blocked};
use super::values::Model;

/// Rounds in which the ohms of filaments are closed in on.
const FILAMENT_ROUNDS: usize = 6;

/// Scratch numbers for both kinds of network.
#[derive(Default)]
pub(super) struct Works {
    real: Work<f64>,
    complex: Work<num_complex::Complex64>,
}

const NOTHING: Extremes = Extremes { low: 0.0, high: 0.0, certainty: Certainty::Exact };

impl Solver<'_> {
    /// Fills in all bands of a described sequence.
    pub(crate) fn add_bands(&self, sequence: SequenceId, solution: &mut SequenceSolution) {
        let mut answers = self.extremes(sequence, &self.rests[sequence.0], solution).into_iter();
        let mut next = |nominal: f64| band(answers.next().unwrap_or(NOTHING), nominal);
        for reading in &mut solution.readings {
            reading.band = next(reading.nominal);
            if let Some(drop) = &mut reading.drop {
                drop.band = next(drop.nominal);
            }
        }
        for device in solution.devices.iter_mut().filter(|device| self.has_band(device)) {
            let volts = next(device.volts);
            self.judge(sequence, device, volts);
        }
    }

    /// Extremes of all voltages whose bands a sequence shows, with relays and fuses as in one state of it.
    pub(crate) fn extremes(&self, sequence: SequenceId, rest: &Rest, solution: &SequenceSolution) -> Vec<Extremes> {
        let mut works = Works::default();
        let keep = self.kept_joints();
        let doubts = self.doubts(sequence, rest, &mut works);
        let nets = self.span_nets(sequence, rest, &doubts, &keep);
        let asked = self.asked(solution);
        let mut all = nets.all_extremes(&asked, &mut works);
        self.try_other_ranges(&nets, &asked, &mut all, &mut works);
        let unproved = |extremes: &Extremes| extremes.certainty == Certainty::Searched;
        let pulses = !rest.point.inner.averages.is_empty();
        let blocked = self.circuit.rectified.iter().any(|&element| is_blocked(element, rest));
        let switches = doubts.diodes.contains(&true) || pulses || blocked;
        if switches && all.iter().any(unproved) {
            let found = self.search(sequence, rest, &asked);
            for (extremes, [low, high]) in all.iter_mut().zip(found).filter(|(extremes, _)| unproved(extremes)) {
                if low <= high {
                    (extremes.low, extremes.high) = (low, high);
                }
            }
        }
        all
    }

    /// A meter with several ranges loads otherwise on each: takes in what the ranges at both ends of a band show.
    fn try_other_ranges(&self, nets: &SpanNets, asked: &[(Current, Asked)], all: &mut [Extremes], works: &mut Works) {
        let meter = &self.circuit.machine.meter;
        if matches!(meter, Meter::Digital(_)) {
            return;
        }
        for ((quantity, ask), extremes) in asked.iter().zip(all) {
            let Some(usual) = ask.meter else { continue };
            let ends = [extremes.low, extremes.high].map(|volts| meter_ohms(meter, volts, *quantity));
            for ohms in ends.into_iter().filter(|ohms| (ohms / usual - 1.0).abs() > 1e-9) {
                let other = nets.extremes(*quantity, (JointId(ask.red), JointId(ask.black)), Some(ohms), works);
                extremes.low = extremes.low.min(other.low);
                extremes.high = extremes.high.max(other.high);
                extremes.certainty = Certainty::Searched;
            }
        }
    }

    /// All voltages whose bands a sequence shows, in the order in which they are filled in.
    fn asked(&self, solution: &SequenceSolution) -> Vec<(Current, Asked)> {
        let machine = self.circuit.machine;
        let mut asked = Vec::new();
        let mut ask = |quantity: Current, (red, black): (JointId, JointId), meter: Option<f64>| {
            let number = asked.len();
            asked.push((quantity, Asked { number, red: red.0, black: black.0, meter }));
        };
        for reading in &solution.readings {
            let at = machine.test_points[reading.at.0].joint;
            let ohms = |nominal: f64| Some(meter_ohms(&machine.meter, nominal, reading.quantity));
            ask(reading.quantity, (at, reading.against), ohms(reading.nominal));
            if let Some(drop) = &reading.drop {
                ask(reading.quantity, (machine.test_points[drop.from.0].joint, at), ohms(drop.nominal));
            }
        }
        for device in solution.devices.iter().filter(|device| self.has_band(device)) {
            ask(device.quantity, self.ends(device.element.0), None);
        }
        asked
    }

    /// Whether a device has a threshold that its volts must reach.
    pub(crate) fn has_band(&self, device: &DeviceReading) -> bool {
        device.operates.is_some() && !matches!(self.circuit.machine.part(device.part).kind, PartKind::Speaker(_))
    }

    /// Joints that readings and devices need.
    fn kept_joints(&self) -> Vec<bool> {
        let machine = self.circuit.machine;
        let mut keep = vec![false; machine.joints.len() + self.circuit.rectified.len()];
        for point in &machine.test_points {
            keep[point.joint.0] = true;
            keep[point.reference.0] = true;
        }
        for (element, model) in self.circuit.elements.models.iter().enumerate() {
            if matches!(model, Model::Coil(_) | Model::Lamp(_)) {
                let ends = &machine.elements[element];
                keep[ends.from.0] = true;
                keep[ends.to.0] = true;
            }
        }
        keep
    }

    /// Spans of filaments and rectified supplies, and diodes that may change sides.
    fn doubts(&self, sequence: SequenceId, rest: &Rest, works: &mut Works) -> Doubts {
        let circuit = &self.circuit;
        let count = circuit.elements.models.len();
        let mut doubts = Doubts { filaments: vec![None; count], diodes: vec![false; count], feeds: vec![None; count] };
        if circuit.lamps.is_empty() && circuit.diodes.is_empty() && circuit.rectified.is_empty() {
            return doubts;
        }
        let mut keep = vec![false; circuit.machine.joints.len() + circuit.rectified.len()];
        for &element in circuit.lamps.iter().chain(&circuit.diodes).chain(&circuit.rectified) {
            let ends = &circuit.machine.elements[element];
            keep[ends.from.0] = true;
            keep[ends.to.0] = true;
        }
        keep[circuit.machine.joints.len()..].fill(true);
        for _ in 0..2 {
            self.close_in(sequence, rest, &mut doubts, &keep, works);
            if !self.doubt_diodes(sequence, rest, &mut doubts, &keep, works) {
                break;
            }
        }
        doubts
    }

    /// Encloses the ohms of each filament and the source of each supply with a reservoir: from anything that could be, to
    /// what the volts and amperes so far allow.
    fn close_in(&self, sequence: SequenceId, rest: &Rest, doubts: &mut Doubts, keep: &[bool], works: &mut Works) {
        let circuit = &self.circuit;
        let most: f64 = circuit.sources.iter().map(|&source| circuit.elements.spans[source][0].high.abs()).sum();
        for &element in &circuit.lamps {
            doubts.filaments[element] = Some((self.filament(element, 0.0, 2.0 * most), true));
        }
        for &element in &circuit.rectified {
            doubts.feeds[element] = self.any_feed(sequence, rest, element);
        }
        // First only by what is proved, as far as that leads; then by what a search finds, where proof leaves it wide.
        for strict in [true, false] {
            for _ in 0..FILAMENT_ROUNDS {
                let nets = self.span_nets(sequence, rest, doubts, keep);
                let mut moved = false;
                for &element in &circuit.rectified {
                    moved |= self.close_in_on_feed(sequence, element, (&nets, strict), doubts, works);
                }
                for &element in &circuit.lamps {
                    moved |= self.close_in_on_filament((sequence, rest), element, (&nets, strict), doubts, works);
                }
                if !moved {
                    break;
                }
            }
        }
    }

    /// Narrows the ohms of a filament by the volts that can heat it; whether by much.
    fn close_in_on_filament(
        &self,
        (sequence, rest): (SequenceId, &Rest),
        element: usize,
        (nets, strict): (&SpanNets, bool),
        doubts: &mut Doubts,
        works: &mut Works,
    ) -> bool {
        let Some((before, proved)) = doubts.filaments[element] else { return false };
        let volts = nets.heating(self.ends(element), works);
        let (form, form_is_proved) = self.worst_form((sequence, rest), element, doubts);
        let ohms = self.filament(element, volts.low, volts.high * form);
        // An enclosure stays one when it is cut by another.
        let ohms = [ohms[0].max(before[0]), ohms[1].min(before[1])];
        let certain = form_is_proved && volts.certainty == Certainty::Exact;
        let narrower = ohms[1] - ohms[0] < 0.99 * (before[1] - before[0]);
        if certain || (narrower && !strict) {
            doubts.filaments[element] = Some((ohms, proved && certain));
        }
        narrower && (certain || !strict)
    }

    /// RMS over average at a lamp behind rectified waves, and whether none is larger on any healthy machine; one without.
    ///
    /// With a reservoir the wave falls by no more than its period over the time constant of reservoir and load, d, below its
    /// top; a wave between 1 − d and 1 has an RMS of no more than √(1 + (d/2)²/(1 − d)²) times its average.
    fn worst_form(&self, (sequence, rest): (SequenceId, &Rest), element: usize, doubts: &Doubts) -> (f64, bool) {
        let point = &rest.point;
        let direct = point.direct.across(element).abs();
        let mut worst = (1.0_f64, point.inner.averages.is_empty());
        for Share { element: supply, field: alone, .. } in &point.waves {
            if alone.across(element) == 0.0 {
                continue;
            }
            let found = if direct == 0.0 { 1.0 } else { (point.heating_volts(element) / direct).max(1.0) };
            let feed = self.circuit.feed(*supply, &self.nominal(sequence));
            let (form, proved) = match (doubts.feeds[*supply], feed) {
                (Some(span), Some(feed)) => {
                    feed.worst_form(span.loads[0]).map_or((found, false), |form| (form, span.proved))
                }
                _ => (found, false),
            };
            worst = (worst.0.max(form), worst.1 && proved);
        }
        worst
    }

    fn filament(&self, element: usize, low: f64, high: f64) -> [f64; 2] {
        let Model::Lamp(lamp) = &self.circuit.elements.models[element] else { return [1.0; 2] };
        let amperes = self.circuit.elements.spans[element][0];
        [lamp.ohms(amperes.high, low), lamp.ohms(amperes.low, high)]
    }

    /// Marks diodes whose state does not hold over the whole box; whether any is new.
    fn doubt_diodes(
        &self,
        sequence: SequenceId,
        rest: &Rest,
        doubts: &mut Doubts,
        keep: &[bool],
        works: &mut Works,
    ) -> bool {
        let circuit = &self.circuit;
        if circuit.diodes.is_empty() {
            return false;
        }
        let nets = self.span_nets(sequence, rest, doubts, keep);
        let mut fresh = false;
        for &element in &circuit.diodes {
            let Model::Diode(diode) = &circuit.elements.models[element] else { continue };
            let volts = nets.extremes(Current::Direct, self.ends(element), None, works);
            let breakdown = diode.zener.unwrap_or(f64::INFINITY);
            let sure = match rest.point.inner.diodes[element] {
                DiodeState::Blocks => volts.high < diode.drop && volts.low > -breakdown,
                DiodeState::Conducts => volts.low > diode.drop,
                DiodeState::BreaksDown => volts.high < -breakdown,
            };
            if !sure && !doubts.diodes[element] {
                doubts.diodes[element] = true;
                fresh = true;
            }
        }
        fresh
    }

    fn ends(&self, element: usize) -> (JointId, JointId) {
        let ends = &self.circuit.machine.elements[element];
        (ends.from, ends.to)
    }

    /// The band of a device's volts, and whether it operates on every healthy machine.
    fn judge(&self, sequence: SequenceId, device: &mut DeviceReading, volts: Band) {
        device.band = Some(volts);
        if device.operates == Some(true) {
            let least = if volts.low > 0.0 { volts.low } else { (-volts.high).max(0.0) };
            device.operates_at_worst = self.needed(sequence, device).map(|needed| least >= needed);
        }
    }

    /// Volts that a device needs in a sequence: those to hold where it was in before, else those to operate.
    fn needed(&self, sequence: SequenceId, device: &DeviceReading) -> Option<f64> {
        let machine = self.circuit.machine;
        if let PartKind::Lamp(lamp) = &machine.part(device.part).kind {
            return Some(super::describe::LIT * lamp.nominal.value());
        }
        let coil = self.circuit.coil_of(device.part, device.element)?;
        let before = machine.sequences[sequence.0].after;
        let held = matches!(machine.part(device.part).kind, PartKind::Relay(_))
            && before.is_some_and(|before| self.rests[before.0].positions.energised[device.part.0]);
        Some(if held { coil.release.value() } else { coil.operate.value() })
    }

    /// Relays whose coils may get too little, or enough, on a healthy machine to stand otherwise.
    pub(crate) fn relays_in_doubt(&self, sequence: SequenceId, solution: &SequenceSolution) -> Vec<PartId> {
        if !solution.settling.is_settled() {
            return Vec::new();
        }
        let mut coils: BTreeSet<_> = BTreeSet::new();
        for device in &solution.devices {
            let (Some(coil), Some(band)) = (self.circuit.coil_of(device.part, device.element), device.band) else {
                continue;
            };
            if !matches!(self.circuit.machine.part(device.part).kind, PartKind::Relay(_)) {
                continue;
            }
            let (least, most) = magnitudes(band.low, band.high);
            let in_doubt = match device.operates {
                Some(true) => self.needed(sequence, device).is_some_and(|needed| least <= needed),
                _ => most >= coil.operate.value(),
            };
            if in_doubt {
                coils.insert(device.part);
            }
        }
        coils.into_iter().collect()
    }
}

impl SpanNets {
    /// Extremes of DC volts across a part of a source's own branch, or across all of it.
    pub(super) fn source_extremes(&self, leads: (JointId, JointId), works: &mut Works) -> Extremes {
        // Next to nothing across them makes them neighbours, as a kernel wants them.
        let Some(kernel) = kernel(&self.direct, leads, Some(1e15)) else { return NOTHING };
        kernel.beside_the_only_source(&mut works.real).unwrap_or_else(|| kernel.extremes(&mut works.real))
    }

    /// Extremes of what is read between two joints.
    fn extremes(
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
    fn all_extremes(&self, asked: &[(Current, Asked)], works: &mut Works) -> Vec<Extremes> {
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
    fn heating(&self, ends: (JointId, JointId), works: &mut Works) -> Extremes {
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
fn magnitudes(low: f64, high: f64) -> (f64, f64) {
    if low >= 0.0 {
        (low, high)
    } else if high <= 0.0 {
        (-high, -low)
    } else {
        (0.0, high.max(-low))
    }
}

/// A band that holds the nominal value, whatever the last digit of both.
fn band(extremes: Extremes, nominal: f64) -> Band {
    Band { low: extremes.low.min(nominal), high: extremes.high.max(nominal), certainty: extremes.certainty }
}

/// Takes back the claim of proof where a relay could stand otherwise.
pub(crate) fn downgrade(solution: &mut SequenceSolution) {
    for reading in &mut solution.readings {
        reading.band.certainty = Certainty::Searched;
        if let Some(drop) = &mut reading.drop {
            drop.band.certainty = Certainty::Searched;
        }
    }
    for device in &mut solution.devices {
        if let Some(band) = &mut device.band {
            band.certainty = Certainty::Searched;
        }
    }
}

/// Takes the extremes of another state into the bands of a sequence, in the order in which they are asked for.
pub(crate) fn widen(solution: &mut SequenceSolution, all: Vec<Extremes>, has_band: impl Fn(&DeviceReading) -> bool) {
    let mut all = all.into_iter();
    let mut widened = |band: &mut Band| {
        if let Some(extremes) = all.next() {
            (band.low, band.high) = (band.low.min(extremes.low), band.high.max(extremes.high));
        }
    };
    for reading in &mut solution.readings {
        widened(&mut reading.band);
        if let Some(drop) = &mut reading.drop {
            widened(&mut drop.band);
        }
    }
    for device in solution.devices.iter_mut().filter(|device| has_band(device)) {
        if let Some(band) = &mut device.band {
            widened(band);
        }
    }
}
