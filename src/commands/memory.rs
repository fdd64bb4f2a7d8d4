//! What earlier builds of one process found out and wrote, so that a watched machine is not analysed again for a changed
//! note, nor all of its documents printed for one that changed.

use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde_json::Value;

use super::build::Prepared;
use crate::circuit::{Solution, Solver};
use crate::faults::{self, Findings};
use crate::machine::model::Machine;
use crate::press::Base;
use crate::sheets::{DocumentKind, Sheet};

/// Keys of a description that no finding depends on, wherever they stand.
const WORDS_ONLY: [&str; 5] = ["label", "note", "notes", "probe", "symptom"];
/// Section of what papers say that a test point reads: compared with what is computed, which does not depend on it.
const STATED: &str = "expect";

/// Findings of each description, with all of it that they depend on, and the documents written.
#[derive(Debug, Default)]
pub(super) struct Memory {
    findings: HashMap<PathBuf, (Value, Arc<Findings>)>,
    written: HashMap<(PathBuf, DocumentKind), (u64, String)>,
}

/// When a document is written in a build that is one of many.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stage {
    /// First: it says something else than before.
    Changed,
    /// Then: nothing has changed but the code at the foot of its pages.
    CodeOnly,
    /// Last: it holds all the others.
    Pack,
}

impl Stage {
    /// All, in their order.
    pub(super) const ALL: [Self; 3] = [Self::Changed, Self::CodeOnly, Self::Pack];
}

/// A document of a build, and when it is due; never, where it is there as it should be.
#[derive(Debug)]
pub(super) struct Due {
    pub(super) stage: Option<Stage>,
    place: (PathBuf, DocumentKind),
    /// A hash of what it says but for its code.
    says: u64,
    code: String,
}

impl Memory {
    /// Findings about a machine: those of an earlier build where the description is the same but for words.
    pub(super) fn findings(
        &mut self,
        spec: &Path,
        document: &Value,
        (machine, solver, solution): (&Machine, &Solver<'_>, &Solution),
    ) -> Arc<Findings> {
        let mut depends_on = without_words(document);
        if let Value::Object(sections) = &mut depends_on {
            sections.shift_remove(STATED);
        }
        if let Some((known, findings)) = self.findings.get(spec)
            && *known == depends_on
        {
            return Arc::clone(findings);
        }
        let findings = Arc::new(faults::analyse(machine, solver, solution));
        self.findings.insert(spec.to_path_buf(), (depends_on, Arc::clone(&findings)));
        findings
    }

    /// When a document is due, by what was written before.
    pub(super) fn due(&self, machine: &Prepared, sheet: &Sheet, base: &Base, out: &Path) -> Due {
        let place = (machine.spec.clone(), sheet.kind);
        let says = says(machine, sheet, base);
        let code = sheet.code.clone();
        let there = out.join(format!("{}.pdf", sheet.file_stem)).is_file();
        let (same, same_code) = match self.written.get(&place).filter(|_| there) {
            Some((earlier, earlier_code)) => (*earlier == says, *earlier_code == code),
            None => (false, false),
        };
        let stage = match (same, same_code) {
            (true, true) => None,
            _ if sheet.kind == DocumentKind::Pack => Some(Stage::Pack),
            (true, false) => Some(Stage::CodeOnly),
            (false, _) => Some(Stage::Changed),
        };
        Due { stage, place, says, code }
    }

    /// Takes note of documents that were written.
    pub(super) fn remember(&mut self, written: &[&Due]) {
        for due in written {
            self.written.insert(due.place.clone(), (due.says, due.code.clone()));
        }
    }
}

/// A hash of all that a document is made of but its code.
fn says(machine: &Prepared, sheet: &Sheet, base: &Base) -> u64 {
    let mut hash = DefaultHasher::new();
    if sheet.kind == DocumentKind::Pack {
        // It says what its description says, and is long.
        machine.press.attachments.hash(&mut hash);
    } else {
        sheet.data.to_string().hash(&mut hash);
        sheet.figures.hash(&mut hash);
    }
    (&sheet.file_stem, &sheet.title, base.digest(), &machine.press.words).hash(&mut hash);
    for file in &machine.press.files {
        (&file.path, file.bytes.as_slice()).hash(&mut hash);
    }
    hash.finish()
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
