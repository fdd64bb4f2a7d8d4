//! Draws: signal paths with their voltage profile, selectors, hazard signs, single symbols. In come a machine and its
//! solution, out comes SVG with its size in millimetres and a description in words.
//!
//! The path drawing has three strips on one x-axis: the path as it is wired; below it the voltage along it; below that, in
//! the column of each test point, what it should read and room for one's own reading. Text stays text, black on white.

mod alt;
pub mod canvas;
mod chart;
mod columns;
mod cover;
mod items;
mod label;
mod lanes;
mod layout;
mod legend;
mod marks;
mod net;
mod rows;
mod selector;
mod swatch;
pub mod symbols;
pub mod text;

use crate::circuit::path::{SignalPath, signal_paths};
use crate::circuit::results::{Reading, SequenceSolution, Solution};
use crate::machine::model::{Current, JointId, Machine, PartKind, Sequence, SequenceId, TestPointId};
use crate::spec::units::Unit;
use crate::words::Words;
pub use label::{Anchor, Label};
pub use legend::{legend, symbol};
pub use selector::selector;
pub use symbols::SymbolStyle;

/// Points of the names of parts.
const NAME: f64 = 11.0;
/// Points of everything that explains: the least size on a sheet.
const NOTE: f64 = 9.0;
/// Points of a test point's flag.
const FLAG: f64 = 11.0;
/// Points of a reading.
const READING: f64 = 14.0;

/// A finished drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The picture without its words, as SVG with a view box in millimetres.
    pub svg: String,
    /// The words over the picture.
    pub labels: Vec<Label>,
    /// What it shows, in words, for readers who cannot see it.
    pub alt: String,
    /// Width in millimetres.
    pub width: f64,
    /// Height in millimetres.
    pub height: f64,
}

/// How to draw.
#[derive(Debug, Clone, Copy)]
pub struct Style<'a> {
    /// Whose symbols.
    pub symbols: SymbolStyle,
    /// Width to fill, in millimetres.
    pub width: f64,
    /// Height that must not be exceeded by one drawing, in millimetres; a longer path continues on the next drawing.
    pub height: f64,
    /// Contacts as they stand with the power off, instead of as they stand in the sequence.
    pub shelf: bool,
    /// The printed words and the decimal sign.
    pub words: &'a Words,
}

/// What every test point reads with one fault, to be drawn beside the healthy profile.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultProfile {
    /// The fault in a few words.
    pub label: String,
    /// Volts by test point of the machine; none where it is not known.
    pub volts: Vec<Option<f64>>,
}

/// Most fault profiles that black-and-white line patterns can tell apart.
pub const MOST_PROFILES: usize = 3;

/// The signal paths of a sequence, drawn: for each path one drawing, or several where it needs more than one page. At
/// most [`MOST_PROFILES`] fault profiles are drawn, the first ones.
#[must_use]
pub fn path_sheets(
    machine: &Machine,
    solution: &Solution,
    sequence: SequenceId,
    style: &Style<'_>,
    profiles: &[FaultProfile],
) -> Vec<Drawing> {
    let Some(solved) = solution.sequences.get(sequence.0) else { return Vec::new() };
    let paths = signal_paths(machine, solution, sequence);
    let alone = paths.len() == 1;
    paths.iter().flat_map(|path| draw(machine, solved, sequence, path, style, profiles, alone)).collect()
}

/// A path that is alone in its sequence, or one of several.
fn draw(
    machine: &Machine,
    solved: &SequenceSolution,
    sequence: SequenceId,
    path: &SignalPath,
    style: &Style<'_>,
    profiles: &[FaultProfile],
    alone: bool,
) -> Vec<Drawing> {
    let scene = Scene {
        machine,
        solved,
        sequence,
        symbols: style.symbols,
        shelf: style.shelf,
        words: style.words,
        quantity: quantity_of(machine, path),
        profiles: &profiles[..profiles.len().min(MOST_PROFILES)],
        wide: style.width,
    };
    rows::pages(&scene, path, style.width, style.height, alone)
}

/// Kind of current that the meter is set to along a path.
fn quantity_of(machine: &Machine, path: &SignalPath) -> Current {
    match &machine.part(path.supply).kind {
        PartKind::Supply(supply) if supply.rectifier.is_none() => supply.current,
        _ => Current::Direct,
    }
}

/// All that is needed to draw one path.
struct Scene<'a> {
    machine: &'a Machine,
    solved: &'a SequenceSolution,
    sequence: SequenceId,
    symbols: SymbolStyle,
    shelf: bool,
    words: &'a Words,
    quantity: Current,
    profiles: &'a [FaultProfile],
    /// Width of the drawing.
    wide: f64,
}

impl Scene<'_> {
    fn sequence(&self) -> &Sequence {
        &self.machine.sequences[self.sequence.0]
    }

    /// A quantity with unit, in the numerals of the language. The micro sign is written as the Greek letter, which the
    /// drawing's font has.
    fn quantity<U: Unit>(&self, quantity: U) -> String {
        self.words.numerals.quantity(quantity).replace('\u{b5}', "\u{3bc}")
    }

    /// The reading of a test point in the kind of current of this path.
    fn reading(&self, point: TestPointId) -> Option<&Reading> {
        let mut own = self.solved.readings.iter().filter(|reading| reading.at == point);
        own.clone().find(|reading| reading.quantity == self.quantity).or_else(|| own.next())
    }

    /// The reading and its band as printed.
    fn reading_texts(&self, point: TestPointId) -> (String, String) {
        let numerals = self.words.numerals;
        let Some(reading) = self.reading(point) else {
            return (crate::words::figures::UNKNOWN.to_string(), String::new());
        };
        let band = crate::words::figures::span(&numerals.volts(reading.band.low), &numerals.volts(reading.band.high));
        (format!("{} V", numerals.volts(reading.nominal)), band)
    }

    /// Voltage of a joint against the reference in the kind of current of this path; none where it floats.
    fn joint_volts(&self, joint: JointId) -> Option<f64> {
        let voltage = self.solved.joints.get(joint.0).filter(|voltage| !voltage.floating)?;
        Some(match self.quantity {
            Current::Direct => voltage.direct,
            Current::Alternating => voltage.real.hypot(voltage.imaginary),
        })
    }

    /// How wide the column of a test point must be.
    fn column_width(&self, point: TestPointId) -> f64 {
        columns::width_of(self, point)
    }
}
