//! What a reading can be told to be: nothing, as healthy, or in one of the spans beside these.
//!
//! Every suspect has a span, not a number: a supply may be high or low, a coil warm, a dirty contact of any ohms. The
//! spans are cut where nobody reads ([`codes`]), at the healthy band, and at nothing; whoever's span lies across a cut may
//! be found on either side of it.

use serde::Serialize;

use super::super::search::classes::{Span, codes};

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

impl Bin {
    /// Whether another lies in it.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.low <= other.low && other.high <= self.high
    }

    /// Whether another begins where it ends, or ends where it begins.
    #[must_use]
    pub fn touches(&self, other: &Self) -> bool {
        self.high.total_cmp(&other.low).is_eq() || self.low.total_cmp(&other.high).is_eq()
    }

    /// Both as one, with the level of the first.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high), level: self.level }
    }
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
    /// Between these, or beyond.
    Other,
}

/// What a suspect shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// With every value nominal.
    pub nominal: f64,
    /// With all tolerances.
    pub span: Span,
}

impl Shown {
    /// Adds what it may show as well.
    #[must_use]
    pub fn or(self, other: Span) -> Self {
        Self { span: self.span.with(other), ..self }
    }
}

/// The spans of one quantity, ascending, without gaps.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bins(Vec<Bin>);

/// Most cuts in a region beside the healthy band: a person reads three lines, not ten.
const MOST_CUTS: usize = 2;
/// Suspects whose span takes more than this share of a region say nothing of where to cut it.
const WIDE: f64 = 0.6;
/// How far the healthy band may be widened for suspects that read as if healthy, as a share of its reading.
const STRETCH: f64 = 0.05;

impl Bins {
    /// From the healthy band, what the suspects show, and what counts as nothing.
    #[must_use]
    pub fn new(healthy: Span, shown: &[Shown], nothing: f64) -> Self {
        let room = nothing.max(STRETCH * healthy.low.abs().max(healthy.high.abs()));
        let sound = stretched(healthy, shown, room);
        let mut levels = vec![(sound, Level::Healthy)];
        let zero = Span::around(0.0, nothing);
        if !zero.meets(sound) {
            let others: Vec<Shown> = shown.iter().filter(|one| !healthy.holds(one.nominal)).copied().collect();
            let none = stretched(zero, &others, nothing);
            // The two must stay apart.
            let none = if none.meets(sound) { zero } else { none };
            levels.push((none, Level::Nothing));
        }
        levels.sort_by(|a, b| a.0.low.total_cmp(&b.0.low));
        let mut bins = Vec::new();
        let mut reached = f64::NEG_INFINITY;
        for (span, level) in levels {
            region(&mut bins, Span { low: reached, high: span.low }, shown);
            bins.push(Bin { low: span.low, high: span.high, level });
            reached = span.high;
        }
        region(&mut bins, Span { low: reached, high: f64::INFINITY }, shown);
        Self(bins)
    }

    /// Without what lies below zero, where a meter shows no sign.
    #[must_use]
    pub fn unsigned(mut self) -> Self {
        self.0.retain(|bin| bin.high > 0.0);
        self
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

    /// The numbers of all spans that meet this one, one bit each.
    #[must_use]
    pub fn all(&self, span: Span) -> u32 {
        let meets = |bin: &Bin| span.low < bin.high && span.high > bin.low;
        let inside = self.0.iter().enumerate().filter(|(_, bin)| meets(bin)).map(|(index, _)| index);
        inside.chain([self.index(span.low), self.index(span.high)]).fold(0, |bits, index| bits | 1 << index)
    }

    /// The span of a number.
    #[must_use]
    pub fn get(&self, index: usize) -> Bin {
        self.0[index]
    }

    /// How many spans there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.0.len()
    }
}

/// A level widened to hold those who read as if at it, as far as there is room.
fn stretched(level: Span, shown: &[Shown], room: f64) -> Span {
    let limit = Span { low: level.low - room, high: level.high + room };
    let inside = |one: &&Shown| level.holds(one.nominal) && limit.holds(one.span.low) && limit.holds(one.span.high);
    shown.iter().filter(inside).fold(level, |level, one| level.with(one.span))
}

/// Adds the spans between two levels, cut at the widest gaps that nobody reads.
fn region(bins: &mut Vec<Bin>, whole: Span, shown: &[Shown]) {
    let width = |span: Span| span.high - span.low;
    let mut spans: Vec<Span> =
        shown.iter().filter(|one| whole.holds(one.nominal)).map(|one| one.span.within(whole)).collect();
    let extent = spans.iter().copied().reduce(Span::with).unwrap_or(whole);
    spans.retain(|span| width(*span) <= WIDE * width(extent));
    let mut cuts = gaps(&spans);
    cuts.sort_by(|a, b| width(*b).total_cmp(&width(*a)));
    cuts.truncate(MOST_CUTS);
    let mut cuts: Vec<f64> = cuts.into_iter().map(|gap| f64::midpoint(gap.low, gap.high)).collect();
    cuts.sort_by(f64::total_cmp);
    let mut low = whole.low;
    for high in cuts.into_iter().chain([whole.high]) {
        bins.push(Bin { low, high, level: Level::Other });
        low = high;
    }
}

/// The gaps between classes of overlapping spans.
fn gaps(spans: &[Span]) -> Vec<Span> {
    let codes = codes(spans);
    let count = codes.iter().max().map_or(0, |most| most + 1);
    let mut classes: Vec<Option<Span>> = vec![None; count];
    for (span, code) in spans.iter().zip(codes) {
        classes[code] = Some(classes[code].map_or(*span, |class| class.with(*span)));
    }
    let classes: Vec<Span> = classes.into_iter().flatten().collect();
    classes.windows(2).map(|pair| Span { low: pair[0].high, high: pair[1].low }).collect()
}
