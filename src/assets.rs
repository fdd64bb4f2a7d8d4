//! Everything that is built into the program: templates, words and fonts. The only place with `include_bytes!`.
//!
//! A test compares these lists with the folders, so that no file is forgotten and none is listed twice.

/// A file of the project inside the program.
#[derive(Debug, Clone, Copy)]
pub struct Asset {
    /// Its path in the project, with forward slashes.
    pub path: &'static str,
    /// What it holds.
    pub bytes: &'static [u8],
}

macro_rules! assets {
    ($($path:literal,)*) => {
        &[$(Asset { path: $path, bytes: include_bytes!(concat!("../", $path)) },)*]
    };
}

/// Templates and words, as the typesetter sees them below `templates/`.
pub const TEMPLATES: &[Asset] = assets![
    "templates/attached.typ",
    "templates/components/card.typ",
    "templates/components/caution.typ",
    "templates/components/code.typ",
    "templates/components/drawing.typ",
    "templates/components/head.typ",
    "templates/components/index.typ",
    "templates/components/mark.typ",
    "templates/components/reading.typ",
    "templates/components/sheet.typ",
    "templates/components/sign.typ",
    "templates/components/table.typ",
    "templates/components/wire.typ",
    "templates/components/write-in.typ",
    "templates/documents/bench-card.typ",
    "templates/documents/coils.typ",
    "templates/documents/fuse-label.typ",
    "templates/documents/job-sheet.typ",
    "templates/documents/pack.typ",
    "templates/documents/parts.typ",
    "templates/documents/plugs.typ",
    "templates/documents/practice-booklet.typ",
    "templates/documents/practice-key.typ",
    "templates/documents/practice-paths.typ",
    "templates/documents/practice-sheets.typ",
    "templates/documents/register-test.typ",
    "templates/documents/service-log.typ",
    "templates/documents/signal-paths.typ",
    "templates/documents/substitutions.typ",
    "templates/documents/test-points.typ",
    "templates/documents/wires.typ",
    "templates/lang/de.toml",
    "templates/lang/en.toml",
    "templates/main.typ",
    "templates/picture.typ",
    "templates/style.typ",
    "templates/tokens.typ",
    "templates/words.typ",
];

/// Open fonts, in the order in which the font book knows them. Their licences stand beside them in `fonts/`.
pub const FONTS: &[Asset] = assets![
    "fonts/AtkinsonHyperlegibleNext-Bold.ttf",
    "fonts/AtkinsonHyperlegibleNext-Italic.ttf",
    "fonts/AtkinsonHyperlegibleNext-Regular.ttf",
    "fonts/DejaVuSans-Bold.ttf",
    "fonts/DejaVuSans.ttf",
    "fonts/IBMPlexSansCondensed-Bold.ttf",
    "fonts/IBMPlexSansCondensed-Regular.ttf",
];

/// The built-in language files: code and text.
pub fn languages() -> impl Iterator<Item = (&'static str, &'static str)> {
    TEMPLATES.iter().filter_map(|asset| {
        let code = asset.path.strip_prefix("templates/lang/")?.strip_suffix(".toml")?;
        Some((code, std::str::from_utf8(asset.bytes).ok()?))
    })
}
