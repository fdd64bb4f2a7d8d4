//! What a rectified supply gives: closed forms for a wave without a reservoir, one steady cycle for one with.
//!
//! A meter on its DC range shows the average. Without a reservoir, behind resistances only, the average is that of the
//! winding's wave less the diode drops, cut off at zero, and the winding's resistance works as in any DC source. With a
//! reservoir the voltage follows one closed form while a diode conducts and another while none does; the angles at which
//! these meet are found such that the cycle ends where it began, see [`Smoothed`](super::smoothed::Smoothed).

use std::f64::consts::{PI, SQRT_2};
use std::sync::OnceLock;

use super::smoothed::Smoothed;
use crate::machine::model::{Rectifier, RectifierForm};

/// Loads at which a supply's curve is computed; cubic in between.
const CURVE_POINTS: usize = 96;
/// Lightest load of a curve, in ohms.
const LIGHTEST: f64 = 1e8;

/// A rectifier with its winding, as faults may have left it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Feed {
    /// RMS volts of the winding (of one half for a centre tap), without load.
    pub(crate) winding: f64,
    /// Ohms in series.
    pub(crate) internal: f64,
    /// Cycles a second.
    pub(crate) frequency: f64,
    /// Volts lost in diodes while one path conducts.
    pub(crate) lost: f64,
    /// Whether both halves of each cycle get through.
    pub(crate) both_halves: bool,
    /// Farads behind it; zero without.
    pub(crate) reservoir: f64,
}

/// Average, RMS and ripple of a wave.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Wave {
    /// What a meter shows on its DC range.
    pub(crate) average: f64,
    /// True RMS, DC and AC together.
    pub(crate) rms: f64,
    /// Peak to peak.
    pub(crate) ripple: f64,
}

impl Feed {
    /// The healthy rectifier behind so many volts and ohms; `one_open` takes one diode away.
    pub(crate) fn new(rectifier: &Rectifier, winding: f64, internal: f64, frequency: f64, one_open: bool) -> Self {
        let half = rectifier.form == RectifierForm::HalfWave;
        let drops = if rectifier.form == RectifierForm::Bridge { 2.0 } else { 1.0 };
        Self {
            winding: if half && one_open { 0.0 } else { winding },
            internal,
            frequency,
            lost: drops * rectifier.forward.value(),
            both_halves: !half && !one_open,
            reservoir: rectifier.reservoir.as_ref().map_or(0.0, |own| own.nominal.value()),
        }
    }

    /// The wave without a reservoir and without load: average and RMS in closed form.
    ///
    /// With p the peak, d the loss and θ = asin(d/p): average = (2p·cos θ − d(π − 2θ))/π over conducting halves.
    pub(crate) fn open_wave(&self) -> Wave {
        let peak = self.winding * SQRT_2;
        if peak <= self.lost {
            return Wave::default();
        }
        let angle = (self.lost / peak).asin();
        let width = PI - 2.0 * angle;
        let halves = if self.both_halves { 1.0 } else { 0.5 };
        let area = 2.0 * peak * angle.cos() - self.lost * width;
        let square = peak * peak * (width / 2.0 + (2.0 * angle).sin() / 2.0) - 4.0 * peak * self.lost * angle.cos()
            + self.lost * self.lost * width;
        Wave { average: halves * area / PI, rms: (halves * square / PI).sqrt(), ripple: peak - self.lost }
    }

    /// Volts that drive the conducting rectifier at an angle of the cycle.
    pub(crate) fn driven(&self, angle: f64) -> f64 {
        let wave = self.winding * SQRT_2 * angle.sin();
        (if self.both_halves { wave.abs() } else { wave }) - self.lost
    }

    /// The steady wave across a reservoir and so many ohms of load.
    pub(crate) fn loaded_wave(&self, load: f64) -> Wave {
        Smoothed::steady(self, load).map_or_else(Wave::default, |smoothed| smoothed.wave())
    }
}

/// How far a curve may lie from the steady cycle, relative: found between all its points over two decades of reservoirs and
/// internal resistances, and doubled.
pub(crate) const CURVE_ERROR: f64 = 2e-5;

/// Average, RMS and ripple over load of one supply with a reservoir. Its points are computed when first needed.
#[derive(Debug)]
pub(crate) struct Curve {
    feed: Feed,
    /// Logarithm of the heaviest load's ohms.
    first: f64,
    /// Step of the logarithm.
    step: f64,
    waves: Vec<OnceLock<Wave>>,
}

/// A supply near its working point: an ideal source behind a resistance, tangent to the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Tangent {
    pub(crate) volts: f64,
    pub(crate) ohms: f64,
}

impl Curve {
    pub(crate) fn of(feed: &Feed) -> Self {
        let first = (feed.internal.max(1e-3) / 10.0).ln();
        let step = (LIGHTEST.ln() - first) / count(CURVE_POINTS - 1);
        Self { feed: *feed, first, step, waves: (0..CURVE_POINTS).map(|_| OnceLock::new()).collect() }
    }

    /// Logarithm of the ohms of a point.
    fn logarithm(&self, point: usize) -> f64 {
        self.first + self.step * count(point)
    }

    fn wave(&self, point: usize) -> &Wave {
        self.waves[point].get_or_init(|| self.feed.loaded_wave(self.logarithm(point).exp()))
    }

    /// The wave at a load, by the logarithm of its ohms, and the slope of the average over that logarithm.
    pub(crate) fn at(&self, logarithm: f64) -> (Wave, f64) {
        let last = self.waves.len() - 1;
        let place = ((logarithm - self.first) / self.step).clamp(0.0, count(last));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped above")]
        let index = (place as usize).min(last - 1);
        let t = place - count(index);
        let near = [0, 1, 2, 3, 4, 5].map(|offset: usize| *self.wave((index + offset).saturating_sub(2).min(last)));
        let value = |pick: fn(&Wave) -> f64| hermite(near.map(|wave| pick(&wave)), t);
        let (average, slope) = value(|wave| wave.average);
        let wave = Wave { average, rms: value(|wave| wave.rms).0, ripple: value(|wave| wave.ripple).0.max(0.0) };
        (wave, slope / self.step)
    }

    /// Ohms of the heaviest and of the lightest load.
    pub(crate) fn loads(&self) -> [f64; 2] {
        [self.first.exp(), LIGHTEST]
    }

    /// The logarithm of the load's ohms at which the supply delivers so many amperes on average.
    pub(crate) fn load_at(&self, amperes: f64) -> f64 {
        let (mut heavy, mut light) = (0, self.waves.len() - 1);
        while light - heavy > 1 {
            let middle = usize::midpoint(heavy, light);
            if self.wave(middle).average / self.logarithm(middle).exp() > amperes {
                heavy = middle;
            } else {
                light = middle;
            }
        }
        let (mut heavy, mut light) = (self.logarithm(heavy), self.logarithm(light));
        for _ in 0..60 {
            let middle = f64::midpoint(heavy, light);
            if self.at(middle).0.average / middle.exp() > amperes {
                heavy = middle;
            } else {
                light = middle;
            }
        }
        f64::midpoint(heavy, light)
    }

    /// The source that touches the curve at a current.
    pub(crate) fn tangent(&self, amperes: f64) -> Tangent {
        let logarithm = self.load_at(amperes);
        let (wave, slope) = self.at(logarithm);
        let drawn = wave.average / logarithm.exp();
        // dI = I (dV/V − d ln R), dV = slope · d ln R.
        let ohms = if wave.average > 0.0 { slope / (drawn * (1.0 - slope / wave.average)) } else { 0.0 };
        let ohms = if ohms.is_finite() { ohms.max(super::values::LEAST_OHMS) } else { super::values::LEAST_OHMS };
        Tangent { volts: wave.average + ohms * drawn, ohms }
    }
}

#[expect(clippy::cast_precision_loss, reason = "a few dozen points")]
fn count(points: usize) -> f64 {
    points as f64
}

/// Cubic between the middle two of six points, with slopes of the fourth order; value and slope.
fn hermite([far, before, first, second, after, beyond]: [f64; 6], t: f64) -> (f64, f64) {
    let slope = |a: f64, b: f64, c: f64, d: f64| (8.0 * (c - b) - (d - a)) / 12.0;
    let (start, end) = (slope(far, before, second, after), slope(before, first, after, beyond));
    let (t2, t3) = (t * t, t * t * t);
    let value = (2.0 * t3 - 3.0 * t2 + 1.0) * first
        + (t3 - 2.0 * t2 + t) * start
        + (3.0 * t2 - 2.0 * t3) * second
        + (t3 - t2) * end;
    let slope = (6.0 * t2 - 6.0 * t) * first
        + (3.0 * t2 - 4.0 * t + 1.0) * start
        + (6.0 * t - 6.0 * t2) * second
        + (3.0 * t2 - 2.0 * t) * end;
    (value, slope)
}
