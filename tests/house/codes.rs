//! The codes of the checks: unique, stored, documented, and each in the file that bears its name.

use std::collections::BTreeSet;

use hosewright::check::{About, abouts};

use super::{assert_stored, files_below, read};

/// `geometry.bend-radius` lives in `src/check/geometry/bend_radius.rs`.
fn file_of(code: &str) -> String {
    format!("src/check/{}.rs", code.replace('.', "/").replace('-', "_"))
}

fn parts(about: &About) -> [(&'static str, &'static str); 6] {
    [
        ("looks_at", about.looks_at),
        ("why", about.why),
        ("number", about.number),
        ("limit_from", about.limit_from),
        ("open_when", about.open_when),
        ("remedy", about.remedy),
    ]
}

#[test]
fn no_code_is_used_twice_and_the_sorted_list_is_the_stored_one() {
    let codes: BTreeSet<&str> = abouts().map(|a| a.code).collect();
    assert_eq!(codes.len(), abouts().count(), "a code stands twice");
    let lines: Vec<&str> = codes.into_iter().collect();
    assert_stored("tests/house/codes.txt", &(lines.join("\n") + "\n"));
}

#[test]
fn every_code_is_a_subject_and_a_thing_in_small_letters() {
    for about in abouts() {
        let small = |part: &str| {
            !part.is_empty()
                && part.chars().all(|c| c.is_ascii_lowercase() || c == '-')
                && !part.starts_with('-')
                && !part.ends_with('-')
        };
        let parts: Vec<&str> = about.code.split('.').collect();
        assert!(parts.len() == 2 && parts.iter().all(|p| small(p)), "{}", about.code);
    }
}

#[test]
fn every_check_stands_in_the_file_of_its_code_and_every_file_in_the_list() {
    let expected: BTreeSet<String> = abouts().map(|a| file_of(a.code)).collect();
    let found: BTreeSet<String> = files_below("src/check")
        .into_iter()
        .filter(|f| f.matches('/').count() == 3 && !f.ends_with("/mod.rs"))
        .collect();
    assert_eq!(found, expected);
    for about in abouts() {
        let text = read(&file_of(about.code));
        let head = format!("//! `{}`: ", about.code);
        assert!(text.starts_with(&head), "{} should begin with {head}", file_of(about.code));
        let code = format!("code: \"{}\"", about.code);
        assert!(text.contains(&code), "{} lacks {code}", file_of(about.code));
    }
}

#[test]
fn every_check_can_be_explained_in_full() {
    for about in abouts() {
        for (part, text) in parts(about) {
            // Shorter than two words explains nothing.
            assert!(text.trim().contains(' '), "{}: {part} says \"{text}\"", about.code);
            assert_eq!(text.trim(), text, "{}: {part} has blanks at an end", about.code);
        }
    }
}
