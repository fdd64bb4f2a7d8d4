//! Letters can be told from what is behind them by light and dark alone, so that they survive a black-and-white printer and
//! an eye that sees no colours.

use benchleaf::sheets::{self, DocumentKind, Paper};
use typst::layout::{Frame, FrameItem, Point, Transform};
use typst::visualize::Paint;

use crate::sheets as desk;

/// Least contrast of letters to what is behind them: WCAG 2.1, success criterion 1.4.3.
const LEAST: f64 = 4.5;

/// Relative luminance of a colour (WCAG 2.1: linear light of sRGB primaries); none of gradients and patterns.
fn luminance(paint: &Paint) -> Option<f64> {
    let Paint::Solid(colour) = paint else { return None };
    let colour = colour.to_rgb();
    let [red, green, blue, opaque] = [colour.red, colour.green, colour.blue, colour.alpha].map(f64::from);
    let linear = |part: f64| if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) };
    let light = 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
    // What is not opaque lets white paper through.
    Some(light * opaque + (1.0 - opaque))
}

/// Ink on the page so far: corners in points, and luminance; none of a drawing, whose picture knows its own words' places.
type Ink = ([Point; 2], Option<f64>);

fn check(what: &str, frame: &Frame, to_page: Transform, ink: &mut Vec<Ink>, seen: &mut usize) {
    for (at, item) in frame.items() {
        let here = to_page.pre_concat(Transform::translate(at.x, at.y));
        match item {
            FrameItem::Group(group) => check(what, &group.frame, here.pre_concat(group.transform), ink, seen),
            FrameItem::Shape(shape, _) => {
                if let Some(light) = shape.fill.as_ref().map(|fill| luminance(fill).expect("plain colours only")) {
                    let bounds = shape.geometry.bbox(None);
                    ink.push(([bounds.min, bounds.max].map(|corner| corner.transform(here)), Some(light)));
                }
            }
            FrameItem::Image(_, size, _) => {
                ink.push(([Point::zero(), size.to_point()].map(|corner| corner.transform(here)), None));
            }
            FrameItem::Text(text) if !text.text.trim().is_empty() => {
                let middle = Point::new(text.width() / 2.0, -text.font.metrics().cap_height.at(text.size) / 2.0);
                let middle = middle.transform(here);
                let covers = |corners: &[Point; 2]| {
                    let (x, y) = ([corners[0].x, corners[1].x], [corners[0].y, corners[1].y]);
                    x[0].min(x[1]) <= middle.x
                        && middle.x <= x[0].max(x[1])
                        && y[0].min(y[1]) <= middle.y
                        && middle.y <= y[0].max(y[1])
                };
                let behind =
                    ink.iter().rev().find(|(corners, _)| covers(corners)).map_or(Some(1.0), |(_, light)| *light);
                let Some(behind) = behind else { continue };
                let letters = luminance(&text.fill).expect("plain colours only");
                let contrast = (behind.max(letters) + 0.05) / (behind.min(letters) + 0.05);
                assert!(contrast >= LEAST, "{what}: `{}` has a contrast of {contrast:.2}", text.text);
                *seen += usize::from(behind < 0.95);
            }
            _ => {}
        }
    }
}

#[test]
fn letters_can_be_read_without_colours() {
    let mut on_colour = 0;
    for name in desk::MACHINES {
        let opened = desk::open(&desk::demo(name));
        let options = desk::options("en", Paper::A4);
        for sheet in desk::with_figures(&opened, &options, |material| sheets::compose(material, &DocumentKind::ALL)) {
            if sheet.kind == DocumentKind::Pack {
                continue;
            }
            for (at, page) in desk::lay_out(&sheet, "en").pages().iter().enumerate() {
                let what = format!("{name} {}, page {}", sheet.kind.name(), at + 1);
                check(&what, &page.frame, Transform::identity(), &mut Vec::new(), &mut on_colour);
            }
        }
    }
    assert!(on_colour > 50, "only {on_colour} runs of letters stand on something dark: is this test blind?");
}
