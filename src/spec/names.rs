//! Names that routes and lists refer to: ids of parts, joints and test points.

use serde_json::{Value as Json, json};

use super::diagnostic::Place;
use super::kind::Kind;
use super::reader::{FromNode, Reader};
use super::tree::{Node, inside_text};
use super::values::text;

/// An id with its place. It holds none of the characters that have a meaning in a route.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Id {
    /// The name.
    pub name: String,
    /// Where it is written.
    pub place: Place,
}

/// Characters beside letters and digits that an id may hold.
const ALLOWED: [char; 5] = ['-', '_', '+', '/', '.'];

impl FromNode for Id {
    fn read(node: &Node, reader: &mut Reader<'_>) -> Option<Self> {
        let name = text(node, reader)?;
        if name.is_empty() {
            reader.error(Kind::EmptyText, node.place);
            return None;
        }
        let bad =
            name.char_indices().find(|(_, character)| !character.is_alphanumeric() && !ALLOWED.contains(character));
        if let Some((offset, character)) = bad {
            let at = inside_text(reader.sources, node.place, offset..offset + character.len_utf8());
            reader.error(Kind::BadCharacterInId { character }, at);
            return None;
        }
        if name == "wire" || name.contains("..") {
            reader.error(Kind::ReservedId { name }, node.place);
            return None;
        }
        Some(Self { name, place: node.place })
    }

    fn placeholder() -> Self {
        Self { name: String::new(), place: Place::default() }
    }

    fn schema() -> Json {
        json!({ "type": "string", "pattern": "^[\\p{L}\\p{N}_+/.-]+$" })
    }
}
