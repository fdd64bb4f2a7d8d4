//! What a meter shows between two joints.

use crate::machine::model::{Current, JointId, Meter};

use super::elimination::Structure;
use super::error::CircuitError;
use super::field::Field;
use super::network::{Circuit, Extra, Positions, Situation};
use super::point::Point;
use super::scalar::Scalar;
use super::turn::IslandChange;

/// Volts below which a range of the meter shows nothing worth saying beside another.
const NOTICEABLE: f64 = 1e-3;

/// What a meter shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeterReading {
    /// Kind of current: the range of the meter.
    pub quantity: Current,
    /// Volts, red lead against black lead; RMS for AC.
    pub volts: f64,
}

/// Readings of both ranges between two joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BothRanges {
    pub(crate) direct: f64,
    pub(crate) alternating: f64,
}

impl BothRanges {
    /// The range that shows most; `usual` where neither shows anything.
    pub(crate) fn main(self, usual: Current) -> MeterReading {
        if self.direct.abs() < 1e-9 && self.alternating < 1e-9 {
            return MeterReading { quantity: usual, volts: 0.0 };
        }
        if self.alternating > self.direct.abs() {
            MeterReading { quantity: Current::Alternating, volts: self.alternating }
        } else {
            MeterReading { quantity: Current::Direct, volts: self.direct }
        }
    }

    /// All ranges that show something, the stronger one first; `usual` where neither does.
    pub(crate) fn all(self, usual: Current) -> Vec<MeterReading> {
        let main = self.main(usual);
        let other = match main.quantity {
            Current::Direct => MeterReading { quantity: Current::Alternating, volts: self.alternating },
            Current::Alternating => MeterReading { quantity: Current::Direct, volts: self.direct },
        };
        let mut shown = vec![main];
        if other.volts.abs() > NOTICEABLE && other.volts.abs() > 1e-4 * main.volts.abs() {
            shown.push(other);
        }
        shown
    }
}

/// One place for what all readings of one point share, so that forty of them allocate once.
#[derive(Debug, Default)]
pub(crate) struct Scratch {
    real: Vec<f64>,
    complex: Vec<num_complex::Complex64>,
    /// Of the point that is read.
    slack: Option<f64>,
}

impl Scratch {
    fn slack(&mut self, find: impl FnOnce() -> f64) -> f64 {
        *self.slack.get_or_insert_with(find)
    }
}

/// Islands of both kinds of network, found once for all readings of a point.
#[derive(Debug, Clone)]
pub(crate) struct Islands {
    direct: Vec<usize>,
    alternating: Vec<Vec<usize>>,
}

impl Islands {
    pub(crate) fn of(point: &Point) -> Self {
        let direct = point.direct.structure.islands(&point.direct.factor);
        let alternating = point.alternating.iter().map(|(_, field)| field.structure.islands(&field.factor)).collect();
        Self { direct, alternating }
    }

    /// These after a branch changed, under DC and at each frequency.
    pub(crate) fn changed(&self, direct: IslandChange<'_>, alternating: &[IslandChange<'_>]) -> Self {
        let alternating =
            self.alternating.iter().zip(alternating).map(|(names, change)| changed(names, *change)).collect();
        Self { direct: changed(&self.direct, direct), alternating }
    }

    /// Whether DC can flow between two joints, if only through a blocked diode.
    pub(crate) fn direct(&self, a: JointId, b: JointId) -> bool {
        self.direct[a.0] == self.direct[b.0]
    }

    /// The island of a joint under DC.
    pub(crate) fn of_joint(&self, joint: JointId) -> usize {
        self.direct[joint.0]
    }

    /// The island of a joint at a frequency.
    pub(crate) fn at_frequency(&self, frequency: usize, joint: JointId) -> usize {
        self.alternating[frequency][joint.0]
    }
}

/// A half that was cut off is named after its first joint; of two islands that join, the first names both.
fn changed(names: &[usize], change: IslandChange<'_>) -> Vec<usize> {
    let mut names = names.to_vec();
    match change {
        IslandChange::None => {}
        IslandChange::Cut(half) => {
            let first = half.iter().position(|floats| *floats).unwrap_or_default();
            names.iter_mut().zip(half).filter(|(_, floats)| **floats).for_each(|(name, _)| *name = first);
        }
        IslandChange::Joined(kept, lost) => {
            let (kept, lost) = (names[kept], names[lost]);
            names.iter_mut().filter(|name| **name == lost).for_each(|name| *name = kept);
        }
    }
    names
}

impl Circuit<'_> {
    /// The same where the meter's own current may open or close diodes: it becomes part of the network.
    pub(crate) fn read_exactly(
        &self,
        point: &Point,
        islands: &Islands,
        leads: (JointId, JointId),
        meter: &Meter,
        state: (&Situation<'_>, &Positions),
        scratch: &mut Scratch,
    ) -> Result<BothRanges, CircuitError> {
        let (red, black) = leads;
        if self.reach.crosses(self.machine.reference, red, black) {
            return self.read_as_branch(point, (red, black), meter_ohms(meter, f64::INFINITY, Current::Direct), state);
        }
        let plain = read(point, islands, leads, meter, scratch);
        if self.diodes.is_empty() || red == black || !islands.direct(red, black) {
            return Ok(plain);
        }
        // No current between two joints of a passive network moves any voltage by more than that between these joints.
        let moved = (point.direct.between(red.0, black.0) - plain.direct).abs();
        if 2.0 * moved < scratch.slack(|| self.slack(&point.direct, &point.inner, state.0.changes)) {
            return Ok(plain);
        }
        let ohms = meter_ohms(meter, plain.direct, Current::Direct);
        if self.diodes_bear(point, leads, plain.direct / ohms, state.0) {
            return Ok(plain);
        }
        Ok(BothRanges { direct: self.read_as_branch(point, leads, ohms, state)?.direct, ..plain })
    }

    /// Whether all diodes keep their state when a meter draws so many amperes.
    fn diodes_bear(
        &self,
        point: &Point,
        (red, black): (JointId, JointId),
        amperes: f64,
        situation: &Situation<'_>,
    ) -> bool {
        // Averages of pulses hold for whole cycles; within one, a megohm more changes nothing.
        if amperes.abs() < 1e-12 || !point.inner.averages.is_empty() {
            return true;
        }
        let field = &point.direct;
        let mut pull = vec![0.0; field.structure.joints()];
        (pull[red.0], pull[black.0]) = (-amperes, amperes);
        field.structure.solve(&field.factor, &mut pull);
        self.diodes.iter().all(|&diode| {
            let state = point.inner.diodes[diode];
            let (from, to) = field.structure.edges()[diode];
            let more = pull[from] - pull[to];
            self.fitting(diode, field, more, state, situation.changes) == state
        })
    }

    /// Solves anew with the meter as a branch.
    fn read_as_branch(
        &self,
        point: &Point,
        (red, black): (JointId, JointId),
        ohms: f64,
        (situation, positions): (&Situation<'_>, &Positions),
    ) -> Result<BothRanges, CircuitError> {
        let extras: Vec<Extra> = situation.extras.iter().copied().chain([(red, black, ohms)]).collect();
        let loaded =
            self.point(&Situation { extras: &extras, ..*situation }, positions, (*point.inner).clone(), &[])?;
        let square = loaded.alternating.iter().map(|(_, field)| field.between(red.0, black.0).norm_sqr()).sum::<f64>();
        Ok(BothRanges { direct: loaded.direct.between(red.0, black.0), alternating: square.sqrt() })
    }
}

/// What both ranges of a meter show.
pub(crate) fn read(
    point: &Point,
    islands: &Islands,
    (red, black): (JointId, JointId),
    meter: &Meter,
    scratch: &mut Scratch,
) -> BothRanges {
    let direct = if islands.direct(red, black) {
        let source = thevenin(&point.direct, red, black, &mut scratch.real);
        shown(source, meter, Current::Direct).0
    } else {
        0.0
    };
    let mut square = 0.0;
    for (index, (_, field)) in point.alternating.iter().enumerate() {
        if islands.alternating[index][red.0] == islands.alternating[index][black.0] {
            let source = thevenin(field, red, black, &mut scratch.complex);
            square += shown(source, meter, Current::Alternating).1.powi(2);
        }
    }
    BothRanges { direct, alternating: square.sqrt() }
}

/// Open-circuit voltage and impedance between two joints of one island.
pub(crate) fn thevenin<T: Scalar>(field: &Field<T>, red: JointId, black: JointId, scratch: &mut Vec<T>) -> (T, T) {
    let structure: &Structure = &field.structure;
    (field.between(red.0, black.0), structure.impedance(&field.factor, red.0, black.0, scratch))
}

/// What a meter makes of a source behind an impedance: real part (signed, for DC) and magnitude.
pub(crate) fn shown<T: Scalar>((volts, ohms): (T, T), meter: &Meter, current: Current) -> (f64, f64) {
    let loaded = |input: f64| {
        let input = T::real(input);
        let seen = (volts * input / (input + ohms)).complex();
        (seen.re, seen.norm())
    };
    match meter {
        Meter::Digital(input) => loaded(input.value()),
        Meter::Analogue { ranges, .. } => {
            // The lowest range on which the needle stays on the scale, as a careful hand finds it from above.
            let mut last = (0.0, 0.0);
            for range in ranges {
                last = loaded(range.value() * per_volt(meter, current));
                if last.1 <= range.value() {
                    break;
                }
            }
            last
        }
    }
}

/// Input resistance of the range that suits a reading.
pub(crate) fn meter_ohms(meter: &Meter, reading: f64, current: Current) -> f64 {
    match meter {
        Meter::Digital(input) => input.value(),
        Meter::Analogue { ranges, .. } => {
            let range = ranges.iter().find(|range| reading.abs() <= range.value()).or(ranges.last());
            range.map_or(f64::INFINITY, |range| range.value() * per_volt(meter, current))
        }
    }
}

fn per_volt(meter: &Meter, current: Current) -> f64 {
    match (meter, current) {
        (Meter::Digital(_), _) => f64::INFINITY,
        (Meter::Analogue { ohms_per_volt, .. }, Current::Direct) => ohms_per_volt.value(),
        (Meter::Analogue { ohms_per_volt_ac, .. }, Current::Alternating) => ohms_per_volt_ac.value(),
    }
}
