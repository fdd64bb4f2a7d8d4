//! The steady cycle of a rectifier with a reservoir, exact for constant diode drops and a resistive load.
//!
//! With θ the angle of the mains, e = Vp sin θ − d what drives the rectifier, Ri the winding's ohms, R the load and C the
//! reservoir: from θ1, where e has risen to the capacitor's voltage, to θ2, where e has fallen back to it,
//! ωC dv/dθ = (e − v)/Ri − v/R; from there to the next θ1 v falls as e^(−θ/ωRC). Both are linear and have closed forms. θ1
//! is the one angle for which the cycle ends as it began: an early start leaves the cycle too high, a late one too low.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2, TAU};

use super::rectifier::{Feed, Wave};

/// Stretches of each part of a cycle in the integral of squares (Simpson's rule).
const STRETCHES: u32 = 32;
/// Angles nearer to each other than this are one.
const SAME_ANGLE: f64 = 1e-15;

/// A steady cycle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Smoothed {
    peak: f64,
    lost: f64,
    /// Share R/(R + Ri).
    share: f64,
    /// Rate of the approach while a diode conducts, per radian: 1/(ωC (R ∥ Ri)).
    rate: f64,
    /// Radians in which v falls to 1/e while none does: ω R C.
    fall: f64,
    /// Angle from one start to the next.
    period: f64,
    /// Where conduction starts.
    start: f64,
    /// Where it stops.
    stop: f64,
}

impl Smoothed {
    /// The steady cycle of a rectifier into so many ohms; none where its drops let nothing through.
    pub(crate) fn steady(feed: &Feed, load: f64) -> Option<Self> {
        let peak = feed.winding * SQRT_2;
        if peak <= feed.lost {
            return None;
        }
        let farads = TAU * feed.frequency * feed.reservoir;
        let mut cycle = Self {
            peak,
            lost: feed.lost,
            share: load / (load + feed.internal),
            rate: (1.0 / load + 1.0 / feed.internal) / farads,
            fall: farads * load,
            period: if feed.both_halves { PI } else { TAU },
            start: 0.0,
            stop: PI,
        };
        let first = (feed.lost / peak).asin();
        let started = |start: f64| Self { start, stop: cycle.stop_after(start), ..cycle };
        let start = root(|start| started(start).surplus(), first, FRAC_PI_2);
        cycle = started(start);
        Some(cycle)
    }

    /// What drives the rectifier.
    fn driven(&self, angle: f64) -> f64 {
        self.peak * angle.sin() - self.lost
    }

    /// The part of v that the sine drives, and its slope.
    fn forced(&self, angle: f64) -> (f64, f64) {
        let (sine, cosine, lag) = (angle.sin(), angle.cos(), 1.0 / self.rate);
        let scale = self.share * self.peak / (1.0 + lag * lag);
        (scale * (sine - lag * cosine) - self.share * self.lost, scale * (cosine + lag * sine))
    }

    /// v and its slope while a diode conducts since `start`.
    fn conducting(&self, start: f64, angle: f64) -> (f64, f64) {
        let fading = (self.driven(start) - self.forced(start).0) * (-self.rate * (angle - start)).exp();
        let (volts, slope) = self.forced(angle);
        (volts + fading, slope - self.rate * fading)
    }

    /// Where a conduction that starts there stops: after the crest, since before it the sine still runs away.
    fn stop_after(&self, start: f64) -> f64 {
        root(|angle| self.driven(angle) - self.conducting(start, angle).0, FRAC_PI_2, PI)
    }

    /// v while no diode conducts.
    fn falling(&self, angle: f64) -> f64 {
        self.conducting(self.start, self.stop).0 * (-(angle - self.stop) / self.fall).exp()
    }

    /// v at any angle.
    pub(crate) fn at(&self, angle: f64) -> f64 {
        let angle = self.start + (angle - self.start).rem_euclid(self.period);
        if angle < self.stop { self.conducting(self.start, angle).0 } else { self.falling(angle) }
    }

    /// By how much the cycle ends above its start.
    fn surplus(&self) -> f64 {
        self.falling(self.start + self.period) - self.driven(self.start)
    }

    /// Average, RMS and ripple.
    pub(crate) fn wave(&self) -> Wave {
        let conducting = |angle: f64| self.conducting(self.start, angle).0;
        let average = self.area() / self.period;
        let square = |volts: f64| (volts - average).powi(2);
        let spread = simpson(|angle| square(conducting(angle)), self.start, self.stop)
            + simpson(|angle| square(self.falling(angle)), self.stop, self.start + self.period);
        let slope = |angle: f64| self.conducting(self.start, angle).1;
        // v still falls when conduction starts and falls again before it stops; it rises at the crest.
        let lowest = conducting(root(|angle| -slope(angle), self.start, FRAC_PI_2));
        let highest = conducting(root(slope, FRAC_PI_2, self.stop));
        Wave { average, rms: (average * average + spread / self.period).sqrt(), ripple: highest - lowest }
    }

    /// Integral of v over a cycle.
    fn area(&self) -> f64 {
        let (start, stop) = (self.start, self.stop);
        let lag = 1.0 / self.rate;
        let scale = self.share * self.peak / (1.0 + lag * lag);
        let sine = scale * ((start.cos() - stop.cos()) - lag * (stop.sin() - start.sin()));
        let first = self.driven(start) - self.forced(start).0;
        let fading = -first * lag * (-self.rate * (stop - start)).exp_m1();
        let rest = -self.conducting(start, stop).0 * self.fall * (-(start + self.period - stop) / self.fall).exp_m1();
        sine - self.share * self.lost * (stop - start) + fading + rest
    }
}

/// Where a function that is positive at `low` and negative at `high` passes zero: false position, with the end that stays
/// weighed less each time (the Illinois rule), halving where that is slow.
fn root(function: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let (mut above, mut below) = (function(low), function(high));
    if above <= 0.0 {
        return low;
    }
    if below >= 0.0 {
        return high;
    }
    let mut last = 0_i8;
    for step in 0..100 {
        let width = high - low;
        let secant = high - below * width / (below - above);
        let inside = secant > low && secant < high && step % 4 != 3;
        let middle = if inside { secant } else { f64::midpoint(low, high) };
        let value = function(middle);
        if value == 0.0 || width <= SAME_ANGLE || middle <= low || middle >= high {
            return middle;
        }
        if value > 0.0 {
            below = if last > 0 { below / 2.0 } else { below };
            (low, above, last) = (middle, value, 1);
        } else {
            above = if last < 0 { above / 2.0 } else { above };
            (high, below, last) = (middle, value, -1);
        }
        if (high - low) <= SAME_ANGLE * 4.0 || value.abs() < 1e-14 {
            return middle;
        }
    }
    f64::midpoint(low, high)
}

/// Simpson's rule.
fn simpson(function: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let width = (to - from) / f64::from(2 * STRETCHES);
    let inner = (1..2 * STRETCHES).map(|index| {
        let weight = if index % 2 == 1 { 4.0 } else { 2.0 };
        weight * function(from + width * f64::from(index))
    });
    (function(from) + inner.sum::<f64>() + function(to)) * width / 3.0
}
