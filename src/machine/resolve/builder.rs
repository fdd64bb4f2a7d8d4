//! What is known of the machine while it is built: parts with the ways through them, points, elements.

use std::collections::{HashMap, HashSet};

use super::joints::{Joints, Naming, Point};
use crate::machine::model::{ElementId, Law, Part, PartId, PartKind};
use crate::spec::diagnostic::{Diagnostic, MOST_PROBLEMS, Place};
use crate::spec::kind::Kind;
use crate::spec::reader::nearest;
use crate::spec::sources::Sources;
use crate::spec::units::Hertz;

/// One way through a part: two terminals and what lies between them.
#[derive(Debug, Clone)]
pub(super) struct Link {
    /// Terminal where current enters when it counts as positive.
    pub(super) from: String,
    /// The other terminal.
    pub(super) to: String,
    /// Name of the element on paper.
    pub(super) name: String,
    /// Its law.
    pub(super) law: Law,
    /// Whether runs may pass through it more than once.
    pub(super) shared: bool,
}

impl Link {
    pub(super) fn new(from: &str, to: &str, name: String, law: Law) -> Self {
        Self { from: from.into(), to: to.into(), name, law, shared: false }
    }
}

/// The ways through a part.
#[derive(Debug, Clone, Default)]
pub(super) struct Links {
    /// All of them.
    pub(super) links: Vec<Link>,
    /// The one that the bare name of the part means.
    pub(super) bare: Option<usize>,
}

/// What a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Name {
    /// A part.
    Part(PartId),
    /// A joint or a test point.
    Point(Point),
}

/// An element whose sides are still points.
#[derive(Debug, Clone)]
pub(super) struct DraftElement {
    pub(super) part: PartId,
    pub(super) name: String,
    pub(super) from: Point,
    pub(super) to: Point,
    pub(super) law: Law,
    /// Where a run passes through it first.
    pub(super) at: Place,
}

/// A terminal that a run has reached.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reached {
    pub(super) point: Point,
    pub(super) at: Place,
}

/// A step of a run between points.
#[derive(Debug, Clone, Copy)]
pub(super) enum DraftStep {
    Point(Point),
    Element { element: ElementId, forward: bool },
}

/// A run between points.
#[derive(Debug, Clone)]
pub(super) struct DraftRun {
    pub(super) label: Option<String>,
    pub(super) steps: Vec<DraftStep>,
    pub(super) at: Place,
}

/// The machine in the making.
pub(super) struct Builder<'a> {
    pub(super) sources: &'a Sources,
    pub(super) problems: Vec<Diagnostic>,
    pub(super) parts: Vec<Part>,
    /// The ways through each part, same index.
    pub(super) links: Vec<Links>,
    pub(super) names: HashMap<String, Name>,
    /// Every name in the order of declaration, for "did you mean".
    pub(super) known: Vec<String>,
    pub(super) joints: Joints,
    pub(super) terminals: HashMap<(PartId, String), Reached>,
    /// The element of a way through a part, once a run has used it.
    pub(super) used: HashMap<(PartId, usize), ElementId>,
    pub(super) elements: Vec<DraftElement>,
    pub(super) runs: Vec<DraftRun>,
    /// Points beside something that has a message already: what is odd about them follows from that.
    pub(super) doubtful: Vec<Point>,
    /// Whether a route or a supply has a message, so that what the wiring tells cannot be trusted.
    pub(super) broken_wiring: bool,
    /// Words of routes that have a message: what is named there may be in a run once that is mended.
    pub(super) mentioned: HashSet<String>,
    /// Frequency of the mains, where the description tells it.
    pub(super) mains_frequency: Option<Hertz>,
    /// How many wires have a name.
    pub(super) wires: usize,
    /// Whether a run has no route at all.
    pub(super) route_missing: bool,
}

impl<'a> Builder<'a> {
    pub(super) fn new(sources: &'a Sources) -> Self {
        Self {
            sources,
            problems: Vec::new(),
            parts: Vec::new(),
            links: Vec::new(),
            names: HashMap::new(),
            known: Vec::new(),
            joints: Joints::default(),
            terminals: HashMap::new(),
            used: HashMap::new(),
            elements: Vec::new(),
            runs: Vec::new(),
            doubtful: Vec::new(),
            broken_wiring: false,
            mentioned: HashSet::new(),
            mains_frequency: None,
            wires: 0,
            route_missing: false,
        }
    }

    pub(super) fn error(&mut self, kind: Kind, at: Place) {
        self.report(Diagnostic::error(kind, at));
    }

    pub(super) fn warning(&mut self, kind: Kind, at: Place) {
        self.report(Diagnostic::warning(kind, at));
    }

    /// Leaves a message, unless there are so many that nobody reads on.
    pub(super) fn report(&mut self, problem: Diagnostic) {
        if self.problems.len() < MOST_PROBLEMS {
            self.problems.push(problem);
        }
    }

    /// Adds a part with the ways through it. A part without a name has a message already.
    pub(super) fn add_part(&mut self, part: Part, links: Links) -> PartId {
        let id = PartId(self.parts.len());
        self.add_name(&part.id, Name::Part(id));
        self.parts.push(part);
        self.links.push(links);
        id
    }

    pub(super) fn add_name(&mut self, name: &str, meaning: Name) {
        if !name.is_empty() && !self.names.contains_key(name) {
            self.names.insert(name.to_string(), meaning);
            self.known.push(name.to_string());
        }
    }

    /// The joint of this name, made if it is new.
    pub(super) fn named_joint(&mut self, name: &str, place: Place) -> Option<Point> {
        match self.names.get(name).copied() {
            Some(Name::Point(point)) => return Some(point),
            Some(Name::Part(part)) => {
                let first = self.parts[part.0].place;
                let kind = Kind::Duplicate { what: "name", name: name.into() };
                self.report(Diagnostic::error(kind, place).with(first, "first defined here"));
                return None;
            }
            None => {}
        }
        let point = self.joints.add(Naming::Joint(name.into()), place);
        self.add_name(name, Name::Point(point));
        Some(point)
    }

    /// The known name nearest to a wrong one.
    pub(super) fn nearest(&self, wrong: &str) -> Option<String> {
        let known = self.known.iter().map(String::as_str);
        self.worth_looking().then(|| nearest(wrong, known)).flatten()
    }

    /// Comparing a wrong name with every known one takes its time: after so many there is something else amiss.
    fn worth_looking(&self) -> bool {
        self.problems.len() < MOST_PROBLEMS / 10
    }

    /// The known part whose name is nearest to a wrong one.
    pub(super) fn nearest_part(&self, wrong: &str) -> Option<String> {
        let parts = self.parts.iter().filter(|part| !matches!(part.kind, PartKind::Wire(_)));
        self.worth_looking().then(|| nearest(wrong, parts.map(|part| part.id.as_str()))).flatten()
    }

    /// The known test point whose name is nearest to a wrong one.
    pub(super) fn nearest_test_point(&self, wrong: &str) -> Option<String> {
        let is_point = |name: &&String| matches!(self.names.get(*name), Some(Name::Point(_)));
        let points = self.known.iter().filter(is_point).map(String::as_str);
        self.worth_looking().then(|| nearest(wrong, points)).flatten()
    }

    pub(super) fn part_named(&self, name: &str) -> Option<PartId> {
        match self.names.get(name) {
            Some(Name::Part(part)) => Some(*part),
            _ => None,
        }
    }

    pub(super) fn noun(&self, part: PartId) -> &'static str {
        self.parts[part.0].kind.name()
    }

    /// All terminals of a part in the order of its links.
    pub(super) fn terminals_of(&self, part: PartId) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        let links = &self.links[part.0].links;
        // Segments of a selector before its wiper, which they share.
        let shared = links.iter().filter(|link| link.shared).map(|link| &link.from);
        for name in shared.chain(links.iter().flat_map(|link| [&link.from, &link.to])) {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
        names
    }

    /// Adds an element between two points.
    pub(super) fn add_element(&mut self, element: DraftElement) -> ElementId {
        let id = ElementId(self.elements.len());
        self.parts[element.part.0].elements.push(id);
        self.elements.push(element);
        id
    }
}
