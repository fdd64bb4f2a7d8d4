//! What earlier builds of one process found out, so that a watched machine is not analysed again for a changed note.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde_json::Value;

use crate::circuit::{Solution, Solver};
use crate::faults::{self, Findings};
use crate::machine::model::Machine;

/// Keys of a description that no finding depends on, wherever they stand.
const WORDS_ONLY: [&str; 3] = ["note", "notes", "symptom"];

/// Findings of each description, with all of it that they depend on.
#[derive(Debug, Default)]
pub(super) struct Memory {
    findings: HashMap<PathBuf, (Value, Arc<Findings>)>,
}

impl Memory {
    /// Findings about a machine: those of an earlier build where the description is the same but for words.
    pub(super) fn findings(
        &mut self,
        spec: &Path,
        document: &Value,
        (machine, solver, solution): (&Machine, &Solver<'_>, &Solution),
    ) -> Arc<Findings> {
        let depends_on = without_words(document);
        if let Some((known, findings)) = self.findings.get(spec)
            && *known == depends_on
        {
            return Arc::clone(findings);
        }
        let findings = Arc::new(faults::analyse(machine, solver, solution));
        self.findings.insert(spec.to_path_buf(), (depends_on, Arc::clone(&findings)));
        findings
    }
}

/// Whether a value is text: a part could be named as one of the keys.
fn is_text(value: &Value) -> bool {
    match value {
        Value::String(_) => true,
        Value::Array(items) => items.iter().all(Value::is_string),
        _ => false,
    }
}

/// A description without the keys that hold words only.
fn without_words(document: &Value) -> Value {
    match document {
        Value::Object(entries) => entries
            .iter()
            .filter(|(key, value)| !(WORDS_ONLY.contains(&key.as_str()) && is_text(value)))
            .map(|(key, value)| (key.clone(), without_words(value)))
            .collect(),
        Value::Array(items) => items.iter().map(without_words).collect(),
        other => other.clone(),
    }
}
