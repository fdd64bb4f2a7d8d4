//! Bands: lowest and highest reading over all healthy machines, proved where it can be.

use std::collections::BTreeSet;

use crate::machine::model::{Current, JointId, Meter, PartId, PartKind, SequenceId};

use rayon::prelude::*;

use super::extremes::{NOTHING, Works, magnitudes};
use super::graph::Asked;
use super::meter::meter_ohms;
use super::results::{Band, Certainty, DeviceReading, Reading, SequenceSolution, Solution};
use super::settle::Rest;
use super::shown::Extremes;
use super::solver::{Effort, Solver};
use super::spans::{SpanNets, is_blocked};

/// What the networks with spans say of what is asked.
struct Enclosed {
    all: Vec<Extremes>,
    /// Whether something may switch that they hold for fixed.
    switches: bool,
}

impl Solver<'_> {
    /// Fills in all bands of a described sequence.
    pub(crate) fn add_bands(&self, sequence: SequenceId, solution: &mut SequenceSolution) {
        let asked = self.asked(&solution.readings, &solution.devices);
        let all = self.extremes(sequence, &self.rests[sequence.0], &asked);
        self.fill(sequence, solution, all);
    }

    /// Writes extremes into bands, in the order in which they are asked for.
    fn fill(&self, sequence: SequenceId, solution: &mut SequenceSolution, all: Vec<Extremes>) {
        let mut answers = all.into_iter();
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

    /// The sequences of a solution without bands, with the bands of some readings and devices, and of all relay coils: the
    /// same bands as of [`Solver::solve`], without drops, far sooner. Where a relay may stand otherwise on a healthy machine
    /// all is solved.
    #[must_use]
    pub fn banded(
        &self,
        nominal: &Solution,
        wanted_readings: impl Fn(SequenceId, &Reading) -> bool + Sync,
        wanted_devices: impl Fn(SequenceId, &DeviceReading) -> bool + Sync,
    ) -> Solution {
        let some = |solved: &SequenceSolution| {
            let is_relay = |device: &DeviceReading| self.is_relay_coil(device);
            let mut some = solved.clone();
            some.readings.retain(|reading| wanted_readings(solved.sequence, reading));
            some.devices.retain(|device| is_relay(device) || wanted_devices(solved.sequence, device));
            for reading in &mut some.readings {
                reading.drop = None;
            }
            if !self.bands_by_proof(&mut some) {
                // The search at corners of the machine itself sees the further the more is asked.
                some = solved.clone();
                self.add_bands(solved.sequence, &mut some);
            }
            some
        };
        let sequences: Vec<SequenceSolution> = nominal.sequences.par_iter().map(some).collect();
        let in_doubt = |solved: &SequenceSolution| {
            !solved.settling.is_settled() || !self.relays_in_doubt(solved.sequence, solved).is_empty()
        };
        if sequences.iter().any(in_doubt) { self.solve(Effort::Bands) } else { Solution { sequences } }
    }

    /// Fills in all bands unless one of them needs a search at corners of the machine itself; whether it did.
    fn bands_by_proof(&self, solution: &mut SequenceSolution) -> bool {
        let sequence = solution.sequence;
        let asked = self.asked(&solution.readings, &solution.devices);
        let Enclosed { all, switches } = self.enclosed(sequence, &self.rests[sequence.0], &asked);
        let proved = !switches || all.iter().all(|extremes| extremes.certainty == Certainty::Exact);
        if proved {
            self.fill(sequence, solution, all);
        }
        proved
    }

    /// Extremes of all voltages that are asked for, with relays and fuses as in one state of a sequence.
    pub(crate) fn extremes(&self, sequence: SequenceId, rest: &Rest, asked: &[(Current, Asked)]) -> Vec<Extremes> {
        let Enclosed { mut all, switches } = self.enclosed(sequence, rest, asked);
        let unproved = |extremes: &Extremes| extremes.certainty == Certainty::Searched;
        if switches && all.iter().any(unproved) {
            let found = self.search(sequence, rest, asked);
            for (extremes, [low, high]) in all.iter_mut().zip(found).filter(|(extremes, _)| unproved(extremes)) {
                if low <= high {
                    (extremes.low, extremes.high) = (low, high);
                }
            }
        }
        all
    }

    /// The same from the networks with spans alone.
    fn enclosed(&self, sequence: SequenceId, rest: &Rest, asked: &[(Current, Asked)]) -> Enclosed {
        let mut works = Works::default();
        let doubts = self.doubts(sequence, rest, asked, &mut works);
        let reach = &self.circuit.reach;
        let zones = reach.zones_of(asked.iter().flat_map(|(_, ask)| [ask.red, ask.black]));
        let mut keep = vec![false; self.circuit.machine.joints.len() + self.circuit.rectified.len()];
        for (_, ask) in asked {
            (keep[ask.red], keep[ask.black]) = (true, true);
        }
        let wanted = |element: usize| zones.contains(&reach.of_element(element));
        let nets = self.span_nets(sequence, rest, &doubts, (wanted, &keep));
        let mut all = nets.all_extremes(asked, &mut works);
        self.try_other_ranges(&nets, asked, &mut all, &mut works);
        let pulses = !rest.point.inner.averages.is_empty();
        let blocked = self.circuit.rectified.iter().any(|&element| is_blocked(element, rest));
        Enclosed { all, switches: doubts.diodes.contains(&true) || pulses || blocked }
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
    pub(crate) fn asked(&self, readings: &[Reading], devices: &[DeviceReading]) -> Vec<(Current, Asked)> {
        let machine = self.circuit.machine;
        let mut asked = Vec::new();
        let mut ask = |quantity: Current, (red, black): (JointId, JointId), meter: Option<f64>| {
            let number = asked.len();
            asked.push((quantity, Asked { number, red: red.0, black: black.0, meter }));
        };
        for reading in readings {
            let at = machine.test_points[reading.at.0].joint;
            let ohms = |nominal: f64| Some(meter_ohms(&machine.meter, nominal, reading.quantity));
            ask(reading.quantity, (at, reading.against), ohms(reading.nominal));
            if let Some(drop) = &reading.drop {
                ask(reading.quantity, (machine.test_points[drop.from.0].joint, at), ohms(drop.nominal));
            }
        }
        for device in devices.iter().filter(|device| self.has_band(device)) {
            ask(device.quantity, self.ends(device.element.0), None);
        }
        asked
    }

    /// Whether a device has a threshold that its volts must reach.
    pub(crate) fn has_band(&self, device: &DeviceReading) -> bool {
        device.operates.is_some() && !matches!(self.circuit.machine.part(device.part).kind, PartKind::Speaker(_))
    }

    pub(crate) fn ends(&self, element: usize) -> (JointId, JointId) {
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

    fn is_relay_coil(&self, device: &DeviceReading) -> bool {
        matches!(self.circuit.machine.part(device.part).kind, PartKind::Relay(_))
            && self.circuit.coil_of(device.part, device.element).is_some()
    }

    /// Relays whose coils may get too little, or enough, on a healthy machine to stand otherwise.
    pub(crate) fn relays_in_doubt(&self, sequence: SequenceId, solution: &SequenceSolution) -> Vec<PartId> {
        if !solution.settling.is_settled() {
            return Vec::new();
        }
        let mut coils: BTreeSet<_> = BTreeSet::new();
        for device in &solution.devices {
            let (Some(coil), Some(band), true) =
                (self.circuit.coil_of(device.part, device.element), device.band, self.is_relay_coil(device))
            else {
                continue;
            };
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
