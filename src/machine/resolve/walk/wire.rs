//! Wires: parts that the runs themselves declare.

use super::{
    Builder, CameBy, DraftElement, DraftStep, Kind, Law, Naming, Part, PartKind, Place, Walk, Wire, WireText, defaults,
};
use crate::machine::model::Origin;
use crate::machine::resolve::builder::Links;

/// Colour letters of IEC 60757.
const COLOURS: [&str; 15] =
    ["BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "TQ", "SR", "GNYE"];

impl Walk<'_> {
    /// Along a wire, which this makes a part.
    pub(super) fn wire(&mut self, builder: &mut Builder<'_>, text: &WireText, at: Place) {
        self.check_colour(builder, text);
        let wire = Wire {
            colour: text.colour.clone(),
            size: text.size.as_ref().map(|size| size.area),
            size_text: text.size.as_ref().map(|size| size.text.clone()),
            length: text.length,
        };
        let law = Law::Resistance(defaults::wire_ohms(&wire, text.size.as_ref()));
        let id = free_name(builder);
        let name = id.clone();
        let part = builder.add_part(wire_part(id, PartKind::Wire(wire), at), Links::default());
        if let CameBy::Landed { terminal, first } = &self.came_by {
            let kind = Kind::TerminalTwice { terminal: terminal.clone() };
            let problem = crate::spec::diagnostic::Diagnostic::error(kind, at).with(*first, "wired here first");
            builder.report(problem);
        }
        let from = self.here.unwrap_or_else(|| builder.joints.add(Naming::Nothing, at));
        if self.here.is_none() {
            self.arrive(builder, from, CameBy::Part);
        }
        let to = builder.joints.add(Naming::Nothing, at);
        let element = builder.add_element(DraftElement { part, name, from, to, law, at });
        self.steps.push(DraftStep::Element { element, forward: true });
        self.arrive(builder, to, CameBy::Part);
    }

    fn check_colour(&self, builder: &mut Builder<'_>, text: &WireText) {
        let Some((base, tracer)) = &text.colour else {
            return;
        };
        let declared = |code: &str| self.colours.0.iter().any(|(known, _)| known.value == code);
        let known = |code: &str| COLOURS.contains(&code) || declared(code);
        let whole = tracer.as_ref().map_or_else(|| base.clone(), |tracer| format!("{base}/{tracer}"));
        let good = known(base) && tracer.as_deref().is_none_or(known) || declared(&whole);
        if !good {
            let at = self.route.place(text.colour_range.clone());
            builder.error(Kind::UnknownColour { found: whole }, at);
        }
    }
}

/// The next of `W1`, `W2`, ... that the description does not use itself.
fn free_name(builder: &mut Builder<'_>) -> String {
    loop {
        builder.wires += 1;
        let name = format!("W{}", builder.wires);
        if !builder.names.contains_key(&name) {
            return name;
        }
    }
}

fn wire_part(id: String, kind: PartKind, place: Place) -> Part {
    Part {
        id,
        label: None,
        location: None,
        place,
        source: None,
        origin: Origin::Stated,
        kind,
        elements: Vec::new(),
        group: None,
        twins: Vec::new(),
        door: None,
    }
}
