//! What can be wrong with a spec, as data. The sentences are in the file `wording.rs`, all of them.

use super::range::RangeProblem;

impl Kind {
    /// A short name for programs, such as `unknown-key`: the name of the variant.
    #[must_use]
    pub fn code(&self) -> String {
        let shown = format!("{self:?}");
        let variant = shown.split(|character: char| !character.is_alphanumeric()).next().unwrap_or_default();
        let mut code = String::with_capacity(variant.len() + 4);
        for character in variant.chars() {
            if character.is_uppercase() && !code.is_empty() {
                code.push('-');
            }
            code.extend(character.to_lowercase());
        }
        code
    }
}

/// One kind of problem with its facts.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "each kind is told by its sentence in `wording.rs`; the fields are the facts in it")]
pub enum Kind {
    // Files.
    FileMissing { path: String },
    Directory { path: String },
    Unreadable { path: String, reason: String },
    TooLarge { path: String, bytes: u64 },
    Binary,
    Utf16,
    InvalidUtf8 { byte: u8, offset: usize },
    EmptyFile,
    BaseLoop { chain: Vec<String> },
    BaseTooDeep { limit: usize },
    NothingToRemove { name: String, nearest: Option<String> },
    RemoveWithoutBase,
    TooManyProblems,
    TooManyParts { limit: usize },
    // TOML and keys.
    Syntax { message: String },
    UnknownKey { section: &'static str, key: String, nearest: Option<String>, known: Vec<String> },
    MissingKey { section: &'static str, key: String },
    MissingEither { section: &'static str, keys: &'static [&'static str] },
    WrongType { expected: String, found: &'static str },
    NotAList { found: &'static str },
    SingleTable { header: String },
    EmptyText,
    NotOneOf { found: String, choices: &'static [&'static str], nearest: Option<String> },
    NotADate { found: String },
    Duplicate { what: &'static str, name: String },
    BadCharacterInId { character: char },
    ReservedId { name: String },
    BadRange { text: String, problem: RangeProblem },
    // Quantities.
    BareNumber { quantity: &'static str, example: &'static str, found: String },
    NotAQuantity { quantity: &'static str, example: &'static str, found: String },
    DecimalComma { found: String, better: String },
    WrongUnit { quantity: &'static str, example: &'static str, unit: String, measures: Option<&'static str> },
    NotFinite { found: String },
    Negative { quantity: &'static str, found: String },
    NotPositive { quantity: &'static str, found: String },
    TrailingText { found: String, quantity: &'static str },
    BadTolerance { found: String },
    SpanExcludesValue { found: String },
    SpanBelowZero { found: String, quantity: &'static str },
    FrequencyOfDirect { found: String },
    CurrentNotSaid { found: String },
    NoFrequency { found: String },
    UnknownGauge { found: String },
    NoRanges,
    ShareTooLarge { key: &'static str, found: String },
    // Parts.
    TwoTerminals { found: usize },
    SameTerminals { supply: String, joint: String },
    RectifiedDirect,
    ContactTerminals { form: &'static str, expected: usize, found: String },
    TerminalOfTwoContacts { terminal: String },
    TerminalOfCoil { terminal: String },
    RestAndContacts,
    NoContacts,
    SegmentTwice { segment: String },
    EmptyRing { ring: String },
    TooManyRings { limit: usize },
    ReleaseAboveOperate { id: String },
    PowerFactor { found: String },
    UnknownPreset { found: String, nearest: Option<String> },
    ImpedanceBelowResistance { id: String },
    UnknownColour { found: String },
    PinOutOfRange { plug: String, pin: String, ways: i64 },
    // Routes.
    EmptyRouteItem,
    SpaceInRouteItem { found: String },
    HalfTerminal { found: String },
    SecondWireMeasure { what: &'static str },
    UnknownName { name: String, nearest: Option<String> },
    NotInSeries { id: String, what: &'static str, write: String },
    NoTerminals { id: String, what: &'static str },
    UnknownTerminal { id: String, terminal: String, known: Vec<String>, nearest: Option<String> },
    NotAcross { id: String, terminals: String, known: Vec<String> },
    UsedTwice { name: String },
    AcrossAndInRun { name: String, across: String },
    TerminalTwice { terminal: String },
    JointsTied { first: String, second: String, by: Option<String> },
    Bridged { name: String, joint: String },
    RunWithoutParts,
    // The whole.
    NotInARun { id: String, what: &'static str },
    UnreachedJoint { name: String },
    TestPointNowhere { id: String },
    DeadEnd { name: String },
    NoPolarity { across: String },
    NothingAcross { across: String },
    NoReference,
    Undated,
    WeightUnit { found: String },
    YearOutOfRange { found: i64 },
    RevisionBelowOne { found: i64 },
    RevisionNotEarlier { number: i64, present: i64 },
    RevisionLater { date: String, present: String },
    ReservoirSmall { found: String },
    UnknownJoint { name: String, nearest: Option<String> },
    NoSupply,
    NoSequence,
    // Sequences and what refers to them.
    UnknownPart { name: String, nearest: Option<String> },
    WrongPart { id: String, what: &'static str, expected: &'static str },
    SelectorWithoutPlace { id: String, example: String },
    SelectorPosition { id: String, found: String, rings: String },
    AmbiguousPosition { id: String, found: String },
    UnknownSequence { number: i64, nearest: Option<i64> },
    AfterLoop { numbers: Vec<i64> },
    SetTwice { id: String },
    UnknownTestPoint { name: String, nearest: Option<String> },
}
