//! Everything on a laid-out page with its place in millimetres from the upper left corner.

use typst::introspection::{Location, Tag};
use typst::layout::{Frame, FrameItem, Point, Transform};
use typst::model::FigureElem;
use typst::visualize::Geometry;

/// A run of letters in one size.
#[derive(Debug, Clone)]
pub(crate) struct Letters {
    pub(crate) text: String,
    /// Size in points.
    pub(crate) size: f64,
    pub(crate) area: Area,
    /// Whether they are the words of a drawing, which stand over its picture.
    pub(crate) drawn: bool,
}

/// A rectangle in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Area {
    pub(crate) fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub(super) fn middle(&self) -> (f64, f64) {
        (f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }

    /// Whether two areas share more than a hair.
    pub(crate) fn overlaps(&self, other: &Self, hair: f64) -> bool {
        self.left + hair < other.right
            && other.left + hair < self.right
            && self.top + hair < other.bottom
            && other.top + hair < self.bottom
    }

    /// Whether it lies inside another, give or take a hair.
    pub(crate) fn inside(&self, other: &Self, hair: f64) -> bool {
        self.left >= other.left - hair
            && self.right <= other.right + hair
            && self.top >= other.top - hair
            && self.bottom <= other.bottom + hair
    }

    /// Least distance of its points from a point.
    pub(crate) fn distance(&self, (x, y): (f64, f64)) -> f64 {
        let dx = (self.left - x).max(x - self.right).max(0.0);
        let dy = (self.top - y).max(y - self.bottom).max(0.0);
        dx.hypot(dy)
    }
}

/// Both ends of a straight line, and its thickness in points.
pub(super) type Line = ((f64, f64), (f64, f64), f64);

/// What is on a page.
#[derive(Debug, Clone, Default)]
pub(crate) struct Marked {
    pub(crate) letters: Vec<Letters>,
    /// Straight lines by their ends, with their thickness in points.
    pub(crate) lines: Vec<Line>,
    /// Curves and rectangles by the area that their outline covers, with whether they are filled.
    pub(crate) shapes: Vec<(Area, bool)>,
    /// Pictures by the area that they cover.
    pub(crate) pictures: Vec<Area>,
}

/// Gathers everything on a page.
pub(crate) fn measure(frame: &Frame) -> Marked {
    let mut marked = Marked::default();
    gather(frame, Transform::identity(), &mut marked, &mut Vec::new());
    marked
}

/// `figures` are those whose beginning has been met and whose end has not.
fn gather(frame: &Frame, to_page: Transform, marked: &mut Marked, figures: &mut Vec<Location>) {
    for (at, item) in frame.items() {
        let here = to_page.pre_concat(Transform::translate(at.x, at.y));
        match item {
            FrameItem::Group(group) => gather(&group.frame, here.pre_concat(group.transform), marked, figures),
            FrameItem::Text(text) => {
                // From the baseline up to a capital's height, and down by what a comma needs.
                let metrics = text.font.metrics();
                let up = metrics.cap_height.at(text.size);
                let down = text.size * 0.02;
                let corners = [Point::new(typst::layout::Abs::zero(), -up), Point::new(text.width(), down)];
                marked.letters.push(Letters {
                    text: text.text.to_string(),
                    size: text.size.to_pt(),
                    area: area(&corners.map(|corner| corner.transform(here))),
                    drawn: !figures.is_empty(),
                });
            }
            FrameItem::Shape(shape, _) => {
                let thickness = shape.stroke.as_ref().map_or(0.0, |stroke| stroke.thickness.to_pt());
                match &shape.geometry {
                    Geometry::Line(to) => {
                        let ends = [Point::zero(), *to].map(|end| millimetres(end.transform(here)));
                        marked.lines.push((ends[0], ends[1], thickness));
                    }
                    other => {
                        let bounds = other.bbox(None);
                        let corners = [bounds.min, bounds.max].map(|corner| corner.transform(here));
                        marked.shapes.push((area(&corners), shape.fill.is_some()));
                    }
                }
            }
            FrameItem::Image(_, size, _) => {
                let corners = [Point::zero(), size.to_point()].map(|corner| corner.transform(here));
                marked.pictures.push(area(&corners));
            }
            FrameItem::Tag(Tag::Start(element, _)) if element.is::<FigureElem>() => figures.extend(element.location()),
            FrameItem::Tag(Tag::End(location, ..)) => figures.retain(|figure| figure != location),
            FrameItem::Link(..) | FrameItem::Tag(_) => {}
        }
    }
}

fn millimetres(point: Point) -> (f64, f64) {
    (point.x.to_mm(), point.y.to_mm())
}

fn area(corners: &[Point; 2]) -> Area {
    let [(x1, y1), (x2, y2)] = corners.map(millimetres);
    Area { left: x1.min(x2), top: y1.min(y2), right: x1.max(x2), bottom: y1.max(y2) }
}
