//! The format: every section with its keys.
//!
//! This is the one definition of each key. The structs, the reader, the messages about unknown keys and the JSON Schema
//! all follow from it. Sections of alike parts share [`Placement`].

use super::section::sections;
use super::units::{Amperes, Celsius, Farads, Henries, Ohms, VoltAmperes, Volts, Watts};
use super::values::{
    Angle, Date, Entries, FittedText, Level, Located, MeterText, MinutesText, Number, OriginWord, Quantity, Share,
    Voltage,
};

mod words;

pub use super::names::Id;
pub use words::{BreakingWord, FaultWord, FormWord, RectifierWord, RestWord, SpeakerWord, SpeedWord, StandardWord};

sections! {
    /// One description of a machine.
    Document = "the spec" {
        /// Another spec that this one builds on; what is written here overrides it by id.
        may base: Located<String>,
        /// Parts, joints and test points of the base that this machine has not, by id; also `sequence 5` and `run LABEL`.
        many remove: Located<String>,
        /// Name plate, revision and general data.
        must machine: MachineSection,
        /// Earlier revisions of this description.
        many revision: RevisionSection,
        /// Sources of power.
        many supply: SupplySection,
        /// Fuses.
        many fuse: FuseSection,
        /// Relays.
        many relay: RelaySection,
        /// Solenoids and other coils that move something.
        many solenoid: SolenoidSection,
        /// Motors.
        many motor: MotorSection,
        /// Filament lamps.
        many lamp: LampSection,
        /// Switches moved by a hand, a coin, a door or the mechanism.
        many switch: SwitchSection,
        /// Switches moved by a cam.
        many cam: CamSection,
        /// Rotary selectors and stepping units.
        many selector: SelectorSection,
        /// Resistors.
        many resistor: ResistorSection,
        /// Capacitors.
        many capacitor: CapacitorSection,
        /// Inductors.
        many inductor: InductorSection,
        /// Diodes and one-way rectifier elements.
        many diode: DiodeSection,
        /// Loudspeakers.
        many speaker: SpeakerSection,
        /// Plugs with pins.
        many plug: PlugSection,
        /// Joints that need a name but no probe.
        many joint: JointSection,
        /// Joints that a probe can reach.
        many test_point: TestPointSection,
        /// The wiring, as routes.
        many run: RunSection,
        /// Numbered steps of operation.
        many sequence: SequenceSection,
        /// What a paper says that a test point reads.
        many expect: ExpectSection,
        /// Free notes.
        many note: NoteSection,
        /// Weights and minutes of faults that differ from the defaults.
        many fault: FaultSection,
    }

    /// Name plate, revision and general data.
    MachineSection = "[machine]" {
        /// Short name for files: letters, digits, hyphens.
        must id: Id,
        /// Name on the plate.
        must name: String,
        /// What it is and does.
        may kind: String,
        /// Who made it.
        may maker: String,
        /// Year of making.
        may year: Located<i64>,
        /// Serial number, if this describes one machine.
        may serial: String,
        /// Revision of this description; 1 where it is absent.
        may revision: Located<i64>,
        /// Date of the revision, the only date that is printed; needed to print.
        may revised: Date,
        /// Who keeps this description.
        may author: String,
        /// Mains supply, such as `230 V ac 50 Hz`; brings the mains cautions, and its frequency to AC supplies that name none.
        may mains: String,
        /// Weight, such as `140 kg`; brings the lifting caution.
        may weight: Located<String>,
        /// Joint of the black lead unless a test point names another; `COM` where it is absent.
        may reference: Located<String>,
        /// Joint to which the metal of the cabinet is bonded; without it no wire counts as chafed on the frame.
        may frame: Located<String>,
        /// Meter for which readings are printed: input resistance, or ohms per volt and ranges; `10 Mohm` where it is absent.
        may meter: MeterText,
        /// Temperature at which cold ohms are stated; 20 °C where it is absent.
        may ambient: Quantity<Celsius>,
        /// Papers that this description draws on.
        many sources: String,
        /// Maker's own wire colour codes with their meaning, where they differ from IEC 60757.
        may wire_colours: Entries<String>,
    }

    /// An analogue meter.
    AnalogueMeter = "the meter" {
        /// Ohms for each volt of a DC range, such as `20 kohm`.
        must ohms_per_volt: Quantity<Ohms>,
        /// Ohms for each volt of an AC range; as for DC where it is absent.
        may ohms_per_volt_ac: Quantity<Ohms>,
        /// Full scales on offer, such as `["2.5 V", "10 V", "50 V"]`.
        must ranges: Vec<Quantity<Volts>>,
    }

    /// An earlier revision of the description.
    RevisionSection = "[[revision]]" {
        /// Its number.
        must number: i64,
        /// Its date.
        must date: Date,
        /// What changed.
        must change: String,
    }

    /// Where a part sits and where its data comes from.
    Placement = "a part" {
        /// What it does, such as `stop relay`.
        may label: String,
        /// Where it sits in the machine.
        may place: String,
        /// Cover that must be opened to reach it.
        may door: String,
        /// Where its values come from unless one says otherwise: `stated`, `measured` or `estimated`.
        may origin: OriginWord,
        /// Page or paper of its data.
        may source: String,
        /// Parts of the same make that may be swapped with it for a test.
        many twins: Located<String>,
        /// A remark for paper.
        may note: String,
    }

    /// A source of power.
    SupplySection = "[[supply]]" {
        /// Reference designator, such as `PS1`.
        must id: Id,
        /// Voltage without load, or at rated load where `rating` and `regulation` are given: `28 V dc ±10 %`, `24 V ac 50 Hz`.
        must voltage: Voltage,
        /// Names of its two terminals with the joint of each: `{ "+" = "COM", "-" = "N28" }`; for AC the first has phase 0.
        must terminals: Entries<Located<String>>,
        /// Resistance in series with the ideal source.
        may internal: Quantity<Ohms>,
        /// Phase of an AC source; the other half of a centre tap has `180 deg`.
        may phase: Angle,
        /// Rating of the transformer secondary.
        may rating: Quantity<VoltAmperes>,
        /// How far the voltage rises without load; gives the internal resistance where `internal` is absent.
        may regulation: Share,
        /// Rectifier between winding and terminals: `half-wave`, `full-wave` or `bridge`.
        may rectifier: RectifierWord,
        /// Drop of one diode of the rectifier; 0.7 V where it is absent.
        may rectifier_drop: Quantity<Volts>,
        /// Reservoir capacitor behind the rectifier; +50/-20 % where no tolerance is given.
        may reservoir: Quantity<Farads>,
        /// Lowest load that an amplifier output may drive.
        may minimum_load: Quantity<Ohms>,
        /// Largest current that it may deliver.
        may maximum: Quantity<Amperes>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A fuse in its clips.
    FuseSection = "[[fuse]]" {
        /// Reference designator, such as `F2`.
        must id: Id,
        /// Rated current that the maker calls for.
        must rated: Quantity<Amperes>,
        /// Speed: FF, F, M, T or TT.
        may speed: SpeedWord,
        /// Body, such as `5x20`.
        may body: String,
        /// Breaking capacity: L, E or H.
        may breaking: BreakingWord,
        /// Rated voltage.
        may voltage: Quantity<Volts>,
        /// Whose opening gates apply: `IEC` (where it is absent) or `UL`.
        may standard: StandardWord,
        /// What was found in the clips, such as `5 A T`.
        may fitted: FittedText,
        /// What it protects.
        may protects: String,
        /// Cold resistance; from a published table by rating where it is absent.
        may cold: Quantity<Ohms>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// Data of a winding: relay, solenoid or motor.
    Winding = "a coil" {
        /// DC resistance, cold; ±10 % where no tolerance is given.
        may coil: Quantity<Ohms>,
        /// Rated voltage with its kind of current, such as `24 V dc`.
        must nominal: Voltage,
        /// Least voltage at which it operates, cold, as a share of the rated one or in volts; 75 % where it is absent.
        may operate: Level,
        /// Voltage below which it lets go; 10 % (DC) or 15 % (AC) of the rated one where it is absent.
        may release: Level,
        /// Inductance.
        may inductance: Quantity<Henries>,
        /// Magnitude of its impedance under AC.
        may impedance: Quantity<Ohms>,
        /// Current at rated voltage; stands in for `coil` (DC) or `impedance` (AC).
        may current: Quantity<Amperes>,
        /// Power factor that goes with `current`.
        may power_factor: Number,
        /// How long it may stay energised, such as `1 min in 10`.
        may duty: String,
    }

    /// A relay with its contacts.
    RelaySection = "[[relay]]" {
        /// Reference designator, such as `K2`.
        must id: Id,
        /// Its main coil, terminals `A1` and `A2`.
        with winding: Winding,
        /// Second coil of a latching relay, terminals `B1` and `B2`; it moves the contacts back.
        may reset_coil: Quantity<Ohms>,
        /// Magnitude of the impedance of the second coil under AC.
        may reset_impedance: Quantity<Ohms>,
        /// Contacts by terminals: `{ "5-6" = "make", "7-8" = "break", "9-10-11" = "change-over" }` (common, break, make).
        may contacts: Entries<FormWord>,
        /// Resistance of a closed contact; 0.05 ohm (0.01..0.2) where it is absent.
        may closed: Quantity<Ohms>,
        /// Current that a contact may switch, such as `5 A`.
        may contact_rating: Quantity<Amperes>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A solenoid or other coil that moves something.
    SolenoidSection = "[[solenoid]]" {
        /// Reference designator, such as `L3`.
        must id: Id,
        /// Its coil.
        with winding: Winding,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A motor.
    MotorSection = "[[motor]]" {
        /// Reference designator, such as `M1`.
        must id: Id,
        /// Its winding.
        with winding: Winding,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A filament lamp.
    LampSection = "[[lamp]]" {
        /// Reference designator, such as `H4`.
        must id: Id,
        /// Rated voltage.
        must nominal: Quantity<Volts>,
        /// Current at rated voltage; ±10 % where no tolerance is given.
        must current: Quantity<Amperes>,
        /// Cold resistance as an ohmmeter shows it; a twelfth of the hot one where it is absent.
        may cold: Quantity<Ohms>,
        /// Trade type number or base.
        may pattern: String,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A switch moved by a hand, a coin, a door or the mechanism.
    SwitchSection = "[[switch]]" {
        /// Reference designator, such as `S3`.
        must id: Id,
        /// Whether its one contact is `open` (where it is absent) or `closed` at rest.
        may rest: RestWord,
        /// Contacts by terminals, where it has several: `{ "1-2" = "make", "3-4" = "break" }`, seen at rest.
        may contacts: Entries<FormWord>,
        /// What moves it.
        may operated_by: String,
        /// Resistance of a closed contact; 0.05 ohm (0.01..0.2) where it is absent.
        may closed: Quantity<Ohms>,
        /// Current that a contact may switch, such as `5 A`.
        may contact_rating: Quantity<Amperes>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A switch moved by a cam.
    CamSection = "[[cam]]" {
        /// Reference designator, such as `CAM2`.
        must id: Id,
        /// Whether its one contact is `open` (where it is absent) or `closed` off the cam.
        may rest: RestWord,
        /// Contacts by terminals, where it has several.
        may contacts: Entries<FormWord>,
        /// The motor that turns its cam.
        may driven_by: Located<String>,
        /// When the cam moves it, such as `20° to 160°`.
        may timing: String,
        /// Resistance of a closed contact; 0.05 ohm (0.01..0.2) where it is absent.
        may closed: Quantity<Ohms>,
        /// Current that a contact may switch, such as `5 A`.
        may contact_rating: Quantity<Amperes>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A rotary selector or stepping unit: its wiper joins the segment of each ring on which it stands.
    SelectorSection = "[[selector]]" {
        /// Reference designator, such as `SEL`.
        must id: Id,
        /// Rings with their segments: `{ letter = ["A", "B"], number = ["1", "2"] }`; a range such as `"1..9"` is allowed.
        must rings: Entries<Vec<Located<String>>>,
        /// Coils that step it.
        many stepped_by: Located<String>,
        /// Motor that carries it.
        may driven_by: Located<String>,
        /// Resistance between segment and wiper; 0.05 ohm (0.01..0.2) where it is absent.
        may wiper_resistance: Quantity<Ohms>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A resistor.
    ResistorSection = "[[resistor]]" {
        /// Reference designator, such as `R3`.
        must id: Id,
        /// Its resistance; ±10 % where no tolerance is given.
        must value: Quantity<Ohms>,
        /// What it may dissipate.
        may power: Quantity<Watts>,
        /// The part across which it lies, such as `K2` or `K1:5-6`; its run is made for you.
        may across: Located<String>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A capacitor.
    CapacitorSection = "[[capacitor]]" {
        /// Reference designator, such as `C1`.
        must id: Id,
        /// Its capacitance; ±20 % where no tolerance is given, +50/-20 % from 10 uF up.
        must value: Quantity<Farads>,
        /// What it may hold.
        may voltage: Quantity<Volts>,
        /// The resistor that discharges it.
        may bleeder: Located<String>,
        /// The part across which it lies, such as `K2` or `K1:5-6`; its run is made for you.
        may across: Located<String>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// An inductor.
    InductorSection = "[[inductor]]" {
        /// Reference designator, such as `L1`.
        must id: Id,
        /// Its inductance; ±10 % where no tolerance is given.
        must value: Quantity<Henries>,
        /// Its DC resistance; nothing where it is absent.
        may resistance: Quantity<Ohms>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A diode or one-way rectifier element.
    DiodeSection = "[[diode]]" {
        /// Reference designator, such as `D4`.
        must id: Id,
        /// Kind: `silicon` (where it is absent), `germanium`, `selenium`, or a Zener diode such as `zener 12 V`.
        may preset: Located<String>,
        /// Forward drop, where it differs from that of its kind.
        may drop: Quantity<Volts>,
        /// Resistance in series when it conducts, where it differs from that of its kind.
        may resistance: Quantity<Ohms>,
        /// Reverse voltage that it may see.
        may reverse: Quantity<Volts>,
        /// Forward current that it may carry.
        may forward: Quantity<Amperes>,
        /// The part across which it lies, such as `K2`; its run is made for you, cathode to the positive side.
        may across: Located<String>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A loudspeaker.
    SpeakerSection = "[[speaker]]" {
        /// Reference designator, such as `LS1`.
        must id: Id,
        /// Nominal impedance; ±20 % where no tolerance is given.
        must impedance: Quantity<Ohms>,
        /// DC resistance of the voice coil; 80 % of the impedance where it is absent.
        may resistance: Quantity<Ohms>,
        /// Rated power.
        may power: Quantity<Watts>,
        /// Range: `woofer`, `midrange`, `tweeter` or `full` (where it is absent).
        may range: SpeakerWord,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A plug with pins.
    PlugSection = "[[plug]]" {
        /// Reference designator, such as `J3`.
        must id: Id,
        /// How many ways it has.
        may ways: i64,
        /// What it looks like.
        may pattern: String,
        /// Resistance of a mated pin; 0.01 ohm (0.005..0.05) where it is absent.
        may pin: Quantity<Ohms>,
        /// Where it sits and where its data comes from.
        with placement: Placement,
    }

    /// A joint that needs a name but no probe.
    JointSection = "[[joint]]" {
        /// Its name.
        must id: Id,
        /// What it is.
        may label: String,
    }

    /// A joint that a probe can reach.
    TestPointSection = "[[test-point]]" {
        /// Its name, such as `TP4`.
        must id: Id,
        /// What it is.
        may label: String,
        /// The terminal where it is, such as `J3:6`, where it stands in no run.
        may at: Located<String>,
        /// Where it is in the machine.
        may place: String,
        /// How to reach it.
        may probe: String,
        /// Joint of the black lead, where it differs from that of the machine.
        may reference: Located<String>,
        /// Minutes that one check here costs.
        may minutes: MinutesText,
        /// Cover that must be opened first.
        may door: String,
    }

    /// A route of wiring.
    RunSection = "[[run]]" {
        /// Its name; a spec that builds on this one replaces the run by it.
        may label: String,
        /// The way of a finger along it: `N28 > F2 > J3:6 > wire GY/YE 0.75 mm2 1.2 m > TP4 > K1:5-6 > S10..S17 > COM`.
        must route: Located<String>,
    }

    /// A numbered step of operation.
    SequenceSection = "[[sequence]]" {
        /// Its number.
        must number: i64,
        /// What happens.
        must title: String,
        /// Number of the step whose relays it starts from; all at rest where it is absent.
        may after: Located<i64>,
        /// Everything that is moved from rest: switches and cams by id, selectors with their place such as `SEL=B2`.
        many set: Located<String>,
        /// Relays that the manual says are in.
        may pulled_in: Vec<Located<String>>,
        /// Coils, motors, lamps and speakers that must act.
        many acts: Located<String>,
        /// What a customer says when it fails.
        may symptom: String,
        /// What a person does or sees.
        may note: String,
        /// Page or paper.
        may source: String,
    }

    /// What a paper says that a test point reads.
    ExpectSection = "[[expect]]" {
        /// The test point.
        must at: Located<String>,
        /// Number of the sequence.
        must sequence: Located<i64>,
        /// The reading, such as `-26 V dc`.
        must reads: Voltage,
        /// How far it may stray, where the paper says, such as `10 %`.
        may tolerance: Share,
        /// Page or paper.
        may source: String,
    }

    /// A free note.
    NoteSection = "[[note]]" {
        /// What it is about: a part, a test point, or `sequence 5`; the machine where it is absent.
        may about: Located<String>,
        /// The text.
        must text: String,
    }

    /// Weight and minutes of a fault that differ from the defaults.
    FaultSection = "[[fault]]" {
        /// The part; every part where it is absent.
        may part: Located<String>,
        /// Kind of fault, such as `dirty`; every kind where it is absent.
        may kind: FaultWord,
        /// How likely it is beside the others.
        may weight: Number,
        /// Minutes of its usual check.
        may minutes: MinutesText,
    }
}
