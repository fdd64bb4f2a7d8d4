//! How the current of a DC coil rises after its switch closes, and when its armature starts to move.

use super::coil_release::energy;
use super::entry::{Entry, Given, Input, SumError, not_negative, positive, unsuitable};
use super::sum::{Amount, Sum};
use crate::fact;
use crate::spec::units::{Amperes, Henries, Ohms, Seconds, Volts};

/// The entry of this sum.
pub const ENTRY: Entry = Entry {
    name: "coil-pull-in",
    inputs: &[
        Input::required("supply", "voltage", "what the switch puts on the coil"),
        Input::required("coil", "resistance", "of the coil"),
        Input::required("inductance", "inductance", "of the coil with its armature out"),
        Input::preset("series", "resistance", "0 ohm", "in series with the coil"),
        Input::optional("operate", "voltage", "volts at the coil at which it pulls in when fed slowly"),
        Input::optional("after", "time", "answers what flows then"),
    ],
    example: "supply=24V coil=120ohm inductance=1.2H operate=18V",
    compute: from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let circuit = Circuit {
        supply: given.quantity("supply")?,
        coil: given.quantity("coil")?,
        inductance: given.quantity("inductance")?,
        series: given.quantity("series")?,
    };
    sum(&circuit, given.maybe("operate")?, given.maybe("after")?)
}

/// A coil with what feeds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circuit {
    /// What the switch puts on.
    pub supply: Volts,
    /// Ohms of the coil.
    pub coil: Ohms,
    /// Its inductance with the armature out.
    pub inductance: Henries,
    /// Ohms in series with it.
    pub series: Ohms,
}

impl Circuit {
    /// Time constant L/R of the whole circuit.
    #[must_use]
    pub fn constant(&self) -> Seconds {
        Seconds::new(self.inductance.value() / (self.coil + self.series).value())
    }

    /// Current in the end: V/R.
    #[must_use]
    pub fn final_current(&self) -> Amperes {
        self.supply / (self.coil + self.series)
    }

    /// Current so long after the switch closed: I = V/R (1 − e^(−tR/L)).
    #[must_use]
    pub fn current(&self, after: Seconds) -> Amperes {
        self.final_current() * -(-after.value() / self.constant().value()).exp_m1()
    }

    /// Volts that the inductance itself still holds back: V e^(−tR/L).
    #[must_use]
    pub fn held_back(&self, after: Seconds) -> Volts {
        self.supply * (-after.value() / self.constant().value()).exp()
    }

    /// Time until so much current flows; none where it never does.
    #[must_use]
    pub fn time(&self, current: Amperes) -> Option<Seconds> {
        let share = current / self.final_current();
        (share < 1.0).then(|| Seconds::new(-self.constant().value() * (-share).ln_1p()))
    }
}

/// The sum: time constant and final current, the time until it pulls in, what flows after a time.
///
/// # Errors
/// Values that are not above zero, or an operating voltage that the coil never gets.
pub fn sum(circuit: &Circuit, operate: Option<Volts>, after: Option<Seconds>) -> Result<Sum, SumError> {
    let circuit = Circuit {
        supply: positive("supply", circuit.supply.abs())?,
        coil: positive("coil", circuit.coil)?,
        inductance: positive("inductance", circuit.inductance)?,
        series: not_negative("series", circuit.series)?,
    };
    let Circuit { supply, coil, inductance, series } = circuit;
    let (whole, constant, most) = (coil + series, circuit.constant(), circuit.final_current());
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.coil-pull-in"))
        .given("supply", supply)
        .given("coil", coil)
        .given("inductance", inductance)
        .given("series", series)
        .answer_by("L / R", format!("{inductance} / {whole}"), Amount::of("time-constant", constant))
        .answer_by("V / R", format!("{supply} / {whole}"), Amount::of("current-in-the-end", most));
    if let Some(operate) = operate {
        sum = pulls_in(sum, &circuit, positive("operate", operate.abs())?)?;
    }
    if let Some(after) = after {
        sum = flows_after(sum, &circuit, not_negative("after", after)?);
    }
    Ok(sum.caution(fact!("sums.caution.armature-travels")))
}

/// Adds the time until the armature starts to move.
fn pulls_in(sum: Sum, circuit: &Circuit, operate: Volts) -> Result<Sum, SumError> {
    let (coil, constant, most) = (circuit.coil, circuit.constant(), circuit.final_current());
    let needed = operate / coil;
    let Some(time) = circuit.time(needed) else {
        let gets = most * coil;
        return Err(unsuitable("operate", operate, format!("below the {gets} that the coil gets in the end")));
    };
    Ok(sum
        .given("operate", operate)
        .step("Vo / R", format!("{operate} / {coil}"), Amount::of("pull-in-current", needed))
        .answer_by(
            "−(L/R) ln(1 − Io / Ie)",
            format!("−{constant} × ln(1 − {needed} / {most})"),
            Amount::of("time-to-pull-in", time),
        )
        .caution_if(needed > most * 0.9, fact!("sums.caution.near-the-end")))
}

/// Adds current, volts and energy after a time.
fn flows_after(sum: Sum, circuit: &Circuit, after: Seconds) -> Sum {
    let (constant, most) = (circuit.constant(), circuit.final_current());
    let current = circuit.current(after);
    sum.given("after", after)
        .answer_by(
            "V/R (1 − e^(−t R/L))",
            format!("{most} × (1 − e^(−{after} / {constant}))"),
            Amount::of("current-then", current),
        )
        .answer_by(
            "V e^(−t R/L)",
            format!("{} × e^(−{after} / {constant})", circuit.supply),
            Amount::of("volts-across-the-inductance-then", circuit.held_back(after)),
        )
        .answer_by(
            "L I² / 2",
            format!("{} × ({current})² / 2", circuit.inductance),
            Amount::number("energy-stored-then", energy(circuit.inductance, current), "J"),
        )
}
