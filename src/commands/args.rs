//! What can be typed. No logic: each command turns its arguments into checked options in its own file.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

/// Computes and prints the bench paper for a coin-operated electromechanical machine from one TOML description.
#[derive(Debug, Parser)]
#[command(name = "benchleaf", version, max_term_width = 100, arg_required_else_help = true)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write the documents of machines as PDF files.
    Build(BuildArguments),
    /// Report what is wrong with descriptions, and what the audit finds in the machines.
    Check(CheckArguments),
    /// Print what every test point reads and every device gets.
    Solve(SolveArguments),
    /// Narrow down a fault by readings and by which sequences work.
    Narrow(NarrowArguments),
    /// Make practice faults for a class: sheets, booklet of readings, key; or score a learner's search.
    Drill(DrillArguments),
    /// Do a bench sum, with formula, numbers and source; without a name, list them.
    Sum(SumArguments),
    /// Tell whether a printed page is still current, by the code at its foot.
    VerifyCode(VerifyCodeArguments),
    /// Write two pages that show by how much a printer misses on the second side.
    RegisterTest(RegisterTestArguments),
    /// Print an annotated description to start from.
    New(NewArguments),
    /// Print the JSON Schema of the description format.
    Schema,
    /// Print a completion script for a shell.
    Completions(CompletionsArguments),
    /// Write the manual pages into a folder.
    Man(ManArguments),
}

/// How a report is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Format {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
}

/// `--format`, for everything that reports.
#[derive(Debug, Clone, Copy, Args)]
pub struct FormatArguments {
    /// How the report is written.
    #[arg(long, value_enum, default_value_t, value_name = "FORMAT")]
    pub format: Format,
}

/// Language of a report about a description.
#[derive(Debug, Clone, Args)]
pub struct LanguageArguments {
    /// Language of the report [default: en, or what the shop profile says].
    #[arg(long, value_name = "CODE")]
    pub language: Option<String>,
    /// Shop profile [default: shop.toml beside the description, if there is one].
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
}

/// Paper of the sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperName {
    /// 210 mm by 297 mm.
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

/// Size of the bench card.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CardName {
    /// 210 mm by 297 mm, upright.
    A4,
    /// 210 mm by 148 mm.
    A5,
    /// 148 mm by 105 mm.
    A6,
    /// 8.5 in by 11 in, upright.
    Letter,
    /// 8.5 in by 5.5 in.
    HalfLetter,
    /// 8 in by 5 in.
    #[value(name = "5x8")]
    FiveByEight,
}

/// Style of the circuit symbols.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SymbolName {
    /// After IEC 60617.
    Iec,
    /// After the North American standard.
    NorthAmerican,
}

/// About which edge the printer turns the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum DuplexName {
    /// The long edge.
    #[default]
    LongEdge,
    /// The short edge.
    ShortEdge,
}

/// Choices that change what stands on the pages.
#[derive(Debug, Clone, Args)]
pub struct PageArguments {
    /// Paper of the sheets [default: a4, or what the shop profile says].
    #[arg(long, value_enum, value_name = "PAPER")]
    pub paper: Option<PaperName>,
    /// Size of the bench card [default: half of the paper].
    #[arg(long, value_enum, value_name = "SIZE")]
    pub card: Option<CardName>,
    /// Style of the circuit symbols [default: iec, or what the shop profile says].
    #[arg(long, value_enum, value_name = "STYLE")]
    pub symbols: Option<SymbolName>,
    /// Language of the printed words [default: en, or what the shop profile says].
    #[arg(long, value_name = "CODE")]
    pub language: Option<String>,
    /// Shop profile [default: shop.toml beside the description, if there is one].
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
}

/// Choices for the printer.
#[derive(Debug, Clone, Copy, Args)]
pub struct PrinterArguments {
    /// About which edge the printer turns the sheet for its second side.
    #[arg(long, value_enum, default_value_t, value_name = "EDGE")]
    pub duplex: DuplexName,
    /// How far the second side must move to meet the first, right and down in millimetres, as the register test shows.
    #[arg(long, value_name = "X,Y", value_parser = offset, allow_hyphen_values = true, default_value = "0,0")]
    pub offset: Offset,
}

/// Arguments of `build`.
#[derive(Debug, Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag that is typed")]
pub struct BuildArguments {
    /// Descriptions, folders or patterns of them, or packs that hold their own description.
    #[arg(required = true, value_name = "SPEC")]
    pub specs: Vec<String>,
    /// Documents to make, with commas between [default: all].
    #[arg(long, value_name = "KIND", value_delimiter = ',', value_parser = document_kinds())]
    pub only: Vec<String>,
    /// Folder for the files.
    #[arg(long, short, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Write each page as a PNG picture too.
    #[arg(long)]
    pub png: bool,
    /// Dots an inch of the pictures.
    #[arg(long, value_name = "DPI", default_value_t = 150, value_parser = clap::value_parser!(u16).range(36..=1200))]
    pub dpi: u16,
    /// Build again whenever a description changes, until interrupted.
    #[arg(long)]
    pub watch: bool,
    /// Cards on pages of their own size, without crop marks, for a print shop that places them itself.
    #[arg(long)]
    pub bare_cards: bool,
    /// Cards without a hole.
    #[arg(long)]
    pub no_hole: bool,
    /// What stands on the pages.
    #[command(flatten)]
    pub page: PageArguments,
    /// How the printer works.
    #[command(flatten)]
    pub printer: PrinterArguments,
    /// Templates from a folder instead of the built-in ones, to work on them.
    #[arg(long, value_name = "DIR", hide = true)]
    pub templates: Option<PathBuf>,
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArguments {
    /// Descriptions, folders or patterns of them.
    #[arg(required = true, value_name = "SPEC")]
    pub specs: Vec<String>,
    /// Its language.
    #[command(flatten)]
    pub language: LanguageArguments,
    /// How the report is written.
    #[command(flatten)]
    pub format: FormatArguments,
}

/// Arguments of `solve`.
#[derive(Debug, Args)]
pub struct SolveArguments {
    /// The description.
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// Only this sequence.
    #[arg(long, value_name = "NUMBER")]
    pub sequence: Option<i64>,
    /// A fault in the machine, such as F2=open; may be given several times.
    #[arg(long, value_name = "PART=KIND")]
    pub fault: Vec<String>,
    /// Its language.
    #[command(flatten)]
    pub language: LanguageArguments,
    /// How the report is written.
    #[command(flatten)]
    pub format: FormatArguments,
}

/// Arguments of `narrow`.
#[derive(Debug, Args)]
pub struct NarrowArguments {
    /// The description.
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// The sequence in which the volts were read; it is taken to fail unless --works names it.
    #[arg(long, value_name = "NUMBER")]
    pub sequence: Option<String>,
    /// Volts at a test point or joint, or across a part or contact, such as TP4=-12.1.
    #[arg(long, value_name = "WHERE=VOLTS", num_args = 1..)]
    pub read: Vec<String>,
    /// Ohms with the power off: of a part with one lead lifted (K2=118, F2=open), or between two points (TP4/TP5=0.3).
    #[arg(long, value_name = "WHERE=OHMS", num_args = 1..)]
    pub ohms: Vec<String>,
    /// Sequences that work, such as 1-3,5.
    #[arg(long, value_name = "NUMBERS", num_args = 1.., value_delimiter = ',')]
    pub works: Vec<String>,
    /// Sequences that fail, written likewise.
    #[arg(long, value_name = "NUMBERS", num_args = 1.., value_delimiter = ',')]
    pub fails: Vec<String>,
    /// Its language.
    #[command(flatten)]
    pub language: LanguageArguments,
    /// How the report is written.
    #[command(flatten)]
    pub format: FormatArguments,
}

/// Which booklets of readings a drill gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum BookletName {
    /// One for the whole set: the least paper.
    #[default]
    Set,
    /// One for each exercise.
    Exercise,
}

/// How hard exercises are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LevelName {
    /// A clean open, found by few checks, at one place.
    Beginner,
    /// More checks, two places that look alike, or a few ohms too many.
    Intermediate,
    /// Many checks, three look-alikes, a wrong or missing part, or two faults.
    Advanced,
}

/// Arguments of `drill`.
#[derive(Debug, Args)]
pub struct DrillArguments {
    /// The description.
    #[arg(value_name = "SPEC", required_unless_present = "score")]
    pub spec: Option<PathBuf>,
    /// How many exercises [default: one a name, else 10].
    #[arg(long, value_name = "NUMBER")]
    pub count: Option<usize>,
    /// Where chance begins: the same seed gives the same set.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Only exercises of this level.
    #[arg(long, value_enum, value_name = "LEVEL")]
    pub level: Option<LevelName>,
    /// Only faults that stop this sequence.
    #[arg(long, value_name = "NUMBER")]
    pub sequence: Option<i64>,
    /// Faults in each exercise; of two the first shows first.
    #[arg(long, value_name = "1|2", default_value_t = 1)]
    pub faults: usize,
    /// Text file with a learner's name a line.
    #[arg(long, value_name = "FILE")]
    pub names: Option<PathBuf>,
    /// Which booklets of readings are made.
    #[arg(long, value_enum, default_value_t, value_name = "BOOKLET")]
    pub booklet: BookletName,
    /// Folder for the files.
    #[arg(long, short, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// What stands on the pages.
    #[command(flatten)]
    pub page: PageArguments,
    /// Score a search that was typed from a learner's log, instead of making sheets.
    #[arg(long, value_name = "LOG", conflicts_with = "spec")]
    pub score: Option<PathBuf>,
    /// How the score is written.
    #[command(flatten)]
    pub format: FormatArguments,
}

/// Arguments of `sum`.
#[derive(Debug, Args)]
pub struct SumArguments {
    /// Which sum [default: list them].
    #[arg(value_name = "NAME")]
    pub name: Option<String>,
    /// What it asks for, such as supply=24V.
    #[arg(value_name = "INPUT=VALUE")]
    pub inputs: Vec<String>,
    /// Language of the result.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
    /// How the result is written.
    #[command(flatten)]
    pub format: FormatArguments,
}

/// Arguments of `verify-code`.
#[derive(Debug, Args)]
pub struct VerifyCodeArguments {
    /// The description.
    #[arg(value_name = "SPEC")]
    pub spec: PathBuf,
    /// The code at the foot of the page.
    #[arg(value_name = "CODE")]
    pub code: String,
    /// Shop profile [default: shop.toml beside the description, if there is one].
    #[arg(long, value_name = "FILE")]
    pub shop: Option<PathBuf>,
    /// Templates from a folder instead of the built-in ones, as in the build of the page.
    #[arg(long, value_name = "DIR", hide = true)]
    pub templates: Option<PathBuf>,
    /// How the report is written.
    #[command(flatten)]
    pub format: FormatArguments,
}

/// Arguments of `register-test`.
#[derive(Debug, Args)]
pub struct RegisterTestArguments {
    /// Folder for the file.
    #[arg(long, short, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Paper of the test.
    #[arg(long, value_enum, value_name = "PAPER", default_value = "a4")]
    pub paper: PaperName,
    /// Language of the printed words.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
    /// How the printer works.
    #[command(flatten)]
    pub printer: PrinterArguments,
}

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct NewArguments {
    /// Short name of the machine: letters, digits and hyphens.
    #[arg(value_name = "ID")]
    pub id: String,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct CompletionsArguments {
    /// The shell.
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: Shell,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
pub struct ManArguments {
    /// Folder for the pages.
    #[arg(value_name = "DIR")]
    pub out: PathBuf,
}

/// A way to the right and down, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// Largest offset that a printer could need; more is a slip of the pen.
const LARGEST_OFFSET: f64 = 20.0;

fn offset(typed: &str) -> Result<Offset, String> {
    let expected = || format!("expected two lengths in millimetres such as `0.8,-0.4`, found `{typed}`");
    let (x, y) = typed.split_once(',').ok_or_else(expected)?;
    let length = |text: &str| text.trim().parse::<f64>().map_err(|_| expected());
    let offset = Offset { x: length(x)?, y: length(y)? };
    let fits = |length: f64| length.is_finite() && length.abs() <= LARGEST_OFFSET;
    if fits(offset.x) && fits(offset.y) {
        Ok(offset)
    } else {
        Err(format!("an offset is at most {LARGEST_OFFSET} mm either way, found `{typed}`"))
    }
}

fn document_kinds() -> clap::builder::PossibleValuesParser {
    crate::sheets::DocumentKind::ALL.map(crate::sheets::DocumentKind::name).into()
}
