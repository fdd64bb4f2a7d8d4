//! Sizes that parts are sold in: resistor power and capacitor voltage.

use crate::spec::units::{Volts, Watts};

/// Power ratings in which resistors are commonly sold (common practice, no standard).
const POWERS: [f64; 10] = [0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 25.0, 50.0, 100.0];

/// Voltage ratings in which electrolytic capacitors are commonly sold (common practice, no standard).
const CAPACITOR_VOLTS: [f64; 11] = [10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 250.0, 350.0, 450.0];

/// The smallest common rating of at least twice the heat: a resistor in a closed cabinet should run at half its rating or
/// less (common practice). None above 50 W of heat.
#[must_use]
pub fn resistor_power(heat: Watts) -> Option<Watts> {
    POWERS.iter().find(|power| **power >= 2.0 * heat.value() * (1.0 - 1e-9)).map(|power| Watts::new(*power))
}

/// The smallest common capacitor rating of at least 1.2 times the peak (common practice). None above 375 V.
#[must_use]
pub fn capacitor_voltage(peak: Volts) -> Option<Volts> {
    CAPACITOR_VOLTS.iter().find(|volts| **volts >= 1.2 * peak.value()).map(|volts| Volts::new(*volts))
}
