//! The JSON schema of the plan file, made from the same key lists that the reader uses.
//!
//! Editors that know the first line of a plan, `#:schema plan.schema.json`, complete and check it.

use serde_json::{Map, Value, json};

use super::shape;
use crate::document::{Key, Kind, Shape};

/// The schema, draft 7: the edition that TOML editors understand most widely.
///
/// ```
/// let schema = hosewright::plan::schema::schema();
/// assert!(schema["properties"]["line"]["items"]["properties"]["from"].is_object());
/// ```
pub fn schema() -> Value {
    of_file(&shape::ROOT, "A plan of the lines of a machine")
}

/// The schema of a file that is read by a list of keys.
pub fn of_file(shape: &Shape, title: &str) -> Value {
    let mut root = section(shape);
    if let Value::Object(map) = &mut root {
        map.insert("$schema".into(), json!("http://json-schema.org/draft-07/schema#"));
        map.insert("title".into(), json!(title));
    }
    root
}

fn section(shape: &Shape) -> Value {
    let properties: Map<String, Value> =
        shape.keys.iter().map(|k| (k.name.to_owned(), key(k))).collect();
    let required: Vec<&str> = shape.keys.iter().filter(|k| k.required).map(|k| k.name).collect();
    json!({
        "type": "object",
        "description": shape.about,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn key(key: &Key) -> Value {
    let mut value = kind(key.kind);
    if let Value::Object(map) = &mut value {
        map.insert("description".into(), json!(key.about));
    }
    value
}

fn kind(kind: Kind) -> Value {
    match kind {
        Kind::Name => json!({ "type": "string", "pattern": "^[\\w.-]{1,60}$" }),
        Kind::Words => json!({ "type": "string" }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Number => json!({ "type": "number" }),
        Kind::Count => json!({ "type": "integer", "minimum": 0 }),
        Kind::Quantity(name, examples) => quantity(name, examples),
        Kind::Choice(words) => json!({ "type": "string", "enum": words }),
        Kind::Point => point(),
        Kind::Names => json!({ "type": "array", "items": { "type": "string" } }),
        Kind::NameOrNames => json!({
            "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }],
        }),
        Kind::Quantities(name, examples) => {
            json!({ "type": "array", "items": quantity(name, examples) })
        }
        Kind::Clips(shape) => {
            json!({ "type": "array", "items": { "anyOf": [point(), section(shape)] } })
        }
        Kind::Pairs(first, second) => json!({
            "type": "array",
            "items": {
                "type": "array", "minItems": 2, "maxItems": 2,
                "items": [
                    { "type": "string", "title": first },
                    { "type": "string", "title": second },
                ],
            },
        }),
        Kind::Section(shape) => section(shape),
        Kind::Sections(shape) => json!({ "type": "array", "items": section(shape) }),
        Kind::Map(shape) => json!({ "type": "object", "additionalProperties": section(shape) }),
        Kind::Assign => assign(),
        Kind::Assigns => json!({ "type": "array", "items": assign() }),
        Kind::AssignQuantities(name, examples) => {
            let one = quantity(name, examples);
            // An id with a dot that stands without quotes reads as a table in a table.
            let dotted = json!({ "type": "object", "additionalProperties": one });
            json!({ "type": "object", "additionalProperties": { "anyOf": [one, dotted] } })
        }
    }
}

fn quantity(name: &str, examples: &[&str]) -> Value {
    json!({ "type": "string", "title": name, "examples": examples })
}

fn assign() -> Value {
    json!({ "type": "object", "additionalProperties": { "type": "string" } })
}

fn point() -> Value {
    json!({ "type": "array", "minItems": 3, "maxItems": 3, "items": { "type": "number" } })
}
