//! Lets relays move until nothing moves any more, then fuses.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::machine::model::{Coil, Current, Fuse, FuseStandard, PartId, PartKind, Relay};

use super::error::CircuitError;
use super::inside::Inner;
use super::network::{Circuit, Positions, Situation};
use super::point::{Point, flagged};
use super::results::{OpenedFuse, Settling};

/// Relays that are in, and the point solved with them.
type Outcome = (Vec<bool>, Arc<Point>);

/// States that are tried when relays race.
const MOST_ORDERS: usize = 64;

/// How far the volts that a short leaves may lie from the model's, as a factor: ohms of contacts, wires and windings, each by
/// itself. Common practice, no source.
const SHORT_SPREAD: f64 = 2.0;

/// A state in which nothing moves, or between whose neighbours the relays go to and fro.
#[derive(Debug, Clone)]
pub(crate) struct Rest {
    pub(crate) settling: Settling,
    pub(crate) positions: Positions,
    pub(crate) point: Arc<Point>,
    /// Every point on the way, the last one included.
    pub(crate) trace: Vec<Arc<Point>>,
    pub(crate) opened: Vec<OpenedFuse>,
}

impl Circuit<'_> {
    /// Settles relays from where they were, and opens fuses that carry more than they may.
    pub(crate) fn rest(&self, situation: &Situation<'_>, start: Positions) -> Result<Rest, CircuitError> {
        self.rest_from(situation, start, self.first_guess(situation), &[])
    }

    /// The same from a better guess of what is inside diodes, filaments and rectifiers, and from points that are known;
    /// the answer does not depend on either.
    pub(crate) fn rest_from(
        &self,
        situation: &Situation<'_>,
        start: Positions,
        mut inner: Inner,
        known: &[Arc<Point>],
    ) -> Result<Rest, CircuitError> {
        let mut positions = start;
        let mut opened = Vec::new();
        let mut trace = Vec::new();
        let mut rounds_before = 0;
        loop {
            let (settling, point) =
                self.settle(situation, &mut positions, inner, (known, &mut trace), rounds_before)?;
            let Some(fuse) = self.overloaded(&point, &positions) else {
                return Ok(Rest { settling, positions, point, trace, opened });
            };
            positions.blown[fuse.fuse.0] = true;
            opened.push(fuse);
            inner = (*point.inner).clone();
            if let Settling::Settled { rounds } = settling {
                rounds_before = rounds;
            }
        }
    }

    fn settle(
        &self,
        situation: &Situation<'_>,
        positions: &mut Positions,
        mut inner: Inner,
        (known, trace): (&[Arc<Point>], &mut Vec<Arc<Point>>),
        rounds_before: usize,
    ) -> Result<(Settling, Arc<Point>), CircuitError> {
        let mut seen: Vec<Vec<bool>> = Vec::new();
        loop {
            let live: Arc<[usize]> = self.live(situation, positions).into();
            take_nearest(&mut inner, &live, known.iter().chain(trace.iter()));
            let point = self.point_of(situation, &live, inner, known)?;
            trace.push(Arc::clone(&point));
            let next = self.moved(&point, &positions.energised);
            if next == positions.energised {
                return Ok((Settling::Settled { rounds: rounds_before + seen.len() }, point));
            }
            if let Some(first) = seen.iter().position(|state| *state == next) {
                // The state that was just solved closes the circle, if all relays are equally quick.
                let rounds = rounds_before + seen.len();
                let outcomes = self.one_by_one(situation, positions, &seen[first], &point.inner, known)?;
                let settling = match outcomes.len() {
                    0 => {
                        let second = flagged(&positions.energised);
                        return Ok((Settling::Chatters { first: flagged(&seen[first]), second }, point));
                    }
                    1 => Settling::Settled { rounds },
                    _ => Settling::Races { outcomes: outcomes.iter().map(|(stand, _)| flagged(stand)).collect() },
                };
                let Some((stand, point)) = outcomes.into_iter().next() else { return Ok((settling, point)) };
                positions.energised = stand;
                trace.push(Arc::clone(&point));
                return Ok((settling, point));
            }
            seen.push(std::mem::replace(&mut positions.energised, next));
            inner = (*point.inner).clone();
        }
    }

    /// The states in which relays come to rest from a state when one after the other moves, in whatever order.
    fn one_by_one(
        &self,
        situation: &Situation<'_>,
        positions: &Positions,
        start: &[bool],
        inner: &Inner,
        known: &[Arc<Point>],
    ) -> Result<Vec<Outcome>, CircuitError> {
        let mut waiting = vec![start.to_vec()];
        let mut seen: BTreeSet<Vec<bool>> = BTreeSet::new();
        let mut outcomes = Vec::new();
        while let Some(energised) = waiting.pop().filter(|_| seen.len() < MOST_ORDERS) {
            if !seen.insert(energised.clone()) {
                continue;
            }
            let here = Positions { energised, blown: positions.blown.clone() };
            let point = self.point(situation, &here, inner.clone(), known)?;
            let next = self.moved(&point, &here.energised);
            for moving in (0..next.len()).filter(|&part| next[part] != here.energised[part]) {
                let mut one = here.energised.clone();
                one[moving] = next[moving];
                waiting.push(one);
            }
            if next == here.energised {
                outcomes.push((here.energised, point));
            }
        }
        outcomes.sort_by(|(one, _), (other, _)| other.cmp(one));
        Ok(outcomes)
    }

    /// Where the relays go from here.
    pub(crate) fn moved(&self, point: &Point, energised: &[bool]) -> Vec<bool> {
        let mut next = energised.to_vec();
        for &(part, main, reset) in &self.relays {
            let PartKind::Relay(relay) = &self.machine.part(part).kind else {
                continue;
            };
            let volts = coil_volts(point, main.0, &relay.coil);
            let energised = &mut next[part.0];
            if let (Some(reset), Some(coil)) = (reset, &relay.reset) {
                let back = coil_volts(point, reset.0, coil) >= coil.operate.value();
                match (volts >= relay.coil.operate.value(), back) {
                    (true, false) => *energised = true,
                    (false, true) => *energised = false,
                    _ => {}
                }
            } else if *energised {
                *energised = volts > relay.coil.release.value();
            } else {
                *energised = volts >= relay.coil.operate.value() && volts > 0.0;
            }
        }
        next
    }

    /// The fuse that carries most in relation to what opens it, if any carries more.
    pub(crate) fn overloaded(&self, point: &Point, positions: &Positions) -> Option<OpenedFuse> {
        let mut worst: Option<(f64, OpenedFuse)> = None;
        for &(part, element) in &self.fuses {
            let PartKind::Fuse(fuse) = &self.machine.part(part).kind else {
                continue;
            };
            if positions.blown[part.0] {
                continue;
            }
            let current = point.heating_current(element);
            let ratio = current / opening_current(fuse);
            if ratio >= 1.0 && worst.as_ref().is_none_or(|(most, _)| ratio > *most) {
                worst = Some((ratio, OpenedFuse { fuse: part, current }));
            }
        }
        worst.map(|(_, fuse)| fuse)
    }

    /// Fuses between their rating and the current that surely opens them.
    pub(crate) fn strained_fuses(&self, point: &Point) -> Vec<PartId> {
        self.strained(point).collect()
    }

    /// Whether there is such a fuse.
    pub(crate) fn is_strained(&self, point: &Point) -> bool {
        self.strained(point).next().is_some()
    }

    fn strained<'a>(&'a self, point: &'a Point) -> impl Iterator<Item = PartId> + 'a {
        let strained = |&(part, element): &(PartId, usize)| match &self.machine.part(part).kind {
            PartKind::Fuse(fuse) => point.heating_current(element) > fuse.rated.value() * (1.0 + 1e-9),
            _ => false,
        };
        self.fuses.iter().copied().filter(strained).map(|(part, _)| part)
    }

    /// Whether relays moved, or nearly let go, while a fuse carried more than its rating.
    pub(crate) fn raced(&self, rest: &Rest) -> bool {
        let on_the_way = rest.trace.len().saturating_sub(1);
        let strained = || rest.trace[..on_the_way].iter().filter(|point| self.is_strained(point));
        // Before each fuse opened, the relays had come to rest.
        strained().count() > rest.opened.len() || strained().any(|point| self.may_let_go(point))
    }

    /// Whether some relay's volts are so near to those at which it lets go that the ohms of a short decide.
    fn may_let_go(&self, point: &Point) -> bool {
        self.relays.iter().any(|&(part, main, reset)| {
            let PartKind::Relay(Relay { coil, .. }) = &self.machine.part(part).kind else { return false };
            let over_release = coil_volts(point, main.0, coil) / coil.release.value();
            reset.is_none() && over_release > 1.0 && over_release <= SHORT_SPREAD
        })
    }
}

/// Diodes and filaments as in the solved state that differs in the fewest elements: most of them will stay like that.
fn take_nearest<'a>(inner: &mut Inner, live: &[usize], solved: impl Iterator<Item = &'a Arc<Point>>) {
    // Of states that differ as much the last counts: it has the changes that are asked about.
    let nearest = solved
        .map(|point| (differences(&point.live, live), point))
        .reduce(|best, next| if next.0 <= best.0 { next } else { best });
    if let Some((_, point)) = nearest {
        inner.diodes.clone_from(&point.inner.diodes);
        inner.filaments.clone_from(&point.inner.filaments);
    }
}

/// How many numbers are in one of two ascending lists only.
fn differences(a: &[usize], b: &[usize]) -> usize {
    let (mut left, mut right, mut both) = (0, 0, 0);
    while left < a.len() && right < b.len() {
        match a[left].cmp(&b[right]) {
            std::cmp::Ordering::Less => left += 1,
            std::cmp::Ordering::Greater => right += 1,
            std::cmp::Ordering::Equal => (left, right, both) = (left + 1, right + 1, both + 1),
        }
    }
    a.len() + b.len() - 2 * both
}

/// Volts that move a coil: the average for a DC coil, everything together for an AC coil. Nothing moves a coil that is
/// open, whatever stands across it.
pub(crate) fn coil_volts(point: &Point, element: usize, coil: &Coil) -> f64 {
    if point.is_open(element) {
        return 0.0;
    }
    match coil.current {
        Current::Direct => point.direct.across(element).abs(),
        Current::Alternating => point.heating_volts(element),
    }
}

/// The current that surely opens a fuse: 2.1 times rated for IEC 60127-2 (within 2 or 30 minutes), 1.35 times for
/// UL 248-14 (within an hour).
#[must_use]
pub fn opening_current(fuse: &Fuse) -> f64 {
    let times = match fuse.standard {
        FuseStandard::Iec => 2.1,
        FuseStandard::Ul => 1.35,
    };
    times * fuse.rated.value()
}
