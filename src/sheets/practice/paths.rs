//! The signal paths that learners take with them: drawn path, readings and roll call, without order and suspects.

use serde_json::json;

use super::Practice;
use crate::machine::model::SequenceId;
use crate::sheets::{DocumentKind, Material, Sheet, signal_paths};

/// Composes the paths of all sequences that fail in a set.
pub(super) fn compose(practice: &Practice<'_>) -> Sheet {
    let material = Material { findings: None, audit: &[], ..practice.material };
    let mut drawings = Vec::new();
    let sheets = signal_paths::sheets(&material, &sequences(practice), &mut drawings);
    let legend = signal_paths::legend(&material, &mut drawings);
    let body = json!({ "set": practice.request(), "sequences": sheets, "legend": legend });
    super::super::sheet(&material, DocumentKind::PracticePaths, body, drawings)
}

/// Sequences that fail. Where there are two faults, which one fails next is a part of the exercise: then all of them.
fn sequences(practice: &Practice<'_>) -> Vec<SequenceId> {
    let two = practice.set.request.faults > 1;
    let stages = || practice.set.exercises.iter().flat_map(|exercise| &exercise.stages);
    (0..practice.material.machine.sequences.len())
        .map(SequenceId)
        .filter(|&sequence| two || stages().any(|stage| stage.sequence == sequence))
        .collect()
}
