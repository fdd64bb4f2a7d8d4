//! Hand-made machines for the drawing tests: routes in short form, joints and values filled in, and a plain nodal
//! solution by elimination, so that these tests stand on nothing but the machine's own types.

use std::collections::{BTreeMap, BTreeSet};

use benchleaf::circuit::results::{Band, Certainty, JointVoltage, Reading, SequenceSolution, Settling, Solution};
use benchleaf::machine::model::*;
use benchleaf::spec::diagnostic::Place;
use benchleaf::spec::units::{Amperes, Celsius, Ohms, Volts};

/// A machine in the making.
pub(super) struct Bench {
    pub(super) machine: Machine,
}

fn exactly<U: benchleaf::spec::units::Unit>(value: f64) -> Toleranced<U> {
    Toleranced::exactly(U::new(value), Origin::Stated)
}

impl Bench {
    /// A machine with one DC supply whose negative terminal is `N28` and whose positive one, `COM`, is the reference.
    pub(super) fn new() -> Self {
        let identity = Identity {
            id: "trial".into(),
            name: "Trial".into(),
            kind: "bench circuit".into(),
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
            meter: Meter::Digital(Ohms::new(1e7)),
            fault_overrides: Vec::new(),
        };
        let mut bench = Self { machine };
        let (com, n28) = (bench.joint("COM", true), bench.joint("N28", true));
        bench.machine.reference = com;
        let supply = Supply {
            rated: exactly(28.0),
            voltage: exactly(28.0),
            current: Current::Direct,
            frequency: None,
            internal: exactly(0.6),
            rectifier: None,
            rating: None,
            phase: 0.0,
            minimum_load: None,
            terminals: [("+".into(), com), ("-".into(), n28)],
            maximum: None,
        };
        let part = bench.part("PS1", PartKind::Supply(supply));
        bench.element(part, "PS1", com, n28, Law::Source);
        bench
    }

    pub(super) fn joint(&mut self, name: &str, named: bool) -> JointId {
        if let (true, Some(known)) = (named, self.machine.joint_named(name)) {
            return known;
        }
        self.machine.joints.push(Joint { name: name.into(), named, label: None, place: Place::default() });
        JointId(self.machine.joints.len() - 1)
    }

    pub(super) fn part(&mut self, id: &str, kind: PartKind) -> PartId {
        if let Some(known) = self.machine.part_named(id) {
            return known;
        }
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

    pub(super) fn element(&mut self, part: PartId, name: &str, from: JointId, to: JointId, law: Law) -> ElementId {
        let id = ElementId(self.machine.elements.len());
        self.machine.elements.push(Element { part, name: name.into(), from, to, law });
        self.machine.parts[part.0].elements.push(id);
        id
    }

    /// Adds a route. Joints: `COM`, `N28`, `BUS...`, `TP...`, `X...`; parts by their first letters, see [`kind_of`].
    pub(super) fn run(&mut self, route: &str) -> &mut Self {
        let mut at: Option<JointId> = None;
        let mut pending: Vec<(PartId, String, Law)> = Vec::new();
        let mut steps = Vec::new();
        for word in route.split('>').map(str::trim) {
            if is_joint(word) {
                let joint = self.joint(word, true);
                if word.starts_with("TP") && self.machine.test_point_named(word).is_none() {
                    self.test_point(word, joint);
                }
                let from = at.unwrap_or(joint);
                self.lay(from, joint, std::mem::take(&mut pending), &mut steps);
                at = Some(joint);
            } else {
                pending.extend(self.things(word));
            }
        }
        self.machine.runs.push(Run { label: None, steps, place: Place::default() });
        self
    }

    fn test_point(&mut self, id: &str, joint: JointId) {
        self.machine.test_points.push(TestPoint {
            id: id.into(),
            joint,
            reference: self.machine.reference,
            location: None,
            probe: None,
            minutes: None,
            door: None,
            place: Place::default(),
        });
    }

    fn lay(&mut self, from: JointId, to: JointId, things: Vec<(PartId, String, Law)>, steps: &mut Vec<RunStep>) {
        let count = things.len();
        let mut joint = from;
        for (index, (part, name, law)) in things.into_iter().enumerate() {
            let next = if index + 1 == count { to } else { self.joint(&format!("after {name}"), false) };
            let element = self.element(part, &name, joint, next, law);
            if let PartKind::Plug(plug) = &mut self.machine.parts[part.0].kind {
                plug.pins.push((name, element));
            }
            steps.extend([RunStep::Joint(joint), RunStep::Element { element, forward: true }]);
            joint = next;
        }
        steps.push(RunStep::Joint(to));
    }

    /// What a word of a route stands for.
    fn things(&mut self, word: &str) -> Vec<(PartId, String, Law)> {
        if let Some(colour) = word.strip_prefix("wire") {
            let id = format!("W{}", self.machine.parts.len());
            let colour = colour.split_whitespace().next().map(|letters| match letters.split_once('/') {
                Some((base, tracer)) => (base.to_string(), Some(tracer.to_string())),
                None => (letters.to_string(), None),
            });
            let part = self.part(&id, PartKind::Wire(Wire { colour, size: None, size_text: None, length: None }));
            return vec![(part, id, Law::Resistance(exactly(0.02)))];
        }
        if let Some((first, last)) = word.split_once("..") {
            let number = |id: &str| id.trim_start_matches(char::is_alphabetic).parse::<u32>().unwrap();
            let letters = first.trim_end_matches(|letter: char| letter.is_ascii_digit());
            return (number(first)..=number(last))
                .flat_map(|number| {
                    let things = self.things(&format!("{letters}{number}"));
                    self.machine.parts[things[0].0.0].group = Some(word.to_string());
                    things
                })
                .collect();
        }
        let (id, terminals) = word.split_once(':').unwrap_or((word, ""));
        let kind = kind_of(id);
        let law = law_of(&kind);
        let part = self.part(id, kind);
        match (&mut self.machine.parts[part.0].kind, terminals) {
            (PartKind::Selector(selector), path) => {
                let (first, second) = path.split_once('-').unwrap();
                let index =
                    |ring: usize, name: &str| selector.rings[ring].1.iter().position(|own| own == name).unwrap();
                let gate = |ring, segment| Law::Contact {
                    closed: exactly(0.05),
                    gate: Gate::Wiper { selector: part, ring, segment },
                };
                vec![
                    (part, format!("{id}:{first}"), gate(0, index(0, first))),
                    (part, format!("{id}:{second}"), gate(1, index(1, second))),
                ]
            }
            (PartKind::Relay(relay), terminals) if !terminals.is_empty() => {
                let (form, when_energised) = contact_form(terminals);
                relay.contacts.push(Contact { terminals: terminals.into(), form });
                let gate = Gate::Relay { relay: part, when_energised };
                vec![(part, word.into(), Law::Contact { closed: exactly(0.05), gate })]
            }
            (PartKind::Switch(switch) | PartKind::Cam(switch), _) => {
                let when_operated = switch.contacts[0].form == ContactForm::Make;
                let gate = Gate::Hand { switch: part, when_operated };
                vec![(part, word.into(), Law::Contact { closed: exactly(0.05), gate })]
            }
            _ => vec![(part, word.into(), law)],
        }
    }

    /// A sequence with what is operated, energised and acting, all by name; selectors as `SEL=A2`.
    pub(super) fn sequence(&mut self, set: &[&str], acts: &[&str]) -> &mut Self {
        let mut setting = Setting::default();
        for word in set {
            match word.split_once('=') {
                Some((id, at)) => {
                    let part = self.machine.part_named(id).unwrap();
                    let PartKind::Selector(selector) = &self.machine.part(part).kind else { panic!("{id}") };
                    let rings = selector.rings.iter().zip(at.chars());
                    let under = rings.map(|(ring, name)| ring.1.iter().position(|own| *own == name.to_string()));
                    setting.positions.insert(part, under.collect());
                }
                None => {
                    setting.operated.insert(self.machine.part_named(word).unwrap());
                }
            }
        }
        let number = i64::try_from(self.machine.sequences.len()).unwrap() + 1;
        self.machine.sequences.push(Sequence {
            number,
            title: format!("step {number}"),
            after: None,
            setting,
            pulled_in: Vec::new(),
            states_pulled_in: false,
            acts: acts.iter().map(|id| self.machine.part_named(id).unwrap()).collect(),
            symptom: None,
            note: None,
            source: None,
            place: Place::default(),
        });
        self
    }

    /// Solves every sequence with these relays energised.
    pub(super) fn solved(&self, energised: &[&str]) -> Solution {
        let energised: BTreeSet<PartId> = energised.iter().map(|id| self.machine.part_named(id).unwrap()).collect();
        let sequences = (0..self.machine.sequences.len())
            .map(|index| solve(&self.machine, SequenceId(index), &energised))
            .collect();
        Solution { sequences }
    }
}

fn is_joint(word: &str) -> bool {
    ["COM", "N28", "TP", "BUS", "X"].iter().any(|start| word.starts_with(start))
}

/// Make 1 closes when energised, break rests closed: even second terminals make, odd ones break.
fn contact_form(terminals: &str) -> (ContactForm, bool) {
    match terminals {
        "9-10" | "9-11" => (ContactForm::ChangeOver, terminals == "9-11"),
        "7-8" => (ContactForm::Break, false),
        _ => (ContactForm::Make, true),
    }
}

fn coil(ohms: f64) -> Coil {
    Coil {
        ohms_known: true,
        resistance: exactly(ohms),
        inductance: None,
        impedance: None,
        power_factor: None,
        nominal: Volts::new(24.0),
        current: Current::Direct,
        operate: Volts::new(18.0),
        release: Volts::new(2.4),
        duty: None,
    }
}

fn hand(form: ContactForm) -> Switch {
    let contacts = vec![Contact { terminals: "1-2".into(), form }];
    Switch { contacts, driven_by: None, timing: None, operated_by: None, contact_rating: None }
}

/// The kind of a part by the letters of its name.
fn kind_of(id: &str) -> PartKind {
    match id.trim_end_matches(|letter: char| letter.is_ascii_digit()) {
        "F" => PartKind::Fuse(Fuse {
            rated: Amperes::new(2.0),
            speed: Some("T".into()),
            body: None,
            breaking: None,
            voltage: None,
            standard: FuseStandard::Iec,
            fitted: None,
            protects: None,
            cold: exactly(0.1),
        }),
        "K" => PartKind::Relay(Relay { coil: coil(120.0), reset: None, contacts: Vec::new(), contact_rating: None }),
        "L" => PartKind::Solenoid(coil(22.0)),
        "M" => PartKind::Motor(coil(40.0)),
        "DS" => PartKind::Lamp(Lamp {
            nominal: Volts::new(28.0),
            current: exactly(0.04),
            cold: exactly(70.0),
            pattern: None,
        }),
        "S" => PartKind::Switch(hand(ContactForm::Break)),
        "PB" => PartKind::Switch(hand(ContactForm::Make)),
        "CAM" => PartKind::Cam(hand(ContactForm::Make)),
        "SEL" => PartKind::Selector(Selector {
            rings: vec![
                ("letter".into(), vec!["A".into(), "B".into()]),
                ("number".into(), vec!["1".into(), "2".into()]),
            ],
            stepped_by: Vec::new(),
            driven_by: None,
            wiper: JointId(0),
        }),
        "C" => PartKind::Capacitor(Capacitor { capacitance: exactly(1e-7), voltage: None, bleeder: None }),
        "D" => PartKind::Diode(Diode {
            drop: Volts::new(0.7),
            on_resistance: Ohms::new(0.1),
            reverse: Some(Volts::new(200.0)),
            forward: None,
            zener: None,
            across: None,
        }),
        "J" => PartKind::Plug(Plug { ways: None, pattern: None, pins: Vec::new() }),
        _ => PartKind::Resistor(Resistor { resistance: exactly(4.7), power: None }),
    }
}

fn law_of(kind: &PartKind) -> Law {
    match kind {
        PartKind::Relay(_) | PartKind::Solenoid(_) | PartKind::Motor(_) => Law::Winding,
        PartKind::Lamp(_) => Law::Filament,
        PartKind::Capacitor(_) => Law::Capacitance,
        PartKind::Diode(_) => Law::Junction,
        PartKind::Fuse(fuse) => Law::Resistance(fuse.cold.clone()),
        PartKind::Resistor(resistor) => Law::Resistance(resistor.resistance.clone()),
        _ => Law::Resistance(exactly(0.01)),
    }
}

/// Siemens of an element as it stands; none where it does not conduct. Diodes are taken as blocked.
fn siemens(machine: &Machine, sequence: &Sequence, energised: &BTreeSet<PartId>, element: &Element) -> Option<f64> {
    let ohms = match &element.law {
        Law::Resistance(ohms) => ohms.nominal.value(),
        Law::Contact { closed, gate } => {
            if !benchleaf::circuit::path::is_closed(gate, sequence, energised) {
                return None;
            }
            closed.nominal.value()
        }
        Law::Winding => machine.coil(element.part)?.resistance.nominal.value(),
        Law::Filament => 700.0,
        _ => return None,
    };
    Some(1.0 / ohms)
}

fn solve(machine: &Machine, id: SequenceId, energised: &BTreeSet<PartId>) -> SequenceSolution {
    let sequence = &machine.sequences[id.0];
    let count = machine.joints.len();
    let mut matrix = vec![vec![0.0; count + 1]; count];
    let mut stamps: Vec<(usize, usize, f64)> = Vec::new();
    for element in &machine.elements {
        match element.law {
            Law::Source => {
                let g = 1.0 / 0.6;
                stamps.push((element.from.0, element.to.0, g));
                matrix[element.from.0][count] += 28.0 * g;
                matrix[element.to.0][count] -= 28.0 * g;
            }
            _ => {
                stamps
                    .extend(siemens(machine, sequence, energised, element).map(|g| (element.from.0, element.to.0, g)));
            }
        }
    }
    for (a, b, g) in stamps {
        matrix[a][a] += g;
        matrix[b][b] += g;
        matrix[a][b] -= g;
        matrix[b][a] -= g;
    }
    // A leak to the reference gives floating joints a value and marks them.
    for (joint, row) in matrix.iter_mut().enumerate() {
        row[joint] += if joint == machine.reference.0 { 1e12 } else { 1e-12 };
    }
    let volts = eliminated(matrix);
    let reached = reached(machine, sequence, energised);
    let joints = volts
        .iter()
        .enumerate()
        .map(|(joint, volts)| JointVoltage {
            direct: *volts,
            real: 0.0,
            imaginary: 0.0,
            floating: !reached.contains(&JointId(joint)),
        })
        .collect();
    let currents = machine
        .elements
        .iter()
        .map(|element| {
            siemens(machine, sequence, energised, element).unwrap_or(0.0)
                * (volts[element.from.0] - volts[element.to.0])
        })
        .collect();
    let readings = machine
        .test_points
        .iter()
        .enumerate()
        .map(|(index, point)| {
            let nominal = volts[point.joint.0];
            Reading {
                outcomes: Vec::new(),
                at: TestPointId(index),
                against: machine.reference,
                quantity: Current::Direct,
                nominal,
                band: Band { low: nominal * 1.1, high: nominal * 0.9, certainty: Certainty::Exact },
                drop: None,
                ripple: None,
                rms: None,
                floating: !reached.contains(&point.joint),
            }
        })
        .collect();
    SequenceSolution {
        sequence: id,
        settling: Settling::Settled { rounds: 1 },
        energised: energised.clone(),
        conducting: BTreeSet::new(),
        opened: Vec::new(),
        readings,
        devices: Vec::new(),
        joints,
        currents,
        remarks: Vec::new(),
    }
}

/// Joints with a conducting way to the reference.
fn reached(machine: &Machine, sequence: &Sequence, energised: &BTreeSet<PartId>) -> BTreeSet<JointId> {
    let mut reached = BTreeSet::from([machine.reference]);
    loop {
        let before = reached.len();
        for element in &machine.elements {
            let conducts =
                matches!(element.law, Law::Source) || siemens(machine, sequence, energised, element).is_some();
            if conducts && (reached.contains(&element.from) || reached.contains(&element.to)) {
                reached.extend([element.from, element.to]);
            }
        }
        if reached.len() == before {
            return reached;
        }
    }
}

/// Gauss's elimination with the largest pivot.
fn eliminated(mut matrix: Vec<Vec<f64>>) -> Vec<f64> {
    let count = matrix.len();
    for column in 0..count {
        let pivot =
            (column..count).max_by(|a, b| matrix[*a][column].abs().total_cmp(&matrix[*b][column].abs())).unwrap();
        matrix.swap(column, pivot);
        let pivot_row = matrix[column].clone();
        for (index, row) in matrix.iter_mut().enumerate() {
            if index != column && row[column] != 0.0 {
                let factor = row[column] / pivot_row[column];
                for (value, own) in row.iter_mut().zip(&pivot_row) {
                    *value -= factor * own;
                }
            }
        }
    }
    (0..count).map(|row| matrix[row][count] / matrix[row][row]).collect()
}

/// Machines by name, for pictures.
pub(super) fn gallery() -> BTreeMap<&'static str, (Bench, Vec<&'static str>)> {
    let mut all = BTreeMap::new();
    let mut stop = Bench::new();
    stop.run(
        "N28 > F2 > TP3 > J3:6 > wire GY/YE > K1:5-6 > TP4 > S10..S17 > SEL:B-2 > TP5 > R3 > TP6 > K2 > wire BK > COM",
    )
    .run("COM > D4 > TP6")
    .run("TP3 > K1 > COM")
    .run("TP3 > DS1 > COM")
    .run("TP3 > PB1 > TP4")
    .sequence(&["SEL=B2", "PB1"], &["K2"]);
    all.insert("stop", (stop, vec!["K1"]));

    let mut bridge = Bench::new();
    bridge
        .run("N28 > F1 > TP1 > R1 > X1 > R3 > TP3 > K1 > COM")
        .run("TP1 > R2 > TP2 > R4 > TP3")
        .run("X1 > DS5 > TP2")
        .sequence(&[], &["K1"]);
    all.insert("bridge", (bridge, vec![]));

    let mut long = Bench::new();
    long.run("N28 > F1 > J1:1 > wire RD > TP1 > J2:4 > wire RD/WH > K5:5-6 > TP2 > K6:7-8 > wire BU > J3:2 > CAM1 > TP3 > S20..S25 > TP4")
        .run("TP4 > J4:1 > wire OG/BK > K7:9-11 > SEL:A-1 > BUS1 > wire GN/YE > J5:3 > K8:9-10 > TP5 > R9 > J6:1 > wire VT > L1 > TP6 > wire BK > J7:12 > wire BK > COM")
        .run("TP2 > PB2 > J9:1 > wire PK > K9:5-6 > CAM2 > J9:2 > wire TQ > J9:3 > wire WH/BU > K10:7-8 > S30..S33 > J9:4 > wire SR > TP4")
        .sequence(&["CAM1", "CAM2", "PB2", "SEL=A1"], &["L1"]);
    all.insert("long", (long, vec!["K5", "K7", "K8", "K9"]));

    let mut several = Bench::new();
    several
        .run("N28 > F3 > TP1 > wire RD > PB1 > TP2 > J1:1 > wire YE > K1 > COM")
        .run("TP2 > J1:2 > wire GY > TP7 > DS1 > COM")
        .run("TP2 > R1 > L2 > wire BK > COM")
        .run("TP1 > M1 > COM")
        .sequence(&["PB1"], &["K1", "DS1", "L2"])
        .sequence(&[], &["K1"])
        .sequence(&["PB1"], &["M1", "K1"]);
    all.insert("several", (several, vec![]));
    all
}
