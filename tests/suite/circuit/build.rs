//! Machines put together in code, for circuits that are given as numbers and joints.

use benchleaf::machine::model::{
    Capacitor, Coil, Contact, ContactForm, Current, Diode, Element, ElementId, Fuse, FuseStandard, Gate, Identity,
    Inductor, Joint, JointId, Lamp, Law, Machine, Meter, Origin, Part, PartId, PartKind, Rectifier, RectifierForm,
    Relay, Resistor, Sequence, SequenceId, Setting, Supply, Switch, TestPoint, Toleranced,
};
use benchleaf::spec::diagnostic::Place;
use benchleaf::spec::units::{Amperes, Celsius, Farads, Henries, Hertz, Ohms, Unit, Volts};

/// A value with its lowest and highest healthy one.
pub(crate) type Span = (f64, f64, f64);

/// A value without spread.
pub(crate) fn exactly(value: f64) -> Span {
    (value, value, value)
}

fn toleranced<U: Unit>((low, nominal, high): Span) -> Toleranced<U> {
    Toleranced { nominal: U::new(nominal), low: U::new(low), high: U::new(high), origin: Origin::Stated, source: None }
}

/// A machine under construction.
pub(crate) struct Bench {
    pub(crate) machine: Machine,
}

impl Bench {
    /// An empty machine with its reference joint and a meter of 10 MΩ.
    pub(crate) fn new(reference: &str) -> Self {
        let identity = Identity {
            id: "bench".into(),
            name: "bench".into(),
            kind: "circuit".into(),
            maker: None,
            year: None,
            serial: None,
            revision: 1,
            revised: "2026-01-01".into(),
            author: None,
            mains: None,
            weight: None,
            sources: Vec::new(),
            revisions: Vec::new(),
            wire_colours: Vec::new(),
            ambient: Celsius::new(20.0),
        };
        let machine = Machine {
            identity,
            joints: Vec::new(),
            parts: Vec::new(),
            elements: Vec::new(),
            runs: Vec::new(),
            test_points: Vec::new(),
            sequences: Vec::new(),
            expectations: Vec::new(),
            notes: Vec::new(),
            reference: JointId(0),
            frame: None,
            meter: Meter::Digital(Ohms::new(10e6)),
            fault_overrides: Vec::new(),
        };
        let mut bench = Self { machine };
        bench.joint(reference);
        bench
    }

    /// The joint of this name, made if new.
    pub(crate) fn joint(&mut self, name: &str) -> JointId {
        self.machine.joint_named(name).unwrap_or_else(|| {
            self.machine.joints.push(Joint { name: name.into(), named: true, label: None, place: Place::default() });
            JointId(self.machine.joints.len() - 1)
        })
    }

    /// A part without elements.
    pub(crate) fn part(&mut self, id: &str, kind: PartKind) -> PartId {
        self.machine.parts.push(Part {
            id: id.into(),
            label: None,
            location: None,
            place: Place::default(),
            source: None,
            origin: Origin::Stated,
            kind,
            elements: Vec::new(),
            group: None,
            twins: Vec::new(),
            door: None,
        });
        PartId(self.machine.parts.len() - 1)
    }

    /// An element of a part.
    pub(crate) fn element(&mut self, part: PartId, law: Law, from: &str, to: &str) -> ElementId {
        let (from, to) = (self.joint(from), self.joint(to));
        let id = ElementId(self.machine.elements.len());
        let name = self.machine.part(part).id.clone();
        self.machine.elements.push(Element { part, name, from, to, law });
        self.machine.parts[part.0].elements.push(id);
        id
    }

    fn single(&mut self, id: &str, kind: PartKind, law: Law, from: &str, to: &str) -> ElementId {
        let part = self.part(id, kind);
        self.element(part, law, from, to)
    }

    fn supply(&mut self, id: &str, supply: Supply) -> ElementId {
        let [(_, from), (_, to)] = supply.terminals.clone();
        let (from, to) = (self.machine.joint(from).name.clone(), self.machine.joint(to).name.clone());
        self.single(id, PartKind::Supply(supply), Law::Source, &from, &to)
    }

    fn plain(&mut self, volts: Span, internal: Span, current: Current, from: &str, to: &str) -> Supply {
        Supply {
            voltage: toleranced(volts),
            rated: toleranced(volts),
            current,
            frequency: None,
            internal: toleranced(internal),
            rectifier: None,
            rating: None,
            phase: 0.0,
            minimum_load: None,
            terminals: [("+".into(), self.joint(from)), ("-".into(), self.joint(to))],
            maximum: None,
        }
    }

    /// DC supply.
    pub(crate) fn dc(&mut self, id: &str, volts: Span, internal: Span, from: &str, to: &str) -> ElementId {
        let supply = self.plain(volts, internal, Current::Direct, from, to);
        self.supply(id, supply)
    }

    /// AC supply.
    pub(crate) fn ac(
        &mut self,
        id: &str,
        (volts, hertz, degrees): (f64, f64, f64),
        internal: f64,
        from: &str,
        to: &str,
    ) -> ElementId {
        let mut supply = self.plain(exactly(volts), exactly(internal), Current::Alternating, from, to);
        supply.frequency = Some(Hertz::new(hertz));
        supply.phase = degrees;
        self.supply(id, supply)
    }

    /// Rectified supply of 50 Hz.
    pub(crate) fn rectified(
        &mut self,
        id: &str,
        (volts, internal): (f64, f64),
        rectifier: (RectifierForm, f64, Option<f64>),
        from: &str,
        to: &str,
    ) -> ElementId {
        let mut supply = self.plain(exactly(volts), exactly(internal), Current::Alternating, from, to);
        supply.frequency = Some(Hertz::new(50.0));
        let (form, forward, reservoir) = rectifier;
        supply.rectifier = Some(Rectifier {
            form,
            forward: Volts::new(forward),
            reservoir: reservoir.map(|farads| Toleranced::exactly(Farads::new(farads), Origin::Stated)),
        });
        self.supply(id, supply)
    }

    /// Gives the reservoir of a rectified supply a span of farads.
    pub(crate) fn reservoir_between(&mut self, supply: PartId, low: f64, high: f64) {
        let PartKind::Supply(supply) = &mut self.machine.parts[supply.0].kind else { panic!("no supply") };
        let farads = supply.rectifier.as_mut().and_then(|rectifier| rectifier.reservoir.as_mut()).expect("a reservoir");
        (farads.low, farads.high) = (Farads::new(low), Farads::new(high));
    }

    /// Resistor.
    pub(crate) fn resistor(&mut self, id: &str, ohms: Span, from: &str, to: &str) -> ElementId {
        let kind = PartKind::Resistor(Resistor { resistance: toleranced(ohms), power: None });
        self.single(id, kind, Law::Resistance(toleranced(ohms)), from, to)
    }

    /// Fuse by IEC gates.
    pub(crate) fn fuse(&mut self, id: &str, rated: f64, cold: Span, from: &str, to: &str) -> ElementId {
        let fuse = Fuse {
            rated: Amperes::new(rated),
            speed: Some("T".into()),
            body: None,
            breaking: None,
            voltage: None,
            standard: FuseStandard::Iec,
            fitted: None,
            protects: None,
            cold: toleranced(cold),
        };
        self.single(id, PartKind::Fuse(fuse), Law::Resistance(toleranced(cold)), from, to)
    }

    /// Switch that closes when operated.
    pub(crate) fn switch(&mut self, id: &str, closed: Span, from: &str, to: &str) -> PartId {
        let contacts = vec![Contact { terminals: "1-2".into(), form: ContactForm::Make }];
        let switch = Switch { contacts, driven_by: None, timing: None, operated_by: None, contact_rating: None };
        let part = self.part(id, PartKind::Switch(switch));
        let gate = Gate::Hand { switch: part, when_operated: true };
        self.element(part, Law::Contact { closed: toleranced(closed), gate }, from, to);
        part
    }

    /// A winding's data: ohms, nominal, operate and release volts.
    pub(crate) fn winding(ohms: Span, nominal: f64, operate: f64, release: f64) -> Coil {
        Coil {
            ohms_known: true,
            resistance: toleranced(ohms),
            inductance: None,
            impedance: None,
            power_factor: None,
            nominal: Volts::new(nominal),
            current: Current::Direct,
            operate: Volts::new(operate),
            release: Volts::new(release),
            duty: None,
        }
    }

    /// Relay with its coil between two joints.
    pub(crate) fn relay(&mut self, id: &str, coil: Coil, from: &str, to: &str) -> PartId {
        let part =
            self.part(id, PartKind::Relay(Relay { coil, reset: None, contacts: Vec::new(), contact_rating: None }));
        self.element(part, Law::Winding, from, to);
        part
    }

    /// Contact of a relay.
    pub(crate) fn contact(
        &mut self,
        relay: PartId,
        when_energised: bool,
        closed: f64,
        from: &str,
        to: &str,
    ) -> ElementId {
        let gate = Gate::Relay { relay, when_energised };
        self.element(relay, Law::Contact { closed: toleranced(exactly(closed)), gate }, from, to)
    }

    /// Solenoid.
    pub(crate) fn solenoid(&mut self, id: &str, coil: Coil, from: &str, to: &str) -> ElementId {
        self.single(id, PartKind::Solenoid(coil), Law::Winding, from, to)
    }

    /// Lamp.
    pub(crate) fn lamp(&mut self, id: &str, volts: f64, amperes: Span, from: &str, to: &str) -> ElementId {
        let rated = volts / amperes.1;
        let lamp = Lamp {
            nominal: Volts::new(volts),
            current: toleranced(amperes),
            cold: toleranced(exactly(rated / 12.0)),
            pattern: None,
        };
        self.single(id, PartKind::Lamp(lamp), Law::Filament, from, to)
    }

    /// Diode, anode first.
    pub(crate) fn diode(
        &mut self,
        id: &str,
        drop: f64,
        on: f64,
        zener: Option<f64>,
        from: &str,
        to: &str,
    ) -> ElementId {
        let diode = Diode {
            drop: Volts::new(drop),
            on_resistance: Ohms::new(on),
            reverse: None,
            forward: None,
            zener: zener.map(Volts::new),
            across: None,
        };
        self.single(id, PartKind::Diode(diode), Law::Junction, from, to)
    }

    /// Capacitor.
    pub(crate) fn capacitor(&mut self, id: &str, farads: f64, from: &str, to: &str) -> ElementId {
        let kind =
            PartKind::Capacitor(Capacitor { capacitance: toleranced(exactly(farads)), voltage: None, bleeder: None });
        self.single(id, kind, Law::Capacitance, from, to)
    }

    /// Inductor.
    pub(crate) fn inductor(&mut self, id: &str, henries: f64, ohms: f64, from: &str, to: &str) -> ElementId {
        let inductor =
            Inductor { inductance: toleranced::<Henries>(exactly(henries)), resistance: toleranced(exactly(ohms)) };
        self.single(id, PartKind::Inductor(inductor), Law::Inductance, from, to)
    }

    /// Test point at the joint of the same name, against the machine's reference.
    pub(crate) fn point(&mut self, name: &str) {
        let joint = self.joint(name);
        let reference = self.machine.reference;
        self.point_between(name, joint, reference);
    }

    /// Test point with its own reference.
    pub(crate) fn point_between(&mut self, name: &str, joint: JointId, reference: JointId) {
        self.machine.test_points.push(TestPoint {
            id: name.into(),
            joint,
            reference,
            location: None,
            probe: None,
            minutes: None,
            door: None,
            place: Place::default(),
        });
    }

    /// The next sequence, with these switches operated.
    pub(crate) fn sequence(&mut self, operated: &[PartId], after: Option<SequenceId>) -> SequenceId {
        let number = i64::try_from(self.machine.sequences.len()).unwrap_or_default() + 1;
        self.machine.sequences.push(Sequence {
            number,
            title: format!("step {number}"),
            after,
            setting: Setting { operated: operated.iter().copied().collect(), ..Setting::default() },
            pulled_in: Vec::new(),
            states_pulled_in: false,
            acts: Vec::new(),
            symptom: None,
            note: None,
            source: None,
            place: Place::default(),
        });
        SequenceId(self.machine.sequences.len() - 1)
    }
}
