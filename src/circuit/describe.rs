//! Turns a settled sequence into plain results: readings, devices, joints, remarks.

use std::collections::BTreeSet;

use crate::machine::model::{
    Coil, Current, ElementId, JointId, Law, Machine, PartId, PartKind, RectifierForm, SequenceId, TestPointId,
};

use super::diode::DiodeState;
use super::faulted::Across;
use super::groups::Groups;
use super::meter::{Islands, MeterReading, Scratch, read};
use super::network::Circuit;
use super::point::{Point, flagged};
use super::results::{Band, Certainty, DeviceReading, JointVoltage, Reading, Remark, SequenceSolution};
use super::settle::coil_volts;
use super::shares::{Share, ripple};
use super::solver::{Effort, Solver};
use super::values::{CoilModel, Model};

/// Share of its rated volts at which a lamp is taken to be lit: by the 3.4th power law a sixth of its light is left.
pub(crate) const LIT: f64 = 0.6;
/// Volts at which a loudspeaker is taken to sound.
const HEARD: f64 = 0.1;

impl Solver<'_> {
    pub(crate) fn describe(&self, sequence: SequenceId, effort: Effort) -> SequenceSolution {
        let rest = &self.rests[sequence.0];
        let circuit = &self.circuit;
        let islands = Islands::of(&rest.point);
        let held = circuit.held(&rest.point);
        let mut solution = SequenceSolution {
            sequence,
            settling: rest.settling.clone(),
            energised: flagged(&rest.positions.energised),
            conducting: conducting(circuit, &rest.point),
            opened: rest.opened.clone(),
            readings: self.readings(sequence, &islands, &held),
            devices: circuit.devices(&rest.point, &rest.positions.energised),
            joints: circuit.joint_voltages(&rest.point, &islands, &held),
            currents: circuit.currents(&rest.point),
            remarks: circuit.remarks(&rest.point),
        };
        self.add_drops(sequence, &islands, &mut solution);
        self.add_outcomes(sequence, &mut solution);
        if effort == Effort::Bands {
            self.add_bands(sequence, &mut solution);
        }
        solution
    }

    fn readings(&self, sequence: SequenceId, islands: &Islands, held: &[usize]) -> Vec<Reading> {
        let circuit = &self.circuit;
        let rest = &self.rests[sequence.0];
        let situation = self.nominal(sequence);
        let mut scratch = Scratch::default();
        let mut readings = Vec::with_capacity(circuit.machine.test_points.len());
        for (index, at) in circuit.machine.test_points.iter().enumerate() {
            let leads = (at.joint, at.reference);
            let state = (&situation, &rest.positions);
            let meter = &circuit.machine.meter;
            // A refusal can only come from the meter's own current; the unloaded state was answered, so it stands.
            let both = circuit
                .read_exactly(&rest.point, islands, leads, meter, state, &mut scratch)
                .unwrap_or_else(|_| read(&rest.point, islands, leads, meter, &mut scratch));
            let floating = held[at.joint.0] != held[at.reference.0];
            for shown in both.all(circuit.reach.usual(circuit.machine.reference, leads)) {
                readings.push(circuit.reading(TestPointId(index), at.reference, shown, floating, &rest.point));
            }
        }
        readings
    }
}

impl Circuit<'_> {
    fn reading(
        &self,
        at: TestPointId,
        against: JointId,
        shown: MeterReading,
        floating: bool,
        point: &Point,
    ) -> Reading {
        let band = Band { low: shown.volts, high: shown.volts, certainty: Certainty::Searched };
        let (mut ripple, mut rms) = (None, None);
        if shown.quantity == Current::Direct
            && (!point.waves.is_empty() || !point.inner.averages.is_empty())
            && !floating
        {
            let red = self.machine.test_points[at.0].joint.0;
            let (peak_to_peak, square) = ripple_between(point, red, against.0);
            if peak_to_peak > 1e-3 * shown.volts.abs().max(1e-3) {
                ripple = Some(peak_to_peak);
                rms = Some((shown.volts * shown.volts + square).sqrt());
            }
        }
        Reading {
            at,
            against,
            quantity: shown.quantity,
            nominal: shown.volts,
            band,
            drop: None,
            outcomes: Vec::new(),
            ripple,
            rms,
            floating,
        }
    }

    /// For each joint the name of its island when blocked diodes count as open; DC and AC paths both hold.
    pub(crate) fn held(&self, point: &Point) -> Vec<usize> {
        let mut groups = Groups::new(self.machine.joints.len());
        for &element in point.live.iter() {
            let ends = &self.machine.elements[element];
            let insulates = match &self.elements.models[element] {
                Model::Diode(_) => point.inner.diodes[element] == DiodeState::Blocks,
                Model::Capacitor => point.alternating.is_empty(),
                _ => false,
            };
            if !insulates {
                groups.join(ends.from.0, ends.to.0);
            }
        }
        for &(a, b) in &point.direct.structure.edges()[self.machine.elements.len()..] {
            groups.join(a, b);
        }
        groups.names()
    }

    /// Voltages of all joints, each island against its own ground.
    pub(crate) fn joint_voltages(&self, point: &Point, islands: &Islands, held: &[usize]) -> Vec<JointVoltage> {
        let grounds = self.grounds(|joint| islands.of_joint(joint));
        let mut volts: Vec<JointVoltage> = (0..self.machine.joints.len())
            .map(|joint| JointVoltage {
                direct: point.direct.between(joint, grounds[islands.of_joint(JointId(joint))]),
                floating: held[joint] != held[self.machine.reference.0],
                ..JointVoltage::default()
            })
            .collect();
        for (index, (_, field)) in point.alternating.iter().enumerate() {
            let grounds = self.grounds(|joint| islands.at_frequency(index, joint));
            for (joint, at) in volts.iter_mut().enumerate() {
                let phasor = field.between(joint, grounds[islands.at_frequency(index, JointId(joint))]);
                let (before, now) = (at.real.hypot(at.imaginary), phasor.norm());
                // Several frequencies: the total has the direction of the strongest.
                let total = before.hypot(now);
                let (real, imaginary) = if now >= before { (phasor.re, phasor.im) } else { (at.real, at.imaginary) };
                let scale = if before.max(now) > 0.0 { total / before.max(now) } else { 0.0 };
                (at.real, at.imaginary) = (real * scale, imaginary * scale);
            }
        }
        volts
    }

    /// For each island (by the name that `of` gives) the joint that counts as zero: the machine's reference, else a test
    /// point's, else the second terminal of a supply, else the first joint.
    fn grounds(&self, of: impl Fn(JointId) -> usize) -> Vec<usize> {
        let machine = self.machine;
        let mut ground = vec![usize::MAX; machine.joints.len()];
        let references = machine.test_points.iter().map(|point| point.reference);
        let returns = self.sources.iter().map(|&source| machine.elements[source].to);
        let all = (0..machine.joints.len()).map(JointId);
        for joint in std::iter::once(machine.reference).chain(references).chain(returns).chain(all) {
            let island = of(joint);
            if ground[island] == usize::MAX {
                ground[island] = joint.0;
            }
        }
        ground
    }

    /// Currents of all elements; AC as magnitude.
    pub(crate) fn currents(&self, point: &Point) -> Vec<f64> {
        let direct = super::kirchhoff::currents(&point.direct);
        let mut currents = direct;
        currents.truncate(self.machine.elements.len());
        for (_, field) in &point.alternating {
            let phasors = super::kirchhoff::currents(field);
            for (current, phasor) in currents.iter_mut().zip(phasors) {
                if phasor.norm() > current.abs() {
                    *current = phasor.norm();
                }
            }
        }
        currents
    }

    /// Volts, amps and watts of every device.
    pub(crate) fn devices(&self, point: &Point, energised: &[bool]) -> Vec<DeviceReading> {
        let owners = self.machine.elements.iter().map(|ends| ends.part).enumerate();
        owners
            .filter(|&(element, part)| {
                let passive = matches!(
                    self.machine.part(part).kind,
                    PartKind::Fuse(_) | PartKind::Resistor(_) | PartKind::Capacitor(_) | PartKind::Inductor(_)
                );
                passive || is_operator(self.machine, ElementId(element))
            })
            .map(|(element, part)| self.device(point, energised, part, ElementId(element)))
            .collect()
    }

    /// Volts across some elements as a meter shows them: nothing where the ends hang in the air apart from each other.
    pub(crate) fn volts_across(&self, point: &Point, islands: &Islands, elements: &[ElementId]) -> Vec<Across> {
        let across = |element: &ElementId| {
            let ends = &self.machine.elements[element.0];
            let (from, to) = (ends.from, ends.to);
            let joined = islands.of_joint(from) == islands.of_joint(to);
            let direct = if joined { point.direct.between(from.0, to.0) } else { 0.0 };
            let fields = point.alternating.iter().enumerate();
            let alternating = fields
                .filter(|(index, _)| islands.at_frequency(*index, from) == islands.at_frequency(*index, to))
                .map(|(_, (_, field))| field.between(from.0, to.0).norm())
                .fold(0.0, f64::hypot);
            Across { direct, alternating }
        };
        elements.iter().map(across).collect()
    }

    /// Currents of some elements, as in [`Circuit::currents`].
    pub(crate) fn currents_of(&self, point: &Point, elements: &[ElementId]) -> Vec<f64> {
        let stiff = |element: &ElementId| {
            super::kirchhoff::is_stiff(&point.direct, element.0)
                || point.alternating.iter().any(|(_, field)| super::kirchhoff::is_stiff(field, element.0))
        };
        if elements.iter().any(stiff) {
            let all = self.currents(point);
            return elements.iter().map(|element| all[element.0]).collect();
        }
        let current = |element: &ElementId| {
            let phasors = point.alternating.iter().map(|(_, field)| field.current(element.0).norm());
            phasors.fold(point.direct.current(element.0), |most, next| if next > most.abs() { next } else { most })
        };
        elements.iter().map(current).collect()
    }

    fn device(&self, point: &Point, energised: &[bool], part: PartId, element: ElementId) -> DeviceReading {
        let (direct, alternating) = (point.direct.across(element.0), point.alternating_across(element.0));
        let coil = self.coil_of(part, element);
        let usual = coil.map_or(Current::Direct, |coil| coil.current);
        let quantity = if alternating.max(direct.abs()) < 1e-9 {
            usual
        } else if alternating > direct.abs() {
            Current::Alternating
        } else {
            Current::Direct
        };
        let (volts, amps) = match quantity {
            Current::Direct => (direct, point.direct.current(element.0)),
            Current::Alternating => (alternating, point.alternating_current(element.0)),
        };
        DeviceReading {
            part,
            element,
            quantity,
            volts,
            amps,
            watts: watts(point, element.0),
            band: None,
            operates: self.operates(point, energised, part, element),
            operates_at_worst: None,
        }
    }

    /// The winding that an element is, if it is one.
    pub(crate) fn coil_of(&self, part: PartId, element: ElementId) -> Option<&Coil> {
        match (&self.machine.part(part).kind, &self.machine.element(element).law) {
            (PartKind::Relay(relay), Law::ResetWinding) => relay.reset.as_ref(),
            (PartKind::Relay(relay), _) => Some(&relay.coil),
            (PartKind::Solenoid(coil) | PartKind::Motor(coil), _) => Some(coil),
            _ => None,
        }
    }

    pub(crate) fn operates(&self, point: &Point, energised: &[bool], part: PartId, element: ElementId) -> Option<bool> {
        let law = &self.machine.element(element).law;
        match &self.machine.part(part).kind {
            PartKind::Relay(relay) if relay.reset.is_none() => Some(energised[part.0]),
            PartKind::Relay(_) | PartKind::Solenoid(_) | PartKind::Motor(_) => {
                debug_assert!(matches!(law, Law::Winding | Law::ResetWinding), "only windings operate");
                self.coil_of(part, element).map(|coil| coil_volts(point, element.0, coil) >= coil.operate.value())
            }
            PartKind::Lamp(_) | PartKind::Speaker(_) if point.is_open(element.0) => Some(false),
            PartKind::Lamp(lamp) => Some(point.heating_volts(element.0) >= LIT * lamp.nominal.value()),
            PartKind::Speaker(_) => Some(point.alternating_across(element.0) >= HEARD),
            _ => None,
        }
    }

    /// Whether a winding carries current from a half-wave supply without reservoir, whose average its inductance decides.
    fn pulses_reach(&self, point: &Point, element: usize) -> bool {
        let pulsing = |&&source: &&usize| {
            let Model::Source(model) = &self.elements.models[source] else { return false };
            model.rectifier.as_ref().is_some_and(|own| own.form == RectifierForm::HalfWave && own.reservoir.is_none())
                && point.direct.current(source).abs() > 1e-9
        };
        let near = |&source: &usize| self.reach.same_zone(source, element);
        point.direct.current(element).abs() > 1e-6 && self.rectified.iter().filter(pulsing).any(near)
    }

    fn remarks(&self, point: &Point) -> Vec<Remark> {
        let mut remarks = BTreeSet::new();
        for (element, ends) in self.machine.elements.iter().enumerate() {
            let alternating = point.alternating_across(element) > 1e-3;
            match (&self.elements.models[element], &self.machine.part(ends.part).kind) {
                (Model::Coil(CoilModel::Unknown), _) if alternating => {
                    remarks.insert(Remark::ImpedanceEstimated(ends.part));
                }
                (Model::Coil(CoilModel::Unknown), _) if self.pulses_reach(point, element) => {
                    remarks.insert(Remark::InductanceAssumed(ends.part));
                }
                (Model::Lamp(lamp), _) => {
                    let share = point.heating_volts(element) / lamp.nominal;
                    if share > 0.02 && !(0.7..=1.2).contains(&share) {
                        remarks.insert(Remark::LampLawRough(ends.part));
                    }
                }
                _ => {}
            }
        }
        if !point.inner.averages.is_empty() {
            let delivers = |&&element: &&usize| {
                point.inner.averages.get(element).is_some() && point.direct.current(element).abs() > 1e-9
            };
            let part = |&element: &usize| self.machine.elements[element].part;
            remarks.extend(self.rectified.iter().filter(delivers).map(part).map(Remark::AverageOfUnsmoothed));
        }
        for Share { element, wave, .. } in &point.waves {
            // A wave that is within a few percent of flat reads the same on any meter.
            if wave.average > 0.0 && wave.ripple > 0.1 * wave.average && point.direct.current(*element).abs() > 1e-9 {
                remarks.insert(Remark::AverageOfUnsmoothed(self.machine.elements[*element].part));
            }
        }
        remarks.extend(self.strained_fuses(point).into_iter().map(Remark::FuseMayOpen));
        remarks.into_iter().collect()
    }
}

/// Whether an element is what moves, lights or sounds in its part.
pub(crate) fn is_operator(machine: &Machine, element: ElementId) -> bool {
    let ends = machine.element(element);
    match machine.part(ends.part).kind {
        PartKind::Lamp(_) | PartKind::Speaker(_) | PartKind::Solenoid(_) | PartKind::Motor(_) => true,
        PartKind::Relay(_) => matches!(ends.law, Law::Winding | Law::ResetWinding),
        _ => false,
    }
}

fn conducting(circuit: &Circuit<'_>, point: &Point) -> BTreeSet<ElementId> {
    let open = |&&diode: &&usize| point.inner.diodes[diode] != DiodeState::Blocks;
    circuit.diodes.iter().filter(open).map(|&diode| ElementId(diode)).collect()
}

/// Ripple peak to peak and square of its RMS between two joints.
fn ripple_between(point: &Point, red: usize, black: usize) -> (f64, f64) {
    match point.inner.averages.cycle() {
        Some(cycle) if cycle.holds(red) || cycle.holds(black) => cycle.ripple(red, black),
        _ => ripple(&point.waves, |field| field.between(red, black)),
    }
}

fn watts(point: &Point, element: usize) -> f64 {
    let ohms = |admittance: f64| {
        if admittance > 0.0 { 1.0 / admittance } else { 0.0 }
    };
    let mut watts = point.square_of_amperes(element) * ohms(point.direct.admittance(element));
    for (_, field) in &point.alternating {
        let admittance = field.admittance(element);
        if admittance.norm() > 0.0 {
            watts += field.current(element).norm_sqr() * admittance.inv().re;
        }
    }
    watts
}
