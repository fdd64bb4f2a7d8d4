//! Routes: the text of a run into its items, each with its stretch of the text.
//!
//! `N28 > F2 > J3:6 > wire GY/YE 0.75 mm2 1.2 m > TP4 > K1:5-6 > S10..S17 > COM`. An arrow `→` may stand for `>`, and the
//! text may span lines. What a name stands for is not known here.

use std::ops::Range;

use super::kind::Kind;
use super::quantity::{CROSS_SECTION, Flaw, LENGTH, Measure};
use super::range;
use super::units::Metres;
use super::values::CrossSection;

/// One item of a route.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A bare name: a joint, or a part with two terminals.
    Name(String),
    /// A part with the terminals that the run enters and leaves by, or one terminal: `K1:5-6`, `J3:6`.
    Terminals {
        /// The part.
        id: String,
        /// What stands behind the colon.
        terminals: String,
    },
    /// Alike parts in series: `S10..S17`, or one contact of each: `S10..S17:3-4`.
    Group {
        /// The parts.
        names: Vec<String>,
        /// What stands behind the colon, for each of them.
        terminals: Option<String>,
    },
    /// A length of wire.
    Wire(WireText),
}

/// What a route says of a wire.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WireText {
    /// Base colour and tracer, as written.
    pub colour: Option<(String, Option<String>)>,
    /// Where the colour is in the route.
    pub colour_range: Range<usize>,
    /// Its size.
    pub size: Option<CrossSection>,
    /// Its length.
    pub length: Option<Metres>,
}

/// An item with its stretch of the route.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The item.
    pub item: Item,
    /// Byte range in the text of the route.
    pub range: Range<usize>,
}

/// Splits a route into items. Problems do not stop it; an item with a problem is left out.
#[must_use]
pub fn parse(route: &str) -> (Vec<Placed>, Vec<Flaw>) {
    let mut items = Vec::new();
    let mut flaws = Vec::new();
    if route.trim().is_empty() {
        return (items, vec![Flaw { kind: Kind::EmptyText, range: 0..route.len() }]);
    }
    let mut start = 0;
    for piece in route.split(['>', '→']) {
        let end = start + piece.len();
        let range = start + (piece.len() - piece.trim_start().len())..start + piece.trim_end().len();
        if piece.trim().is_empty() {
            // The separators on both sides, so that there is something to underline.
            let before = route[..start].chars().next_back().map_or(0, char::len_utf8);
            let after = route[end..].chars().next().map_or(0, char::len_utf8);
            flaws.push(Flaw { kind: Kind::EmptyRouteItem, range: start - before..end + after });
        } else {
            match item(piece.trim(), range.start) {
                Ok(item) => items.push(Placed { item, range }),
                Err(flaw) => flaws.push(flaw),
            }
        }
        start = end + route[end..].chars().next().map_or(0, char::len_utf8);
    }
    (items, flaws)
}

fn item(text: &str, offset: usize) -> Result<Item, Flaw> {
    let range = offset..offset + text.len();
    if text == "wire" || text.starts_with("wire ") || text.starts_with("wire\t") {
        return wire(text, offset).map(Item::Wire);
    }
    if text.contains(char::is_whitespace) {
        return Err(Flaw { kind: Kind::SpaceInRouteItem { found: text.into() }, range });
    }
    let (id, terminals) = text.split_once(':').map_or((text, None), |(id, terminals)| (id, Some(terminals)));
    if id.is_empty() || terminals == Some("") {
        return Err(Flaw { kind: Kind::HalfTerminal { found: text.into() }, range });
    }
    match (range::expand(id), terminals) {
        (Some(Ok(names)), terminals) => Ok(Item::Group { names, terminals: terminals.map(String::from) }),
        (Some(Err(problem)), _) => Err(Flaw { kind: Kind::BadRange { text: id.into(), problem }, range }),
        (None, Some(terminals)) => Ok(Item::Terminals { id: id.into(), terminals: terminals.into() }),
        (None, None) => Ok(Item::Name(text.into())),
    }
}

/// Words of a text with their offsets.
fn words(text: &str, offset: usize) -> Vec<(&str, usize)> {
    let mut words = Vec::new();
    let mut rest = text;
    while let Some(start) = rest.find(|character: char| !character.is_whitespace()) {
        let word = rest[start..].split(char::is_whitespace).next().unwrap_or_default();
        words.push((word, offset + (text.len() - rest.len()) + start));
        rest = &rest[start + word.len()..];
    }
    words
}

/// `wire GY/YE 0.75 mm2 1.2 m`: colour, size and length, each of which may be absent.
fn wire(text: &str, offset: usize) -> Result<WireText, Flaw> {
    let words = words(text, offset);
    let mut wire = WireText::default();
    let mut rest = &words[1..];
    if let [(word, at), after @ ..] = rest
        && is_colour(word, after.first().map(|(next, _)| *next))
    {
        let (base, tracer) =
            word.split_once('/').map_or((*word, None), |(base, tracer)| (base, Some(tracer.to_string())));
        wire.colour = Some((base.to_string(), tracer));
        wire.colour_range = *at..*at + word.len();
        rest = after;
    }
    while let [(word, at), after @ ..] = rest {
        // A number and its unit may stand apart.
        let apart =
            word.eq_ignore_ascii_case("AWG") || word.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
        let (end, after) = match after {
            [(next, next_at), after @ ..] if apart => (next_at + next.len(), after),
            _ => (at + word.len(), after),
        };
        measure_of_wire(&mut wire, &text[at - offset..end - offset])
            .map_err(|flaw| Flaw { kind: flaw.kind, range: at + flaw.range.start..at + flaw.range.end })?;
        rest = after;
    }
    Ok(wire)
}

/// Whether the first word behind `wire` is a colour, and not the start of a size or a length.
///
/// Makers have codes that begin with a digit. What can be read as a size or a length is one; a bare number is one where a
/// unit, right or wrong, follows.
fn is_colour(word: &str, next: Option<&str>) -> bool {
    let is_gauge = |word: &str| word.to_ascii_uppercase().starts_with("AWG");
    let is_figure = |word: &str| word.starts_with(|first: char| first.is_ascii_digit() || first == '.');
    if !is_figure(word) || is_gauge(word) {
        return !is_gauge(word);
    }
    if word.chars().all(|character| character.is_ascii_digit()) {
        return next.is_none_or(|next| is_figure(next) || is_gauge(next));
    }
    !word.contains(['.', ',']) && CROSS_SECTION.scan(word).is_err() && LENGTH.scan(word).is_err()
}

/// Takes a text as the size of a wire, or as its length.
fn measure_of_wire(wire: &mut WireText, text: &str) -> Result<(), Flaw> {
    let whole = 0..text.len();
    let size = text.to_ascii_uppercase().starts_with("AWG") || Measure::scan(&CROSS_SECTION, text).is_ok();
    if size {
        if wire.size.is_some() {
            return Err(Flaw { kind: Kind::SecondWireMeasure { what: "size" }, range: whole });
        }
        wire.size = Some(CrossSection::parse(text)?);
        return Ok(());
    }
    let (quantity, example) = ("size or length of the wire", "0.75 mm2 1.2 m");
    let length = LENGTH.scan(text).map_err(|Flaw { kind, range }| {
        let kind = match kind {
            Kind::WrongUnit { unit, measures, .. } => Kind::WrongUnit { quantity, example, unit, measures },
            Kind::BareNumber { found, .. } => Kind::BareNumber { quantity, example, found },
            Kind::NotAQuantity { found, .. } => Kind::NotAQuantity { quantity, example, found },
            other => other,
        };
        Flaw { kind, range }
    })?;
    if wire.length.is_some() {
        return Err(Flaw { kind: Kind::SecondWireMeasure { what: "length" }, range: whole });
    }
    wire.length = Some(Metres::new(length.nominal));
    Ok(())
}
