//! One file a document: from machine and results to plain data for the template.
//!
//! In come a [`Material`] and the kinds that are wanted; out come [`Sheet`]s, each with its data as JSON in which every
//! number is a finished string, and the drawings it shows. Nothing in here knows about Typst; templates calculate nothing.

use std::collections::BTreeSet;

use rayon::prelude::*;
use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::audit::Finding;
use crate::circuit::Solver;
use crate::circuit::results::Solution;
use crate::faults::Findings;
use crate::machine::model::{ElementId, Machine, PartKind, Setting};
use crate::spec::units::Ohms;
use crate::words::Words;

pub mod bench_card;
pub mod card_code;
pub mod cards;
pub mod cautions;
pub mod check_order;
pub mod coils;
pub mod common;
pub mod discharge;
pub mod fuse_label;
pub mod job_sheet;
pub mod pack;
pub mod parts;
pub mod plugs;
pub mod practice;
pub mod register_test;
pub mod service_log;
pub mod signal_paths;
pub mod sources;
mod stock;
pub mod substitutions;
pub mod test_points;
pub mod wires;

/// The documents that can be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum DocumentKind {
    /// Laminated card for the bench.
    BenchCard,
    /// Label beside the fuse panel.
    FuseLabel,
    /// What every test point reads.
    TestPointTable,
    /// One drawn path a sequence.
    SignalPaths,
    /// Coils and contacts.
    CoilTable,
    /// Plugs and pins.
    PlugTable,
    /// Wires by number.
    WireTable,
    /// Every part with its values and their sources.
    PartsList,
    /// Blank form for one job.
    JobSheet,
    /// Blank form for years of use.
    ServiceLog,
    /// What may replace what.
    SubstitutionSheet,
    /// Faults to practise on, for learners.
    PracticeSheets,
    /// The readings that practice sheets refer to.
    PracticeBooklet,
    /// Signal paths without order and suspects, for learners.
    PracticePaths,
    /// The answers, for the instructor.
    PracticeKey,
    /// All of it, bound.
    Pack,
    /// How well a printer meets both sides of a sheet; belongs to no machine.
    RegisterTest,
}

impl DocumentKind {
    /// All kinds that a machine has, in the order in which a pack binds them; the pack last.
    pub const ALL: [Self; 12] = [
        Self::BenchCard,
        Self::FuseLabel,
        Self::TestPointTable,
        Self::SignalPaths,
        Self::CoilTable,
        Self::PlugTable,
        Self::WireTable,
        Self::PartsList,
        Self::JobSheet,
        Self::SubstitutionSheet,
        Self::ServiceLog,
        Self::Pack,
    ];

    /// Its name as it is typed, as its file is called, and as its words and template are found.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::BenchCard => "bench-card",
            Self::FuseLabel => "fuse-label",
            Self::TestPointTable => "test-points",
            Self::SignalPaths => "signal-paths",
            Self::CoilTable => "coils",
            Self::PlugTable => "plugs",
            Self::WireTable => "wires",
            Self::PartsList => "parts",
            Self::ServiceLog => "service-log",
            Self::JobSheet => "job-sheet",
            Self::SubstitutionSheet => "substitutions",
            Self::PracticeSheets => "practice-sheets",
            Self::PracticeBooklet => "practice-booklet",
            Self::PracticePaths => "practice-paths",
            Self::PracticeKey => "practice-key",
            Self::Pack => "pack",
            Self::RegisterTest => "register-test",
        }
    }

    /// Whether its pages tell what may be wrong, so that the faults must be analysed for it.
    #[must_use]
    pub fn needs_findings(self) -> bool {
        matches!(self, Self::SignalPaths | Self::Pack)
    }

    /// The kind of a name as it is typed.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }
}

/// Paper of the desk sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// 210 mm by 297 mm.
    #[default]
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

impl Paper {
    /// Width and height upright, in millimetres.
    #[must_use]
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// The workshop that prints: stands on covers and job sheets.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Shop {
    /// Its name.
    pub name: String,
    /// Its address, one line each.
    pub address: Vec<String>,
    /// Its telephone.
    pub telephone: Option<String>,
    /// Name of the virtual file that holds its logo.
    pub logo: Option<String>,
}

/// What the user chose.
#[derive(Debug, Clone)]
pub struct SheetOptions {
    /// Paper of the desk sheets.
    pub paper: Paper,
    /// Language and numerals.
    pub words: Words,
    /// Symbols by the North American standard instead of the IEC one.
    pub north_american: bool,
    /// Code that is printed on every page.
    pub card_code: String,
    /// The workshop, if it told its name.
    pub shop: Option<Shop>,
    /// How cards are cut and printed.
    pub card: cards::CardOptions,
}

/// All that documents are made from.
#[derive(Clone, Copy)]
pub struct Material<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// Its circuit, for readings that the solution does not hold.
    pub solver: &'a Solver<'a>,
    /// What it does.
    pub solution: &'a Solution,
    /// What may be wrong with it; without them the signal-path sheets have no check order.
    pub findings: Option<&'a Findings>,
    /// What the audit found.
    pub audit: &'a [Finding],
    /// What the user chose.
    pub options: &'a SheetOptions,
}

impl Material<'_> {
    /// What an ohmmeter shows across an element that stays in its circuit, power off, everything at rest; none if open.
    #[must_use]
    pub fn dead_ohms(&self, element: ElementId) -> Option<Ohms> {
        let element = self.machine.element(element);
        let ends = (element.from, element.to);
        self.solver.dead_ohms(&Setting::default(), &BTreeSet::new(), ends, None, &[]).map(Ohms::new)
    }
}

/// A document as data, ready for its template.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// What it is.
    pub kind: DocumentKind,
    /// Name of its file without ending.
    pub file_stem: String,
    /// Its title.
    pub title: String,
    /// The code at the foot of its pages: apart from the data, since it changes with every change of the description, and
    /// what is the same but for the code need not be typeset again.
    pub code: String,
    /// Data of the template: `page` is alike for all documents (see [`page_data`]), `body` is the document's own.
    pub data: Value,
    /// Drawings by the path of their virtual file, such as `/fig/1.svg`; their sizes and descriptions stand in the data.
    pub figures: Vec<(String, String)>,
}

/// What every page carries, whatever the document: machine, revision, paper, language.
#[must_use]
pub fn page_data(material: &Material<'_>, kind: DocumentKind) -> Value {
    let identity = &material.machine.identity;
    let options = material.options;
    json!({
        "kind": kind.name(),
        "title": options.words.get(&format!("documents.{}", kind.name())),
        "language": options.words.language,
        "paper": options.paper,
        "machine": identity.name,
        "short-name": shortened(&identity.name, FOOT_NAME),
        "machine-kind": identity.kind,
        "maker": identity.maker,
        "year": identity.year.map(|year| year.to_string()),
        "serial": identity.serial,
        "author": identity.author,
        "mains": identity.mains,
        "revision": identity.revision.to_string(),
        "revised": identity.revised,
        "shop": options.shop,
    })
}

/// Letters of a machine's name that leave room for revision and date in the foot of a page.
const FOOT_NAME: usize = 20;

/// A text of so many letters at most, for a place that has one line.
#[must_use]
pub fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_string();
    }
    let kept: String = text.chars().take(most - 1).collect();
    format!("{}…", kept.trim_end())
}

/// Puts a document together: what every page carries, the document's own data, its drawings.
#[must_use]
pub fn sheet(material: &Material<'_>, kind: DocumentKind, body: Value, figures: Vec<(String, String)>) -> Sheet {
    let title = material.options.words.get(&format!("documents.{}", kind.name()));
    Sheet {
        kind,
        file_stem: format!("{}-{}", material.machine.identity.id, kind.name()),
        title,
        code: material.options.card_code.clone(),
        data: Value::Object(Map::from_iter([
            ("page".to_string(), page_data(material, kind)),
            ("body".to_string(), body),
        ])),
        figures,
    }
}

/// Composes the documents that are wanted, in the order in which a pack binds them.
#[must_use]
pub fn compose(material: &Material<'_>, kinds: &[DocumentKind]) -> Vec<Sheet> {
    let packed = kinds.contains(&DocumentKind::Pack);
    let wanted =
        |kind: &DocumentKind| *kind != DocumentKind::Pack && (kinds.contains(kind) || packed && pack::binds(*kind));
    let composed: Vec<Sheet> =
        DocumentKind::ALL.into_par_iter().filter(wanted).filter_map(|kind| one(material, kind)).collect();
    if !packed {
        return composed;
    }
    // The pack is the last of all and binds what is composed already.
    let mut sheets: Vec<Sheet> = composed.iter().filter(|sheet| kinds.contains(&sheet.kind)).cloned().collect();
    sheets.push(pack::compose(material, composed.into_iter().filter(|sheet| pack::binds(sheet.kind)).collect()));
    sheets
}

/// Composes one document; none where the machine has nothing to say in it.
#[must_use]
pub fn one(material: &Material<'_>, kind: DocumentKind) -> Option<Sheet> {
    let has = |wanted: fn(&PartKind) -> bool| material.machine.parts.iter().any(|part| wanted(&part.kind));
    match kind {
        DocumentKind::BenchCard => Some(bench_card::compose(material)),
        DocumentKind::FuseLabel => has(|kind| matches!(kind, PartKind::Fuse(_))).then(|| fuse_label::compose(material)),
        DocumentKind::TestPointTable => {
            (!material.machine.test_points.is_empty()).then(|| test_points::compose(material))
        }
        DocumentKind::SignalPaths => (!material.machine.sequences.is_empty()).then(|| signal_paths::compose(material)),
        DocumentKind::CoilTable => Some(coils::compose(material)).filter(|_| {
            has(|kind| {
                matches!(
                    kind,
                    PartKind::Relay(_)
                        | PartKind::Solenoid(_)
                        | PartKind::Motor(_)
                        | PartKind::Switch(_)
                        | PartKind::Cam(_)
                )
            })
        }),
        DocumentKind::PlugTable => has(|kind| matches!(kind, PartKind::Plug(_))).then(|| plugs::compose(material)),
        DocumentKind::WireTable => has(|kind| matches!(kind, PartKind::Wire(_))).then(|| wires::compose(material)),
        DocumentKind::PartsList => has(|kind| !matches!(kind, PartKind::Wire(_))).then(|| parts::compose(material)),
        DocumentKind::ServiceLog => Some(service_log::compose(material)),
        DocumentKind::JobSheet => Some(job_sheet::compose(material)),
        DocumentKind::SubstitutionSheet => has(|kind| {
            matches!(
                kind,
                PartKind::Fuse(_)
                    | PartKind::Resistor(_)
                    | PartKind::Diode(_)
                    | PartKind::Lamp(_)
                    | PartKind::Speaker(_)
            )
        })
        .then(|| substitutions::compose(material)),
        DocumentKind::Pack => {
            let bound = DocumentKind::ALL.into_par_iter().filter(|kind| pack::binds(*kind));
            Some(pack::compose(material, bound.filter_map(|kind| one(material, kind)).collect()))
        }
        DocumentKind::PracticeSheets
        | DocumentKind::PracticeBooklet
        | DocumentKind::PracticePaths
        | DocumentKind::PracticeKey
        | DocumentKind::RegisterTest => None,
    }
}
