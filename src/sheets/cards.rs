//! Cards: their sizes, and where they stand on a sheet of paper so that both sides meet.
//!
//! Sizes are those of ISO 216 (A4, A5, A6), of ISO/IEC 7810 (ID-1, corner radius 3.18 mm) and of North American papers.
//! Lengths are in millimetres, places are from the top left corner of the printed page to that of the trimmed card.
//! A card turns like the page of a book; where the printer turns the sheet over the other way, the back is set upside
//! down to make up for it.

use std::fmt;

use serde::Serialize;

use super::Paper;

/// Length of a crop mark.
pub const MARK_LENGTH: f64 = 5.0;
/// Distance of a crop mark from the trim: no less than a usual bleed of 3 mm.
pub const MARK_OFFSET: f64 = 3.0;
/// Distance between cards on one sheet.
pub const GAP: f64 = 6.0;
/// Border that stays empty so that the pouch seals and nothing is lost when the cut wanders.
pub const SEALED_BORDER: f64 = 5.0;
/// No paper holds more cards than this along one edge.
const MOST_ALONG_AN_EDGE: usize = 20;
/// What a printer can be trusted to reach; common practice, no source.
const UNPRINTABLE: f64 = 4.0;

/// Size of a finished card.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CardSize {
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
    EightByFive,
    /// 85.60 mm by 53.98 mm: the size of a bank card.
    Id1,
}

impl CardSize {
    /// All sizes of a bench card; [`CardSize::Id1`] is for labels.
    pub const BENCH: [Self; 6] = [Self::A4, Self::A5, Self::A6, Self::Letter, Self::HalfLetter, Self::EightByFive];

    /// Its name as it is typed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::A5 => "a5",
            Self::A6 => "a6",
            Self::Letter => "letter",
            Self::HalfLetter => "half-letter",
            Self::EightByFive => "5x8",
            Self::Id1 => "id-1",
        }
    }

    /// Width and height as the card is read.
    #[must_use]
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::A5 => (210.0, 148.0),
            Self::A6 => (148.0, 105.0),
            Self::Letter => (215.9, 279.4),
            Self::HalfLetter => (215.9, 139.7),
            Self::EightByFive => (203.2, 127.0),
            Self::Id1 => (85.6, 53.98),
        }
    }

    /// Radius of the finished corner.
    #[must_use]
    pub fn radius(self) -> f64 {
        match self {
            // ISO/IEC 7810.
            Self::Id1 => 3.18,
            // Usual for laminated cards: 3 mm to 5 mm; common practice, no source.
            _ => 4.0,
        }
    }

    /// The size that goes with a paper unless another is asked for.
    #[must_use]
    pub fn usual(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self::A5,
            Paper::Letter => Self::HalfLetter,
        }
    }
}

/// About which edge the printer turns the sheet for its second side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub enum Duplex {
    /// The long edge.
    #[default]
    LongEdge,
    /// The short edge.
    ShortEdge,
}

impl Duplex {
    /// Its name as it is typed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::LongEdge => "long-edge",
            Self::ShortEdge => "short-edge",
        }
    }
}

/// How cards are made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardOptions {
    /// Size of the bench card; none takes the usual one of the paper.
    pub size: Option<CardSize>,
    /// How the printer turns the sheet.
    pub duplex: Duplex,
    /// By how much the second side must move to meet the first: right and down on its own page, in millimetres.
    pub offset: (f64, f64),
    /// Pages of the card's own size, without marks, for a print shop that imposes them itself.
    pub bare: bool,
    /// Whether the card gets a hole to hang it.
    pub hole: bool,
}

impl Default for CardOptions {
    fn default() -> Self {
        Self { size: None, duplex: Duplex::default(), offset: (0.0, 0.0), bare: false, hole: true }
    }
}

/// Hole to hang a card, and the zone around it that stays empty: a circle at the middle of the upper edge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Hole {
    /// Centre from the left edge of the card.
    pub x: f64,
    /// Centre from its upper edge.
    pub y: f64,
    /// Radius of the hole.
    pub radius: f64,
    /// Radius of the zone that stays empty.
    pub zone: f64,
}

impl Hole {
    /// The hole of a card of this width.
    #[must_use]
    pub fn of(width: f64) -> Self {
        Self { x: width / 2.0, y: SEALED_BORDER + 3.0, radius: 2.5, zone: 5.0 }
    }
}

/// Where a card stands on a page.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spot {
    /// From the left edge of the page to that of the card.
    pub x: f64,
    /// From the upper edge of the page to that of the card.
    pub y: f64,
    /// Whether the card stands upside down.
    pub turned: bool,
}

/// A sheet of paper with cards on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Imposition {
    /// Width of the page.
    pub width: f64,
    /// Height of the page.
    pub height: f64,
    /// Width of a trimmed card.
    pub card_width: f64,
    /// Height of a trimmed card.
    pub card_height: f64,
    /// Radius of its corners.
    pub radius: f64,
    /// Border inside the trim that stays empty.
    pub border: f64,
    /// Hole and its zone, if there is one.
    pub hole: Option<Hole>,
    /// Whether there are crop marks.
    pub marks: bool,
    /// Places on the first side, in reading order.
    pub fronts: Vec<Spot>,
    /// Places on the second side; each is behind the first side's of the same index.
    pub backs: Vec<Spot>,
}

/// A card that is larger than the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DoesNotFit {
    /// The card.
    pub card: CardSize,
    /// The paper.
    pub paper: Paper,
}

impl fmt::Display for DoesNotFit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (width, height) = self.paper.size();
        write!(
            f,
            "a card of size `{}` with its crop marks does not fit on paper of {width} mm by {height} mm",
            self.card.name()
        )
    }
}

impl std::error::Error for DoesNotFit {}

/// Puts as many cards on a sheet as fit with their crop marks; a card of the very size of the paper stands alone, without.
///
/// # Errors
/// [`DoesNotFit`] where not one fits.
pub fn impose(card: CardSize, paper: Paper, options: &CardOptions) -> Result<Imposition, DoesNotFit> {
    let own = card.size();
    let upright = paper.size();
    if options.bare || own == upright {
        return Ok(bare(card, options));
    }
    let across = (upright.1, upright.0);
    let (page, grid) = [upright, across]
        .into_iter()
        .map(|page| (page, (count(page.0, own.0), count(page.1, own.1))))
        // The first wins where both orientations hold the same number.
        .rev()
        .max_by_key(|(_, (columns, rows))| columns * rows)
        .unwrap_or((upright, (0, 0)));
    if grid.0 * grid.1 == 0 {
        return Err(DoesNotFit { card, paper });
    }
    Ok(on_page(card, page, grid, true, options))
}

/// Pages of the card's own size, without marks.
#[must_use]
pub fn bare(card: CardSize, options: &CardOptions) -> Imposition {
    on_page(card, card.size(), (1, 1), false, options)
}

/// How many cards fit along one edge, with marks at both ends.
fn count(page: f64, card: f64) -> usize {
    let room = page - 2.0 * (MARK_OFFSET + UNPRINTABLE.max(MARK_LENGTH));
    (1..=MOST_ALONG_AN_EDGE).take_while(|&number| length(number, card) <= room).last().unwrap_or(0)
}

/// Length of so many cards with their gaps.
#[expect(clippy::cast_precision_loss, reason = "a handful of cards")]
fn length(number: usize, card: f64) -> f64 {
    number as f64 * card + number.saturating_sub(1) as f64 * GAP
}

fn on_page(
    card: CardSize,
    page: (f64, f64),
    (columns, rows): (usize, usize),
    marks: bool,
    options: &CardOptions,
) -> Imposition {
    let (width, height) = card.size();
    let left = (page.0 - length(columns, width)) / 2.0;
    let top = (page.1 - length(rows, height)) / 2.0;
    let fronts: Vec<Spot> = (0..rows)
        .flat_map(|row| (0..columns).map(move |column| (column, row)))
        .map(|(column, row)| Spot {
            x: left + length(column + 1, width) - width,
            y: top + length(row + 1, height) - height,
            turned: false,
        })
        .collect();
    let backs = fronts.iter().map(|front| behind(*front, page, (width, height), options)).collect();
    Imposition {
        width: page.0,
        height: page.1,
        card_width: width,
        card_height: height,
        radius: card.radius(),
        border: SEALED_BORDER,
        hole: (options.hole && card != CardSize::Id1).then(|| Hole::of(width)),
        marks,
        fronts,
        backs,
    }
}

/// The place on the second side that lies behind one on the first side.
///
/// Turned about a vertical edge, left and right change and the card stands upright; turned about a horizontal edge, top
/// and bottom change and the card stands upside down, so that it still turns like a page of a book in the hand.
#[must_use]
pub fn behind(front: Spot, page: (f64, f64), card: (f64, f64), options: &CardOptions) -> Spot {
    let upright = page.1 >= page.0;
    let about_vertical = upright == (options.duplex == Duplex::LongEdge);
    let (x, y) = if about_vertical || options.bare {
        (page.0 - front.x - card.0, front.y)
    } else {
        (front.x, page.1 - front.y - card.1)
    };
    Spot { x: x + options.offset.0, y: y + options.offset.1, turned: !about_vertical && !options.bare }
}
