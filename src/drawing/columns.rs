//! The lowest strip: in the column of each test point what it should read, a box for one's own reading, the band, and
//! the drop from the supply's point.

use super::canvas::{Anchor, Canvas, Point};
use super::lanes::Stations;
use super::text::{Face, width};
use super::{NAME, NOTE, READING, Scene};
use crate::machine::model::TestPointId;

/// Left edge of the row names.
const NAMES_AT: f64 = 0.5;
/// Right of the row names.
pub(super) const NAMES_END: f64 = 27.0;
/// Least size of the box to write in: a reading by hand needs 7 mm.
const WRITE_IN: Point = (20.0, 8.0);

/// Height of the strip with all its lines.
pub(super) const HIGHEST: f64 = 25.6;

/// How wide a column must be, with clear space.
pub(super) fn width_of(scene: &Scene, point: TestPointId) -> f64 {
    let (value, band) = scene.reading_texts(point);
    let drop = drop_text(scene, point).unwrap_or_default();
    let flag = super::layout::flag_width(&scene.machine.test_points[point.0].id);
    let texts =
        [width(&value, Face::Bold, READING), width(&band, Face::Regular, NOTE), width(&drop, Face::Regular, NOTE)];
    texts.into_iter().fold(WRITE_IN.0.max(flag), f64::max) + 2.4
}

/// How high the strip is for a row.
pub(super) fn height(scene: &Scene, points: &[TestPointId]) -> f64 {
    let drops = points.iter().any(|point| drop_text(scene, *point).is_some());
    if drops { HIGHEST } else { 21.4 }
}

/// The drop from the supply's point, with its band.
fn drop_text(scene: &Scene, point: TestPointId) -> Option<String> {
    let reading = scene.reading(point)?;
    let drop = reading.drop.as_ref()?;
    if drop.from == point {
        return None;
    }
    let numerals = scene.words.numerals;
    Some(crate::words::figures::span(&numerals.drop_volts(drop.band.low), &numerals.drop_volts(drop.band.high)))
}

/// Draws the strip with its upper edge at `y`.
pub(super) fn draw(scene: &Scene, canvas: &mut Canvas, stations: &Stations, y: f64) {
    let points: Vec<TestPointId> = stations.points.iter().map(|(_, point)| *point).collect();
    let (value_at, box_at, band_at, drop_at) = (y + 6.2, y + 8.4, y + 20.2, y + 24.4);
    let words = scene.words;
    let label = |canvas: &mut Canvas, y: f64, face: Face, points: f64, text: &str| {
        canvas.text((NAMES_AT, y), Anchor::Start, face, points, text);
    };
    label(canvas, value_at, Face::Regular, NAME, &words.get("drawing.should-read"));
    label(canvas, box_at + 5.2, Face::Bold, NAME, &words.get("drawing.yours"));
    label(canvas, band_at, Face::Regular, NOTE, &words.get("drawing.band"));
    let measured = points.iter().find(|point| drop_text(scene, **point).is_some());
    if let Some(drop) = measured.and_then(|point| scene.reading(*point)?.drop.as_ref()) {
        let id = &scene.machine.test_points[drop.from.0].id;
        label(canvas, drop_at, Face::Regular, NOTE, &words.fill("drawing.drop", &[("point", id)]));
    }
    for &(x, point) in &stations.points {
        let (value, band) = scene.reading_texts(point);
        canvas.text((x, value_at), Anchor::Middle, Face::Bold, READING, &value);
        canvas.write_in((x - WRITE_IN.0 / 2.0, box_at), WRITE_IN, 1.0);
        canvas.text((x, band_at), Anchor::Middle, Face::Regular, NOTE, &band);
        if let Some(drop) = drop_text(scene, point) {
            canvas.text((x, drop_at), Anchor::Middle, Face::Regular, NOTE, &drop);
        }
    }
}
