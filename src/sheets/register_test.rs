//! Register test: two pages that show by how much a printer misses on the second side.
//!
//! The first side has crosses, the second side a millimetre grid behind each. A pin through a cross comes out in the grid
//! at the very offset that `--offset` wants.

use serde_json::json;

use super::cards::{self, CardOptions, Duplex, Spot};
use super::{DocumentKind, Paper, Sheet, SheetOptions};

/// The date of this test's design: it changes with the sheet, not with the clock.
const DESIGNED: &str = "2026-11-24";
/// Distance of the outer crosses from the sides of the paper.
const SIDE: f64 = 40.0;
/// Their distance from its upper and lower edge: clear of the text on both pages, however the sheet is turned.
const EDGE: f64 = 85.0;

/// Composes the two pages.
#[must_use]
pub fn compose(options: &SheetOptions) -> Sheet {
    let words = &options.words;
    let kind = DocumentKind::RegisterTest;
    let title = words.get(&format!("documents.{}", kind.name()));
    let (width, height) = options.paper.size();
    let crosses = crosses(options.paper);
    let grids: Vec<Spot> =
        crosses.iter().map(|cross| cards::behind(*cross, (width, height), (0.0, 0.0), &options.card)).collect();
    let offset = (options.card.offset != CardOptions::default().offset)
        .then(|| [options.card.offset.0, options.card.offset.1].map(|length| words.numerals.fixed(length, 1)));
    Sheet {
        kind,
        file_stem: kind.name().into(),
        title: title.clone(),
        code: options.card_code.clone(),
        data: json!({
            "page": {
                "kind": kind.name(), "title": title, "language": words.language, "paper": options.paper,
                "machine": words.get("register.printer"), "machine-kind": "", "author": null,
                "revision": env!("CARGO_PKG_VERSION"), "revised": DESIGNED, "shop": options.shop,
            },
            "body": {
                "width": width, "height": height, "crosses": crosses, "grids": grids,
                "duplex": if options.card.duplex == Duplex::LongEdge { "long-edge" } else { "short-edge" },
                "offset": offset,
            },
        }),
        figures: Vec::new(),
    }
}

/// The middle and two corners: a shift shows alike in all, a turn or a stretch does not.
fn crosses(paper: Paper) -> Vec<Spot> {
    let (width, height) = paper.size();
    [(width / 2.0, height / 2.0), (SIDE, height - EDGE), (width - SIDE, EDGE)]
        .map(|(x, y)| Spot { x, y, turned: false })
        .to_vec()
}
