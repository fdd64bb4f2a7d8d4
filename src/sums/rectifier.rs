//! What a DC meter shows behind a rectifier, with and without a reservoir capacitor.
//!
//! Without a reservoir the average is exact for a sine and constant diode drops, conduction angle included. With one and a
//! current, the ripple is the straight-line estimate, which overstates once the ripple is large; with one and a load in
//! ohms, the steady cycle is found as the circuit room does it, the winding's resistance included.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use super::entry::{Entry, Given, Input, SumError, not_negative, positive, unsuitable};
use super::sum::{Amount, Sum};
use super::tables::touch::LIVE_LIMIT;
use crate::circuit::rectifier::Feed;
use crate::fact;
use crate::machine::model::{Origin, Rectifier, RectifierForm, Toleranced};
use crate::spec::units::{Amperes, Farads, Hertz, Ohms, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "rectifier",
    inputs: &[
        Input::required("winding", "voltage", "RMS volts of the winding (of one half, if centre-tapped)"),
        Input::preset("form", "bridge|full-wave|half-wave", "bridge", "how the rectifier is wired"),
        Input::preset("drop", "voltage", "0.7 V", "drop of one diode"),
        Input::optional("reservoir", "capacitance", "reservoir capacitor"),
        Input::optional("current", "current", "DC drawn from the reservoir: a quick estimate"),
        Input::optional("load", "resistance", "load on the reservoir instead of a current: the steady cycle is found"),
        Input::preset("internal", "resistance", "0.5 ohm", "of the winding, for `load`"),
        Input::preset("frequency", "frequency", "50 Hz", "of the winding"),
    ],
    example: "winding=24V form=bridge reservoir=10000uF current=2A frequency=60Hz",
    compute: from_given,
};

const FORMS: [(&str, RectifierForm); 3] =
    [("bridge", RectifierForm::Bridge), ("full-wave", RectifierForm::FullWave), ("half-wave", RectifierForm::HalfWave)];

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let form = given.choice("form", &FORMS)?;
    let (winding, drop) = (given.quantity("winding")?, given.quantity("drop")?);
    let (current, load) = (given.maybe::<Amperes>("current")?, given.maybe::<Ohms>("load")?);
    let Some(reservoir) = given.maybe("reservoir")? else {
        return match current {
            None => unsmoothed_sum(winding, form, drop),
            Some(current) => Err(unsuitable("current", current, "given together with `reservoir`")),
        };
    };
    let frequency = given.quantity("frequency")?;
    match load {
        Some(load) => {
            steady_sum(&Rectified { winding, form, drop, reservoir, frequency }, given.quantity("internal")?, load)
        }
        None => smoothed_sum(&Rectified { winding, form, drop, reservoir, frequency }, current.unwrap_or_default()),
    }
}

/// A winding with rectifier and reservoir.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectified {
    /// RMS volts of the winding, or of one half of it.
    pub winding: Volts,
    /// How the rectifier is wired.
    pub form: RectifierForm,
    /// Drop of one diode.
    pub drop: Volts,
    /// The reservoir capacitor.
    pub reservoir: Farads,
    /// Frequency of the winding.
    pub frequency: Hertz,
}

/// Drops of all diodes in the path.
#[must_use]
pub fn total_drop(form: RectifierForm, one: Volts) -> Volts {
    match form {
        RectifierForm::Bridge => one * 2.0,
        RectifierForm::FullWave | RectifierForm::HalfWave => one,
    }
}

/// Average and true RMS behind a rectifier into a resistive load, without a reservoir.
///
/// The load sees Vp sin θ − d while that is positive: from asin(d/Vp) to π less that.
#[must_use]
pub fn unsmoothed(winding: Volts, form: RectifierForm, one_drop: Volts) -> (Volts, Volts) {
    let peak = winding.value() * SQRT_2;
    let drop = total_drop(form, one_drop).value();
    if drop >= peak {
        return (Volts::ZERO, Volts::ZERO);
    }
    let start = (drop / peak).asin();
    let conduction = PI - 2.0 * start;
    let area = 2.0 * peak * start.cos() - drop * conduction;
    let square = peak * peak * (conduction + (2.0 * start).sin()) / 2.0 - 4.0 * peak * drop * start.cos()
        + drop * drop * conduction;
    // One half-wave in each half period, or in every second one.
    let period = if form == RectifierForm::HalfWave { 2.0 * PI } else { PI };
    (Volts::new(area / period), Volts::new((square / period).max(0.0).sqrt()))
}

/// RMS over average of a rectified sine: what the scale of an average-responding AC range is drawn for.
const FORM_FACTOR: f64 = PI / (2.0 * SQRT_2);

/// Average of how far the wave lies from its own average, which is what an AC range behind a capacitor rectifies.
///
/// Above the average m lies Vp sin θ − d − m from asin((m + d)/Vp) on; as much lies below it.
fn deviation(winding: Volts, form: RectifierForm, one_drop: Volts) -> Volts {
    let peak = winding.value() * SQRT_2;
    let level = unsmoothed(winding, form, one_drop).0.value() + total_drop(form, one_drop).value();
    let start = (level / peak).min(1.0).asin();
    let above = 2.0 * peak * start.cos() - level * (PI - 2.0 * start);
    let period = if form == RectifierForm::HalfWave { 2.0 * PI } else { PI };
    Volts::new(2.0 * above / period)
}

fn checked(winding: Volts, form: RectifierForm, drop: Volts) -> Result<(Volts, Volts, Volts), SumError> {
    let (winding, drop) = (positive("winding", winding.abs())?, not_negative("drop", drop)?);
    let peak = winding * SQRT_2;
    if total_drop(form, drop) >= peak {
        return Err(unsuitable("drop", drop, format!("less than lets any of the {peak} peak through")));
    }
    Ok((winding, drop, peak))
}

fn named(form: RectifierForm) -> Amount {
    let said = match form {
        RectifierForm::Bridge => fact!("sums.form.bridge"),
        RectifierForm::FullWave => fact!("sums.form.full-wave"),
        RectifierForm::HalfWave => fact!("sums.form.half-wave"),
    };
    Amount::words("form", said)
}

/// The sum without a reservoir.
///
/// # Errors
/// A winding that is not above zero or a drop that lets nothing through.
pub fn unsmoothed_sum(winding: Volts, form: RectifierForm, drop: Volts) -> Result<Sum, SumError> {
    let (winding, drop, peak) = checked(winding, form, drop)?;
    let (average, rms) = unsmoothed(winding, form, drop);
    let total = total_drop(form, drop);
    let start = (total / peak).asin();
    let ripple = Volts::new((rms.value().powi(2) - average.value().powi(2)).max(0.0).sqrt());
    let divisor = if form == RectifierForm::HalfWave { "2π" } else { "π" };
    Ok(Sum::new(&ENTRY, fact!("sums.source.rectifier"))
        .given("winding", winding)
        .given_as(named(form))
        .given("drop", drop)
        .step("√2 × V", format!("1.4142 × {winding}"), Amount::of("peak", peak))
        .step(
            "asin(d / Vp)",
            format!("asin({total} / {peak})"),
            Amount::number("conduction-starts-at", start.to_degrees(), "°"),
        )
        .answer_by(
            &format!("(2 Vp cos θ − d (π − 2θ)) / {divisor}"),
            format!("(2 × {peak} × {:.4} − {total} × {:.4}) / {divisor}", start.cos(), 2.0 * (FRAC_PI_2 - start)),
            Amount::of("dc-meter-reads", average),
        )
        .answer(Amount::of("true-rms", rms))
        .answer_by("√(Vrms² − Vdc²)", format!("√(({rms})² − ({average})²)"), Amount::of("ac-part-rms", ripple))
        .answer_by(
            "1.1107 × mean(|v − Vdc|)",
            format!("1.1107 × {}", deviation(winding, form, drop)),
            Amount::of("ac-range-average-responding", deviation(winding, form, drop) * FORM_FACTOR),
        )
        .caution(fact!("sums.caution.without-diode")))
}

/// The sum with a reservoir.
///
/// # Errors
/// Values that are not above zero, a drop that lets nothing through, or a load so heavy that the estimate fails.
pub fn smoothed_sum(supply: &Rectified, current: Amperes) -> Result<Sum, SumError> {
    let Rectified { form, .. } = *supply;
    let (winding, drop, peak) = checked(supply.winding, form, supply.drop)?;
    let (reservoir, frequency) = (positive("reservoir", supply.reservoir)?, positive("frequency", supply.frequency)?);
    let current = not_negative("current", current.abs())?;
    let top = peak - total_drop(form, drop);
    let pulses = if form == RectifierForm::HalfWave { 1.0 } else { 2.0 };
    let ripple = Volts::new(current.value() / (pulses * frequency.value() * reservoir.value()));
    if ripple.value() > 0.5 * top.value() {
        return Err(unsuitable(
            "reservoir",
            reservoir,
            format!("large enough for {current} (the estimate would be {ripple} of ripple on {top})"),
        ));
    }
    let formula = if pulses > 1.0 { "I / (2 f C)" } else { "I / (f C)" };
    let factor = if pulses > 1.0 { "2 × " } else { "" };
    Ok(Sum::new(&ENTRY, fact!("sums.source.rectifier-reservoir"))
        .given("winding", winding)
        .given_as(named(form))
        .given("drop", drop)
        .given("reservoir", reservoir)
        .given("current", current)
        .given("frequency", frequency)
        .step("√2 × V", format!("1.4142 × {winding}"), Amount::of("peak", peak))
        .answer_by("Vp − d", format!("{peak} − {}", total_drop(form, drop)), Amount::of("top-of-the-wave", top))
        .answer_by(
            formula,
            format!("{current} / ({factor}{frequency} × {reservoir})"),
            Amount::of("ripple-peak-to-peak", ripple),
        )
        .answer_by("Vt − Vr / 2", format!("{top} − {ripple} / 2"), Amount::of("dc-meter-reads", top - ripple * 0.5))
        .caution_if(ripple.value() > 0.1 * top.value(), fact!("sums.caution.much-ripple"))
        .caution(fact!("sums.caution.winding-left-out"))
        .caution_if(top > LIVE_LIMIT, fact!("sums.caution.touch-limit")))
}

/// The sum with a reservoir and a load in ohms: the steady cycle.
///
/// # Errors
/// Values that are not above zero, or a drop that lets nothing through.
pub fn steady_sum(supply: &Rectified, internal: Ohms, load: Ohms) -> Result<Sum, SumError> {
    let (winding, drop, peak) = checked(supply.winding, supply.form, supply.drop)?;
    let (reservoir, frequency) = (positive("reservoir", supply.reservoir)?, positive("frequency", supply.frequency)?);
    let (internal, load) = (positive("internal", internal)?, positive("load", load)?);
    let exact = Toleranced::exactly(reservoir, Origin::Stated);
    let rectifier = Rectifier { form: supply.form, forward: drop, reservoir: Some(exact) };
    let feed = Feed::new(&rectifier, winding.value(), internal.value(), frequency.value(), false);
    let wave = feed.loaded_wave(load.value());
    let (average, current) = (Volts::new(wave.average), Volts::new(wave.average) / load);
    Ok(Sum::new(&ENTRY, fact!("sums.source.rectifier-load"))
        .given("winding", winding)
        .given_as(named(supply.form))
        .given("drop", drop)
        .given("reservoir", reservoir)
        .given("frequency", frequency)
        .given("internal", internal)
        .given("load", load)
        .step("√2 × V", format!("1.4142 × {winding}"), Amount::of("peak", peak))
        .answer_by(
            "mean(v), C dv/dt = max(0, (Vp |sin ωt| − d − v) / Ri) − v / R",
            format!("Vp = {peak}, C = {reservoir}, Ri = {internal}, R = {load}, {frequency}"),
            Amount::of("dc-meter-reads", average),
        )
        .answer(Amount::of("ripple-peak-to-peak", Volts::new(wave.ripple)))
        .answer(Amount::of("true-rms", Volts::new(wave.rms)))
        .answer_by("V / R", format!("{average} / {load}"), Amount::of("current", current))
        .caution_if(average > LIVE_LIMIT, fact!("sums.caution.touch-limit")))
}
