//! Wire colours as small swatches: the base colour with the tracer as slanting stripes, always beside the letters.
//!
//! The letters are those of IEC 60757; the colours on paper are only a help, so a black-and-white print loses nothing.

use super::canvas::{Canvas, Ink, Pen, Point};

/// Paper colours by their letters.
const COLOURS: [(&str, &str); 14] = [
    ("BK", "#000000"),
    ("BN", "#7a4a21"),
    ("RD", "#d62718"),
    ("OG", "#f08a1d"),
    ("YE", "#f7dd3b"),
    ("GN", "#2b8a3e"),
    ("BU", "#2463c4"),
    ("VT", "#7d3c98"),
    ("GY", "#9a9a9a"),
    ("WH", "#ffffff"),
    ("PK", "#f4a6c0"),
    ("GD", "#c9a227"),
    ("TQ", "#35b5b0"),
    ("SR", "#c8ccd0"),
];

/// Size of a swatch, in millimetres.
pub(super) const SIZE: Point = (6.4, 1.9);

/// The paper colour of a wire colour; white if the letters are not known.
fn paper(letters: &str) -> &'static str {
    let upper = letters.to_ascii_uppercase();
    COLOURS.iter().find(|(code, _)| *code == upper).map_or("#ffffff", |(_, colour)| colour)
}

/// Draws a swatch with its middle at a point.
pub(super) fn draw(canvas: &mut Canvas, middle: Point, base: &str, tracer: Option<&str>) {
    let (wide, high) = SIZE;
    let (x, y) = (middle.0 - wide / 2.0, middle.1 - high / 2.0);
    let (base, tracer) = match (base.to_ascii_uppercase().as_str(), tracer) {
        ("GNYE", None) => ("GN".to_string(), Some("YE".to_string())),
        (other, tracer) => (other.to_string(), tracer.map(str::to_string)),
    };
    canvas.solid(Ink::Colour(paper(&base)), &[(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]);
    if let Some(tracer) = tracer {
        let colour = Ink::Colour(paper(&tracer));
        for start in [0.7, 2.6, 4.5] {
            let left = x + start;
            canvas.solid(colour, &[(left + 0.5, y), (left + 1.2, y), (left + 0.7, y + high), (left, y + high)]);
        }
    }
    canvas.frame(Pen::Fine, (x, y), (wide, high));
}
