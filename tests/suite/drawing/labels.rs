//! Reads a finished SVG back: where its labels stand and how far its strokes reach.
//!
//! The reader knows nothing of how the drawing was laid out; it takes text, size and anchor from the file and measures
//! with the fonts' own advance widths.

use benchleaf::drawing::text::{Face, MM_PER_POINT, width};

/// A label's box, in millimetres.
#[derive(Debug, Clone)]
pub(super) struct Label {
    pub(super) text: String,
    pub(super) points: f64,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Label {
    fn meets(&self, other: &Label) -> bool {
        // A hair of contact is rounding.
        const HAIR: f64 = 0.02;
        self.left + HAIR < other.right
            && other.left + HAIR < self.right
            && self.top + HAIR < other.bottom
            && other.top + HAIR < self.bottom
    }
}

fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let start = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    tag[start..].split('"').next()
}

fn number(tag: &str, name: &str) -> f64 {
    attribute(tag, name).unwrap_or_else(|| panic!("{name} in {tag}")).parse().unwrap()
}

/// All labels of a drawing.
pub(super) fn labels(svg: &str) -> Vec<Label> {
    svg.split("<text")
        .skip(1)
        .map(|piece| {
            let (tag, rest) = piece.split_once('>').unwrap();
            let text = rest.split("</text>").next().unwrap().trim();
            let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&");
            let face = if attribute(tag, "font-weight") == Some("700") { Face::Bold } else { Face::Regular };
            let size = number(tag, "font-size");
            let points = size / MM_PER_POINT;
            let wide = width(&text, face, points);
            let (x, y) = (number(tag, "x"), number(tag, "y"));
            let left = match attribute(tag, "text-anchor") {
                Some("middle") => x - wide / 2.0,
                Some("end") => x - wide,
                _ => x,
            };
            // Capitals and figures reach 0.67 em up; descenders 0.21 em down, of which names use little.
            Label { text, points, left, right: left + wide, top: y - 0.67 * size, bottom: y + 0.1 * size }
        })
        .collect()
}

/// Width and height of the view box.
fn view_box(svg: &str) -> (f64, f64) {
    let values: Vec<f64> = attribute(svg, "viewBox").unwrap().split(' ').map(|value| value.parse().unwrap()).collect();
    (values[2], values[3])
}

/// Every corner that a stroke or fill passes; arcs by their ends. What is cut out by an outline reaches as far as that.
fn corners(svg: &str) -> Vec<(f64, f64)> {
    let mut all = Vec::new();
    for piece in svg.split("<path").skip(1) {
        if attribute(piece.split('>').next().unwrap(), "clip-path").is_some() {
            continue;
        }
        let data = attribute(piece, "d").unwrap();
        let mut rest = data;
        while let Some(start) = rest.find(|letter: char| letter.is_ascii_alphabetic()) {
            let letter = rest.as_bytes()[start];
            rest = &rest[start + 1..];
            let end = rest.find(|letter: char| letter.is_ascii_alphabetic() && letter != 'e').unwrap_or(rest.len());
            let numbers: Vec<f64> = rest[..end]
                .split([',', ' '])
                .filter(|text| !text.trim().is_empty())
                .map(|text| text.trim().parse().unwrap())
                .collect();
            match letter {
                b'M' | b'L' => all.extend(numbers.chunks(2).map(|pair| (pair[0], pair[1]))),
                b'C' => all.push((numbers[4], numbers[5])),
                b'A' => all.push((numbers[5], numbers[6])),
                _ => {}
            }
            rest = &rest[end..];
        }
    }
    all
}

/// Fails if two labels meet, a label or a stroke leaves the sheet, or type is smaller than a sheet may have.
pub(super) fn check(name: &str, svg: &str) {
    let (wide, high) = view_box(svg);
    let labels = labels(svg);
    for (index, label) in labels.iter().enumerate() {
        assert!(label.points > 8.99, "{name}: `{}` is set in {:.1} pt", label.text, label.points);
        let inside = label.left >= -0.01 && label.right <= wide + 0.01 && label.top >= -0.01 && label.bottom <= high;
        assert!(inside, "{name}: `{}` leaves the sheet of {wide} x {high}: {label:?}", label.text);
        for other in &labels[index + 1..] {
            assert!(!label.meets(other), "{name}: `{}` meets `{}`: {label:?} {other:?}", label.text, other.text);
        }
    }
    for (x, y) in corners(svg) {
        let inside = x >= -0.01 && x <= wide + 0.01 && y >= -0.01 && y <= high + 0.01;
        assert!(inside, "{name}: a stroke reaches {x}, {y} outside {wide} x {high}");
    }
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name}: a number is not finite");
}
