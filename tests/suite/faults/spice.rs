//! A hundred random faults of the demo machines against ngspice, an outside simulator: DC volts of every joint that is held.
//!
//! Relays, wipers and fuses stand as our answer has them; ngspice is given resistances, sources, filaments (I ∝ V^0.55) and
//! piecewise-linear diodes, and finds the voltages. Rectified supplies stand at their terminal voltage.

use crate::support::english;
use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use benchleaf::circuit::{Change, Effort, Outcome, Solver};
use benchleaf::faults::kinds::catalogue;
use benchleaf::machine;
use benchleaf::machine::model::{
    Current, Element, ElementId, Gate, Lamp, Law, Machine, PartKind, Sequence, SequenceId, Supply,
};

use super::random::random;

/// Machines, and how many faults of each.
const MACHINES: [(&str, usize); 4] = [
    ("specs/lesson-board-12.toml", 25),
    ("specs/gull-gallery.toml", 25),
    ("specs/old-barnabas.toml", 25),
    ("specs/tern-48.toml", 25),
];

/// A machine with a fault, in a state that is given.
struct Deck<'a> {
    machine: &'a Machine,
    sequence: &'a Sequence,
    changes: &'a [Change],
    outcome: &'a Outcome,
}

impl Deck<'_> {
    fn text(&self) -> String {
        let mut text = String::from("machine\n.option reltol=1e-7 abstol=1e-13 vntol=1e-9 rshunt=1e11\n");
        for index in 0..self.machine.elements.len() {
            self.add(&mut text, index);
        }
        text.push_str(".control\nset numdgt=12\nop\nprint all\nquit\n.endc\n.end\n");
        text
    }

    fn node(&self, joint: usize) -> String {
        if joint == self.machine.reference.0 { "0".into() } else { format!("n{joint}") }
    }

    fn add(&self, text: &mut String, index: usize) {
        let element = &self.machine.elements[index];
        let (a, b) = (self.node(element.from.0), self.node(element.to.0));
        if !self.is_there(index, element) {
            return;
        }
        let kind = &self.machine.part(element.part).kind;
        let _ = match (&element.law, kind) {
            (Law::Source, PartKind::Supply(supply)) => self.add_supply(text, index, element, supply),
            (Law::Junction, PartKind::Diode(diode)) => {
                let amperes = self.outcome.currents[index];
                let at = |joint: benchleaf::machine::model::JointId| self.outcome.joints[joint.0].direct;
                if diode.zener.is_none() && amperes.abs() > 1e-6 && at(element.from) - at(element.to) < 0.0 {
                    // One that conducts for part of each cycle: its averages obey no law of their own.
                    writeln!(text, "Id{index} {a} {b} DC {amperes:e}").unwrap();
                    return;
                }
                let reversed = self.changes.contains(&Change::Reversed(ElementId(index)));
                let (a, b) = if reversed { (b, a) } else { (a, b) };
                let (on, drop) = (diode.on_resistance.value(), diode.drop.value());
                let knee = drop * (1.0 - on * 1e-9);
                let across = match (a.as_str(), b.as_str()) {
                    ("0", _) => format!("(-v({b}))"),
                    (_, "0") => format!("v({a})"),
                    _ => format!("v({a},{b})"),
                };
                // A Zener diode conducts backwards beyond its volts, along the same slope.
                let back = match diode.zener {
                    Some(zener) => {
                        let (zener, foot) = (zener.value(), zener.value() * (1.0 - on * 1e-9));
                        format!("(({across} < -{zener}) ? ({across}+{foot:.12})/{on} : {across}*1e-9)")
                    }
                    None => format!("{across}*1e-9"),
                };
                writeln!(text, "Bd{index} {a} {b} i = ({across} > {drop}) ? ({across}-{knee:.12})/{on} : {back}")
            }
            (Law::Filament, PartKind::Lamp(lamp)) => self.add_lamp(text, index, element, lamp),
            (Law::Capacitance, _) => Ok(()),
            _ => writeln!(text, "R{index} {a} {b} {:e}", self.ohms(index, element)),
        };
    }

    /// A filament by its law, never below its cold ohms. Where AC or ripple heats it too, it stands at the ohms that it has.
    fn add_lamp(&self, text: &mut String, index: usize, element: &Element, lamp: &Lamp) -> std::fmt::Result {
        let (a, b) = (self.node(element.from.0), self.node(element.to.0));
        let (from, to) = (self.outcome.joints[element.from.0], self.outcome.joints[element.to.0]);
        let alternating = (from.real - to.real).hypot(from.imaginary - to.imaginary);
        let amps = self.outcome.currents[index].abs();
        let ripples = |kind: &PartKind| matches!(kind, PartKind::Supply(supply) if supply.rectifier.is_some());
        if amps > 1e-6 && (alternating > 1e-6 || self.machine.parts.iter().any(|part| ripples(&part.kind))) {
            let volts = alternating.max((from.direct - to.direct).abs());
            return writeln!(text, "R{index} {a} {b} {:e}", volts / amps);
        }
        let across = match (a.as_str(), b.as_str()) {
            ("0", _) => format!("(-v({b}))"),
            (_, "0") => format!("v({a})"),
            _ => format!("v({a},{b})"),
        };
        let (volts, amps) = (lamp.nominal.value(), lamp.current.nominal.value());
        let (rated, cold) = (volts / amps, lamp.cold.nominal.value().min(volts / amps));
        let law = format!("{rated}*pwr({across}*{across}/{volts}/{volts}+1e-15,0.225)");
        writeln!(text, "Bl{index} {a} {b} i = {across}/max({law},{cold})")
    }

    fn add_supply(&self, text: &mut String, index: usize, element: &Element, supply: &Supply) -> std::fmt::Result {
        let (a, b) = (self.node(element.from.0), self.node(element.to.0));
        let scaled = |change: &Change| match *change {
            Change::SupplyScaled(part, scale) if part == element.part => Some(scale),
            _ => None,
        };
        let scale = self.changes.iter().find_map(scaled).unwrap_or(1.0);
        if supply.rectifier.is_some() {
            // As found at its terminals; its inner workings are compared elsewhere.
            let (from, to) = (self.outcome.joints[element.from.0], self.outcome.joints[element.to.0]);
            return writeln!(text, "V{index} {a} {b} dc {:.15e}", from.direct - to.direct);
        }
        let volts = if supply.current == Current::Direct { scale * supply.voltage.nominal.value() } else { 0.0 };
        writeln!(text, "V{index} s{index} {b} dc {volts:.15e}")?;
        writeln!(text, "Rs{index} {a} s{index} {:e}", supply.internal.nominal.value().max(1e-6))
    }

    fn is_there(&self, index: usize, element: &Element) -> bool {
        if self.outcome.opened.iter().any(|opened| opened.fuse == element.part) {
            return false;
        }
        let mut closed = match &element.law {
            Law::Contact { gate, .. } => self.closed(gate),
            _ => true,
        };
        for change in self.changes {
            match *change {
                Change::Open(at) if at.0 == index => return false,
                Change::StuckClosed(at) | Change::Short(at) if at.0 == index => closed = true,
                _ => {}
            }
        }
        closed
    }

    fn closed(&self, gate: &Gate) -> bool {
        let stuck = |part| {
            self.changes.iter().find_map(|change| match *change {
                Change::RelayStuck(at, state) | Change::SwitchStuck(at, state) if at == part => Some(state),
                _ => None,
            })
        };
        match gate {
            Gate::Relay { relay, when_energised } => {
                stuck(*relay).unwrap_or(self.outcome.energised.contains(relay)) == *when_energised
            }
            Gate::Hand { switch, when_operated } => {
                stuck(*switch).unwrap_or(self.sequence.setting.operated.contains(switch)) == *when_operated
            }
            Gate::Wiper { selector, ring, segment } => self
                .sequence
                .setting
                .positions
                .get(selector)
                .and_then(|rings| rings.get(*ring))
                .is_some_and(|position| *position == Some(*segment)),
        }
    }

    fn ohms(&self, index: usize, element: &Element) -> f64 {
        let mut ohms = match (&element.law, &self.machine.part(element.part).kind) {
            (Law::Resistance(ohms), _) => ohms.nominal.value(),
            (Law::Contact { closed, .. }, _) => closed.nominal.value(),
            (Law::ResetWinding, PartKind::Relay(relay)) => {
                relay.reset.as_ref().map_or(1e12, |coil| coil.resistance.nominal.value())
            }
            (Law::Winding, _) => self.machine.coil(element.part).map_or(1e12, |coil| coil.resistance.nominal.value()),
            (Law::Inductance, PartKind::Inductor(inductor)) => inductor.resistance.nominal.value(),
            (Law::VoiceCoil, PartKind::Speaker(speaker)) => speaker.resistance.nominal.value(),
            _ => 1e12,
        };
        for change in self.changes {
            match *change {
                Change::Added(at, more) if at.0 == index => ohms += more,
                Change::Value(at, value) if at.0 == index => ohms = value,
                Change::Short(at) if at.0 == index => ohms = 1e-6,
                _ => {}
            }
        }
        ohms.max(1e-6)
    }
}

/// DC volts of every joint against the reference, by ngspice, with changes and in the state that an outcome gives.
pub(crate) fn direct_volts(
    machine: &Machine,
    sequence: SequenceId,
    changes: &[Change],
    outcome: &Outcome,
) -> Vec<(usize, f64)> {
    let sequence = &machine.sequences[sequence.0];
    simulate(&Deck { machine, sequence, changes, outcome }.text())
}

/// Node voltages that ngspice prints: joint and volts.
fn simulate(deck: &str) -> Vec<(usize, f64)> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("deck.cir");
    std::fs::write(&path, deck).unwrap();
    let output = Command::new("ngspice").arg("-b").arg(&path).stdin(Stdio::null()).output().unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let node = |line: &str| {
        let (name, value) = line.split_once(" = ")?;
        Some((name.trim().strip_prefix('n')?.parse().ok()?, value.trim().parse().ok()?))
    };
    text.lines().filter_map(node).collect()
}

#[test]
fn a_hundred_faults_agree_with_an_outside_simulator() {
    if !crate::support::installed("ngspice") {
        return;
    }
    let mut random = random(100);
    let (mut compared, mut wrong) = (0, Vec::new());
    for (path, count) in MACHINES {
        let machine = machine::open(&Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap().machine;
        let solver = Solver::new(&machine).unwrap();
        let solution = solver.solve(Effort::Nominal);
        let faults: Vec<_> = catalogue(&machine).into_iter().filter(|fault| !fault.changes.is_empty()).collect();
        for _ in 0..count {
            let fault = &faults[random.below(faults.len())];
            let sequence = SequenceId(random.below(machine.sequences.len()));
            let outcome = solver.faulted(&solution, sequence, &fault.changes);
            assert!(outcome.refused.is_none());
            let deck = Deck {
                machine: &machine,
                sequence: &machine.sequences[sequence.0],
                changes: &fault.changes,
                outcome: &outcome,
            };
            let found = simulate(&deck.text());
            let label = format!("{path}, {}, sequence {}", english(&fault.label(&machine)), sequence.0 + 1);
            assert!(found.len() > 3, "{label}: nothing came back for\n{}", deck.text());
            let off = |&(joint, volts): &(usize, f64)| {
                let ours = outcome.joints[joint];
                let room = 2e-5 * ours.direct.abs().max(volts.abs()).max(10.0);
                !ours.floating && (ours.direct - volts).abs() > room
            };
            wrong.extend(found.iter().find(|one| off(one)).map(|&(joint, volts)| {
                format!("{label}, {}: {} against {volts}", machine.joints[joint].name, outcome.joints[joint].direct)
            }));
            compared += 1;
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(compared, 100);
}
