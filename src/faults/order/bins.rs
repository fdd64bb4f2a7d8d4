//! What a reading can be told to be: nothing, as healthy, in between, beyond.
//!
//! A dirty contact may have any ohms, so a reading between two levels tells only that it is between them. The levels are
//! zero, the healthy reading with its printed band, and the reading of a dead end at full supply.

use serde::Serialize;

/// A span of readings that counts as one result.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bin {
    /// Its lowest reading; minus infinity for the first.
    #[serde(serialize_with = "finite")]
    pub low: f64,
    /// Its highest reading; infinity for the last.
    #[serde(serialize_with = "finite")]
    pub high: f64,
    /// What it stands for.
    pub level: Level,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands fields over by reference")]
fn finite<S: serde::Serializer>(value: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    if value.is_finite() { serializer.serialize_some(value) } else { serializer.serialize_none() }
}

/// What a span of readings stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// As on a healthy machine.
    Healthy,
    /// Nothing to speak of.
    Nothing,
    /// The full supply, where a healthy machine reads less.
    Full,
    /// Between two levels, or beyond all.
    Other,
}

/// The spans of one quantity, ascending, without gaps.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bins(Vec<Bin>);

impl Bins {
    /// From the healthy band, the readings that occur, and what counts as nothing.
    #[must_use]
    pub fn new(healthy: (f64, f64), readings: &[f64], nothing: f64) -> Self {
        let largest = readings.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let smallest = readings.iter().copied().fold(f64::INFINITY, f64::min);
        let mut levels = vec![Bin { low: healthy.0, high: healthy.1, level: Level::Healthy }];
        add_level(&mut levels, 0.0, nothing, Level::Nothing);
        for extreme in [smallest, largest] {
            if extreme.is_finite() {
                add_level(&mut levels, extreme, (0.05 * extreme.abs()).max(nothing), Level::Full);
            }
        }
        levels.sort_by(|a, b| a.low.total_cmp(&b.low));
        let mut bins = Vec::new();
        let mut reached = f64::NEG_INFINITY;
        for level in levels {
            bins.push(Bin { low: reached, high: level.low, level: Level::Other });
            bins.push(level);
            reached = level.high;
        }
        bins.push(Bin { low: reached, high: f64::INFINITY, level: Level::Other });
        Self(bins)
    }

    /// Two spans: below a limit and above it.
    #[must_use]
    pub fn two(limit: f64) -> Self {
        Self(vec![
            Bin { low: f64::NEG_INFINITY, high: limit, level: Level::Healthy },
            Bin { low: limit, high: f64::INFINITY, level: Level::Other },
        ])
    }

    /// The number of the span of a reading. Levels win over what lies between them.
    #[must_use]
    pub fn index(&self, reading: f64) -> usize {
        let fits = |bin: &Bin| reading >= bin.low && reading <= bin.high;
        let level = self.0.iter().position(|bin| bin.level != Level::Other && fits(bin));
        level.or_else(|| self.0.iter().position(fits)).unwrap_or(self.0.len() - 1)
    }

    /// The span of a number.
    #[must_use]
    pub fn get(&self, index: usize) -> Bin {
        self.0[index]
    }
}

/// Adds a level unless it would touch one that is there; the nearer one then stands for both.
fn add_level(levels: &mut Vec<Bin>, value: f64, half_width: f64, level: Level) {
    let (low, high) = (value - half_width, value + half_width);
    if levels.iter().all(|other| high < other.low || low > other.high) {
        levels.push(Bin { low, high, level });
    }
}
