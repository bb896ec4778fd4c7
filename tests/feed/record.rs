//! Any bytes, handed to the reader of a record.

use hosewright::record::{entries, verify};

/// Every line is an entry or is told with its place; what breaks the chain has a place in the file.
pub fn feed(bytes: &[u8]) {
    let (read, unread) = entries(bytes);
    let lines = bytes.strip_suffix(b"\n").unwrap_or(bytes).split(|b| *b == b'\n').count();
    assert!(bytes.is_empty() || read.len() + unread.len() == lines);
    for line in &unread {
        assert!((1..=lines).contains(&line.line) && line.column >= 1 && !line.why.is_empty());
    }
    let verified = verify(bytes, None);
    for fault in &verified.faults {
        assert!((1..=lines + 1).contains(&fault.line) && fault.column >= 1, "{fault:?}");
        assert!(!fault.what.to_string().is_empty());
    }
}
