//! Miniature fuses: speed letters, breaking capacity and opening gates of IEC 60127-2 and UL 248-14.
//!
//! The gates are those that makers print in the data sheets of fuses to these standards; the standards themselves were
//! not read: that sheet 6 (T, E) has the gates of sheet 3, and that sheet 1 carries 1.5 times its rating for an hour, is from
//! memory. A gate says how long a link must carry a multiple of its rating and by when it must have opened.

use crate::fact;
use crate::machine::model::FuseStandard;
use crate::spec::units::{Amperes, Seconds};
use crate::words::Fact;

/// One gate: at `multiple` times the rating the link must last `at_least` and must have opened by `at_most`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Multiple of the rated current.
    pub multiple: f64,
    /// It must not open sooner.
    pub at_least: Option<Seconds>,
    /// It must have opened by then.
    pub at_most: Option<Seconds>,
}

const HOUR: f64 = 3600.0;
const MINUTE: f64 = 60.0;

/// Rank of a speed letter from quick to slow; none for letters that are not those of IEC 60127.
#[must_use]
pub fn speed_rank(letter: &str) -> Option<usize> {
    ["FF", "F", "M", "T", "TT"].iter().position(|known| known.eq_ignore_ascii_case(letter.trim()))
}

/// Speed in words.
#[must_use]
pub fn speed_words(letter: &str) -> Fact {
    match speed_rank(letter) {
        Some(0) => fact!("fuse-speed.very-quick"),
        Some(1) => fact!("fuse-speed.quick"),
        Some(2) => fact!("fuse-speed.medium"),
        Some(3) => fact!("fuse-speed.time-lag"),
        Some(4) => fact!("fuse-speed.long-time-lag"),
        _ => fact!("fuse-speed.unknown"),
    }
}

/// What a breaking-capacity letter stands for at 250 V AC: L is the greater of 35 A and ten times the rating, E 150 A,
/// H 1500 A. None for other letters.
#[must_use]
pub fn breaking_capacity(letter: &str, rated: Amperes) -> Option<Amperes> {
    match letter.trim() {
        "L" | "l" => Some(Amperes::new((10.0 * rated.value()).max(35.0))),
        "E" | "e" => Some(Amperes::new(150.0)),
        "H" | "h" => Some(Amperes::new(1500.0)),
        _ => None,
    }
}

/// Interrupting rating of UL 248-14 at 250 V AC by rated current; none above 30 A.
#[must_use]
pub fn ul_interrupting(rated: Amperes) -> Option<Amperes> {
    let steps = [(1.0, 35.0), (3.5, 100.0), (10.0, 200.0), (15.0, 750.0), (30.0, 1500.0)];
    steps.iter().find(|(up_to, _)| rated.value() <= *up_to).map(|(_, amps)| Amperes::new(*amps))
}

/// Multiple of the rating that a link must carry for long: IEC 1.5 for an hour (half an hour from 8 A), UL 1.0.
#[must_use]
pub fn carries_multiple(standard: FuseStandard) -> f64 {
    match standard {
        FuseStandard::Iec => 1.5,
        FuseStandard::Ul => 1.0,
    }
}

/// Multiple of the rating at which a link is sure to open in time: IEC 2.1 (within 30 min, time-lag low 2 min), UL 1.35
/// (within an hour).
#[must_use]
pub fn opens_multiple(standard: FuseStandard) -> f64 {
    match standard {
        FuseStandard::Iec => 2.1,
        FuseStandard::Ul => 1.35,
    }
}

/// Share of the rating that may flow for long at room temperature: makers say three quarters for UL links, all of it for
/// IEC links.
#[must_use]
pub fn continuous_share(standard: FuseStandard) -> f64 {
    match standard {
        FuseStandard::Iec => 1.0,
        FuseStandard::Ul => 0.75,
    }
}

fn gate(multiple: f64, at_least: Option<f64>, at_most: Option<f64>) -> Gate {
    Gate { multiple, at_least: at_least.map(Seconds::new), at_most: at_most.map(Seconds::new) }
}

/// The gates of UL 248-14 for links up to 30 A.
#[must_use]
pub fn ul_gates() -> Vec<Gate> {
    vec![gate(1.0, Some(4.0 * HOUR), None), gate(1.35, None, Some(HOUR)), gate(2.0, None, Some(2.0 * MINUTE))]
}

/// The gates of IEC 60127-2 for a 5 × 20 mm link: sheet 2 (F, L), sheet 3 (T, L or E), sheet 5 (T, H), sheet 1 (F, H).
/// None where no sheet fits or the rating lies outside the sheet.
#[must_use]
pub fn iec_gates(speed: &str, breaking: Option<&str>, rated: Amperes) -> Option<Vec<Gate>> {
    let amps = rated.value();
    if !(0.032..=10.0).contains(&amps) {
        return None;
    }
    let high = breaking.is_some_and(|letter| letter.trim().eq_ignore_ascii_case("H"));
    match (speed_rank(speed)?, high) {
        (1, false) => Some(sheet_2(amps)),
        (3, false) => Some(sheet_3(amps)),
        (1, true) if (1.0..=6.3).contains(&amps) => Some(sheet_1(amps)),
        (3, true) if (0.125..=6.3).contains(&amps) => Some(sheet_5(amps)),
        _ => None,
    }
}

fn carry(amps: f64) -> Gate {
    gate(1.5, Some(if amps >= 8.0 { HOUR / 2.0 } else { HOUR }), None)
}

fn sheet_1(amps: f64) -> Vec<Gate> {
    let slowest = if amps > 4.0 { 3.0 } else { 2.0 };
    vec![
        carry(amps),
        gate(2.1, None, Some(30.0 * MINUTE)),
        gate(2.75, Some(0.010), Some(slowest)),
        gate(4.0, Some(0.003), Some(0.3)),
        gate(10.0, None, Some(0.020)),
    ]
}

fn sheet_2(amps: f64) -> Vec<Gate> {
    let (medium, high, last) = if amps <= 0.1 {
        ((0.010, 0.5), (0.003, 0.1), 0.020)
    } else if amps < 8.0 {
        ((0.050, 2.0), (0.010, 0.3), 0.020)
    } else {
        ((0.050, 2.0), (0.010, 0.4), 0.040)
    };
    vec![
        carry(amps),
        gate(2.1, None, Some(30.0 * MINUTE)),
        gate(2.75, Some(medium.0), Some(medium.1)),
        gate(4.0, Some(high.0), Some(high.1)),
        gate(10.0, None, Some(last)),
    ]
}

fn sheet_3(amps: f64) -> Vec<Gate> {
    let (medium, high, last) = if amps <= 0.1 { (0.2, 0.040, 0.010) } else { (0.6, 0.150, 0.020) };
    vec![
        carry(amps),
        gate(2.1, None, Some(2.0 * MINUTE)),
        gate(2.75, Some(medium), Some(10.0)),
        gate(4.0, Some(high), Some(3.0)),
        gate(10.0, Some(last), Some(0.3)),
    ]
}

/// Makers differ by a factor of two on the shortest time at ten times 4 to 6.3 A; the shorter one is taken.
fn sheet_5(amps: f64) -> Vec<Gate> {
    let (medium, high, last) = if amps < 1.0 {
        (0.25, 0.050, 0.005)
    } else if amps < 4.0 {
        (0.75, 0.095, 0.010)
    } else {
        (0.75, 0.150, 0.010)
    };
    vec![
        carry(amps),
        gate(2.1, None, Some(30.0 * MINUTE)),
        gate(2.75, Some(medium), Some(80.0)),
        gate(4.0, Some(high), Some(5.0)),
        gate(10.0, Some(last), Some(0.15)),
    ]
}
