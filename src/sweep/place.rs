//! Where in a plan a value stands, and how a line of values is taken apart.

use toml_edit::{Item, TableLike, Value};

/// The value at the end of the keys.
///
/// # Errors
/// The number of keys that lead somewhere; the next one does not.
pub fn find<'i>(item: &'i mut Item, keys: &[String]) -> Result<&'i mut Value, usize> {
    in_item(item, keys, 0)
}

fn in_item<'i>(item: &'i mut Item, keys: &[String], at: usize) -> Result<&'i mut Value, usize> {
    let last = keys.len().saturating_sub(1);
    match item {
        Item::Value(value) => in_value(value, keys, at),
        Item::Table(table) => in_table(table, keys, at),
        Item::ArrayOfTables(tables) => {
            let key = keys.get(at).ok_or(last)?;
            let named = tables.iter().position(|t| bears(t, key));
            let index = named.or_else(|| counted(key)).ok_or(at)?;
            in_table(tables.get_mut(index).ok_or(at)?, keys, at + 1)
        }
        Item::None => Err(at.min(last)),
    }
}

fn in_table<'i>(
    table: &'i mut dyn TableLike,
    keys: &[String],
    at: usize,
) -> Result<&'i mut Value, usize> {
    let key = keys.get(at).ok_or(keys.len().saturating_sub(1))?;
    in_item(table.get_mut(key).ok_or(at)?, keys, at + 1)
}

fn in_value<'i>(value: &'i mut Value, keys: &[String], at: usize) -> Result<&'i mut Value, usize> {
    let Some(key) = keys.get(at) else { return Ok(value) };
    match value {
        Value::InlineTable(table) => in_value(table.get_mut(key).ok_or(at)?, keys, at + 1),
        Value::Array(list) => {
            let bears = |v: &Value| v.as_inline_table().is_some_and(|t| bears(t, key));
            let index = list.iter().position(bears).or_else(|| counted(key)).ok_or(at)?;
            in_value(list.get_mut(index).ok_or(at)?, keys, at + 1)
        }
        _ => Err(at),
    }
}

/// Whether one of several has this id or name.
fn bears(table: &dyn TableLike, key: &str) -> bool {
    ["id", "name"].iter().any(|k| table.get(k).and_then(Item::as_str) == Some(key))
}

/// The index that a number counted from 1 stands for.
fn counted(key: &str) -> Option<usize> {
    key.parse::<usize>().ok()?.checked_sub(1)
}

/// The text before and behind the first mark that stands in no quotes and no brackets.
pub fn split_first(text: &str, mark: char) -> Option<(&str, &str)> {
    let at = marks(text, mark).into_iter().next()?;
    Some((&text[..at], &text[at + mark.len_utf8()..]))
}

/// The parts between marks that stand in no quotes and no brackets.
pub fn split(text: &str, mark: char) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut from = 0;
    for at in marks(text, mark) {
        parts.push(&text[from..at]);
        from = at + mark.len_utf8();
    }
    parts.push(&text[from..]);
    parts
}

/// Where the marks stand. A quote opens only where a value or a key begins: `3/8"` is three eighths of an inch.
fn marks(text: &str, mark: char) -> Vec<usize> {
    let (mut found, mut open, mut depth) = (Vec::new(), None, 0_usize);
    let mut begins = true;
    for (at, letter) in text.char_indices() {
        match (open, letter) {
            (Some(quote), _) if letter == quote => open = None,
            (None, '"' | '\'') if begins => open = Some(letter),
            (None, '[' | '{') => depth += 1,
            (None, ']' | '}') => depth = depth.saturating_sub(1),
            (None, _) if letter == mark && depth == 0 => found.push(at),
            _ => {}
        }
        begins = matches!(letter, '=' | ',' | '.' | '[' | '{') || begins && letter.is_whitespace();
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{split, split_first};

    #[test]
    fn marks_in_quotes_and_brackets_part_nothing() {
        assert_eq!(
            split("[1, 2], {a = \"x,y\"},3/8\",1/2\"", ','),
            ["[1, 2]", " {a = \"x,y\"}", "3/8\"", "1/2\""]
        );
        assert_eq!(split_first("case.\"a=b\".air=1 K=2", '='), Some(("case.\"a=b\".air", "1 K=2")));
        assert_eq!(split_first("nothing", '='), None);
    }
}
