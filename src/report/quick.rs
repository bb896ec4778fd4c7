//! Single calculations: named results as text, data or a spreadsheet row.

use core::fmt::Write;

use serde_json::{Map, Value, json};

use super::grid::wrapped;
use super::{Format, caution, spreadsheet};

/// One result of a single calculation.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Key of the JSON contract.
    pub key: &'static str,
    /// The number or word.
    pub value: Value,
    /// The same for a person.
    pub text: String,
}

impl Answer {
    /// A number with its text.
    pub fn number(key: &'static str, value: f64, text: impl Into<String>) -> Self {
        Self { key, value: json!(value), text: text.into() }
    }

    /// A word.
    pub fn word(key: &'static str, word: &str) -> Self {
        Self { key, value: json!(word), text: word.to_owned() }
    }
}

/// The answers in a format.
pub fn write(answers: &[Answer], notes: &[String], format: Format, width: usize) -> String {
    match format {
        Format::Json => {
            let mut map: Map<String, Value> =
                answers.iter().map(|a| (a.key.to_owned(), a.value.clone())).collect();
            map.insert("notes".into(), json!(notes));
            map.insert("cautions".into(), json!([caution::ALWAYS]));
            format!("{:#}\n", Value::Object(map))
        }
        Format::Csv => {
            let head: Vec<&str> = answers.iter().map(|a| a.key).collect();
            let plain = |v: &Value| v.as_str().map_or_else(|| v.to_string(), str::to_owned);
            let row = answers.iter().map(|a| plain(&a.value)).collect();
            spreadsheet::rows(&head, core::iter::once(row))
        }
        Format::Text => {
            let mut out = lines(answers, width);
            for note in notes.iter().map(String::as_str).chain([caution::ALWAYS]) {
                out.push_str(&wrapped(note, width, 0));
            }
            out
        }
    }
}

/// One line an answer, or two where both do not fit on one.
fn lines(answers: &[Answer], width: usize) -> String {
    let label = answers.iter().map(|a| a.key.len()).max().unwrap_or(0);
    let mut out = String::new();
    for answer in answers {
        let name = answer.key.replace('_', " ");
        if label + 2 + answer.text.chars().count() <= width {
            let _ = writeln!(out, "{name:label$}  {}", answer.text);
        } else {
            let _ = write!(out, "{name}\n{}", wrapped(&answer.text, width, 2));
        }
    }
    out
}
