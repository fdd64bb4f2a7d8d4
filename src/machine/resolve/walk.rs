//! Walks every run with a finger: each part that it passes becomes an element between two points, and points become one
//! joint where runs meet.
//!
//! A terminal is one point however often a run comes to it. A run may start or end at a terminal that another run has
//! reached; passing through such a terminal from somewhere else is refused, since it would tie two circuits together
//! unseen, unless the route names the terminal as a joint.

use std::collections::hash_map::Entry;

use super::builder::{Builder, DraftElement, DraftRun, DraftStep, Link, Name, Reached};
use super::defaults;
use super::joints::{Naming, Point};
use crate::machine::model::{ElementId, Law, Part, PartId, PartKind, Wire};
use crate::spec::diagnostic::{Diagnostic, Place};
use crate::spec::format::{Document, RunSection};
use crate::spec::kind::Kind;
use crate::spec::range;
use crate::spec::reader::nearest;
use crate::spec::route::{self, Item, Placed, WireText};
use crate::spec::tree::TextPlaces;
use crate::spec::values::Entries;

pub(super) mod item;
mod wire;

/// Walks all runs in the order of the file.
pub(super) fn walk_all(builder: &mut Builder<'_>, document: &Document) {
    let colours = document.machine.wire_colours.clone().unwrap_or_default();
    for run in &document.run {
        walk(builder, run, &colours);
    }
    for part in 0..builder.parts.len() {
        connect_wiper(builder, PartId(part));
    }
}

/// A selector joins its wiper to every segment that a run reaches, whether or not the run passes through it.
fn connect_wiper(builder: &mut Builder<'_>, part: PartId) {
    if !matches!(builder.parts[part.0].kind, PartKind::Selector(_)) {
        return;
    }
    for link in 0..builder.links[part.0].links.len() {
        let Link { from, to, name, law, .. } = builder.links[part.0].links[link].clone();
        let reached = |terminal: String| builder.terminals.get(&(part, terminal)).copied();
        let (Some(segment), Some(wiper)) = (reached(from), reached(to)) else { continue };
        if let Entry::Vacant(free) = builder.used.entry((part, link)) {
            free.insert(ElementId(builder.elements.len()));
            let (from, to, at) = (segment.point, wiper.point, segment.at);
            let element = builder.add_element(DraftElement { part, name, from, to, law, at });
            // A run like any other, so that whoever follows the runs finds the wiper's contact.
            let steps =
                vec![DraftStep::Point(from), DraftStep::Element { element, forward: true }, DraftStep::Point(to)];
            builder.runs.push(DraftRun { label: None, steps, at });
        }
    }
}

fn walk(builder: &mut Builder<'_>, section: &RunSection, colours: &Entries<String>) {
    let known_problems = builder.problems.len();
    let text = &section.route.value;
    if text.is_empty() {
        // It has a message already; whatever stands alone now may belong into it.
        builder.broken_wiring = true;
        builder.route_missing = true;
        return;
    }
    let (items, flaws) = route::parse(text);
    let route = TextPlaces::new(builder.sources, section.route.place);
    for flaw in flaws {
        builder.error(flaw.kind, route.place(flaw.range));
    }
    let mut walk = Walk { route, colours, here: None, came_by: CameBy::Nothing, steps: Vec::new() };
    for item in &items {
        walk.take(builder, item);
    }
    let steps = walk.steps;
    if steps.iter().any(|step| matches!(step, DraftStep::Element { .. })) {
        builder.runs.push(DraftRun { label: section.label.clone(), steps, at: section.route.place });
    } else if items.len() < 2 && builder.problems.len() == known_problems {
        // Two joints and nothing between them say that they are one; a joint alone says nothing.
        builder.error(Kind::RunWithoutParts, section.route.place);
    }
    if builder.problems.len() > known_problems {
        builder.broken_wiring = true;
        mention(builder, text);
    }
}

/// Remembers every name in a route that has a message.
fn mention(builder: &mut Builder<'_>, text: &str) {
    for word in text.split(|character: char| character.is_whitespace() || matches!(character, '>' | '→' | ':')) {
        match range::expand(word) {
            Some(Ok(names)) => builder.mentioned.extend(names),
            _ => {
                builder.mentioned.insert(word.to_string());
            }
        }
    }
}

/// How the finger came to where it stands.
#[derive(Debug, Clone, PartialEq)]
enum CameBy {
    /// It has not started.
    Nothing,
    /// The route names the joint.
    Joint,
    /// Out of a part, at a terminal that nothing else has reached.
    Part,
    /// Out of a part, at a terminal that something else has reached before.
    Landed { terminal: String, first: Place },
    /// Out of something that has a message already: anything goes.
    Unknown,
}

/// One run on its way.
struct Walk<'r> {
    route: TextPlaces,
    colours: &'r Entries<String>,
    here: Option<Point>,
    came_by: CameBy,
    steps: Vec<DraftStep>,
}

impl Walk<'_> {
    fn take(&mut self, builder: &mut Builder<'_>, placed: &Placed) {
        let at = self.route.place(placed.range.clone());
        match &placed.item {
            Item::Name(name) => self.name(builder, name, at),
            Item::Terminals { id, terminals } => self.terminals(builder, id, terminals, at),
            Item::Group { names, terminals } => {
                let known = names.iter().any(|name| builder.names.contains_key(name));
                // Of a range that names nothing, once is enough.
                for name in &names[..if known { names.len() } else { 1 }] {
                    match terminals {
                        Some(terminals) => self.terminals(builder, name, terminals, at),
                        None => self.group_member(builder, name, at),
                    }
                }
            }
            Item::Wire(wire) => self.wire(builder, wire, at),
        }
    }

    /// After a message the walk goes on, without complaining of what follows from it.
    fn lose_way(&mut self, builder: &mut Builder<'_>) {
        builder.doubtful.extend(self.here);
        self.here = None;
        self.came_by = CameBy::Unknown;
    }

    /// Goes to a joint that the route names, by its own name or by that of a terminal there.
    fn go_to(&mut self, builder: &mut Builder<'_>, point: Point, by_terminal: bool, at: Place) {
        if let Some(here) = self.here
            && !builder.joints.same(here, point)
        {
            self.tie(builder, here, point, by_terminal, at);
        }
        self.arrive(builder, point, CameBy::Joint);
    }

    fn tie(&mut self, builder: &mut Builder<'_>, here: Point, point: Point, by_terminal: bool, at: Place) {
        let by = match &self.came_by {
            CameBy::Landed { terminal, .. } => Some(terminal.clone()),
            _ => None,
        };
        if let CameBy::Landed { terminal, first } = &self.came_by
            && !by_terminal
        {
            let kind = Kind::TerminalTwice { terminal: terminal.clone() };
            builder.report(Diagnostic::error(kind, at).with(*first, "wired here first"));
            return;
        }
        if let Err((first, second)) = builder.joints.tie(here, point) {
            builder.error(Kind::JointsTied { first, second, by }, at);
        }
    }

    fn arrive(&mut self, builder: &mut Builder<'_>, point: Point, came_by: CameBy) {
        if self.came_by == CameBy::Unknown {
            builder.doubtful.push(point);
        }
        if !matches!(self.steps.last(), Some(DraftStep::Point(last)) if *last == point) {
            if matches!(self.steps.last(), Some(DraftStep::Point(_))) {
                self.steps.pop();
            }
            self.steps.push(DraftStep::Point(point));
        }
        self.here = Some(point);
        self.came_by = came_by;
    }

    /// Passes through a part.
    fn pass(&mut self, builder: &mut Builder<'_>, part: PartId, link: usize, forward: bool, at: Place) {
        let Link { from, to, name, law, shared } = builder.links[part.0].links[link].clone();
        let (entry, exit) = if forward { (&from, &to) } else { (&to, &from) };
        if let Some(used) = builder.used.get(&(part, link)).copied() {
            let first = builder.elements[used.0].at;
            if !shared {
                builder
                    .problems
                    .push(Diagnostic::error(Kind::UsedTwice { name }, at).with(first, "first wired in here"));
                self.lose_way(builder);
                return;
            }
        }
        let start = self.enter(builder, part, entry, at);
        let (end, came_by) = leave(builder, part, exit, at);
        let known = builder.used.get(&(part, link)).copied();
        let element = known.unwrap_or_else(|| {
            let (from, to) = if forward { (start, end) } else { (end, start) };
            let element = builder.add_element(DraftElement { part, name, from, to, law, at });
            builder.used.insert((part, link), element);
            element
        });
        self.steps.push(DraftStep::Element { element, forward });
        self.arrive(builder, end, came_by);
    }

    /// The point at which the run enters a part.
    fn enter(&mut self, builder: &mut Builder<'_>, part: PartId, terminal: &str, at: Place) -> Point {
        let reached = builder.terminals.get(&(part, terminal.to_string())).copied();
        let full = format!("{}:{terminal}", builder.parts[part.0].id);
        let point = match (self.here, reached) {
            (None, None) => builder.joints.add(Naming::Nothing, at),
            (None, Some(reached)) => reached.point,
            (Some(here), None) => {
                if let CameBy::Landed { terminal, first } = &self.came_by {
                    let kind = Kind::TerminalTwice { terminal: terminal.clone() };
                    builder.report(Diagnostic::error(kind, at).with(*first, "wired here first"));
                }
                here
            }
            (Some(here), Some(reached)) => {
                if !builder.joints.same(here, reached.point) {
                    let kind = Kind::TerminalTwice { terminal: full };
                    builder.report(Diagnostic::error(kind, at).with(reached.at, "wired here first"));
                }
                here
            }
        };
        builder.terminals.entry((part, terminal.to_string())).or_insert(Reached { point, at });
        if self.here.is_none() {
            self.arrive(builder, point, CameBy::Part);
        }
        point
    }
}

/// The point at which the run leaves a part, and how that counts for what follows.
fn leave(builder: &mut Builder<'_>, part: PartId, terminal: &str, at: Place) -> (Point, CameBy) {
    let key = (part, terminal.to_string());
    if let Some(reached) = builder.terminals.get(&key) {
        let terminal = format!("{}:{terminal}", builder.parts[part.0].id);
        return (reached.point, CameBy::Landed { terminal, first: reached.at });
    }
    let point = builder.joints.add(Naming::Nothing, at);
    builder.terminals.insert(key, Reached { point, at });
    (point, CameBy::Part)
}
