//! What the items of a route mean: names, terminals, members of a group.

use super::{Builder, Kind, Link, Name, Naming, PartId, PartKind, Place, Reached, Walk, nearest};
use crate::machine::resolve::builder::Links;
use crate::machine::resolve::contacts::WIPER;

/// What stands behind the colon of a part.
pub(in crate::machine::resolve) enum Terminals {
    /// Ways through the part, one after the other, each with its direction.
    Through(Vec<(usize, bool)>),
    /// One terminal.
    One(String),
}

impl Walk<'_> {
    /// A bare name: a joint, or a part with two terminals.
    pub(super) fn name(&mut self, builder: &mut Builder<'_>, name: &str, at: Place) {
        match builder.names.get(name).copied() {
            Some(Name::Point(point)) => self.go_to(builder, point, false, at),
            Some(Name::Part(part)) => self.bare(builder, part, at),
            None => {
                let nearest = builder.nearest(name);
                builder.error(Kind::UnknownName { name: name.into(), nearest }, at);
                self.lose_way(builder);
            }
        }
    }

    pub(super) fn group_member(&mut self, builder: &mut Builder<'_>, name: &str, at: Place) {
        if let Some(part) = builder.part_named(name) {
            self.bare(builder, part, at);
        } else {
            let nearest = builder.nearest_part(name);
            builder.error(Kind::UnknownPart { name: name.into(), nearest }, at);
            self.lose_way(builder);
        }
    }

    fn bare(&mut self, builder: &mut Builder<'_>, part: PartId, at: Place) {
        if let Some(link) = builder.links[part.0].bare {
            self.pass(builder, part, link, true, at);
            return;
        }
        let what = builder.noun(part);
        let id = builder.parts[part.0].id.clone();
        let write = how_to_write(&builder.parts[part.0].kind, &id, &builder.links[part.0]);
        builder.error(Kind::NotInSeries { id, what, write }, at);
        self.lose_way(builder);
    }

    /// `K1:5-6`, `J3:6`, `SEL:B-2`, `K1:9`.
    pub(super) fn terminals(&mut self, builder: &mut Builder<'_>, id: &str, terminals: &str, at: Place) {
        let Some(part) = builder.part_named(id) else {
            let nearest = builder.nearest_part(id);
            builder.error(Kind::UnknownPart { name: id.into(), nearest }, at);
            self.lose_way(builder);
            return;
        };
        if matches!(builder.parts[part.0].kind, PartKind::Plug(_)) {
            self.pin(builder, part, terminals, at);
            return;
        }
        match ways(builder, part, terminals) {
            Ok(Terminals::Through(ways)) => {
                for (link, forward) in ways {
                    self.pass(builder, part, link, forward, at);
                }
            }
            Ok(Terminals::One(terminal)) => {
                let point = terminal_point(builder, part, &terminal, at);
                self.go_to(builder, point, true, at);
            }
            Err(kind) => {
                builder.error(kind, at);
                self.lose_way(builder);
            }
        }
    }

    /// Through a pin of a plug, which this makes.
    fn pin(&mut self, builder: &mut Builder<'_>, part: PartId, pin: &str, at: Place) {
        let id = builder.parts[part.0].id.clone();
        if let PartKind::Plug(plug) = &builder.parts[part.0].kind
            && let (Some(ways), Ok(number)) = (plug.ways, pin.parse::<i64>())
            && !(1..=ways).contains(&number)
        {
            builder.error(Kind::PinOutOfRange { plug: id.clone(), pin: pin.into(), ways }, at);
        }
        let name = format!("{id}:{pin}");
        let known = builder.links[part.0].links.iter().position(|link| link.name == name);
        let link = known.unwrap_or_else(|| {
            let law = builder.links[part.0].links[0].law.clone();
            builder.links[part.0].links.push(Link::new(&format!("{pin} in"), &format!("{pin} out"), name, law));
            builder.links[part.0].links.len() - 1
        });
        self.pass(builder, part, link, true, at);
        if known.is_none()
            && let Some(element) = builder.used.get(&(part, link)).copied()
            && let PartKind::Plug(plug) = &mut builder.parts[part.0].kind
        {
            plug.pins.push((pin.to_string(), element));
        }
    }
}

/// The point of a terminal, made if no run has reached it yet.
pub(in crate::machine::resolve) fn terminal_point(
    builder: &mut Builder<'_>,
    part: PartId,
    terminal: &str,
    at: Place,
) -> usize {
    let key = (part, terminal.to_string());
    let name = format!("{}:{terminal}", builder.parts[part.0].id);
    if let Some(reached) = builder.terminals.get(&key) {
        builder.joints.call(reached.point, name);
        return reached.point;
    }
    let point = builder.joints.add(Naming::Terminal(name), at);
    builder.terminals.insert(key, Reached { point, at });
    point
}

/// What the text behind the colon means for a part.
pub(in crate::machine::resolve) fn ways(builder: &Builder<'_>, part: PartId, text: &str) -> Result<Terminals, Kind> {
    let known = builder.terminals_of(part);
    let what = builder.noun(part);
    let id = builder.parts[part.0].id.clone();
    if known.is_empty() {
        return Err(Kind::NoTerminals { id, what });
    }
    if known.iter().any(|name| name == text) {
        return Ok(Terminals::One(text.to_string()));
    }
    let selector = matches!(builder.parts[part.0].kind, PartKind::Selector(_));
    let Some((from, to)) = pair(text, &known, selector) else {
        let missing = text.split('-').find(|name| !known.iter().any(|known| known == name)).unwrap_or(text);
        // Perhaps only the hyphen is missing.
        let hyphen = pair(text, &known, true).map(|(from, to)| format!("{from}-{to}"));
        let nearest = hyphen.or_else(|| nearest(missing, known.iter().map(String::as_str)));
        return Err(Kind::UnknownTerminal { id, terminal: missing.to_string(), known, nearest });
    };
    let links = &builder.links[part.0].links;
    if matches!(builder.parts[part.0].kind, PartKind::Supply(_)) {
        let write = how_to_write(&builder.parts[part.0].kind, &id, &builder.links[part.0]);
        return Err(Kind::NotInSeries { id, what, write });
    }
    if let Some(way) = between(links, from, to) {
        return Ok(Terminals::Through(vec![way]));
    }
    if let (Some(first), Some(second)) = (between(links, from, WIPER), between(links, WIPER, to)) {
        return Ok(Terminals::Through(vec![first, second]));
    }
    let known = links.iter().map(|link| format!("{}-{}", link.from, link.to)).collect();
    Err(Kind::NotAcross { id, terminals: text.to_string(), known })
}

/// Two known terminals, joined by a hyphen, or for a selector written together as in `B2`.
fn pair<'t>(text: &'t str, known: &[String], selector: bool) -> Option<(&'t str, &'t str)> {
    let is_known = |name: &str| known.iter().any(|known| known == name);
    let hyphens = text.match_indices('-').map(|(at, _)| (&text[..at], &text[at + 1..]));
    let together = text.char_indices().skip(1).filter(|_| selector).map(|(at, _)| text.split_at(at));
    hyphens.chain(together).find(|(from, to)| is_known(from) && is_known(to))
}

fn between(links: &[Link], from: &str, to: &str) -> Option<(usize, bool)> {
    links.iter().enumerate().find_map(|(index, link)| {
        if link.from == from && link.to == to {
            Some((index, true))
        } else if link.from == to && link.to == from {
            Some((index, false))
        } else {
            None
        }
    })
}

/// How a part that cannot be passed by its bare name is written in a route.
fn how_to_write(kind: &PartKind, id: &str, links: &Links) -> String {
    match kind {
        PartKind::Supply(_) => "the joints of its terminals instead".into(),
        PartKind::Plug(_) => format!("the pin: `{id}:6`"),
        PartKind::Selector(selector) => {
            let segment =
                |ring: usize| selector.rings.get(ring).and_then(|(_, names)| names.first()).map_or("A", String::as_str);
            format!(
                "segment and segment, or one segment: `{id}:{}-{}`",
                segment(0),
                if selector.rings.len() > 1 { segment(1) } else { WIPER }
            )
        }
        _ => {
            let ways: Vec<String> =
                links.links.iter().map(|link| format!("`{id}:{}-{}`", link.from, link.to)).collect();
            ways.join(" or ")
        }
    }
}
