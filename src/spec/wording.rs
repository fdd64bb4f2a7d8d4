//! Every sentence that is said about a spec, and every hint: read this file to hear the tone.
//!
//! A message starts small, has no full stop, puts what the user typed between backticks, and says what was found and what
//! was expected. A hint is something to do.

use std::fmt::{self, Display};

use super::kind::Kind;
use super::range::{LONGEST_RANGE, RangeProblem};

/// Words as a list that ends in `or`.
fn or_list<T: Display>(words: &[T]) -> String {
    let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match words.split_last() {
        None => "nothing".into(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
    }
}

/// What a TOML reader says, in words for somebody who has never read the TOML specification.
fn syntax(message: &str) -> String {
    let (what, expected) = message.split_once(", expected ").unwrap_or((message, ""));
    let plain = match what {
        "duplicate key" => "this key is given twice",
        "extra `=`" => "there is a second `=`",
        "unclosed array table" => "the header lacks its `]]`",
        "unclosed table" => "the header lacks its `]`",
        "unclosed array" => "the list lacks its `]`",
        "unclosed inline table" => "the table lacks its `}`",
        "string values must be quoted" => "text stands in quotes",
        "unexpected key or value" => "the line should end here",
        "invalid basic string" | "invalid literal string" if expected.starts_with(['"', '\'', '`']) => {
            "the text lacks its closing quotes"
        }
        "invalid multi-line basic string" | "invalid multi-line literal string" => "the text lacks its closing quotes",
        "key with no value" | "missing value for key" | "missing value" => "the key has no value",
        "missing comma between array elements" | "missing comma between inline table elements" => "a comma is missing",
        "extra comma in array" | "extra comma in inline table" => "there is a comma too many",
        "invalid unquoted key" => "a key with such characters stands in quotes",
        "unexpected leading zero" => "a number does not start with 0",
        "recursion limit" | "cannot recurse further; max recursion depth met" => "it is nested too deeply",
        _ => return message.replace("invalid ", "malformed "),
    };
    plain.into()
}

fn did_you_mean(nearest: Option<&String>) -> Vec<String> {
    nearest.map(|name| format!("did you mean `{name}`?")).into_iter().collect()
}

impl Display for Kind {
    #[expect(clippy::too_many_lines, reason = "one flat list of sentences")]
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::FileMissing { path } => write!(f, "there is no file `{path}`"),
            Self::Directory { path } => write!(f, "`{path}` is a folder, expected a TOML file"),
            Self::Unreadable { path, reason } => write!(f, "`{path}` cannot be read: {reason}"),
            Self::TooLarge { path, bytes } => {
                write!(f, "`{path}` has {} MB, far more than any spec needs", bytes.div_ceil(1 << 20))
            }
            Self::Binary => write!(f, "this is a binary file, expected TOML text"),
            Self::Utf16 => write!(f, "this text is stored as UTF-16, expected UTF-8"),
            Self::InvalidUtf8 { byte, offset } => {
                write!(f, "byte 0x{byte:02X} at offset {offset} is not UTF-8 text")
            }
            Self::EmptyFile => write!(f, "the file says nothing, expected the description of a machine"),
            Self::BaseLoop { chain } => write!(f, "the specs build on each other in a circle: {}", chain.join(" → ")),
            Self::BaseTooDeep { limit } => write!(f, "more than {limit} specs build on each other"),
            Self::NothingToRemove { name, .. } => write!(f, "the base has no `{name}` to remove"),
            Self::TooManyProblems => write!(f, "there are more problems than can be listed"),
            Self::TooManyParts { limit } => write!(f, "the ranges of this file stand for more than {limit} parts"),
            Self::RemoveWithoutBase => {
                write!(f, "`remove` has nothing to remove from without a `base`")
            }
            Self::Syntax { message } => write!(f, "this is not TOML: {}", syntax(message)),
            Self::UnknownKey { section, key, .. } => write!(f, "{section} has no key `{key}`"),
            Self::MissingKey { section, key } => write!(f, "{section} lacks its key `{key}`"),
            Self::MissingEither { section, keys } => write!(f, "{section} needs {}", or_list(keys)),
            Self::WrongType { expected, found } => write!(f, "expected {expected}, found {found}"),
            Self::NotAList { found } => write!(f, "expected a list, found {found}"),
            Self::SingleTable { header } => {
                write!(f, "`{header}` is a single table, expected a list of tables")
            }
            Self::EmptyText => write!(f, "expected some text, found none"),
            Self::NotOneOf { found, choices, .. } if choices.len() > 8 => {
                write!(f, "`{found}` is none of the words that are known here")
            }
            Self::NotOneOf { found, choices, .. } => {
                write!(f, "expected {}, found `{found}`", or_list(choices))
            }
            Self::NotADate { found } => {
                write!(f, "expected a date such as `2026-02-11`, found `{found}`")
            }
            Self::Duplicate { what, name } => write!(f, "{what} `{name}` is given twice"),
            Self::BadCharacterInId { character } => {
                write!(f, "an id holds letters, digits and `-` `_` `+` `/` `.` only, found `{character}`")
            }
            Self::ReservedId { name } => {
                write!(f, "`{name}` cannot be an id, since it means something else in a route")
            }
            Self::BadRange { text, problem: RangeProblem::Unlike } => {
                write!(f, "`{text}` is no range: its ends differ in more than their last number or letter")
            }
            Self::BadRange { text, problem: RangeProblem::TooLong } => {
                write!(f, "`{text}` stands for more than {LONGEST_RANGE} names")
            }
            Self::BareNumber { quantity, example, found } => {
                write!(f, "expected a {quantity} with its unit such as `{example}`, found `{found}`")
            }
            Self::NotAQuantity { quantity, example, found } => {
                write!(f, "expected a {quantity} such as `{example}`, found `{found}`")
            }
            Self::DecimalComma { found, .. } => {
                write!(f, "expected a decimal point, found a comma in `{found}`")
            }
            Self::WrongUnit { quantity, example, unit, measures: Some(measures) } => {
                write!(f, "expected a {quantity} such as `{example}`, found the unit `{unit}` of {measures}")
            }
            Self::WrongUnit { quantity, example, unit, measures: None } => {
                write!(f, "expected a {quantity} such as `{example}`, found the unknown unit `{unit}`")
            }
            Self::NotFinite { found } => write!(f, "expected a finite number, found `{found}`"),
            Self::Negative { quantity, found } => {
                write!(f, "a {quantity} must not be negative, found `{found}`")
            }
            Self::NotPositive { quantity, found } => {
                write!(f, "a {quantity} must be more than zero, found `{found}`")
            }
            Self::TrailingText { found, quantity } => {
                write!(f, "`{found}` does not belong behind a {quantity}")
            }
            Self::BadTolerance { found } => {
                write!(f, "expected a tolerance such as `±10 %`, `+15/-20 %` or `(0.01..0.2)`, found `{found}`")
            }
            Self::SpanExcludesValue { found } => {
                write!(f, "the span `{found}` does not hold the value itself")
            }
            Self::SpanBelowZero { found, quantity } => {
                write!(f, "the span `{found}` goes below zero, which a {quantity} cannot")
            }
            Self::FrequencyOfDirect { found } => {
                write!(f, "a direct voltage has no frequency, found `{found}`")
            }
            Self::CurrentNotSaid { found } => write!(f, "expected `dc` or `ac` behind the voltage, found `{found}`"),
            Self::NoFrequency { found } => {
                write!(f, "expected a frequency behind the alternating voltage, found `{found}`")
            }
            Self::UnknownGauge { found } => {
                write!(f, "expected a wire gauge from `AWG 0` to `AWG 40`, found `{found}`")
            }
            Self::NoRanges => write!(f, "an analogue meter needs at least one range"),
            Self::ShareTooLarge { key, found } => {
                write!(f, "`{key}` must be less than 100 %, found `{found}`")
            }
            Self::TwoTerminals { found } => write!(f, "a supply has two terminals, found {found}"),
            Self::SameTerminals { supply, joint } => {
                write!(f, "both terminals of `{supply}` are the joint `{joint}`: it is short-circuited")
            }
            Self::RectifiedDirect => write!(f, "a rectifier stands behind an AC winding, but the voltage is direct"),
            Self::ContactTerminals { form, expected, found } => {
                write!(
                    f,
                    "a {form} contact has {expected} terminals such as `{}`, found `{found}`",
                    if *expected == 2 { "5-6" } else { "9-10-11" }
                )
            }
            Self::TerminalOfTwoContacts { terminal } => {
                write!(f, "terminal `{terminal}` belongs to two contacts")
            }
            Self::TerminalOfCoil { terminal } => write!(f, "terminal `{terminal}` belongs to the coil"),
            Self::RestAndContacts => {
                write!(f, "`rest` is for a switch with one contact, `contacts` for one with several")
            }
            Self::NoContacts => write!(f, "`contacts` is empty"),
            Self::SegmentTwice { segment } => {
                write!(f, "segment `{segment}` is named twice in this selector")
            }
            Self::TooManyRings { limit } => write!(f, "a selector has at most {limit} rings"),
            Self::EmptyRing { ring } => write!(f, "ring `{ring}` has no segments"),
            Self::ReleaseAboveOperate { id } => {
                write!(f, "`{id}` lets go at a higher voltage than it operates at")
            }
            Self::PowerFactor { found } => {
                write!(f, "a power factor lies between 0 and 1, found `{found}`")
            }
            Self::UnknownPreset { found, .. } => {
                write!(
                    f,
                    "expected `silicon`, `germanium`, `selenium` or a Zener diode such as `zener 12 V`, found `{found}`"
                )
            }
            Self::ImpedanceBelowResistance { id } => {
                write!(f, "the impedance of `{id}` is less than the resistance of its winding")
            }
            Self::UnknownColour { found } => write!(f, "`{found}` is no wire colour"),
            Self::PinOutOfRange { plug, pin, ways } => {
                write!(f, "`{plug}` has {ways} ways, found pin `{pin}`")
            }
            Self::EmptyRouteItem => write!(f, "expected a joint or a part between two `>`, found nothing"),
            Self::SpaceInRouteItem { found } => write!(f, "expected `>` between the items of a route, found `{found}`"),
            Self::HalfTerminal { found } => {
                write!(f, "expected a part and its terminals such as `K1:5-6`, found `{found}`")
            }
            Self::SecondWireMeasure { what } => write!(f, "the wire has a second {what}"),
            Self::UnknownName { name, .. } => write!(f, "nothing is named `{name}`"),
            Self::NotInSeries { id, what, .. } => {
                write!(f, "a run cannot pass through {what} `{id}` without its terminals")
            }
            Self::NoTerminals { id, what } => write!(f, "{what} `{id}` has no terminals to name"),
            Self::UnknownTerminal { id, terminal, known, .. } => {
                write!(f, "`{id}` has no terminal `{terminal}`, expected {}", or_list(known))
            }
            Self::NotAcross { id, terminals, known } => {
                write!(f, "nothing in `{id}` joins `{terminals}`, expected {}", or_list(known))
            }
            Self::UsedTwice { name } => write!(f, "`{name}` is wired in twice"),
            Self::AcrossAndInRun { name, across } => write!(f, "`{name}` lies across `{across}` and is in a run too"),
            Self::TerminalTwice { terminal } => write!(f, "terminal `{terminal}` is already wired to something else"),
            Self::JointsTied { first, second, by: None } => {
                write!(f, "`{first}` and `{second}` would become one joint")
            }
            Self::JointsTied { first, second, by: Some(by) } => {
                write!(f, "`{first}` and `{second}` would become one joint at `{by}`")
            }
            Self::Bridged { name, joint } => {
                write!(f, "both sides of `{name}` are the joint `{joint}`")
            }
            Self::RunWithoutParts => write!(f, "expected at least one part between two joints, found none"),
            Self::NotInARun { id, what } => write!(f, "{what} `{id}` is in no run"),
            Self::UnreachedJoint { name } => write!(f, "no run reaches joint `{name}`"),
            Self::TestPointNowhere { id } => {
                write!(f, "test point `{id}` is in no run and at no terminal")
            }
            Self::DeadEnd { name } => {
                write!(f, "the wiring ends at `{name}`, so nothing can flow there")
            }
            Self::NoPolarity { across } => {
                write!(f, "which side of `{across}` is positive does not follow from the runs")
            }
            Self::NothingAcross { across } => {
                write!(f, "no run passes through `{across}`, so nothing can lie across it")
            }
            Self::NoReference => write!(f, "[machine] lacks its key `reference`, and no joint is named `COM`"),
            Self::Undated => write!(f, "[machine] lacks its key `revised`, the date that every page carries"),
            Self::WeightUnit { found } => write!(f, "expected a weight in kg or lb, found `{found}`"),
            Self::YearOutOfRange { found } => write!(f, "expected a year from 1700 to 2100, found {found}"),
            Self::RevisionBelowOne { found } => write!(f, "revisions count from 1, found {found}"),
            Self::RevisionNotEarlier { number, present } => {
                write!(f, "revision {number} is listed as an earlier one, but the present one is {present}")
            }
            Self::RevisionLater { date, present } => {
                write!(f, "an earlier revision is dated {date}, later than the present one of {present}")
            }
            Self::ReservoirSmall { found } => write!(f, "a reservoir of `{found}` smooths nothing"),
            Self::UnknownJoint { name, .. } => write!(f, "no joint is named `{name}`"),
            Self::NoSupply => write!(f, "the machine has no supply"),
            Self::NoSequence => write!(f, "the machine has no sequence"),
            Self::UnknownPart { name, .. } => write!(f, "no part is named `{name}`"),
            Self::WrongPart { id, what, expected } => {
                write!(f, "expected {expected}, found {what} `{id}`")
            }
            Self::SelectorWithoutPlace { id, .. } => write!(f, "selector `{id}` is set without a place to stand on"),
            Self::SelectorPosition { id, found, rings } => {
                write!(f, "`{found}` is no place of selector `{id}`, which has {rings}")
            }
            Self::AmbiguousPosition { id, found } => {
                write!(f, "`{found}` can be read as more than one place of selector `{id}`")
            }
            Self::UnknownSequence { number, .. } => {
                write!(f, "no sequence has the number {number}")
            }
            Self::AfterLoop { numbers } => {
                let numbers: Vec<String> = numbers.iter().map(ToString::to_string).collect();
                write!(f, "the sequences follow each other in a circle: {}", numbers.join(" after "))
            }
            Self::SetTwice { id } => write!(f, "`{id}` is set twice in this sequence"),
            Self::UnknownTestPoint { name, .. } => write!(f, "no test point is named `{name}`"),
        }
    }
}

impl Kind {
    /// What to do about figures that nobody can mean.
    fn figure_hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::Undated => "write the date on which this description was last changed: `revised = 2026-02-11`",
            Self::WeightUnit { .. } => "write it with its unit: `weight = \"62 kg\"` or `weight = \"137 lb\"`",
            Self::YearOutOfRange { .. } => "write the year in which the machine was made, with four digits",
            Self::RevisionBelowOne { .. } => "leave `revision` out for the first, or count on from 1",
            Self::RevisionNotEarlier { .. } => "raise `revision` in [machine] with each change",
            Self::RevisionLater { .. } => "correct one of the two dates, or `revised` in [machine]",
            Self::ReleaseAboveOperate { .. } => {
                "a relay lets go well below what pulls it in: check `operate` and `release`"
            }
            _ => return None,
        })
    }

    /// What to do about it, each hint a line of its own.
    #[must_use]
    pub fn hints(&self) -> Vec<String> {
        let hint = match self {
            Self::FileMissing { .. } => "check the name and the folder",
            Self::Directory { .. } => "name the file inside it",
            Self::TooLarge { .. } => "check that this is the file you mean",
            Self::Binary => "name the `.toml` file; a finished document or a picture cannot be read",
            Self::Utf16 | Self::InvalidUtf8 { .. } => "save the file as UTF-8 in your editor",
            Self::EmptyFile => "`benchleaf new my-machine` prints a spec to start from",
            Self::BaseLoop { .. } => "let one of them stand on its own, without `base`",
            Self::RemoveWithoutBase => "delete the part itself, or name a `base`",
            Self::MissingKey { .. } => return self.missing_key_hints(),
            Self::SingleTable { header } => return vec![format!("write it in two pairs of brackets: `[{header}]`")],
            Self::WrongType { expected, found: "text" } if expected.contains("number") => "write it without quotes",
            Self::WrongType { expected, found: "a bare number" } if expected.contains("text") => "put it in quotes",
            Self::NotAList { .. } => "put the value in brackets, even if it is the only one: `[\"K1\"]`",
            Self::Duplicate { what: "name", .. } => {
                "parts, joints and test points share their names: give each its own"
            }
            Self::Duplicate { .. } => "give each its own",
            Self::BadRange { problem: RangeProblem::Unlike, .. } => "write a range as `S10..S17` or `SA..SH`",
            Self::BareNumber { .. } => "write the unit; a value with a unit stands in quotes",
            Self::DecimalComma { better, .. } => return vec![format!("write `{better}`")],
            Self::SpanBelowZero { .. } => "give the lowest and the highest value: `5 ohm (1..20)`",
            Self::SpanExcludesValue { .. } => "give the lowest value first, then the highest: `(0.01..0.2)`",
            Self::CurrentNotSaid { found } => {
                return vec![format!("write `{found} dc` or `{found} ac`")];
            }
            Self::NoFrequency { found } => {
                return vec![format!(
                    "write `{found} 50 Hz`, or give the mains in [machine]: `mains = \"230 V ac 50 Hz\"`"
                )];
            }
            Self::SameTerminals { .. } => "give its terminals two joints",
            Self::RectifiedDirect => "give the AC voltage of the winding, or leave `rectifier` out",
            Self::SegmentTwice { .. } => {
                "segments are called by name in routes: put the ring in the name, such as `L1` and `R1`"
            }
            Self::ImpedanceBelowResistance { .. } => {
                "an impedance holds the resistance: the larger of the two numbers is the impedance"
            }
            Self::UnknownColour { found } if found.starts_with(|first: char| first.is_ascii_digit()) => {
                "a size or a length needs its unit, such as `0.75 mm2`, `AWG 22`, `1.2 m`; a maker's code is explained under `wire-colours` in [machine]"
            }
            Self::UnknownColour { .. } => {
                "write base and tracer in IEC 60757 letters such as `WH/RD`, or explain the maker's code under `wire-colours` in [machine]"
            }
            Self::EmptyRouteItem => "remove one `>`, or name what is missing",
            Self::SpaceInRouteItem { .. } => "a wire starts with the word `wire`; names hold no spaces",
            Self::NotInSeries { write, .. } => return vec![format!("write {write}")],
            Self::UsedTwice { .. } => {
                "if two wires meet beside it, give their joint a name with `[[joint]]` and let both runs end there"
            }
            Self::AcrossAndInRun { .. } => "leave `across` out, or take it out of the route",
            Self::SelectorWithoutPlace { example, .. } => return vec![format!("write for example `{example}`")],
            Self::TerminalTwice { terminal } => {
                return vec![format!(
                    "if both wires do end there, say so by naming the terminal first: `… > {terminal} > …`"
                )];
            }
            Self::JointsTied { by: None, .. } => "put a part or a `wire` between them, or use one name for both",
            Self::JointsTied { by: Some(_), .. } => "check which terminals the two runs use",
            Self::NotInARun { .. } | Self::UnreachedJoint { .. } => "add it to a `route`, or remove it",
            Self::TestPointNowhere { .. } => "put it into a `route`, or name its terminal: `at = \"J3:6\"`",
            Self::DeadEnd { .. } => "lead the run on to a joint, or leave the last part out",
            Self::NoPolarity { .. } => "wire the diode in a `[[run]]` instead of `across`: `… > D4:K-A > …`",
            Self::NothingAcross { .. } => "wire it in first, or name another part",
            Self::NoReference => "name the joint of the black lead: `reference = \"COM\"`",
            Self::ReservoirSmall { .. } => "a reservoir has some hundred microfarads or more: write `uF` for µF",
            Self::NoSupply => "describe at least one `[[supply]]`",
            Self::NoSequence => "describe at least one `[[sequence]]`",
            Self::AmbiguousPosition { .. } => "put a hyphen between the segments: `SEL=A-2`",
            Self::AfterLoop { .. } => "let the first of them start from rest, without `after`",
            Self::UnknownKey { nearest, known, .. } => {
                return match nearest {
                    Some(name) => vec![format!("did you mean `{name}`?")],
                    None if known.len() <= 12 => vec![format!("its keys are {}", known.join(", "))],
                    None => Vec::new(),
                };
            }
            Self::NotOneOf { choices, nearest: None, .. } if choices.len() > 8 => {
                return vec![format!("the words are {}", choices.join(", "))];
            }
            Self::UnknownSequence { nearest, .. } => {
                return nearest.map(|number| format!("did you mean {number}?")).into_iter().collect();
            }
            Self::NotOneOf { nearest, .. }
            | Self::NothingToRemove { nearest, .. }
            | Self::UnknownPreset { nearest, .. }
            | Self::UnknownName { nearest, .. }
            | Self::UnknownTerminal { nearest, .. }
            | Self::UnknownJoint { nearest, .. }
            | Self::UnknownPart { nearest, .. }
            | Self::UnknownTestPoint { nearest, .. } => return did_you_mean(nearest.as_ref()),
            _ => return self.figure_hint().map(str::to_string).into_iter().collect(),
        };
        vec![hint.to_string()]
    }

    fn missing_key_hints(&self) -> Vec<String> {
        let Self::MissingKey { section, key } = self else {
            return Vec::new();
        };
        if *section == "the spec" {
            return vec!["start with `[machine]`, its `id` and its `name`".into()];
        }
        let example = match (*section, key.as_str()) {
            ("[machine]", "id") => "id = \"tern-48\"",
            (_, "id") => "id = \"K2\"",
            (_, "name") => "name = \"Tern 48\"",
            (_, "nominal") => "nominal = \"24 V dc\"",
            (_, "voltage") => "voltage = \"28 V dc\"",
            (_, "terminals") => "terminals = { \"+\" = \"P28\", \"-\" = \"COM\" }",
            (_, "rated") => "rated = \"2 A\"",
            (_, "route") => "route = \"P28 > F1 > K1 > COM\"",
            (_, "number") => "number = 1",
            (_, "title") => "title = \"Coin accepted\"",
            _ => return Vec::new(),
        };
        vec![format!("write for example `{example}`")]
    }
}
