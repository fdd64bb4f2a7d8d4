//! Says in words what a path drawing shows.

use super::Scene;
use crate::circuit::path::SignalPath;
use crate::machine::model::{ElementId, PartKind, RunStep};

/// The whole path in words: supply, everything along the main path in finger order, what lies beside it, the readings.
pub(super) fn path_text(scene: &Scene, path: &SignalPath, page: (usize, usize)) -> String {
    let machine = scene.machine;
    let words = scene.words;
    let steps: Vec<String> = path.spine.iter().filter_map(|step| step_name(scene, *step)).collect();
    let mut sentences = vec![words.fill(
        "drawing.alt-path",
        &[
            ("device", &machine.part(path.acts).id),
            ("supply", &machine.part(path.supply).id),
            ("from", &machine.joint(path.from).name),
            ("steps", &steps.join(", ")),
            ("to", &machine.joint(path.to).name),
        ],
    )];
    if !path.side.is_empty() {
        let side: Vec<String> = path.side.iter().map(|element| element_name(scene, *element)).collect();
        sentences.push(words.fill("drawing.alt-beside", &[("parts", &side.join(", "))]));
    }
    if !path.open.is_empty() {
        let open: Vec<String> = path.open.iter().map(|element| element_name(scene, *element)).collect();
        sentences.push(words.fill("drawing.alt-open", &[("parts", &open.join(", "))]));
    }
    let points = points_on(scene, path);
    if !points.is_empty() {
        sentences.push(words.fill("drawing.alt-readings", &[("readings", &points.join(", "))]));
    }
    if page.1 > 1 {
        let (number, count) = (page.0.to_string(), page.1.to_string());
        sentences.push(words.fill("drawing.alt-part", &[("number", &number), ("count", &count)]));
    }
    sentences.join(" ")
}

/// Readings of the test points on the path, in its order.
fn points_on(scene: &Scene, path: &SignalPath) -> Vec<String> {
    let mut texts = Vec::new();
    let side = path.side.iter().flat_map(|element| {
        let element = scene.machine.element(*element);
        [element.from, element.to]
    });
    let spine = crate::circuit::path::spine_joints(&path.spine);
    let mut seen = std::collections::BTreeSet::new();
    for joint in spine.chain(side).filter(|joint| seen.insert(*joint)) {
        for (index, point) in scene.machine.test_points.iter().enumerate() {
            if point.joint == joint {
                let (value, _) = scene.reading_texts(crate::machine::model::TestPointId(index));
                texts.push(format!("{} {value}", point.id));
            }
        }
    }
    texts
}

fn step_name(scene: &Scene, step: RunStep) -> Option<String> {
    match step {
        RunStep::Element { element, .. } => Some(element_name(scene, element)),
        RunStep::Joint(joint) => {
            let points = scene.machine.test_points.iter().filter(|point| point.joint == joint);
            let names: Vec<&str> = points.map(|point| point.id.as_str()).collect();
            (!names.is_empty()).then(|| names.join(", "))
        }
    }
}

/// The name of an element; a wire by its colour.
fn element_name(scene: &Scene, element: ElementId) -> String {
    let element = scene.machine.element(element);
    match &scene.machine.part(element.part).kind {
        PartKind::Wire(wire) => match &wire.colour {
            Some((base, Some(tracer))) => scene.words.fill("drawing.wire", &[("colour", &format!("{base}/{tracer}"))]),
            Some((base, None)) => scene.words.fill("drawing.wire", &[("colour", base)]),
            None => scene.words.get("drawing.plain-wire"),
        },
        _ => element.name.clone(),
    }
}
