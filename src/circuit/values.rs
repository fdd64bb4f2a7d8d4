//! The numbers of a machine's elements, with the span of each, taken out of its parts once.

use std::collections::BTreeMap;

use num_complex::Complex64;

use crate::machine::model::{
    Coil, Current, Diode, Element, Gate, Lamp, Law, Machine, PartId, PartKind, Rectifier, Supply, Toleranced,
};
use crate::spec::units::Unit;

use super::error::{CircuitError, Reason};

/// Least resistance that is told from a dead short, in ohms; what is stated as zero is taken as this.
pub(crate) const LEAST_OHMS: f64 = 1e-8;

/// A value with its healthy span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    pub(crate) low: f64,
    pub(crate) nominal: f64,
    pub(crate) high: f64,
}

impl Span {
    pub(crate) const NOTHING: Self = Self { low: 0.0, nominal: 0.0, high: 0.0 };

    fn of<U: Unit>(value: &Toleranced<U>) -> Self {
        Self { low: value.low.value(), nominal: value.nominal.value(), high: value.high.value() }
    }

    fn resistance<U: Unit>(value: &Toleranced<U>) -> Self {
        let span = Self::of(value);
        // A negative value stays one, to be refused.
        let floor = |ohms: f64| if ohms < 0.0 { ohms } else { ohms.max(LEAST_OHMS) };
        Self { low: floor(span.low), nominal: floor(span.nominal), high: floor(span.high) }
    }

    /// The value so far between low and high.
    pub(crate) fn at(self, share: f64) -> f64 {
        self.low + share * (self.high - self.low)
    }
}

/// One choice of all values: two for each element, see [`Model`], and the farads of reservoirs by the element of their supply.
#[derive(Debug, Clone)]
pub(crate) struct Values(pub(crate) Vec<[f64; 2]>, pub(crate) BTreeMap<usize, f64>);

impl Values {
    /// Sets one value of an element: its first, its second, or (third) the farads of its reservoir.
    pub(crate) fn set(&mut self, element: usize, which: usize, value: f64) {
        if which < 2 {
            self.0[element][which] = value;
        } else {
            self.1.insert(element, value);
        }
    }
}

/// What an element is to the solver. Its two spans are named where they matter.
#[derive(Debug, Clone)]
pub(crate) enum Model {
    /// Volts, internal ohms.
    Source(SourceModel),
    /// Ohms.
    Resistance,
    /// Ohms when closed.
    Contact(Gate),
    /// DC ohms, impedance in ohms (of no meaning where it is not known).
    Coil(CoilModel),
    /// Amperes at rated volts.
    Lamp(LampModel),
    /// No spans.
    Diode(DiodeModel),
    /// Farads.
    Capacitor,
    /// DC ohms, henries.
    Inductor,
    /// DC ohms, impedance in ohms.
    Speaker,
}

#[derive(Debug, Clone)]
pub(crate) struct SourceModel {
    pub(crate) current: Current,
    pub(crate) frequency: f64,
    /// Unit phasor.
    pub(crate) direction: Complex64,
    pub(crate) rectifier: Option<Rectifier>,
}

/// How a winding behaves under AC.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum CoilModel {
    /// Impedance known; the in-phase share of it is the DC ohms.
    Impedance,
    /// Impedance and power factor known.
    PowerFactor(f64),
    /// Henries known.
    Inductance(f64),
    /// Only ohms known: taken as resistive and remarked on.
    Unknown,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct LampModel {
    pub(crate) nominal: f64,
    pub(crate) cold: f64,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct DiodeModel {
    pub(crate) drop: f64,
    pub(crate) on: f64,
    pub(crate) zener: Option<f64>,
}

/// Exponent of a filament's current over its voltage (Fink and Beaty, Standard Handbook for Electrical Engineers).
pub(crate) const FILAMENT_EXPONENT: f64 = 0.55;

impl LampModel {
    /// Ohms of the filament when so many volts (RMS) heat it; never below cold.
    pub(crate) fn ohms(self, amperes: f64, volts: f64) -> f64 {
        let rated = self.nominal / amperes;
        let law = rated * (volts / self.nominal).powf(1.0 - FILAMENT_EXPONENT);
        law.max(self.cold.min(rated))
    }
}

/// Models and spans of all elements.
#[derive(Debug)]
pub(crate) struct Elements {
    pub(crate) models: Vec<Model>,
    pub(crate) spans: Vec<[Span; 2]>,
    /// Farads of reservoirs, by the element of their supply.
    pub(crate) reservoirs: BTreeMap<usize, Span>,
    pub(crate) nominal: Values,
}

impl Elements {
    pub(crate) fn of(machine: &Machine) -> Result<Self, CircuitError> {
        let mut models = Vec::with_capacity(machine.elements.len());
        let mut spans = Vec::with_capacity(machine.elements.len());
        for element in &machine.elements {
            let (model, span) = model(machine, element);
            check(element.part, &model, span)?;
            models.push(model);
            spans.push(span);
        }
        let reservoirs: BTreeMap<usize, Span> =
            models.iter().enumerate().filter_map(|(index, model)| Some((index, reservoir(model)?))).collect();
        let nominal = Values(
            spans.iter().map(|[first, second]| [first.nominal, second.nominal]).collect(),
            reservoirs.iter().map(|(&element, span)| (element, span.nominal)).collect(),
        );
        Ok(Self { models, spans, reservoirs, nominal })
    }

    /// The span of one value of an element, see [`Values::set`].
    pub(crate) fn span(&self, element: usize, which: usize) -> Span {
        match self.reservoirs.get(&element) {
            _ if which < 2 => self.spans[element][which],
            Some(span) => *span,
            None => Span::NOTHING,
        }
    }

    /// The values at so far between low and high; shares in the order of elements, two each, then one for each reservoir.
    pub(crate) fn at(&self, shares: &[f64]) -> Values {
        let share = |index: usize| shares.get(index).copied().unwrap_or(0.5);
        let pick = |(index, [first, second]): (usize, &[Span; 2])| {
            [first.at(share(2 * index)), second.at(share(2 * index + 1))]
        };
        let first = 2 * self.spans.len();
        let farads = |(place, (&element, span)): (usize, (&usize, &Span))| (element, span.at(share(first + place)));
        Values(
            self.spans.iter().enumerate().map(pick).collect(),
            self.reservoirs.iter().enumerate().map(farads).collect(),
        )
    }
}

fn model(machine: &Machine, element: &Element) -> (Model, [Span; 2]) {
    let alone = |span| [span, Span::NOTHING];
    match (&element.law, &machine.part(element.part).kind) {
        (Law::Resistance(ohms), _) => (Model::Resistance, alone(Span::resistance(ohms))),
        (Law::Contact { closed, gate }, _) => (Model::Contact(gate.clone()), alone(Span::resistance(closed))),
        (Law::Source, PartKind::Supply(supply)) => {
            (Model::Source(source(supply)), [Span::of(&supply.voltage), Span::resistance(&supply.internal)])
        }
        (Law::ResetWinding, PartKind::Relay(relay)) => coil(relay.reset.as_ref().unwrap_or(&relay.coil)),
        (Law::Winding, PartKind::Relay(relay)) => coil(&relay.coil),
        (Law::Winding, PartKind::Solenoid(winding) | PartKind::Motor(winding)) => coil(winding),
        (Law::Filament, PartKind::Lamp(lamp)) => (Model::Lamp(filament(lamp)), alone(Span::of(&lamp.current))),
        (Law::Junction, PartKind::Diode(diode)) => (Model::Diode(junction(diode)), [Span::NOTHING; 2]),
        (Law::Capacitance, PartKind::Capacitor(part)) => (Model::Capacitor, alone(Span::of(&part.capacitance))),
        (Law::Inductance, PartKind::Inductor(part)) => {
            (Model::Inductor, [Span::resistance(&part.resistance), Span::of(&part.inductance)])
        }
        (Law::VoiceCoil, PartKind::Speaker(part)) => {
            (Model::Speaker, [Span::resistance(&part.resistance), Span::resistance(&part.impedance)])
        }
        // The parser never pairs a law with a part of another kind; nothing conducts if it did.
        _ => (Model::Resistance, alone(Span { low: f64::INFINITY, nominal: f64::INFINITY, high: f64::INFINITY })),
    }
}

fn source(supply: &Supply) -> SourceModel {
    let angle = supply.phase.to_radians();
    SourceModel {
        current: supply.current,
        frequency: supply.frequency.map_or(0.0, Unit::value),
        direction: Complex64::new(angle.cos(), angle.sin()),
        rectifier: supply.rectifier.clone(),
    }
}

fn coil(coil: &Coil) -> (Model, [Span; 2]) {
    let resistance = Span::resistance(&coil.resistance);
    let (model, impedance) = match (&coil.impedance, coil.power_factor, coil.inductance) {
        (Some(impedance), Some(factor), _) => (CoilModel::PowerFactor(factor), Span::resistance(impedance)),
        (Some(impedance), None, _) => (CoilModel::Impedance, Span::resistance(impedance)),
        (None, _, Some(inductance)) => (CoilModel::Inductance(inductance.value()), Span::NOTHING),
        (None, _, None) => (CoilModel::Unknown, Span::NOTHING),
    };
    (Model::Coil(model), [resistance, impedance])
}

/// The farads of a rectified supply's reservoir, if it has one.
fn reservoir(model: &Model) -> Option<Span> {
    let Model::Source(source) = model else { return None };
    Some(Span::of(source.rectifier.as_ref()?.reservoir.as_ref()?))
}

fn filament(lamp: &Lamp) -> LampModel {
    LampModel { nominal: lamp.nominal.value(), cold: lamp.cold.nominal.value().max(LEAST_OHMS) }
}

fn junction(diode: &Diode) -> DiodeModel {
    DiodeModel {
        drop: diode.drop.value(),
        on: diode.on_resistance.value().max(LEAST_OHMS),
        zener: diode.zener.map(Unit::value),
    }
}

/// Refuses values that would turn into nonsense further on.
fn check(part: PartId, model: &Model, spans: [Span; 2]) -> Result<(), CircuitError> {
    let all = spans.iter().flat_map(|span| [span.low, span.nominal, span.high]);
    let what = if all.clone().any(|value| !value.is_finite()) {
        Some("has a value that is not a number")
    } else if all.clone().any(|value| value < 0.0) && !matches!(model, Model::Source(_)) {
        Some("has a negative value")
    } else if spans.iter().any(|span| span.low > span.nominal || span.nominal > span.high) {
        Some("has a nominal value outside its own span")
    } else {
        lacking(model, spans)
    };
    what.map_or(Ok(()), |what| Err(CircuitError { sequence: None, reason: Reason::Impossible { part, what } }))
}

fn lacking(model: &Model, [first, _]: [Span; 2]) -> Option<&'static str> {
    match model {
        Model::Lamp(lamp) if lamp.nominal <= 0.0 || first.low <= 0.0 => Some("needs its rated volts and amperes"),
        Model::Source(source) if source.current == Current::Alternating && source.frequency <= 0.0 => {
            Some("is an AC supply without a frequency")
        }
        Model::Capacitor if first.low <= 0.0 => Some("needs a capacitance above zero"),
        Model::Diode(diode) if diode.zener.is_some_and(|volts| volts <= 0.0) => {
            Some("needs a breakdown voltage above zero")
        }
        _ => None,
    }
}
