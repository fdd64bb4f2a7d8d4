//! Writes a machine in a settled state as lines of a netlist.

use std::collections::BTreeSet;
use std::fmt::Write;

use benchleaf::circuit::SequenceSolution;
use benchleaf::machine::model::{
    Coil, Current, Element, ElementId, Gate, JointId, Law, Machine, PartKind, Setting, Supply,
};

/// Which quantities a deck is for.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Analysis {
    Direct,
    /// At so many hertz.
    Alternating(f64),
}

/// How parts with curved laws are written.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Curved {
    /// By their own law, exponential for diodes.
    ByLaw,
    /// As resistors and sources at the working point that this project found: then only the network is compared.
    AsFound,
}

/// Options for networks of straight laws: every digit counts.
pub(crate) const STRAIGHT: &str = ".options reltol=1e-9 abstol=1e-15 vntol=1e-12 gmin=1e-15\n";
/// A silicon diode of a few hundred milliamperes, and options that let curved laws converge.
pub(crate) const CURVED: &str = ".model DSI D(IS=2.5e-9 N=1.75 RS=0.05)\n.options reltol=1e-6 itl1=2000\n";

pub(crate) struct Netlist<'a> {
    pub(crate) machine: &'a Machine,
    pub(crate) setting: &'a Setting,
    pub(crate) solution: &'a SequenceSolution,
    pub(crate) prefix: String,
    pub(crate) analysis: Analysis,
    pub(crate) curved: Curved,
}

impl Netlist<'_> {
    /// Name of a joint's node.
    pub(crate) fn node(&self, joint: JointId) -> String {
        if joint == self.machine.reference { "0".into() } else { format!("{}j{}", self.prefix, joint.0) }
    }

    /// All elements that conduct, and a teraohm from each joint to the reference.
    pub(crate) fn lines(&self) -> String {
        let mut text = String::new();
        for (index, element) in self.machine.elements.iter().enumerate() {
            self.element(&mut text, ElementId(index), element);
        }
        for joint in (0..self.machine.joints.len()).map(JointId).filter(|&joint| joint != self.machine.reference) {
            writeln!(text, "R{}g{} {} 0 1e12", self.prefix, joint.0, self.node(joint)).unwrap();
        }
        text
    }

    fn element(&self, text: &mut String, id: ElementId, element: &Element) {
        let name = format!("{}e{}", self.prefix, id.0);
        let (from, to) = (self.node(element.from), self.node(element.to));
        let direct = self.analysis == Analysis::Direct;
        let resistor =
            |text: &mut String, ohms: f64| writeln!(text, "R{name} {from} {to} {:e}", ohms.max(1e-8)).unwrap();
        match (&element.law, &self.machine.part(element.part).kind) {
            (Law::Resistance(ohms), _) => resistor(text, ohms.nominal.value()),
            (Law::Contact { closed, gate }, _) => {
                if self.closed(gate) {
                    resistor(text, closed.nominal.value());
                }
            }
            (Law::Source, PartKind::Supply(supply)) => self.supply(text, id, element, supply),
            (Law::Winding | Law::ResetWinding, _) if direct => {
                resistor(text, self.coil(element).resistance.nominal.value());
            }
            (Law::Winding | Law::ResetWinding, _) => self.winding(text, &name, (&from, &to), self.coil(element)),
            (Law::Filament, PartKind::Lamp(lamp)) => {
                if self.curved == Curved::AsFound {
                    let device = self.solution.devices.iter().find(|device| device.element == id).unwrap();
                    let ohms = device.volts.abs() / device.amps.abs();
                    resistor(text, if ohms.is_finite() { ohms } else { lamp.cold.nominal.value() });
                } else {
                    let v = format!("v({from},{to})");
                    let (volts, amperes) = (lamp.nominal.value(), lamp.current.nominal.value());
                    let cold = lamp.cold.nominal.value();
                    writeln!(
                        text,
                        "B{name} {from} {to} I=sgn({v})*min({amperes:e}*pwr(abs({v})/{volts:e},0.55),abs({v})/{cold:e})"
                    )
                    .unwrap();
                }
            }
            (Law::Junction, PartKind::Diode(diode)) => match self.curved {
                Curved::ByLaw => writeln!(text, "D{name} {from} {to} DSI").unwrap(),
                Curved::AsFound if !self.solution.conducting.contains(&id) => resistor(text, 1e9),
                Curved::AsFound => {
                    let at = |joint: JointId| self.solution.joints[joint.0].direct;
                    let (volts, amperes) = (at(element.from) - at(element.to), self.solution.currents[id.0]);
                    let law = diode.drop.value() + diode.on_resistance.value() * amperes;
                    if direct && diode.zener.is_none() && (volts - law).abs() > 1e-6 {
                        // A diode that conducts for part of each cycle: its average obeys no law of its own.
                        writeln!(text, "I{name} {from} {to} DC {amperes:e}").unwrap();
                        return;
                    }
                    let breaks_down = at(element.from) < at(element.to);
                    let drop = match diode.zener {
                        _ if !direct => 0.0,
                        Some(volts) if breaks_down => -volts.value(),
                        _ => diode.drop.value(),
                    };
                    writeln!(text, "V{name} {from} {name}m DC {drop:e}").unwrap();
                    writeln!(text, "R{name} {name}m {to} {:e}", diode.on_resistance.value()).unwrap();
                }
            },
            (Law::Capacitance, PartKind::Capacitor(part)) => {
                writeln!(text, "C{name} {from} {to} {:e}", part.capacitance.nominal.value()).unwrap();
            }
            (Law::Inductance, PartKind::Inductor(part)) => {
                writeln!(text, "L{name} {from} {name}m {:e}", part.inductance.nominal.value()).unwrap();
                writeln!(text, "R{name} {name}m {to} {:e}", part.resistance.nominal.value().max(1e-8)).unwrap();
            }
            (Law::VoiceCoil, PartKind::Speaker(part)) => {
                resistor(text, if direct { part.resistance.nominal.value() } else { part.impedance.nominal.value() });
            }
            _ => panic!("{} has a law of another kind of part", element.name),
        }
    }

    fn supply(&self, text: &mut String, id: ElementId, element: &Element, supply: &Supply) {
        let name = format!("{}e{}", self.prefix, id.0);
        let (from, to) = (self.node(element.from), self.node(element.to));
        let mut internal = supply.internal.nominal.value().max(1e-8);
        let source = match (&supply.rectifier, supply.current, self.analysis) {
            (Some(_), _, Analysis::Direct) => {
                // The rectifier's own behaviour is compared in transient analysis; here its terminals are given.
                internal = 1e-6;
                let at = |joint: JointId| self.solution.joints[joint.0].direct;
                format!("DC {:e}", at(element.from) - at(element.to))
            }
            (None, Current::Direct, Analysis::Direct) => format!("DC {:e}", supply.voltage.nominal.value()),
            (None, Current::Alternating, Analysis::Alternating(frequency))
                if supply.frequency.is_some_and(|own| (own.value() - frequency).abs() < 1e-9) =>
            {
                format!("DC 0 AC {:e} {:e}", supply.voltage.nominal.value(), supply.phase)
            }
            _ => "DC 0".into(),
        };
        writeln!(text, "V{name} {name}m {to} {source}").unwrap();
        writeln!(text, "R{name} {from} {name}m {internal:e}").unwrap();
    }

    fn coil(&self, element: &Element) -> &Coil {
        match (&self.machine.part(element.part).kind, &element.law) {
            (PartKind::Relay(relay), Law::ResetWinding) => relay.reset.as_ref().unwrap(),
            (PartKind::Relay(relay), _) => &relay.coil,
            (PartKind::Solenoid(coil) | PartKind::Motor(coil), _) => coil,
            _ => panic!("{} has no winding", element.name),
        }
    }

    /// Resistance and inductance of a winding under AC: Z² = R² + (ωL)².
    fn winding(&self, text: &mut String, name: &str, (from, to): (&str, &str), coil: &Coil) {
        let Analysis::Alternating(frequency) = self.analysis else { return };
        let omega = std::f64::consts::TAU * frequency;
        let stated = coil.resistance.nominal.value();
        let (ohms, henries) = match (&coil.impedance, coil.power_factor, coil.inductance) {
            (Some(z), Some(factor), _) => {
                let z = z.nominal.value();
                (z * factor, z * (1.0 - factor * factor).sqrt() / omega)
            }
            (Some(z), None, _) => {
                let z = z.nominal.value();
                let ohms = stated.min(z);
                (ohms, (z * z - ohms * ohms).sqrt() / omega)
            }
            (None, _, Some(henries)) => (stated, henries.value()),
            (None, _, None) => (stated, 0.0),
        };
        if henries > 0.0 {
            writeln!(text, "L{name} {from} {name}m {henries:e}").unwrap();
            writeln!(text, "R{name} {name}m {to} {ohms:e}").unwrap();
        } else {
            writeln!(text, "R{name} {from} {to} {ohms:e}").unwrap();
        }
    }

    fn closed(&self, gate: &Gate) -> bool {
        let energised: &BTreeSet<_> = &self.solution.energised;
        match gate {
            Gate::Relay { relay, when_energised } => energised.contains(relay) == *when_energised,
            Gate::Hand { switch, when_operated } => self.setting.operated.contains(switch) == *when_operated,
            Gate::Wiper { selector, ring, segment } => self
                .setting
                .positions
                .get(selector)
                .and_then(|rings| rings.get(*ring).copied().flatten())
                .is_some_and(|at| at == *segment),
        }
    }
}
