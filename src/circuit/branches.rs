//! What each element is in a network: source volts and ohms under DC, impedance at a frequency, with changes.

use num_complex::Complex64;

use crate::machine::model::{Current, ElementId};

use super::change::Change;
use super::diode::DiodeState;
use super::field::Branches;
use super::inside::Inner;
use super::network::{BLOCKED, Circuit, Situation, alternating, scale};
use super::scalar::Scalar;
use super::values::{CoilModel, LEAST_OHMS, Model};

/// A dead short, in ohms.
const DEAD_SHORT: f64 = 1e-6;

impl Circuit<'_> {
    /// Ohms of an element after changes, from its healthy ohms; `rated` is what a stated value replaces.
    fn changed<T: Scalar>(&self, element: usize, healthy: T, changes: &[Change]) -> T {
        let mut ohms = healthy;
        for change in changes {
            match *change {
                Change::Value(ElementId(at), value) if at == element => {
                    let stated = self.rated_ohms(element);
                    // A winding of other ohms has other turns: its impedance goes along.
                    ohms = ohms * T::real(value.max(LEAST_OHMS) / stated);
                }
                Change::Added(ElementId(at), more) if at == element => ohms += T::real(more),
                Change::Short(ElementId(at)) if at == element => ohms = T::real(DEAD_SHORT),
                _ => {}
            }
        }
        ohms
    }

    /// The ohms that a changed value replaces.
    pub(crate) fn rated_ohms(&self, element: usize) -> f64 {
        let [first, second] = self.elements.nominal.0[element];
        match &self.elements.models[element] {
            Model::Source(_) => second,
            Model::Lamp(lamp) => lamp.nominal / first,
            Model::Diode(diode) => diode.on,
            _ => first,
        }
    }

    /// Source volts and admittance of an element under DC with changes.
    pub(crate) fn direct_values(
        &self,
        element: usize,
        conducts: bool,
        situation: &Situation<'_>,
        inner: &Inner,
    ) -> (f64, f64) {
        if !conducts {
            return (0.0, 0.0);
        }
        let (volts, ohms) = self.direct_branch(element, situation, inner);
        (volts, 1.0 / self.changed(element, ohms, situation.changes))
    }

    /// Impedance of an element at a frequency with changes, whether it conducts or not.
    pub(crate) fn alternating_ohms(
        &self,
        element: usize,
        frequency: f64,
        situation: &Situation<'_>,
        inner: &Inner,
    ) -> Complex64 {
        self.changed(element, self.impedance(element, frequency, situation, inner), situation.changes)
    }

    /// The DC network: `lamps` and `feeds` hold the present ohms of filaments and the present tangents of rectifiers.
    pub(crate) fn direct(&self, situation: &Situation<'_>, live: &[usize], inner: &Inner) -> Branches<f64> {
        self.direct_where(situation, live, inner, |element| self.reach.direct[element] || !situation.extras.is_empty())
    }

    /// The DC network of some of the live elements.
    pub(crate) fn direct_where(
        &self,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &Inner,
        wanted: impl Fn(usize) -> bool,
    ) -> Branches<f64> {
        let count = self.elements.models.len();
        let mut branches = Branches { admittances: vec![0.0; count], sources: vec![0.0; count] };
        for &element in live.iter().filter(|&&element| wanted(element)) {
            let (volts, ohms) = self.direct_branch(element, situation, inner);
            branches.admittances[element] = 1.0 / self.changed(element, ohms, situation.changes);
            branches.sources[element] = volts;
        }
        add_extra(&mut branches, situation);
        branches
    }

    /// Source volts and healthy ohms of an element under DC.
    fn direct_branch(&self, element: usize, situation: &Situation<'_>, inner: &Inner) -> (f64, f64) {
        if let Some(average) = inner.averages.get(element) {
            return average;
        }
        let [first, second] = situation.values.0[element];
        match &self.elements.models[element] {
            Model::Source(source) if source.rectifier.is_some() => inner.feeds[element].map_or((0.0, second), |at| at),
            Model::Source(source) if source.current == Current::Direct => {
                (first * scale(self.machine.elements[element].part, situation.changes), second)
            }
            Model::Source(_) => (0.0, second),
            Model::Lamp(_) => (0.0, inner.filaments[element]),
            Model::Diode(_) => self.diode_branch(element, situation, inner.diodes[element]),
            Model::Capacitor => (0.0, f64::INFINITY),
            _ => (0.0, first),
        }
    }

    /// The AC network at one frequency.
    pub(crate) fn alternating(
        &self,
        frequency: f64,
        situation: &Situation<'_>,
        live: &[usize],
        inner: &Inner,
    ) -> Branches<Complex64> {
        let count = self.elements.models.len();
        let mut branches =
            Branches { admittances: vec![Complex64::ZERO; count], sources: vec![Complex64::ZERO; count] };
        for &element in live {
            if situation.extras.is_empty() && !self.reach.alternating[element] {
                continue;
            }
            let ohms = self.impedance(element, frequency, situation, inner);
            branches.admittances[element] = self.changed(element, ohms, situation.changes).inv();
            if let Model::Source(source) = &self.elements.models[element]
                && alternating(&self.elements.models[element]) == Some(frequency)
            {
                let volts =
                    situation.values.0[element][0] * scale(self.machine.elements[element].part, situation.changes);
                branches.sources[element] = source.direction * volts;
            }
        }
        add_extra(&mut branches, situation);
        branches
    }

    fn impedance(&self, element: usize, frequency: f64, situation: &Situation<'_>, inner: &Inner) -> Complex64 {
        let omega = std::f64::consts::TAU * frequency;
        let [first, second] = situation.values.0[element];
        match &self.elements.models[element] {
            Model::Source(_) | Model::Speaker => Complex64::new(second, 0.0),
            Model::Coil(coil) => winding(*coil, first, second, omega),
            Model::Lamp(_) => Complex64::new(inner.filaments[element], 0.0),
            Model::Diode(diode) => {
                let conducts = inner.diodes[element] != DiodeState::Blocks;
                Complex64::new(if conducts { diode.on } else { 1.0 / BLOCKED }, 0.0)
            }
            Model::Capacitor => Complex64::new(0.0, -1.0 / (omega * first)),
            Model::Inductor => Complex64::new(first, omega * second),
            Model::Resistance | Model::Contact(_) => Complex64::new(first, 0.0),
        }
    }
}

pub(crate) fn winding(coil: CoilModel, ohms: f64, impedance: f64, omega: f64) -> Complex64 {
    match coil {
        CoilModel::Impedance => {
            let resistive = ohms.min(impedance);
            Complex64::new(resistive, (impedance * impedance - resistive * resistive).max(0.0).sqrt())
        }
        CoilModel::PowerFactor(factor) => {
            let factor = factor.clamp(0.0, 1.0);
            Complex64::new(impedance * factor, impedance * (1.0 - factor * factor).sqrt())
        }
        CoilModel::Inductance(henries) => Complex64::new(ohms, omega * henries),
        CoilModel::Unknown => Complex64::new(ohms, 0.0),
    }
}

fn add_extra<T: Scalar>(branches: &mut Branches<T>, situation: &Situation<'_>) {
    for (_, _, ohms) in situation.extras {
        branches.admittances.push(T::real(1.0 / ohms));
        branches.sources.push(T::ZERO);
    }
}
