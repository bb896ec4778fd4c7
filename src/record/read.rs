//! Entries out of the bytes of a record.

use super::entry::Entry;

/// A line that cannot be read as an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// Line of the file, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Why.
    pub why: String,
}

/// The entries of a record in the order of the file, and the lines that cannot be read as one.
///
/// # Notes
/// Whether entries are what was written is not asked here: that is for [`verify`](super::verify). What
/// stands behind the last line end is read like any other line.
///
/// ```
/// use hosewright::record::entries;
/// let (read, unread) = entries(b"{\"number\":1}\n");
/// assert!(read.is_empty());
/// assert_eq!((unread[0].line, unread[0].why.as_str()), (1, "missing field `time`"));
/// ```
pub fn entries(bytes: &[u8]) -> (Vec<Entry>, Vec<Unread>) {
    let (mut read, mut unread) = (Vec::new(), Vec::new());
    let whole = bytes.strip_suffix(b"\n").unwrap_or(bytes);
    if bytes.is_empty() {
        return (read, unread);
    }
    for (index, line) in whole.split(|b| *b == b'\n').enumerate() {
        match serde_json::from_slice::<Entry>(line) {
            Ok(entry) => read.push(entry),
            Err(error) => unread.push(explained(index + 1, line, &error)),
        }
    }
    (read, unread)
}

fn explained(number: usize, line: &[u8], error: &serde_json::Error) -> Unread {
    let text = error.to_string();
    // The place of the error is that within the line.
    let why = text.rsplit_once(" at line ").map_or(text.as_str(), |(why, _)| why);
    let before = &line[..error.column().saturating_sub(1).min(line.len())];
    let column = String::from_utf8_lossy(before).chars().count() + 1;
    Unread { line: number, column, why: why.to_owned() }
}
