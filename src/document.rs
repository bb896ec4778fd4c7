//! Reading a TOML text section by section: every value keeps its place, every problem is gathered.
//!
//! A [`Shape`] lists the keys of a section once. From that one list come the reading, the "unknown
//! key" messages and the JSON schema, so that they cannot drift apart.

use core::cell::RefCell;
use core::ops::Range;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::diagnostic::{Diagnostic, Problems, SourceText, nearest};
use crate::units::{self, Quantity};

/// A value with the bytes it stands on.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed<T> {
    /// The value.
    pub value: T,
    /// Its place in the text.
    pub span: Range<usize>,
}

impl<T> Placed<T> {
    /// The same place with another value.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Placed<U> {
        Placed { value: f(self.value), span: self.span }
    }
}

/// What a key holds.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A short name others refer to: letters, digits, `_ - .`.
    Name,
    /// Free words.
    Words,
    /// `true` or `false`.
    Flag,
    /// A plain number.
    Number,
    /// A whole number.
    Count,
    /// A quantity written as text with its unit: name of the quantity and texts that read.
    Quantity(&'static str, &'static [&'static str]),
    /// One of these words.
    Choice(&'static [&'static str]),
    /// Three coordinates `[x, y, z]`.
    Point,
    /// A list of names.
    Names,
    /// A list of quantities.
    Quantities(&'static str, &'static [&'static str]),
    /// A list of clip points: `[x, y, z]` or a table with `at`.
    Clips(&'static Shape),
    /// A list of pairs of quantities.
    Pairs(&'static str, &'static str),
    /// One table.
    Section(&'static Shape),
    /// A list of tables.
    Sections(&'static Shape),
    /// Named tables.
    Map(&'static Shape),
}

/// The kind of a key that holds one quantity.
pub const fn quantity<Q: Quantity>() -> Kind {
    Kind::Quantity(Q::NAME, Q::EXAMPLES)
}

/// One key of a section.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// The word left of the equals sign.
    pub name: &'static str,
    /// Whether the section is incomplete without it.
    pub required: bool,
    /// What it holds.
    pub kind: Kind,
    /// One line for editors and messages.
    pub about: &'static str,
}

impl Key {
    /// A key that must be there.
    pub const fn must(name: &'static str, kind: Kind, about: &'static str) -> Self {
        Self { name, required: true, kind, about }
    }

    /// A key that may be left out.
    pub const fn may(name: &'static str, kind: Kind, about: &'static str) -> Self {
        Self { name, required: false, kind, about }
    }
}

/// The keys of a section.
#[derive(Debug)]
pub struct Shape {
    /// How the section is written, for messages: `[[line]]`.
    pub title: &'static str,
    /// What it describes, for editors.
    pub about: &'static str,
    /// Its keys, in the order a builder would write them.
    pub keys: &'static [Key],
}

/// Gathers the problems of one text.
#[derive(Debug)]
pub struct Reader {
    problems: RefCell<Problems>,
    /// Places where the text itself is broken; what follows from the holes is not reported.
    broken: RefCell<Vec<Range<usize>>>,
}

impl Reader {
    /// A reader for a text.
    pub fn new(file: Arc<SourceText>) -> Self {
        Self { problems: RefCell::new(Problems::new(file)), broken: RefCell::new(Vec::new()) }
    }

    /// Parses the text; syntax errors are gathered, what can be read is returned.
    pub fn parse<'t>(&self, text: &'t str) -> Spanned<DeTable<'t>> {
        let (root, errors) = DeTable::parse_recoverable(text);
        for error in errors {
            let span = error.span().unwrap_or(0..0);
            self.broken.borrow_mut().push(lines_around(text, &span));
            let message = format!("this is not TOML: {}", first_line(error.message()));
            self.problems.borrow_mut().add(
                span,
                message,
                "here",
                vec!["texts stand in double quotes, for example hose = \"mil-h-8794\"".into()],
            );
        }
        root
    }

    /// Adds a problem, unless it follows from a line that could not be parsed.
    pub fn problem(
        &self,
        span: &Range<usize>,
        message: impl Into<String>,
        label: impl Into<String>,
        help: Vec<String>,
    ) {
        let hit = |b: &Range<usize>| span.start < b.end && b.start < span.end.max(span.start + 1);
        if !self.broken.borrow().iter().any(hit) {
            self.problems.borrow_mut().add(span.clone(), message, label, help);
        }
    }

    /// Adds a problem about something absent; a broken text may just hide it, so it waits.
    pub fn absence(&self, span: &Range<usize>, message: impl Into<String>, help: Vec<String>) {
        if self.broken.borrow().is_empty() {
            self.problem(span, message, "", help);
        }
    }

    /// Whether anything is wrong so far.
    pub fn is_clean(&self) -> bool {
        self.problems.borrow().is_empty()
    }

    /// The problems in the order of the text.
    pub fn into_diagnostics(self) -> Vec<Diagnostic> {
        self.problems.into_inner().into_sorted()
    }

    fn raw(&self, span: &Range<usize>) -> String {
        self.problems.borrow().file().text.get(span.clone()).unwrap_or_default().to_owned()
    }
}

/// One table of the text, read by its shape.
#[derive(Clone, Debug)]
pub struct Section<'a> {
    reader: &'a Reader,
    shape: &'static Shape,
    table: &'a DeTable<'a>,
    /// Where the section stands.
    pub span: Range<usize>,
}

impl<'a> Section<'a> {
    /// A section; unknown and missing keys are reported at once.
    pub fn new(
        reader: &'a Reader,
        shape: &'static Shape,
        table: &'a DeTable<'a>,
        span: Range<usize>,
    ) -> Self {
        let section = Self { reader, shape, table, span };
        section.report_unknown_keys();
        section.report_missing_keys();
        section
    }

    fn report_unknown_keys(&self) {
        let known = || self.shape.keys.iter().map(|k| k.name);
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if known().any(|k| k == name) {
                continue;
            }
            let mut help = Vec::new();
            if let Some(near) = nearest(name, known()) {
                help.push(format!("did you mean \"{near}\"?"));
            }
            help.push(format!(
                "{} knows: {}",
                self.shape.title,
                known().collect::<Vec<_>>().join(", ")
            ));
            self.reader.problem(
                &key.span(),
                format!("{} has no key \"{}\"", self.shape.title, shorten(name)),
                "unknown key",
                help,
            );
        }
    }

    fn report_missing_keys(&self) {
        for key in self.shape.keys.iter().filter(|k| k.required) {
            if self.table.get(key.name).is_none() {
                self.reader.absence(
                    &self.header(),
                    format!("{} needs the key \"{}\"", self.shape.title, key.name),
                    vec![format!("{}: {}; {}", key.name, key.about, written(key))],
                );
            }
        }
    }

    /// The first line of the section, to point at when something is absent.
    pub fn header(&self) -> Range<usize> {
        let raw = self.reader.raw(&self.span);
        let end = raw.find('\n').unwrap_or(raw.len());
        self.span.start..self.span.start + end.max(1)
    }

    /// The reader that gathers problems.
    pub fn reader(&self) -> &'a Reader {
        self.reader
    }

    /// Whether the key is written.
    pub fn has(&self, name: &str) -> bool {
        self.table.get(name).is_some()
    }

    /// The raw value of a key.
    pub fn value(&self, name: &str) -> Option<&'a Spanned<DeValue<'a>>> {
        debug_assert!(self.shape.keys.iter().any(|k| k.name == name), "{name} is not in the shape");
        self.table.get(name)
    }

    /// Free words.
    pub fn words(&self, name: &str) -> Option<Placed<String>> {
        words(self.reader, name, self.value(name)?)
    }

    /// A name others refer to.
    pub fn name(&self, name: &str) -> Option<Placed<String>> {
        let text = self.words(name)?;
        check_name(self.reader, &text).then_some(text)
    }

    /// A list of names or words.
    pub fn names(&self, name: &str) -> Vec<Placed<String>> {
        self.array(name).into_iter().filter_map(|v| words(self.reader, name, v)).collect()
    }

    /// `true` or `false`.
    pub fn flag(&self, name: &str) -> Option<bool> {
        let value = self.value(name)?;
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            self.wrong_kind(name, value, "true or false");
        }
        flag
    }

    /// A whole number.
    pub fn count(&self, name: &str) -> Option<Placed<u32>> {
        let value = self.value(name)?;
        let number = whole_number(value.get_ref());
        if number.is_none() {
            self.wrong_kind(name, value, "a whole number, 0 or more");
        }
        Some(Placed { value: number?, span: value.span() })
    }

    /// A plain finite number.
    pub fn number(&self, name: &str) -> Option<Placed<f64>> {
        let value = self.value(name)?;
        let read = number(value.get_ref());
        if read.is_none() {
            self.wrong_kind(name, value, "a plain number");
        }
        Some(Placed { value: read?, span: value.span() })
    }

    /// One of a few words.
    pub fn choice<T: Copy>(&self, name: &str, words: &[(&'static str, T)]) -> Option<Placed<T>> {
        let text = self.words(name)?;
        let known = || words.iter().map(|(w, _)| *w);
        if let Some((_, value)) = words.iter().find(|(w, _)| *w == text.value) {
            return Some(Placed { value: *value, span: text.span });
        }
        self.unknown(&text, name, known());
        None
    }

    /// Reports a word that is none of the known ones.
    pub fn unknown<'k>(
        &self,
        text: &Placed<String>,
        what: &str,
        known: impl Iterator<Item = &'k str> + Clone,
    ) {
        let mut help = Vec::new();
        if let Some(near) = nearest(&text.value, known.clone()) {
            help.push(format!("did you mean \"{near}\"?"));
        }
        let all = known.collect::<Vec<_>>().join(", ");
        help.push(if all.is_empty() { "none is known".into() } else { format!("known: {all}") });
        self.reader.problem(
            &text.span,
            format!("{what} \"{}\" is not known", shorten(&text.value)),
            "not known",
            help,
        );
    }

    /// A quantity written as text with its unit.
    pub fn quantity<Q: Quantity>(&self, name: &str) -> Option<Placed<Q>> {
        read_quantity(self.reader, name, self.value(name)?)
    }

    /// A list of quantities.
    pub fn quantities<Q: Quantity>(&self, name: &str) -> Vec<Placed<Q>> {
        self.array(name).into_iter().filter_map(|v| read_quantity(self.reader, name, v)).collect()
    }

    /// Pairs of quantities, such as a curve of factor against temperature.
    pub fn pairs<A: Quantity, B: Quantity>(&self, name: &str) -> Vec<(Placed<A>, Placed<B>)> {
        let mut pairs = Vec::new();
        for item in self.array(name) {
            match item.get_ref().as_array().map(|a| (a.len(), a.get(0), a.get(1))) {
                Some((2, Some(a), Some(b))) => {
                    let first = read_quantity(self.reader, name, a);
                    let second = read_quantity(self.reader, name, b);
                    pairs.extend(first.zip(second));
                }
                _ => self.wrong_kind(
                    name,
                    item,
                    &format!("a pair [\"{}\", \"{}\"]", example::<A>(), example::<B>()),
                ),
            }
        }
        pairs
    }

    /// Three coordinates.
    pub fn point(&self, name: &str) -> Option<Placed<[f64; 3]>> {
        point(self.reader, name, self.value(name)?)
    }

    /// The items of a list; anything else is a problem.
    pub fn array(&self, name: &str) -> Vec<&'a Spanned<DeValue<'a>>> {
        let Some(value) = self.value(name) else {
            return Vec::new();
        };
        if let Some(items) = value.get_ref().as_array() {
            return items.iter().collect();
        }
        self.wrong_kind(name, value, "a list in [ ]");
        Vec::new()
    }

    /// One table.
    pub fn section(&self, name: &str, shape: &'static Shape) -> Option<Section<'a>> {
        let value = self.value(name)?;
        let table = value.get_ref().as_table();
        if table.is_none() {
            self.wrong_kind(name, value, "a table");
        }
        Some(Section::new(self.reader, shape, table?, value.span()))
    }

    /// A list of tables.
    pub fn sections(&self, name: &str, shape: &'static Shape) -> Vec<Section<'a>> {
        let Some(value) = self.value(name) else {
            return Vec::new();
        };
        if value.get_ref().is_table() {
            self.wrong_kind(name, value, &format!("a list of tables, written {}", shape.title));
            return Vec::new();
        }
        let mut sections = Vec::new();
        for item in self.array(name) {
            match item.get_ref().as_table() {
                Some(table) => {
                    sections.push(Section::new(self.reader, shape, table, item.span()));
                }
                None => self.wrong_kind(name, item, "a table"),
            }
        }
        sections
    }

    /// Named tables, in the order of the text.
    pub fn map(&self, name: &str, shape: &'static Shape) -> Vec<(Placed<String>, Section<'a>)> {
        let Some(value) = self.value(name) else {
            return Vec::new();
        };
        let Some(table) = value.get_ref().as_table() else {
            self.wrong_kind(name, value, "a table of tables");
            return Vec::new();
        };
        let mut entries = Vec::new();
        for (key, item) in table {
            let label = Placed { value: key.get_ref().to_string(), span: key.span() };
            match item.get_ref().as_table() {
                _ if !check_name(self.reader, &label) => {}
                Some(inner) => {
                    entries.push((label, Section::new(self.reader, shape, inner, item.span())));
                }
                None => self.wrong_kind(name, item, "a table"),
            }
        }
        entries.sort_by_key(|(label, _)| label.span.start);
        entries
    }

    fn wrong_kind(&self, name: &str, value: &Spanned<DeValue<'_>>, wanted: &str) {
        wrong_kind(self.reader, name, value, wanted);
    }
}

/// Three finite coordinates as `[x, y, z]`.
pub fn point(
    reader: &Reader,
    name: &str,
    value: &Spanned<DeValue<'_>>,
) -> Option<Placed<[f64; 3]>> {
    let numbers: Option<Vec<f64>> = value
        .get_ref()
        .as_array()
        .filter(|a| a.len() == 3)
        .and_then(|a| a.iter().map(|v| number(v.get_ref())).collect());
    let Some(xyz) = numbers.and_then(|n| <[f64; 3]>::try_from(n).ok()) else {
        wrong_kind(reader, name, value, "three finite numbers [x, y, z] in the plan's length unit");
        return None;
    };
    Some(Placed { value: xyz, span: value.span() })
}

/// A quantity from a text value; its own misreading is reported on the offending letters.
pub fn read_quantity<Q: Quantity>(
    reader: &Reader,
    name: &str,
    value: &Spanned<DeValue<'_>>,
) -> Option<Placed<Q>> {
    let span = value.span();
    let Some(text) = value.get_ref().as_str() else {
        let wanted = format!("text with a unit, for example \"{}\"", example::<Q>());
        wrong_kind(reader, name, value, &wanted);
        return None;
    };
    match units::read::<Q>(text) {
        Ok(quantity) => Some(Placed { value: quantity, span }),
        Err(error) => {
            let place = inner_span(&reader.raw(&span), &span, text, &error.span);
            let message = format!("{name}: {}", error.message);
            reader.problem(&place, message, format!("not a {}", Q::NAME), error.help);
            None
        }
    }
}

fn example<Q: Quantity>() -> &'static str {
    Q::EXAMPLES.first().copied().unwrap_or("")
}

/// Words from a text value; control characters are refused, since they would reach the terminal.
pub fn words(reader: &Reader, name: &str, value: &Spanned<DeValue<'_>>) -> Option<Placed<String>> {
    let Some(text) = value.get_ref().as_str() else {
        wrong_kind(reader, name, value, "text in double quotes");
        return None;
    };
    if text.chars().any(|c| c.is_control() && c != '\n' && c != '\t') {
        reader.problem(
            &value.span(),
            format!("{name} holds a control character"),
            "not printable",
            vec!["use letters that can be printed".into()],
        );
        return None;
    }
    Some(Placed { value: text.to_owned(), span: value.span() })
}

fn check_name(reader: &Reader, text: &Placed<String>) -> bool {
    let good = |c: char| c.is_alphanumeric() || "_-.".contains(c);
    let ok =
        !text.value.is_empty() && text.value.chars().count() <= 60 && text.value.chars().all(good);
    if !ok {
        reader.problem(
            &text.span,
            format!("\"{}\" cannot be a name", shorten(&text.value)),
            "not a name",
            vec!["a name has 1 to 60 letters, digits, _ - or . and no blanks".into()],
        );
    }
    ok
}

fn wrong_kind(reader: &Reader, name: &str, value: &Spanned<DeValue<'_>>, wanted: &str) {
    let found = value.get_ref().type_str();
    reader.problem(
        &value.span(),
        format!("{name} is {} {found}, but {wanted} is needed", article(found)),
        format!("needs {wanted}"),
        Vec::new(),
    );
}

fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" }
}

/// A number of the text as `f64`; `None` for infinities and other kinds.
pub fn number(value: &DeValue<'_>) -> Option<f64> {
    let parsed = match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse::<f64>().ok(),
        DeValue::Float(f) => f.as_str().parse::<f64>().ok(),
        _ => None,
    };
    parsed.filter(|n| n.is_finite() && n.abs() < 1e12)
}

fn whole_number(value: &DeValue<'_>) -> Option<u32> {
    match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().parse().ok(),
        _ => None,
    }
}

/// The bytes of a part of a text value, when the text stands in the file letter for letter.
fn inner_span(raw: &str, span: &Range<usize>, text: &str, part: &Range<usize>) -> Range<usize> {
    match raw.find(text) {
        Some(start) if !text.is_empty() => {
            let from = span.start + start;
            from + part.start..from + part.end.max(part.start + 1).min(text.len().max(1))
        }
        _ => span.clone(),
    }
}

/// The first 40 letters of a long name, so that a message stays readable.
pub fn shorten(text: &str) -> String {
    if text.chars().count() <= 40 {
        return text.to_owned();
    }
    let head: String = text.chars().take(37).collect();
    format!("{head}...")
}

fn written(key: &Key) -> String {
    match key.kind {
        Kind::Quantity(_, examples) => {
            format!("for example {} = \"{}\"", key.name, examples.first().copied().unwrap_or(""))
        }
        Kind::Choice(words) => format!("one of {}", words.join(", ")),
        Kind::Point => format!("for example {} = [120, 0, 45]", key.name),
        Kind::Section(shape) | Kind::Sections(shape) | Kind::Map(shape) => {
            format!("written {}", shape.title)
        }
        _ => format!("for example {} = \"...\"", key.name),
    }
}

fn first_line(message: &str) -> &str {
    message.lines().next().unwrap_or(message)
}

fn lines_around(text: &str, span: &Range<usize>) -> Range<usize> {
    let start = text.get(..span.start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let end = text.get(span.end..).and_then(|t| t.find('\n')).map_or(text.len(), |i| span.end + i);
    start..end.max(start + 1)
}
