//! The resolved machine: what the description means, with every name turned into an index.
//!
//! Plain data and small look-ups only. Joints are electrical nodes; elements are the two-terminal things between them
//! that the circuit room solves; parts are what a technician can point at, and own one or more elements. Values are in
//! the units of their types, with the lowest and highest healthy value beside the nominal one.

use std::collections::{BTreeMap, BTreeSet};

use crate::spec::diagnostic::Place;
use crate::spec::units::{
    Amperes, Celsius, Farads, Henries, Hertz, Metres, Minutes, Ohms, SquareMillimetres, Unit, VoltAmperes, Volts, Watts,
};

macro_rules! index {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub usize);
    )*};
}

index! {
    /// Place of a joint in [`Machine::joints`].
    JointId;
    /// Place of a part in [`Machine::parts`].
    PartId;
    /// Place of an element in [`Machine::elements`].
    ElementId;
    /// Place of a test point in [`Machine::test_points`].
    TestPointId;
    /// Place of a sequence in [`Machine::sequences`].
    SequenceId;
}

/// Where a value comes from; printed as a mark beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Origin {
    /// A manual, schematic or rating plate says so.
    Stated,
    /// Measured on a machine known to be good.
    Measured,
    /// Somebody's estimate.
    Estimated,
    /// This program's default, because the description is silent.
    Default,
    /// Solved from the circuit.
    Computed,
}

/// A value with the span that a healthy part may have, and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Toleranced<U> {
    /// The value as stated.
    pub nominal: U,
    /// The lowest healthy value.
    pub low: U,
    /// The highest healthy value.
    pub high: U,
    /// Where it comes from.
    pub origin: Origin,
    /// The page or paper that says so.
    pub source: Option<String>,
}

impl<U: Unit> Toleranced<U> {
    /// A value without spread.
    #[must_use]
    pub fn exactly(nominal: U, origin: Origin) -> Self {
        Self { nominal, low: nominal, high: nominal, origin, source: None }
    }

    /// A default of this program, with its spread.
    #[must_use]
    pub fn default_span(nominal: f64, low: f64, high: f64) -> Self {
        Self { nominal: U::new(nominal), low: U::new(low), high: U::new(high), origin: Origin::Default, source: None }
    }
}

/// The whole machine.
#[derive(Debug, Clone)]
pub struct Machine {
    /// Name plate, revision and general data.
    pub identity: Identity,
    /// All electrical nodes.
    pub joints: Vec<Joint>,
    /// All parts in the order of the file; wires last, in the order of their runs.
    pub parts: Vec<Part>,
    /// All two-terminal elements.
    pub elements: Vec<Element>,
    /// The wiring, as routes.
    pub runs: Vec<Run>,
    /// Points that a probe can reach, in the order of the file.
    pub test_points: Vec<TestPoint>,
    /// Numbered steps, in ascending number.
    pub sequences: Vec<Sequence>,
    /// What a paper says that a point reads.
    pub expectations: Vec<Expectation>,
    /// Free notes, each for the machine, a part or a sequence.
    pub notes: Vec<Note>,
    /// Where the black lead goes unless a test point names another joint.
    pub reference: JointId,
    /// To which the metal of the cabinet is bonded.
    pub frame: Option<JointId>,
    /// The meter for which readings are printed.
    pub meter: Meter,
    /// Fault weights and minutes that the description overrides.
    pub fault_overrides: Vec<FaultOverride>,
}

/// Name plate and revision.
#[derive(Debug, Clone)]
pub struct Identity {
    /// Short name for files: letters, digits, hyphens.
    pub id: String,
    /// Name on the plate.
    pub name: String,
    /// What it is and does.
    pub kind: String,
    /// Who made it.
    pub maker: Option<String>,
    /// Year of making.
    pub year: Option<i64>,
    /// Serial number, if this description is of one machine.
    pub serial: Option<String>,
    /// Revision of the description.
    pub revision: i64,
    /// Date of the revision as ISO 8601 text; the only date that is printed. Empty where none is stated.
    pub revised: String,
    /// Who keeps the description.
    pub author: Option<String>,
    /// Mains supply as text; its presence brings the mains cautions.
    pub mains: Option<String>,
    /// Weight as text; its presence brings the lifting caution.
    pub weight: Option<String>,
    /// Papers that the description draws on.
    pub sources: Vec<String>,
    /// Earlier revisions, newest first: number, date, what changed.
    pub revisions: Vec<(i64, String, String)>,
    /// Maker's own wire colour names where they differ from IEC 60757: code, meaning.
    pub wire_colours: Vec<(String, String)>,
    /// Ambient temperature at which cold ohms are stated.
    pub ambient: Celsius,
}

/// An electrical node.
#[derive(Debug, Clone)]
pub struct Joint {
    /// Its name; joints that nobody named are called after their neighbours, such as `between F2 and J3:6`.
    pub name: String,
    /// Whether the description names it.
    pub named: bool,
    /// What the description says that it is.
    pub label: Option<String>,
    /// Where it is named first.
    pub place: Place,
}

/// Something a technician can point at.
#[derive(Debug, Clone)]
pub struct Part {
    /// Reference designator, such as `K2`; wires get `W1`, `W2`, ...
    pub id: String,
    /// What it does, such as `stop relay`.
    pub label: Option<String>,
    /// Where it sits in the machine.
    pub location: Option<String>,
    /// Where the description declares it.
    pub place: Place,
    /// Its page or paper.
    pub source: Option<String>,
    /// Where it comes from.
    pub origin: Origin,
    /// What it is.
    pub kind: PartKind,
    /// Its elements in the order in which runs use them.
    pub elements: Vec<ElementId>,
    /// For parts declared together, such as `S10..S17`: the id as written. They need not lie in series: see [`Machine::bank`].
    pub group: Option<String>,
    /// Parts of the same make that may be swapped with it for a test.
    pub twins: Vec<PartId>,
    /// Cover that must be opened to reach it.
    pub door: Option<String>,
}

/// The kinds of part, each with its own data.
#[derive(Debug, Clone)]
pub enum PartKind {
    /// Source of power.
    Supply(Supply),
    /// Fuse in its clips.
    Fuse(Fuse),
    /// Relay with its contacts.
    Relay(Relay),
    /// Solenoid or other coil that moves something.
    Solenoid(Coil),
    /// Motor.
    Motor(Coil),
    /// Filament lamp.
    Lamp(Lamp),
    /// Switch moved by hand, coin, door or mechanism.
    Switch(Switch),
    /// Switch moved by a cam.
    Cam(Switch),
    /// Rotary selector or stepping unit.
    Selector(Selector),
    /// Resistor.
    Resistor(Resistor),
    /// Capacitor.
    Capacitor(Capacitor),
    /// Inductor.
    Inductor(Inductor),
    /// Diode or one-way rectifier element.
    Diode(Diode),
    /// Loudspeaker.
    Speaker(Speaker),
    /// Plug with pins.
    Plug(Plug),
    /// Length of wire.
    Wire(Wire),
}

impl PartKind {
    /// Its name: what messages call it, and the key of its words.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Supply(_) => "supply",
            Self::Fuse(_) => "fuse",
            Self::Relay(_) => "relay",
            Self::Solenoid(_) => "solenoid",
            Self::Motor(_) => "motor",
            Self::Lamp(_) => "lamp",
            Self::Switch(_) => "switch",
            Self::Cam(_) => "cam",
            Self::Selector(_) => "selector",
            Self::Resistor(_) => "resistor",
            Self::Capacitor(_) => "capacitor",
            Self::Inductor(_) => "inductor",
            Self::Diode(_) => "diode",
            Self::Speaker(_) => "speaker",
            Self::Plug(_) => "plug",
            Self::Wire(_) => "wire",
        }
    }
}

/// Kind of current.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Current {
    /// Direct.
    Direct,
    /// Alternating.
    Alternating,
}

/// Source of power: an ideal source behind its internal resistance, optionally rectified.
#[derive(Debug, Clone)]
pub struct Supply {
    /// Open-circuit (no-load) voltage of the ideal source: DC value, or RMS for AC and for the winding of a rectified supply.
    pub voltage: Toleranced<Volts>,
    /// What the ideal source delivers before any rectifier.
    pub current: Current,
    /// Voltage of the source as the papers give it: at rated load where it has a rating and a regulation.
    pub rated: Toleranced<Volts>,
    /// Frequency of an AC source (or of the winding of a rectified one).
    pub frequency: Option<Hertz>,
    /// Resistance in series with the ideal source.
    pub internal: Toleranced<Ohms>,
    /// Rectifier between the winding and the terminals.
    pub rectifier: Option<Rectifier>,
    /// Rating of the transformer secondary.
    pub rating: Option<VoltAmperes>,
    /// Phase of an AC source in degrees; opposite halves of a centre tap differ by 180.
    pub phase: f64,
    /// Lowest load that an amplifier output may drive.
    pub minimum_load: Option<Ohms>,
    /// Terminals by name (`+`, `-`, `A`, `B`): the first is the positive one, or the one of phase 0.
    pub terminals: [(String, JointId); 2],
    /// What the largest current is that it may deliver, if stated.
    pub maximum: Option<Amperes>,
}

/// Rectifier of a supply.
#[derive(Debug, Clone)]
pub struct Rectifier {
    /// Its wiring.
    pub form: RectifierForm,
    /// Drop of one diode in its path.
    pub forward: Volts,
    /// Reservoir capacitor behind it.
    pub reservoir: Option<Toleranced<Farads>>,
}

/// Wiring of a rectifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RectifierForm {
    /// One diode, one half of each cycle.
    HalfWave,
    /// Two diodes on a centre-tapped winding; the voltage is that of one half.
    FullWave,
    /// Four diodes; two drops in the path.
    Bridge,
}

/// Fuse.
#[derive(Debug, Clone)]
pub struct Fuse {
    /// Rated current that the maker calls for.
    pub rated: Amperes,
    /// Speed as an IEC 60127 letter (FF, F, M, T, TT), or as written.
    pub speed: Option<String>,
    /// Body, such as `5x20`.
    pub body: Option<String>,
    /// Breaking capacity letter L, E or H.
    pub breaking: Option<String>,
    /// Rated voltage.
    pub voltage: Option<Volts>,
    /// `IEC` or `UL`: whose opening gates apply.
    pub standard: FuseStandard,
    /// What was found in the clips, if it was looked at.
    pub fitted: Option<FittedFuse>,
    /// What it protects, in words.
    pub protects: Option<String>,
    /// Cold resistance.
    pub cold: Toleranced<Ohms>,
}

/// Whose opening gates a fuse follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FuseStandard {
    /// IEC 60127.
    Iec,
    /// UL 248-14.
    Ul,
}

/// A fuse as it was found.
#[derive(Debug, Clone)]
pub struct FittedFuse {
    /// Its rated current.
    pub rated: Amperes,
    /// Its speed letter.
    pub speed: Option<String>,
}

/// Winding of a relay, solenoid or motor.
#[derive(Debug, Clone)]
pub struct Coil {
    /// DC resistance, cold.
    pub resistance: Toleranced<Ohms>,
    /// Whether an ohmmeter shows that resistance. One that was worked out from running amperes holds for the current only:
    /// it has mechanical work and losses of iron in it.
    pub ohms_known: bool,
    /// Inductance, where given.
    pub inductance: Option<Henries>,
    /// Magnitude of impedance under AC, where given.
    pub impedance: Option<Toleranced<Ohms>>,
    /// Power factor that goes with rated volts and amps.
    pub power_factor: Option<f64>,
    /// Rated voltage.
    pub nominal: Volts,
    /// Kind of current it is made for.
    pub current: Current,
    /// Least voltage at which it operates, cold.
    pub operate: Volts,
    /// Voltage below which it lets go.
    pub release: Volts,
    /// How long it may stay energised, as text.
    pub duty: Option<String>,
}

/// Relay.
#[derive(Debug, Clone)]
pub struct Relay {
    /// Its (main) coil, terminals `A1` and `A2`.
    pub coil: Coil,
    /// Second coil of a latching relay, terminals `B1` and `B2`: it moves the contacts back.
    pub reset: Option<Coil>,
    /// Contacts in the order written.
    pub contacts: Vec<Contact>,
    /// Current that a contact may switch, if stated.
    pub contact_rating: Option<Amperes>,
}

/// One contact set of a relay, switch or cam.
#[derive(Debug, Clone)]
pub struct Contact {
    /// Terminals as written, such as `5-6` or `9-10-11`.
    pub terminals: String,
    /// Its form.
    pub form: ContactForm,
}

/// Form of a contact, seen at rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ContactForm {
    /// Open at rest.
    Make,
    /// Closed at rest.
    Break,
    /// Common first or in the middle as its terminals say: break side, then make side.
    ChangeOver,
}

/// Switch moved by a hand, a coin, a door or a cam.
#[derive(Debug, Clone)]
pub struct Switch {
    /// Its contacts; a plain switch has one, with terminals `1-2`.
    pub contacts: Vec<Contact>,
    /// The motor that turns its cam.
    pub driven_by: Option<PartId>,
    /// When its cam closes it, as text, such as `20° to 160°`.
    pub timing: Option<String>,
    /// What moves it, as text.
    pub operated_by: Option<String>,
    /// Current that a contact may switch, if stated.
    pub contact_rating: Option<Amperes>,
}

/// Rotary selector or stepping unit: a wiper joins the segment of each ring on which it stands.
#[derive(Debug, Clone)]
pub struct Selector {
    /// Rings by name, each with its segments by name.
    pub rings: Vec<(String, Vec<String>)>,
    /// Coils that step it, if it is a stepping unit.
    pub stepped_by: Vec<PartId>,
    /// Motor that carries it.
    pub driven_by: Option<PartId>,
    /// The joint of the wiper, terminal `W`.
    pub wiper: JointId,
}

/// Filament lamp.
#[derive(Debug, Clone)]
pub struct Lamp {
    /// Rated voltage.
    pub nominal: Volts,
    /// Current at rated voltage.
    pub current: Toleranced<Amperes>,
    /// Cold resistance as an ohmmeter shows it.
    pub cold: Toleranced<Ohms>,
    /// Trade type number or base, as text.
    pub pattern: Option<String>,
}

/// Resistor.
#[derive(Debug, Clone)]
pub struct Resistor {
    /// Its resistance.
    pub resistance: Toleranced<Ohms>,
    /// What it may dissipate.
    pub power: Option<Watts>,
}

/// Capacitor.
#[derive(Debug, Clone)]
pub struct Capacitor {
    /// Its capacitance.
    pub capacitance: Toleranced<Farads>,
    /// What it may hold.
    pub voltage: Option<Volts>,
    /// Its bleeder, if any.
    pub bleeder: Option<PartId>,
}

/// Inductor.
#[derive(Debug, Clone)]
pub struct Inductor {
    /// Its inductance.
    pub inductance: Toleranced<Henries>,
    /// Its DC resistance.
    pub resistance: Toleranced<Ohms>,
}

/// Diode. Its element goes from anode to cathode.
#[derive(Debug, Clone)]
pub struct Diode {
    /// Forward drop.
    pub drop: Volts,
    /// Resistance in series when it conducts.
    pub on_resistance: Ohms,
    /// Reverse voltage it may see.
    pub reverse: Option<Volts>,
    /// Forward current it may carry.
    pub forward: Option<Amperes>,
    /// Breakdown voltage of a Zener diode.
    pub zener: Option<Volts>,
    /// The part whose coil it suppresses.
    pub across: Option<PartId>,
}

/// Loudspeaker.
#[derive(Debug, Clone)]
pub struct Speaker {
    /// Nominal impedance.
    pub impedance: Toleranced<Ohms>,
    /// DC resistance.
    pub resistance: Toleranced<Ohms>,
    /// Rated power.
    pub power: Option<Watts>,
    /// Range it is made for.
    pub range: SpeakerRange,
}

/// Range of a loudspeaker.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpeakerRange {
    /// Low notes.
    Woofer,
    /// Middle notes.
    Midrange,
    /// High notes; wants a capacitor before it.
    Tweeter,
    /// Everything.
    Full,
}

/// Plug or connector with pins.
#[derive(Debug, Clone)]
pub struct Plug {
    /// How many ways it has, if stated.
    pub ways: Option<i64>,
    /// What it looks like, as text.
    pub pattern: Option<String>,
    /// Its pins in the order of the runs: name, and the element through it.
    pub pins: Vec<(String, ElementId)>,
}

/// A length of wire in a run.
#[derive(Debug, Clone)]
pub struct Wire {
    /// Base colour and tracer, IEC 60757 letters, such as `WH` and `RD`.
    pub colour: Option<(String, Option<String>)>,
    /// Its cross-section.
    pub size: Option<SquareMillimetres>,
    /// Size as written, such as `AWG 22`.
    pub size_text: Option<String>,
    /// Its length.
    pub length: Option<Metres>,
}

/// What lies between two joints.
#[derive(Debug, Clone)]
pub struct Element {
    /// The part that owns it.
    pub part: PartId,
    /// Its name on paper, such as `K1:5-6`, `J3:6`, `F2`, `SEL:B`.
    pub name: String,
    /// Where current enters when it counts as positive; the anode, the positive terminal of a source.
    pub from: JointId,
    /// The other side.
    pub to: JointId,
    /// Its law.
    pub law: Law,
}

/// The law of an element. Data that only one kind of part has is read from the part.
#[derive(Debug, Clone)]
pub enum Law {
    /// A supply, with its internal resistance; see [`Supply`].
    Source,
    /// Always conducts: fuse, wire, pin, resistor.
    Resistance(Toleranced<Ohms>),
    /// Conducts when its gate is closed.
    Contact {
        /// Resistance when closed.
        closed: Toleranced<Ohms>,
        /// What moves it.
        gate: Gate,
    },
    /// Winding of a relay (main coil), solenoid or motor; see [`Coil`].
    Winding,
    /// Second winding of a latching relay.
    ResetWinding,
    /// Filament; see [`Lamp`].
    Filament,
    /// One-way element; see [`Diode`].
    Junction,
    /// See [`Capacitor`].
    Capacitance,
    /// See [`Inductor`].
    Inductance,
    /// See [`Speaker`].
    VoiceCoil,
}

/// What moves a contact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Gate {
    /// A relay: closed when its state equals `when_energised`.
    Relay {
        /// The relay.
        relay: PartId,
        /// Closed when energised (make) or when at rest (break).
        when_energised: bool,
    },
    /// A switch or cam: closed when it is operated or when it is at rest.
    Hand {
        /// The switch or cam.
        switch: PartId,
        /// Closed when operated.
        when_operated: bool,
    },
    /// A selector: closed when the wiper stands on this segment of this ring.
    Wiper {
        /// The selector.
        selector: PartId,
        /// Index of the ring.
        ring: usize,
        /// Index of the segment.
        segment: usize,
    },
}

/// A route of wiring.
#[derive(Debug, Clone)]
pub struct Run {
    /// Its name, if given.
    pub label: Option<String>,
    /// Joint, element, joint, ..., joint.
    pub steps: Vec<RunStep>,
    /// Where it is written.
    pub place: Place,
}

/// One step along a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunStep {
    /// A joint.
    Joint(JointId),
    /// An element, entered at `from` when `forward`.
    Element {
        /// The element.
        element: ElementId,
        /// Whether the run enters it at its `from` side.
        forward: bool,
    },
}

impl RunStep {
    /// The element, unless it is a joint.
    #[must_use]
    pub fn element(self) -> Option<ElementId> {
        match self {
            RunStep::Element { element, .. } => Some(element),
            RunStep::Joint(_) => None,
        }
    }
}

/// A joint that a probe can reach.
#[derive(Debug, Clone)]
pub struct TestPoint {
    /// Its name, such as `TP4`.
    pub id: String,
    /// The joint.
    pub joint: JointId,
    /// Where the black lead goes.
    pub reference: JointId,
    /// Where it is.
    pub location: Option<String>,
    /// How to reach it.
    pub probe: Option<String>,
    /// What one check here costs.
    pub minutes: Option<Minutes>,
    /// Cover to open first.
    pub door: Option<String>,
    /// Where it is declared.
    pub place: Place,
}

/// How switches, cams and selectors are set.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Setting {
    /// Switches and cams that are moved from rest.
    pub operated: BTreeSet<PartId>,
    /// Selectors: for each ring the index of the segment under the wiper; a selector that is absent stands between segments.
    pub positions: BTreeMap<PartId, Vec<Option<usize>>>,
}

/// A numbered step.
#[derive(Debug, Clone)]
pub struct Sequence {
    /// Its number.
    pub number: i64,
    /// What happens.
    pub title: String,
    /// The step whose relay states it starts from; none means all at rest.
    pub after: Option<SequenceId>,
    /// How things are set.
    pub setting: Setting,
    /// Relays that the manual says are in.
    pub pulled_in: Vec<PartId>,
    /// Whether the description states `pulled-in` at all.
    pub states_pulled_in: bool,
    /// Coils, motors, lamps and speakers that must act.
    pub acts: Vec<PartId>,
    /// What a customer says when it fails.
    pub symptom: Option<String>,
    /// What a person does or sees, as text.
    pub note: Option<String>,
    /// Its page or paper.
    pub source: Option<String>,
    /// Where it is declared.
    pub place: Place,
}

/// What a paper says that a point reads.
#[derive(Debug, Clone)]
pub struct Expectation {
    /// The test point.
    pub at: TestPointId,
    /// The sequence.
    pub sequence: SequenceId,
    /// The value, with its own tolerance if given.
    pub reads: Toleranced<Volts>,
    /// Its kind of current.
    pub current: Current,
    /// The page or paper.
    pub source: Option<String>,
    /// Where it is declared.
    pub place: Place,
}

/// A free note.
#[derive(Debug, Clone)]
pub struct Note {
    /// What it is about; none means the whole machine.
    pub about: Option<NoteSubject>,
    /// The text.
    pub text: String,
}

/// Subject of a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoteSubject {
    /// A part.
    Part(PartId),
    /// A sequence.
    Sequence(SequenceId),
    /// A test point.
    TestPoint(TestPointId),
}

/// The meter for which readings hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Meter {
    /// Constant input resistance, 10 MΩ unless another is named.
    Digital(Ohms),
    /// Ohms per volt times the full scale of the range.
    Analogue {
        /// Ohms for each volt of the DC range.
        ohms_per_volt: Ohms,
        /// Ohms for each volt of the AC range.
        ohms_per_volt_ac: Ohms,
        /// Full scales on offer, ascending.
        ranges: Vec<Volts>,
    },
}

/// Weight or minutes of a fault kind that the description overrides.
#[derive(Debug, Clone)]
pub struct FaultOverride {
    /// The part, or every part if none is named.
    pub part: Option<PartId>,
    /// The fault kind by its name in the description; none means all kinds.
    pub kind: Option<String>,
    /// Relative weight.
    pub weight: Option<f64>,
    /// Minutes of its usual check.
    pub minutes: Option<Minutes>,
    /// Where it is written.
    pub place: Place,
}

impl Machine {
    /// The part of an index.
    #[must_use]
    pub fn part(&self, id: PartId) -> &Part {
        &self.parts[id.0]
    }

    /// The element of an index.
    #[must_use]
    pub fn element(&self, id: ElementId) -> &Element {
        &self.elements[id.0]
    }

    /// The joint of an index.
    #[must_use]
    pub fn joint(&self, id: JointId) -> &Joint {
        &self.joints[id.0]
    }

    /// The part with this designator.
    #[must_use]
    pub fn part_named(&self, id: &str) -> Option<PartId> {
        self.parts.iter().position(|part| part.id == id).map(PartId)
    }

    /// The test point of this name.
    #[must_use]
    pub fn test_point_named(&self, id: &str) -> Option<TestPointId> {
        self.test_points.iter().position(|point| point.id == id).map(TestPointId)
    }

    /// The joint of this name.
    #[must_use]
    pub fn joint_named(&self, name: &str) -> Option<JointId> {
        self.joints.iter().position(|joint| joint.name == name).map(JointId)
    }

    /// The sequence of this number.
    #[must_use]
    pub fn sequence_numbered(&self, number: i64) -> Option<SequenceId> {
        self.sequences.iter().position(|sequence| sequence.number == number).map(SequenceId)
    }

    /// The bank that an element belongs to: neighbours in a run whose parts were declared together, such as the contacts
    /// `S10:3-4` to `S17:3-4`; the element alone where there are none.
    #[must_use]
    pub fn bank(&self, element: ElementId) -> Vec<ElementId> {
        let group = &self.part(self.element(element).part).group;
        if group.is_none() {
            return vec![element];
        }
        let alike = |step: &RunStep| match *step {
            RunStep::Element { element, .. } => self.part(self.element(element).part).group == *group,
            RunStep::Joint(_) => false,
        };
        for run in &self.runs {
            // Joints between two members bear no name of their own.
            let passed: Vec<&RunStep> = run.steps.iter().filter(|step| !self.is_nameless(step)).collect();
            for bank in passed.chunk_by(|one, other| alike(one) && alike(other)) {
                let members: Vec<ElementId> = bank.iter().filter_map(|step| step.element()).collect();
                if members.len() > 1 && members.contains(&element) {
                    return members;
                }
            }
        }
        vec![element]
    }

    fn is_nameless(&self, step: &RunStep) -> bool {
        matches!(step, RunStep::Joint(joint) if !self.joint(*joint).named)
    }

    /// All parts that were declared together with a part, itself among them.
    #[must_use]
    pub fn declared_with(&self, id: PartId) -> Vec<PartId> {
        let Some(group) = &self.part(id).group else { return vec![id] };
        (0..self.parts.len()).map(PartId).filter(|&other| self.part(other).group.as_ref() == Some(group)).collect()
    }

    /// DC ohms of an element that is a winding, an inductor or a voice coil; none where it is something else.
    #[must_use]
    pub fn winding_ohms(&self, id: ElementId) -> Option<&Toleranced<Ohms>> {
        let element = self.element(id);
        match (&self.part(element.part).kind, &element.law) {
            (PartKind::Relay(relay), Law::ResetWinding) => relay.reset.as_ref().map(|coil| &coil.resistance),
            (PartKind::Inductor(inductor), _) => Some(&inductor.resistance),
            (PartKind::Speaker(speaker), _) => Some(&speaker.resistance),
            (_, Law::Winding) => self.coil(element.part).map(|coil| &coil.resistance),
            _ => None,
        }
    }

    /// The winding of a relay, solenoid or motor.
    #[must_use]
    pub fn coil(&self, id: PartId) -> Option<&Coil> {
        match &self.part(id).kind {
            PartKind::Relay(relay) => Some(&relay.coil),
            PartKind::Solenoid(coil) | PartKind::Motor(coil) => Some(coil),
            _ => None,
        }
    }
}
