//! Whether two names are those of one person.

/// Whether two names are the same but for capitals and blanks.
///
/// # Notes
/// A name is a text that somebody typed; two spellings of one person count as two, and a record cannot know it.
///
/// ```
/// use hosewright::signed::same_person;
/// assert!(same_person(" A. Builder", "a.  BUILDER "));
/// assert!(!same_person("A. Builder", "B. Builder"));
/// ```
pub fn same_person(a: &str, b: &str) -> bool {
    let plain = |name: &str| {
        let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
        words.join(" ")
    };
    plain(a) == plain(b)
}
