//! The booklet: numbered cells, each with one result, in an order that says nothing.

use serde_json::{Value, json};

use super::Practice;
use crate::drill::Booklet;

/// Data of a booklet, of the whole set or of one exercise.
pub(super) fn body(practice: &Practice<'_>, booklet: &Booklet, exercise: Option<usize>) -> Value {
    let cells: Vec<Value> = booklet
        .cells
        .iter()
        .zip(1..)
        .map(|(text, number): (&String, usize)| json!({ "number": number.to_string(), "text": text }))
        .collect();
    json!({ "set": practice.request(), "exercise": exercise.map(|number| number.to_string()), "cells": cells })
}
