//! The few words of JSON Schema that the schemas of the project use.

use serde_json::Value;

/// Where a value departs from a schema. A key that the schema does not name is a departure too, unless it allows any.
pub fn fit(value: &Value, schema: &Value, at: &str, found: &mut Vec<String>) {
    if let Some(choices) = schema["anyOf"].as_array() {
        let fits = |s: &Value| {
            let mut inner = Vec::new();
            fit(value, s, at, &mut inner);
            inner.is_empty()
        };
        if !choices.iter().any(fits) {
            found.push(format!("{at}: fits none of the forms"));
        }
        return;
    }
    let kinds = match &schema["type"] {
        Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).collect(),
        one => vec![one.as_str().unwrap_or("")],
    };
    if !kinds.iter().any(|kind| is(value, kind)) {
        found.push(format!("{at}: not a {}", kinds.join(" or a ")));
        return;
    }
    if schema["enum"].as_array().is_some_and(|words| !words.contains(value)) {
        found.push(format!("{at}: not one of the choices"));
    }
    fit_items(value, schema, at, found);
    fit_keys(value, schema, at, found);
}

fn is(value: &Value, kind: &str) -> bool {
    match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "number" => value.is_number(),
        "integer" => value.is_u64() || value.is_i64(),
        "null" => value.is_null(),
        _ => false,
    }
}

fn fit_items(value: &Value, schema: &Value, at: &str, found: &mut Vec<String>) {
    let Some(items) = value.as_array() else { return };
    let count = items.len() as u64;
    let low = schema["minItems"].as_u64().is_some_and(|n| count < n);
    let high = schema["maxItems"].as_u64().is_some_and(|n| count > n);
    if low || high {
        found.push(format!("{at}: wrong number of items"));
    }
    for (index, item) in items.iter().enumerate() {
        let each = schema["items"].get(index).unwrap_or(&schema["items"]);
        fit(item, each, &format!("{at}/{index}"), found);
    }
}

fn fit_keys(value: &Value, schema: &Value, at: &str, found: &mut Vec<String>) {
    let Some(map) = value.as_object() else { return };
    for (key, inner) in map {
        let place = format!("{at}/{key}");
        match (schema["properties"].get(key), schema.get("additionalProperties")) {
            (Some(known), _) => fit(inner, known, &place, found),
            (None, Some(any)) if any.is_object() => fit(inner, any, &place, found),
            _ => found.push(format!("{at}: key {key} is not known")),
        }
    }
    for required in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
        if !map.contains_key(required) {
            found.push(format!("{at}: key {required} is missing"));
        }
    }
}
