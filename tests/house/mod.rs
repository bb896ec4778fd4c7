//! Rules of the house that a compiler cannot see: layers, file heads, check codes, words.
#![expect(
    clippy::disallowed_methods,
    clippy::panic,
    reason = "these tests read the project's own files and rewrite stored answers, or say why not"
)]

mod codes;
pub mod fit;
mod heads;
mod layers;
mod licences;
mod words;

use std::path::{Path, PathBuf};

/// The folder that holds `Cargo.toml`.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The text of a file of the project, by its path from the top.
pub fn read(path: &str) -> String {
    let whole = root().join(path);
    std::fs::read_to_string(&whole).unwrap_or_else(|e| panic!("{path} could not be read: {e}"))
}

/// Paths of all files below a folder of the project, from the top, sorted.
pub fn files_below(folder: &str) -> Vec<String> {
    let mut found = Vec::new();
    gather(&root().join(folder), folder, &mut found);
    found.sort();
    found
}

fn gather(folder: &Path, name: &str, found: &mut Vec<String>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let path = format!("{name}/{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            gather(&entry.path(), &path, found);
        } else {
            found.push(path);
        }
    }
}

/// The `.rs` files below the given folders.
pub fn rust_files(folders: &[&str]) -> Vec<String> {
    let rust = |p: &String| Path::new(p).extension().is_some_and(|e| e == "rs");
    folders.iter().flat_map(|f| files_below(f)).filter(rust).collect()
}

/// Whether stored answers are to be rewritten.
pub fn updating() -> bool {
    std::env::var_os("UPDATE").is_some_and(|v| v == "1")
}

/// Holds a text against its stored copy, or rewrites the copy with `UPDATE=1`.
pub fn assert_stored(path: &str, text: &str) {
    let whole = root().join(path);
    if updating() {
        std::fs::write(&whole, text).unwrap_or_else(|e| panic!("{path}: {e}"));
        return;
    }
    let stored = std::fs::read_to_string(&whole).unwrap_or_default();
    if let Some((line, (was, is))) = first_difference(&stored, text) {
        panic!(
            "{path} differs at line {line}\n  stored: {was}\n  now:    {is}\n\
             if the change is meant, run the tests once with UPDATE=1 and look at the difference"
        );
    }
}

fn first_difference<'t>(stored: &'t str, now: &'t str) -> Option<(usize, (&'t str, &'t str))> {
    if stored == now {
        return None;
    }
    let mut lines = (stored.split('\n'), now.split('\n'));
    for line in 1.. {
        match (lines.0.next(), lines.1.next()) {
            (None, None) => break,
            (was, is) if was != is => {
                return Some((line, (was.unwrap_or("(nothing)"), is.unwrap_or("(nothing)"))));
            }
            _ => {}
        }
    }
    None
}

#[test]
fn a_changed_line_is_found_and_an_equal_text_is_not() {
    assert_eq!(first_difference("a\nb\n", "a\nb\n"), None);
    assert_eq!(first_difference("a\nb\n", "a\nc\n"), Some((2, ("b", "c"))));
    assert_eq!(first_difference("a", "a\nb"), Some((2, ("(nothing)", "b"))));
}
