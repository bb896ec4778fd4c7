//! Errors of the TOML syntax in the words of a builder, without those that only follow from another.

use core::ops::Range;

use toml::de::Error;

/// A place where the text is no TOML.
#[derive(Debug)]
pub struct Fault {
    /// The bytes at fault.
    pub span: Range<usize>,
    /// What follows from the fault and is not reported.
    pub hides: Range<usize>,
    /// Whether that may be the name of a section.
    pub hides_names: bool,
    /// What is wrong.
    pub message: String,
    /// The few words under the caret.
    pub label: &'static str,
    /// What would be right.
    pub help: Vec<String>,
}

/// More signs than this are not read: what is kept of each takes some two hundred bytes.
pub const MOST_SIGNS: usize = 32_000_000;

/// How many signs a text has, where they are too many; a text of fewer bytes need not be counted.
pub fn too_many_signs(text: &str) -> Option<usize> {
    (text.len() > MOST_SIGNS).then(|| signs(text)).filter(|signs| *signs > MOST_SIGNS)
}

/// What parts a text into words: blanks, each run of them once, line ends, and everything that is no letter or digit.
fn signs(text: &str) -> usize {
    let mut blank = false;
    let parts = |byte: u8| {
        let again = blank && byte == b' ';
        blank = byte == b' ';
        !again && !byte.is_ascii_alphanumeric()
    };
    text.bytes().map(parts).filter(|parts| *parts).count()
}

/// The faults behind the parser's errors: the first of each line, and none inside a list or table
/// that was never closed, since the parser takes all the rest of the text for its items.
pub fn faults(text: &str, errors: &[Error]) -> Vec<Fault> {
    let runaway = runaway(errors);
    let mut faults: Vec<Fault> = Vec::new();
    for error in errors {
        let span = before_return(text, error.span().unwrap_or(0..0));
        if runaway.as_ref().is_some_and(|start| span.start >= *start) {
            faults.push(unclosed(text, span.start));
            break;
        }
        if faults.last().is_none_or(|last| span.start >= last.hides.end) {
            faults.push(fault(text, span, error.message()));
        }
    }
    faults
}

/// What is missing at the end of a line is missing in front of its carriage return.
fn before_return(text: &str, span: Range<usize>) -> Range<usize> {
    let ends_line = text.get(span.start..).is_some_and(|t| t.starts_with('\n'));
    if ends_line && text.get(..span.start).is_some_and(|t| t.ends_with('\r')) {
        return span.start - 1..span.end;
    }
    span
}

/// Where the parser began to take other lines for items of a list or an inline table.
fn runaway(errors: &[Error]) -> Option<usize> {
    let open = |e: &Error| {
        let message = e.message();
        ["unclosed array,", "unclosed inline table", "unexpected `=` in array"]
            .iter()
            .any(|start| message.starts_with(start))
    };
    let inside = |e: &Error| {
        let message = e.message();
        open(e) || message.contains("array elements") || message.contains("key-value pairs")
    };
    errors.iter().any(open).then_some(())?;
    errors.iter().find(|e| inside(e))?.span().map(|span| span.start)
}

fn unclosed(text: &str, at: usize) -> Fault {
    let before = text.get(..at).unwrap_or(text).trim_end();
    let last = before.char_indices().next_back();
    let span = last.map_or(0..0, |(start, c)| start..start + c.len_utf8());
    Fault {
        hides: lines_around(text, &span).start..text.len().max(1),
        hides_names: true,
        span,
        message: "a list or an inline table is not closed".to_owned(),
        label: "it should end here or before",
        help: vec!["every [ needs its ] and every { its }, with commas between the items".into()],
    }
}

fn fault(text: &str, span: Range<usize>, message: &str) -> Fault {
    let raw = text.get(span.clone()).unwrap_or_default();
    let (message, label, help) = wording(raw, message);
    let hides = lines_around(text, &span);
    let line = text.get(hides.clone()).unwrap_or_default();
    Fault { hides, hides_names: may_name(line), span, message, label, help: vec![help] }
}

/// Whether a broken line can be anything but one plain key that names nothing.
fn may_name(line: &str) -> bool {
    let key = line.trim_start().split(|c: char| !c.is_ascii_lowercase() && c != '_').next();
    line.trim_end().contains('\n') || matches!(key, None | Some("" | "id" | "name" | "ports"))
}

type Wording = (String, &'static str, String);

fn wording(raw: &str, message: &str) -> Wording {
    // What the parser expected next is seldom what the builder meant.
    let plain = message.split(", expected").next().unwrap_or(message);
    let raw_short = super::shorten(raw);
    let starts = |words: &[&str]| words.iter().any(|w| plain.starts_with(w));
    if starts(&[
        "string values must be quoted",
        "invalid boolean",
        "invalid float",
        "missing value",
    ]) {
        return bare_value(raw, &raw_short);
    }
    if starts(&["invalid basic string", "invalid literal string"]) && message.contains("visible") {
        let help = "use letters that can be seen";
        return ("a text holds a control character".to_owned(), "not printable", help.to_owned());
    }
    let entry = WORDINGS.iter().find(|(found, ..)| starts(&[found]));
    if let Some((_, message, label, help)) = entry {
        // A key may bear quotes of its own.
        let key = raw_short.trim_matches(['"', '\'']);
        return (message.replace("{raw}", key), label, (*help).to_owned());
    }
    let message = plain.lines().next().unwrap_or(plain);
    (format!("this is not TOML: {message}"), "here", AS_STARTER.to_owned())
}

const AS_STARTER: &str = "`hosewright new -` shows a plan that reads";

fn bare_value(raw: &str, raw_short: &str) -> Wording {
    if raw.is_empty() {
        let help = "write the value behind the equals sign, or take the key out";
        return ("the value is missing".to_owned(), "nothing here", help.to_owned());
    }
    let quotes = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{ab}', '\u{bb}', '\u{2018}', '\u{2019}'];
    if raw.contains(quotes) {
        let help = format!("write \"{}\"", super::shorten(raw.trim_matches(quotes)));
        return ("these are printer's quotes; TOML takes straight ones".to_owned(), "quotes", help);
    }
    let help = format!("write \"{}\"", raw_short.trim_matches('"'));
    ("a text stands in double quotes, also a number with a unit".to_owned(), "no quotes", help)
}

/// How the parser's message begins, and what is said instead.
const WORDINGS: &[(&str, &str, &str, &str)] = &[
    (
        "duplicate key",
        "\"{raw}\" stands twice in one section",
        "again",
        "take one of the two out; sections that may be repeated are written [[...]]",
    ),
    (
        "key with no value",
        "the equals sign is missing",
        "expected = here",
        "a line of a plan is: key = value",
    ),
    ("extra `=`", "one equals sign too many", "extra", "a line of a plan is: key = value"),
    (
        "invalid basic string",
        "this text is not closed",
        "the quote is missing",
        "a text ends with the quote it began with, on the same line",
    ),
    (
        "invalid literal string",
        "this text is not closed",
        "the quote is missing",
        "a text ends with the quote it began with, on the same line",
    ),
    (
        "invalid multi-line",
        "this text is not closed",
        "the quotes are missing",
        "a text that began with three quotes ends with three",
    ),
    (
        "missing escaped value",
        "a backslash in double quotes begins an escape, and this is none",
        "no escape",
        "write two backslashes, or put the text in single quotes",
    ),
    (
        "too few unicode value digits",
        "an escape \\u needs four digits, \\U eight",
        "too few",
        "write the letter itself; a plan is UTF-8 text",
    ),
    (
        "unclosed array table",
        "the header of a section is not closed",
        "] is missing",
        "a section that may be repeated is written [[name]], any other [name]",
    ),
    (
        "unclosed table",
        "the header of a section is not closed",
        "] is missing",
        "a section that may be repeated is written [[name]], any other [name]",
    ),
    (
        "unexpected key or value",
        "something is left over at the end of the line",
        "left over",
        "one key and one value a line; what follows # is a comment",
    ),
    (
        "missing comma between array elements",
        "a comma is missing in the list",
        "expected , before this",
        "items of a list are parted by commas: [330, 0, 380]",
    ),
    ("extra comma in", "one comma too many", "extra", "one comma stands between two items"),
    (
        "missing comma between key-value pairs",
        "a comma is missing in the inline table",
        "expected , before this",
        "pairs are parted by commas: { x = \"aft\", y = \"right\" }",
    ),
    (
        "extra assignment between key-value pairs",
        "a comma is missing in the inline table",
        "expected , before this",
        "pairs are parted by commas: { x = \"aft\", y = \"right\" }",
    ),
    (
        "unquoted keys cannot be empty",
        "the key is missing",
        "nothing here",
        "a line of a plan is: key = value",
    ),
    (
        "invalid unquoted key",
        "this key holds a letter that only a quoted key can hold",
        "not a key",
        "keys of a plan are plain words such as bend_radius",
    ),
    (
        "cannot recurse further",
        "lists and tables are nested too deeply",
        "too deep",
        "a plan needs no more than four levels",
    ),
    (
        "recursion limit",
        "lists and tables are nested too deeply",
        "too deep",
        "a plan needs no more than four levels",
    ),
    (
        "carriage return must be followed",
        "a carriage return stands alone",
        "lone carriage return",
        "save the file with the line ends of your system",
    ),
    (
        "invalid comment character",
        "a comment holds a control character",
        "not printable",
        "use letters that can be seen",
    ),
    (
        "unexpected leading zero",
        "a number does not begin with 0",
        "leading zero",
        "write 7, not 007",
    ),
    (
        "cannot extend value",
        "\"{raw}\" has a value already and cannot be a section as well",
        "again",
        "take one of the two out",
    ),
];

/// The whole lines that a place touches.
fn lines_around(text: &str, span: &Range<usize>) -> Range<usize> {
    let start = text.get(..span.start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let end = text.get(span.end..).and_then(|t| t.find('\n')).map_or(text.len(), |i| span.end + i);
    start..end + 1
}
