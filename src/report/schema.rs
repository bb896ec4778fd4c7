//! The schema of a report as data, for programs that read it.

/// JSON schema of what `check --format json` writes. Keys are only ever added, so that readers must pass over
/// those that they do not know.
///
/// ```
/// let schema: serde_json::Value = serde_json::from_str(hosewright::report::schema::CHECK).unwrap();
/// assert_eq!(schema["properties"]["findings"]["type"], "array");
/// ```
pub const CHECK: &str = include_str!("check.schema.json");
