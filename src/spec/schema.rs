//! The JSON Schema of the format, generated from the definition of its sections.

use serde_json::{Map, Value as Json, json};

use super::format::Document;
use super::reader::Section;

/// Schema of a section: its keys, none else. What must be there is added by [`schema`], since a spec that builds on another
/// may leave it out.
#[must_use]
pub fn of_section<S: Section>() -> Json {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in S::keys() {
        let mut schema = key.schema;
        // What the key means is more than what its type is.
        if let Json::Object(object) = &mut schema {
            object.insert("description".into(), key.description.into());
        }
        if key.required {
            required.push(key.name.clone());
        }
        properties.insert(key.name, schema);
    }
    json!({
        "type": "object",
        "description": S::DESCRIPTION.trim(),
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

/// The JSON Schema of a spec (draft 2020-12).
#[must_use]
pub fn schema() -> Json {
    let mut schema = of_section::<Document>();
    let mut definitions = Map::new();
    definitions.insert("value".into(), value_definition());
    if let Some(Json::Object(properties)) = schema.get_mut("properties") {
        for (name, property) in properties {
            move_to_definitions(name, property, &mut definitions);
        }
    }
    let whole = whole(&mut schema, &mut definitions);
    schema["anyOf"] = json!([{ "required": ["base"] }, { "$ref": "#/$defs/whole" }]);
    definitions.insert("whole".into(), whole);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = "benchleaf machine description".into();
    schema["$defs"] = Json::Object(definitions);
    schema
}

/// Puts the schema of a section under its own name, so that an editor shows it as a thing of its own.
fn move_to_definitions(name: &str, property: &mut Json, definitions: &mut Map<String, Json>) {
    let list = property["type"] == "array" && property["items"]["type"] == "object";
    let table = property["type"] == "object";
    if !list && !table {
        return;
    }
    let reference = json!({ "$ref": format!("#/$defs/{name}") });
    let section = if list {
        std::mem::replace(&mut property["items"], reference)
    } else {
        let description = property["description"].clone();
        let section = std::mem::replace(property, reference);
        property["description"] = description;
        section
    };
    definitions.insert(name.to_string(), section);
}

/// What a spec that stands on its own must say; one that builds on another says only what differs, so everything but the
/// keys that identify a section is moved from the sections to here.
fn whole(schema: &mut Json, definitions: &mut Map<String, Json>) -> Json {
    let mut sections = Map::new();
    for (name, definition) in definitions.iter_mut().filter(|(name, _)| *name != "value") {
        let Some(Json::Array(required)) = definition.get_mut("required") else { continue };
        let all = std::mem::take(required);
        required.extend(all.iter().filter(|key| *key == "id" || *key == "number").cloned());
        let rule = json!({ "required": all });
        let rule = if name == "machine" { rule } else { json!({ "items": rule }) };
        sections.insert(name.clone(), rule);
    }
    let required = std::mem::replace(&mut schema["required"], json!([]));
    json!({ "description": "a spec that stands on its own", "required": required, "properties": sections })
}

fn value_definition() -> Json {
    json!({
        "type": "object",
        "description": "a quantity that says where it comes from",
        "properties": {
            "value": { "type": "string", "description": "the quantity, such as `120 ohm ±10 %`" },
            "origin": { "type": "string", "enum": ["stated", "measured", "estimated"], "description": "how it is known" },
            "source": { "type": "string", "description": "page or paper" },
        },
        "required": ["value"],
        "additionalProperties": false,
    })
}
