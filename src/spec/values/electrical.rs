//! Values with rules of their own: voltages that say their kind of current, operating levels, wire sizes, fuses as found,
//! meters.

use super::{
    Current, Flaw, FromNode, Json, Kind, Measure, Node, Ohms, Place, Quantity, Reader, SquareMillimetres, Value, Volts,
    json, quantity, quantity_schema, scanned, written,
};
use crate::spec::format::AnalogueMeter;
use crate::spec::quantity::{CROSS_SECTION, CURRENT, RESISTANCE, SHARE, VOLTAGE};
use crate::spec::units::Amperes;

/// A voltage that says whether it is direct or alternating.
#[derive(Debug, Clone, PartialEq)]
pub struct Voltage {
    /// The value.
    pub volts: Quantity<Volts>,
    /// Its kind of current.
    pub current: Current,
    /// Its frequency in hertz, where it says.
    pub frequency: Option<f64>,
}

impl FromNode for Voltage {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let (volts, scanned) = quantity::<Volts>(node, reader)?;
        let Some(current) = scanned.current else {
            let found = reader.sources.slice(volts.place).trim_matches(['"', '\'']).to_string();
            reader.error(Kind::CurrentNotSaid { found }, volts.place);
            return None;
        };
        Some(Self { volts, current, frequency: scanned.frequency })
    }

    fn placeholder() -> Self {
        Self { volts: Quantity::placeholder(), current: Current::Direct, frequency: None }
    }

    fn schema() -> Json {
        quantity_schema(&VOLTAGE)
    }
}

/// The level at which a coil operates or lets go: a share of its rated voltage, or a voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Level {
    /// Share of the rated voltage.
    Share(f64),
    /// Voltage.
    Volts(f64),
}

impl Level {
    /// In volts, for a coil of this rated voltage.
    #[must_use]
    pub fn of(self, nominal: Volts) -> Volts {
        match self {
            Self::Share(share) => nominal * share,
            Self::Volts(volts) => Volts::new(volts),
        }
    }
}

impl FromNode for Level {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let share = matches!(&node.value, Value::Text(text) if text.contains('%'));
        let measure: &'static Measure = if share { &SHARE } else { &VOLTAGE };
        let written = written(node, measure, reader)?;
        let value = scanned(&written, measure, reader)?.nominal;
        if value <= 0.0 {
            let kind = Kind::NotPositive { quantity: measure.name, found: written.text.trim().into() };
            reader.error(kind, written.place);
            return None;
        }
        Some(if share { Self::Share(value) } else { Self::Volts(value) })
    }

    fn placeholder() -> Self {
        Self::Share(0.5)
    }

    fn schema() -> Json {
        json!({
            "description": "share of the rated voltage such as `75 %`, or a voltage such as `18 V`",
            "anyOf": [{ "type": "string", "examples": ["75 %", "18 V"] }, { "$ref": "#/$defs/value" }],
        })
    }
}

/// Size of a wire, metric or American.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossSection {
    /// Area of the conductor.
    pub area: SquareMillimetres,
    /// Number of the American wire gauge, where it is written so.
    pub gauge: Option<u32>,
    /// As written.
    pub text: String,
}

impl CrossSection {
    /// Reads `0.75 mm2` or `AWG 22`.
    ///
    /// # Errors
    /// What is wrong with the text.
    pub fn parse(text: &str) -> Result<Self, Flaw> {
        let trimmed = text.trim();
        let whole = 0..text.len();
        if let Some(number) = trimmed.strip_prefix("AWG").or_else(|| trimmed.strip_prefix("awg")) {
            let gauge = number.trim().parse().ok().filter(|gauge| *gauge <= 40);
            let gauge =
                gauge.ok_or_else(|| Flaw { kind: Kind::UnknownGauge { found: trimmed.into() }, range: whole })?;
            return Ok(Self { area: area_of_gauge(gauge), gauge: Some(gauge), text: trimmed.into() });
        }
        let nominal = CROSS_SECTION.scan(text)?.nominal;
        if nominal <= 0.0 {
            return Err(Flaw {
                kind: Kind::NotPositive { quantity: "cross-section", found: trimmed.into() },
                range: whole,
            });
        }
        Ok(Self { area: SquareMillimetres::new(nominal), gauge: None, text: trimmed.into() })
    }
}

/// Area of a solid wire of the American gauge: d = 0.005 in · 92^((36 − n)/39) (ASTM B258).
fn area_of_gauge(gauge: u32) -> SquareMillimetres {
    let diameter = 0.127 * 92f64.powf((36.0 - f64::from(gauge)) / 39.0);
    SquareMillimetres::new(std::f64::consts::PI / 4.0 * diameter * diameter)
}

/// A fuse as it was found: `5 A T`.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedText {
    /// Its rated current.
    pub rated: Amperes,
    /// Its speed letter.
    pub speed: Option<String>,
}

impl FromNode for FittedText {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let written = written(node, &CURRENT, reader)?;
        let text = written.text.trim_end();
        let word = text.rsplit(' ').next().unwrap_or_default();
        let speed = ["FF", "F", "M", "T", "TT"].into_iter().find(|letter| *letter == word);
        let current = speed.map_or(text, |letter| &text[..text.len() - letter.len()]);
        match CURRENT.scan(current) {
            Ok(scanned) => Some(Self { rated: Amperes::new(scanned.nominal), speed: speed.map(String::from) }),
            Err(flaw) => {
                reader.flaw(flaw, written.place);
                None
            }
        }
    }

    fn placeholder() -> Self {
        Self { rated: Amperes::new(1.0), speed: None }
    }

    fn schema() -> Json {
        json!({ "type": "string", "description": "rated current and speed letter", "examples": ["5 A T"] })
    }
}

/// The meter: its input resistance, or what it has for each volt of its range.
#[derive(Debug, Clone, PartialEq)]
pub enum MeterText {
    /// Constant input resistance.
    Digital(Ohms),
    /// Ohms per volt of each range.
    Analogue {
        /// For DC ranges.
        ohms_per_volt: Ohms,
        /// For AC ranges, where given.
        ohms_per_volt_ac: Option<Ohms>,
        /// Full scales.
        ranges: Vec<Volts>,
    },
}

impl FromNode for MeterText {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let analogue = matches!(&node.value, Value::Table(table) if table.get("value").is_none());
        if !analogue {
            let written = written(node, &RESISTANCE, reader)?;
            let ohms = scanned(&written, &RESISTANCE, reader)?.nominal;
            return positive(ohms, "resistance", written.text, written.place, reader)
                .map(|ohms| Self::Digital(Ohms::new(ohms)));
        }
        let meter = AnalogueMeter::read(node, reader)?;
        if meter.ranges.is_empty() {
            reader.error(Kind::NoRanges, node.place);
            return None;
        }
        Some(Self::Analogue {
            ohms_per_volt: meter.ohms_per_volt.nominal,
            ohms_per_volt_ac: meter.ohms_per_volt_ac.map(|ohms| ohms.nominal),
            ranges: meter.ranges.iter().map(|range| range.nominal).collect(),
        })
    }

    fn placeholder() -> Self {
        Self::Digital(Ohms::new(1e7))
    }

    fn schema() -> Json {
        json!({ "anyOf": [{ "type": "string", "examples": ["10 Mohm"] }, AnalogueMeter::schema()] })
    }
}

fn positive(value: f64, quantity: &'static str, text: &str, at: Place, reader: &mut Reader<'_>) -> Option<f64> {
    if value > 0.0 {
        return Some(value);
    }
    reader.error(Kind::NotPositive { quantity, found: text.trim().into() }, at);
    None
}
