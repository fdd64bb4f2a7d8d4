//! From arguments and the shop profile to checked options: what was typed wins, then the profile, then the default.

use std::borrow::Cow;
use std::path::Path;

use super::answer::Complaint;
use super::args::{CardName, DuplexName, LanguageArguments, PageArguments, PaperName, PrinterArguments, SymbolName};
use super::profile::{self, Profile};
use crate::assets;
use crate::press::Base;
use crate::sheets::card_code::CardCode;
use crate::sheets::cards::{self, CardOptions, CardSize, Duplex};
use crate::sheets::{Paper, SheetOptions};
use crate::words::Words;

impl From<PaperName> for Paper {
    fn from(name: PaperName) -> Self {
        match name {
            PaperName::A4 => Self::A4,
            PaperName::Letter => Self::Letter,
        }
    }
}

impl From<CardName> for CardSize {
    fn from(name: CardName) -> Self {
        match name {
            CardName::A4 => Self::A4,
            CardName::A5 => Self::A5,
            CardName::A6 => Self::A6,
            CardName::Letter => Self::Letter,
            CardName::HalfLetter => Self::HalfLetter,
            CardName::FiveByEight => Self::EightByFive,
        }
    }
}

impl From<DuplexName> for Duplex {
    fn from(name: DuplexName) -> Self {
        match name {
            DuplexName::LongEdge => Self::LongEdge,
            DuplexName::ShortEdge => Self::ShortEdge,
        }
    }
}

/// How cards are printed, before their size is known to fit.
#[must_use]
pub fn card_options(page: &PageArguments, printer: &PrinterArguments, bare: bool, hole: bool) -> CardOptions {
    CardOptions {
        size: page.card.map(CardSize::from),
        duplex: printer.duplex.into(),
        offset: (printer.offset.x, printer.offset.y),
        bare,
        hole,
    }
}

/// The words of a language.
///
/// # Errors
/// There is no file for it.
pub fn words(language: &str) -> Result<Words, Complaint> {
    let known: Vec<&str> = assets::languages().map(|(code, _)| code).collect();
    Words::of(language).ok_or_else(|| {
        Complaint::new(format!("there is no language file for `{language}`"))
            .hint(format!("languages: {}", known.join(", ")))
    })
}

/// The words of a report about a description: the language that was typed, else that of the shop profile, else English.
///
/// # Errors
/// A language without a file, or a profile that cannot be read.
pub fn report_words(language: Option<&str>, shop: Option<&Path>, spec: &Path) -> Result<Words, Complaint> {
    match language {
        Some(language) => words(language),
        None => words(profile::language(shop, spec)?.as_deref().unwrap_or("en")),
    }
}

impl LanguageArguments {
    /// The words of the report.
    ///
    /// # Errors
    /// As [`report_words`].
    pub fn words(&self, spec: &Path) -> Result<Words, Complaint> {
        report_words(self.language.as_deref(), self.shop.as_deref(), spec)
    }
}

/// The language file as templates read it; [`words`] has seen that there is one.
#[must_use]
pub fn words_text(language: &str) -> String {
    assets::languages().find(|(code, _)| *code == language).map_or_else(String::new, |(_, text)| text.to_string())
}

/// All options of a build but the card code, which needs the description.
///
/// # Errors
/// A language without a file, a card that does not fit its paper.
pub fn sheet_options(page: &PageArguments, profile: &Profile, card: CardOptions) -> Result<SheetOptions, Complaint> {
    let paper = page.paper.map(Paper::from).or(profile.paper).unwrap_or_default();
    let language = page.language.as_deref().or(profile.language.as_deref()).unwrap_or("en");
    let north_american = match page.symbols {
        Some(symbols) => symbols == SymbolName::NorthAmerican,
        None => profile.north_american.unwrap_or(false),
    };
    let size = card.size.unwrap_or_else(|| CardSize::usual(paper));
    cards::impose(size, paper, &card).map_err(|fault| {
        Complaint::new(fault).hint("take a smaller card, or `--bare-cards` for pages of the card's own size")
    })?;
    Ok(SheetOptions {
        paper,
        words: words(language)?,
        north_american,
        card_code: String::new(),
        shop: profile.shop.clone(),
        card,
    })
}

/// The code of all pages that are made from a description with these options, over this base.
#[must_use]
pub fn card_code(
    document: &serde_json::Value,
    revision: i64,
    options: &SheetOptions,
    profile: &Profile,
    base: &Base,
) -> CardCode {
    let size = options.card.size.unwrap_or_else(|| CardSize::usual(options.paper));
    let symbols = if options.north_american { "north-american" } else { "iec" };
    let paper = if options.paper == Paper::A4 { "a4" } else { "letter" };
    let language = &options.words.language;
    let [version, looks, words] = &made_with(base, language);
    let made_with = [version, looks, words, paper, size.name(), symbols, language, &profile.digest];
    CardCode::of(document, revision, &made_with)
}

/// What every page is made with: the version of the program, templates and fonts by their digest, the words.
#[must_use]
pub fn made_with<'a>(base: &'a Base, language: &str) -> [Cow<'a, str>; 3] {
    [env!("CARGO_PKG_VERSION").into(), base.digest().into(), words_text(language).into()]
}
