//! How long a resistor and a capacitor delay, and which resistor makes a wanted delay.
//!
//! A relay that is slow on purpose has a capacitor across its coil and a resistor before both: the coil then loads the
//! capacitor, which ends lower and gets there sooner. What counts is the source and the resistance that the capacitor sees.

use super::entry::{Entry, Given, Input, SumError, not_negative, positive, unsuitable};
use super::sum::{Amount, Sum};
use super::tables::e_series::Series;
use crate::fact;
use crate::spec::units::{Amperes, Farads, Ohms, Seconds, Volts};

/// The entry of the delay.
pub const ENTRY: Entry = Entry {
    name: "rc-delay",
    inputs: &[
        Input::required("supply", "voltage", "what charges the capacitor"),
        Input::required("resistor", "resistance", "between supply and capacitor"),
        Input::required("capacitor", "capacitance", "the capacitor"),
        Input::optional("load", "resistance", "across the capacitor, such as a relay coil"),
        Input::preset("from", "voltage", "0 V", "volts on the capacitor at the start"),
        Input::optional("to", "voltage", "volts at which something happens"),
        Input::optional("after", "time", "answers what it has reached then"),
    ],
    example: "supply=28V resistor=68ohm capacitor=1000uF load=120ohm to=14V",
    compute: from_given,
};

/// The entry of the resistor for a delay.
pub const RESISTOR_ENTRY: Entry = Entry {
    name: "delay-resistor",
    inputs: &[
        Input::required("supply", "voltage", "what charges the capacitor"),
        Input::required("capacitor", "capacitance", "the capacitor"),
        Input::preset("from", "voltage", "0 V", "volts on the capacitor at the start"),
        Input::required("to", "voltage", "volts at which something happens"),
        Input::required("time", "time", "how long it shall take"),
    ],
    example: "supply=12V capacitor=1000uF to=10V time=5s",
    compute: resistor_from_given,
};

fn from_given(given: &Given) -> Result<Sum, SumError> {
    let circuit = Circuit {
        supply: given.quantity("supply")?,
        resistor: given.quantity("resistor")?,
        capacitor: given.quantity("capacitor")?,
        load: given.maybe("load")?,
        from: given.quantity("from")?,
    };
    sum(&circuit, given.maybe("to")?, given.maybe("after")?)
}

fn resistor_from_given(given: &Given) -> Result<Sum, SumError> {
    let (supply, capacitor) = (given.quantity("supply")?, given.quantity("capacitor")?);
    resistor_sum(supply, capacitor, given.quantity("from")?, given.quantity("to")?, given.quantity("time")?)
}

/// A capacitor with what charges and what loads it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circuit {
    /// What charges it.
    pub supply: Volts,
    /// Between supply and capacitor.
    pub resistor: Ohms,
    /// The capacitor.
    pub capacitor: Farads,
    /// Across the capacitor.
    pub load: Option<Ohms>,
    /// On the capacitor at the start.
    pub from: Volts,
}

impl Circuit {
    /// Volts in the end, and the ohms that the capacitor sees (Thévenin).
    #[must_use]
    pub fn seen(&self) -> (Volts, Ohms) {
        self.load.map_or((self.supply, self.resistor), |load| {
            (self.supply * (load / (self.resistor + load)), load * (self.resistor / (self.resistor + load)))
        })
    }

    /// Time constant R C.
    #[must_use]
    pub fn constant(&self) -> Seconds {
        Seconds::new(self.seen().1.value() * self.capacitor.value())
    }

    /// Volts on the capacitor so long after the start.
    #[must_use]
    pub fn volts(&self, after: Seconds) -> Volts {
        self.seen().0 - self.left(after)
    }

    /// What is left then of the way from the start to the end.
    fn left(&self, after: Seconds) -> Volts {
        (self.seen().0 - self.from) * (-after.value() / self.constant().value()).exp()
    }

    /// Amperes through the resistor at so many volts on the capacitor.
    #[must_use]
    pub fn current(&self, volts: Volts) -> Amperes {
        (self.supply - volts) / self.resistor
    }

    /// Time until so many volts are reached; none where they never are.
    #[must_use]
    pub fn time(&self, to: Volts) -> Option<Seconds> {
        let (end, _) = self.seen();
        let left = (end - to) / (end - self.from);
        (left > 0.0 && left <= 1.0).then(|| Seconds::new(-self.constant().value() * left.ln()))
    }
}

/// The sum of the delay: end, time constant, the time until a voltage, what is reached after a time.
///
/// # Errors
/// Values that are not above zero, or a voltage that is never reached.
pub fn sum(circuit: &Circuit, to: Option<Volts>, after: Option<Seconds>) -> Result<Sum, SumError> {
    let circuit = Circuit {
        supply: positive("supply", circuit.supply)?,
        resistor: positive("resistor", circuit.resistor)?,
        capacitor: positive("capacitor", circuit.capacitor)?,
        load: circuit.load.map(|load| positive("load", load)).transpose()?,
        from: not_negative("from", circuit.from)?,
    };
    let Circuit { supply, resistor, capacitor, .. } = circuit;
    let ((end, seen), constant) = (circuit.seen(), circuit.constant());
    let mut sum = Sum::new(&ENTRY, fact!("sums.source.rc-delay"))
        .given("supply", supply)
        .given("resistor", resistor)
        .given("capacitor", capacitor);
    if let Some(load) = circuit.load {
        sum = sum
            .given("load", load)
            .answer_by(
                "V × Rl / (R + Rl)",
                format!("{supply} × {load} / ({resistor} + {load})"),
                Amount::of("volts-in-the-end", end),
            )
            .step(
                "R × Rl / (R + Rl)",
                format!("{resistor} × {load} / ({resistor} + {load})"),
                Amount::of("ohms-that-the-capacitor-sees", seen),
            );
    }
    sum = sum.given("from", circuit.from).answer_by(
        "R × C",
        format!("{seen} × {capacitor}"),
        Amount::of("time-constant", constant),
    );
    if let Some(to) = to {
        sum = delayed(sum, &circuit, to)?;
    }
    if let Some(after) = after {
        sum = reached_after(sum, &circuit, not_negative("after", after)?);
    }
    Ok(sum.caution(fact!("sums.caution.electrolytic-tolerance")))
}

/// Adds the time until a voltage is reached.
fn delayed(sum: Sum, circuit: &Circuit, to: Volts) -> Result<Sum, SumError> {
    let ((end, _), from, constant) = (circuit.seen(), circuit.from, circuit.constant());
    let Some(time) = circuit.time(to) else {
        return Err(unsuitable("to", to, format!("between {from}, where it starts, and {end}, where it ends")));
    };
    Ok(sum.given("to", to).answer_by(
        "R C ln((Ve − V0) / (Ve − V))",
        format!("{constant} × ln(({end} − {from}) / ({end} − {to}))"),
        Amount::of("delay", time),
    ))
}

/// Adds volts and current after a time.
fn reached_after(sum: Sum, circuit: &Circuit, after: Seconds) -> Sum {
    let ((end, _), from, constant) = (circuit.seen(), circuit.from, circuit.constant());
    let volts = circuit.volts(after);
    // Near the end the difference of two voltages loses its digits: the current is taken from what is left of it.
    let current = circuit.current(end) + circuit.left(after) / circuit.resistor;
    sum.given("after", after)
        .answer_by(
            "Ve − (Ve − V0) e^(−t / (R C))",
            format!("{end} − ({end} − {from}) × e^(−{after} / {constant})"),
            Amount::of("volts-then", volts),
        )
        .answer_by(
            "(V − Vc) / R",
            format!("({} − {volts}) / {}", circuit.supply, circuit.resistor),
            Amount::of("current-then", current),
        )
}

/// The sum of the resistor for a delay.
///
/// # Errors
/// Values that are not above zero, or a voltage that is never reached.
pub fn resistor_sum(supply: Volts, capacitor: Farads, from: Volts, to: Volts, time: Seconds) -> Result<Sum, SumError> {
    let (supply, capacitor) = (positive("supply", supply)?, positive("capacitor", capacitor)?);
    let (from, time) = (not_negative("from", from)?, positive("time", time)?);
    let constants = ((supply - from) / (supply - to)).ln();
    if !(constants > 0.0 && constants.is_finite()) {
        return Err(unsuitable("to", to, format!("between {from}, where it starts, and the supply of {supply}")));
    }
    let exact = Ohms::new(time.value() / (capacitor.value() * constants));
    let mut sum = Sum::new(&RESISTOR_ENTRY, fact!("sums.source.delay-resistor"))
        .given("supply", supply)
        .given("capacitor", capacitor)
        .given("from", from)
        .given("to", to)
        .given("time", time)
        .answer_by(
            "t / (C ln((V − V0) / (V − to)))",
            format!("{time} / ({capacitor} × ln(({supply} − {from}) / ({supply} − {to})))"),
            Amount::of("resistor", exact),
        );
    if let Some(preferred) = Series::E12.nearest(exact.value()).map(Ohms::new) {
        let circuit = Circuit { supply, resistor: preferred, capacitor, load: None, from };
        sum = sum.answer(Amount::of("resistor-e12", preferred));
        if let Some(delay) = circuit.time(to) {
            sum = sum.answer_by(
                "R C ln((V − V0) / (V − to))",
                format!("{} × ln(({supply} − {from}) / ({supply} − {to}))", circuit.constant()),
                Amount::of("delay-with-it", delay),
            );
        }
    }
    Ok(sum.caution(fact!("sums.caution.nothing-else-loads")))
}
