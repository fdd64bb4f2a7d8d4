//! What each rectified supply adds to the ripple, and how ripples add up.
//!
//! Supplies on one mains rise and fall together, so their ripples add moment by moment, not as squares. Each wave is
//! therefore kept as a shape over one cycle; a single wave needs none, its RMS and its swing have closed forms. Windings
//! count as their ohms here: a meter and a filament behind them get no more ripple than this.

use std::f64::consts::TAU;

use super::field::Field;
use super::network::{Circuit, Situation};
use super::rectifier::{Feed, Wave};
use super::smoothed::Smoothed;
use super::values::Model;

/// Moments of a cycle at which shapes are known.
const MOMENTS: u32 = 120;

/// A rectified supply in a DC network.
#[derive(Debug, Clone)]
pub(crate) struct Share {
    pub(crate) element: usize,
    /// At its terminals.
    pub(crate) wave: Wave,
    /// The DC network with this supply alone.
    pub(crate) field: Field<f64>,
    frequency: f64,
    /// What the wave has above its average, per volt of average; empty for the only supply.
    shape: Vec<f64>,
}

impl Circuit<'_> {
    /// The share of each rectified supply in the DC field, with the wave that it has.
    pub(crate) fn waves(&self, situation: &Situation<'_>, direct: &Field<f64>) -> Vec<Share> {
        let mut shares = Vec::new();
        let mut feeds = Vec::new();
        for &element in &self.rectified {
            let Some(feed) = self.feed(element, situation) else { continue };
            if direct.source(element) == 0.0 {
                continue;
            }
            let amperes = -direct.current(element);
            let (wave, load) = if feed.reservoir > 0.0 {
                let curve = self.curve(&feed);
                let load = curve.load_at(amperes);
                (curve.at(load).0, load.exp())
            } else {
                (feed.open_wave(), f64::INFINITY)
            };
            let field = self.alone(direct, element);
            shares.push(Share { element, wave, field, frequency: feed.frequency, shape: Vec::new() });
            feeds.push((feed, load));
        }
        if shares.len() > 1 {
            for (share, (feed, load)) in shares.iter_mut().zip(&feeds) {
                share.shape = shape(feed, *load, self.lead(share.element), share.wave.average);
            }
        }
        shares
    }

    /// Angle by which a supply runs ahead of the mains.
    pub(crate) fn lead(&self, element: usize) -> f64 {
        match &self.elements.models[element] {
            Model::Source(source) => source.direction.arg(),
            _ => 0.0,
        }
    }
}

fn shape(feed: &Feed, load: f64, ahead: f64, average: f64) -> Vec<f64> {
    let smoothed = if feed.reservoir > 0.0 { Smoothed::steady(feed, load) } else { None };
    let at = |moment: u32| {
        let angle = TAU * f64::from(moment) / f64::from(MOMENTS) + ahead;
        smoothed.as_ref().map_or_else(|| feed.driven(angle).max(0.0), |smoothed| smoothed.at(angle))
    };
    let volts: Vec<f64> = (0..MOMENTS).map(at).collect();
    let middle = volts.iter().sum::<f64>() / f64::from(MOMENTS);
    volts.into_iter().map(|volts| if average > 0.0 { (volts - middle) / average } else { 0.0 }).collect()
}

/// Swing from peak to peak and square of the RMS of the ripple of which each supply has so much as average.
pub(crate) fn ripple(shares: &[Share], average: impl Fn(&Field<f64>) -> f64) -> (f64, f64) {
    if let [share] = shares {
        return single(&share.wave, average(&share.field));
    }
    let parts: Vec<(f64, &Share)> = shares.iter().map(|share| (average(&share.field), share)).collect();
    let mut frequencies: Vec<f64> = shares.iter().map(|share| share.frequency).collect();
    frequencies.sort_by(f64::total_cmp);
    frequencies.dedup();
    let mut sum = (0.0, 0.0);
    for frequency in frequencies {
        let here: Vec<&(f64, &Share)> = parts
            .iter()
            .filter(|(part, share)| share.frequency.total_cmp(&frequency).is_eq() && *part != 0.0)
            .collect();
        let (swing, square) = match here[..] {
            [] => (0.0, 0.0),
            [(part, share)] => single(&share.wave, *part),
            _ => together(&here),
        };
        sum = (sum.0 + swing, sum.1 + square);
    }
    sum
}

/// Supplies of one frequency.
fn together(parts: &[&(f64, &Share)]) -> (f64, f64) {
    let moments = parts.iter().map(|(_, share)| share.shape.len()).min().unwrap_or(0);
    let (mut low, mut high, mut square, mut count) = (f64::INFINITY, f64::NEG_INFINITY, 0.0, 0.0);
    for moment in 0..moments {
        let volts: f64 = parts.iter().map(|(part, share)| part * share.shape[moment]).sum();
        (low, high) = (low.min(volts), high.max(volts));
        square += volts * volts;
        count += 1.0;
    }
    if count > 0.0 { (high - low, square / count) } else { (0.0, 0.0) }
}

fn single(wave: &Wave, average: f64) -> (f64, f64) {
    if wave.average <= 0.0 {
        return (0.0, 0.0);
    }
    let form = wave.rms / wave.average;
    (average.abs() / wave.average * wave.ripple, average * average * (form * form - 1.0).max(0.0))
}
