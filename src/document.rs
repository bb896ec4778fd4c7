//! Reading a TOML text section by section: every value keeps its place, every problem is gathered.
//!
//! A [`Shape`] lists the keys of a section once. From that one list come the reading, the "unknown
//! key" messages and the JSON schema, so that they cannot drift apart.

mod assign;
pub mod points;
mod syntax;
mod uncertain;
mod value;

use core::cell::RefCell;
use core::ops::Range;
use std::collections::BTreeMap;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::diagnostic::{Diagnostic, Problems, SourceText, nearest, visible};
use crate::units::Quantity;
pub use uncertain::{Shifts, Uncertain};
use value::{check_name, read_quantity, whole_number, wrong_kind};
pub use value::{number, point, with_unit, words};

/// So many known names are shown under an unknown one.
const MOST_NAMES: usize = 16;

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
    /// A name, or a list of them.
    NameOrNames,
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
    /// Words by name, in one table: `{ SEL = "left" }`.
    Assign,
    /// A list of such tables.
    Assigns,
    /// Quantities by name, in one table: `{ petrol = "38 degC" }`.
    AssignQuantities(&'static str, &'static [&'static str]),
}

/// The kind of a key that holds one quantity.
pub const fn quantity<Q: Quantity>() -> Kind {
    Kind::Quantity(Q::NAME, Q::EXAMPLES)
}

/// The kind of a key that holds a list of quantities.
pub const fn quantities<Q: Quantity>() -> Kind {
    Kind::Quantities(Q::NAME, Q::EXAMPLES)
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
    /// Whether a broken part may have held the name of a section.
    hides_names: RefCell<bool>,
    /// How far uncertain quantities are moved.
    shifts: Shifts,
    /// Uncertain quantities by their first byte.
    uncertain: RefCell<BTreeMap<usize, Uncertain>>,
}

impl Reader {
    /// A reader for a text.
    pub fn new(file: Arc<SourceText>) -> Self {
        Self {
            problems: RefCell::new(Problems::new(file)),
            broken: RefCell::new(Vec::new()),
            hides_names: RefCell::new(false),
            shifts: Shifts::new(),
            uncertain: RefCell::new(BTreeMap::new()),
        }
    }

    /// Parses the text; syntax errors are gathered, what can be read is returned. Of a text with too many signs nothing.
    pub fn parse<'t>(&self, text: &'t str) -> Spanned<DeTable<'t>> {
        let text = if let Some(signs) = syntax::too_many_signs(text) {
            let most = syntax::MOST_SIGNS;
            let message = format!(
                "the file has {signs} blanks, line ends and signs; at most {most} are read"
            );
            self.problem(&(0..0), message, "", vec!["is this the right file?".into()]);
            self.broken.borrow_mut().push(0..text.len());
            ""
        } else {
            text
        };
        let (root, errors) = DeTable::parse_recoverable(text);
        for fault in syntax::faults(text, &errors) {
            if fault.hides_names {
                *self.hides_names.borrow_mut() = true;
            }
            self.broken.borrow_mut().push(fault.hides);
            let mut problems = self.problems.borrow_mut();
            problems.add(fault.span, fault.message, fault.label, fault.help);
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
            let mut problems = self.problems.borrow_mut();
            problems.add(span.clone(), message, label, help);
        }
    }

    /// Adds a problem about something absent; a broken text may just hide it, so it waits.
    pub fn absence(&self, span: &Range<usize>, message: impl Into<String>, help: Vec<String>) {
        if !self.is_broken() {
            self.problem(span, message, "", help);
        }
    }

    /// Whether a part of the text could not be parsed, so that anything may be missing.
    pub fn is_broken(&self) -> bool {
        !self.broken.borrow().is_empty()
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

    /// The first line of a part of the text.
    fn first_line(&self, span: &Range<usize>) -> Range<usize> {
        let problems = self.problems.borrow();
        let raw = problems.file().text.get(span.clone()).unwrap_or_default();
        let end = raw.find('\n').unwrap_or(raw.len());
        span.start..span.start + end.max(1)
    }

    /// Whether no more problems are taken.
    fn is_full(&self) -> bool {
        self.problems.borrow().is_full()
    }
}

/// One table of the text, read by its shape.
#[derive(Clone, Debug)]
pub struct Section<'a> {
    reader: &'a Reader,
    shape: &'static Shape,
    table: &'a DeTable<'a>,
    /// Keys that an unknown one seems to mean.
    misspelt: Vec<&'static str>,
    /// The way to it in words.
    trail: String,
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
        let mut section =
            Self { reader, shape, table, span, misspelt: Vec::new(), trail: String::new() };
        section.misspelt = section.report_unknown_keys();
        section.report_missing_keys();
        section
    }

    fn report_unknown_keys(&self) -> Vec<&'static str> {
        let known = || self.shape.keys.iter().map(|k| k.name);
        let mut misspelt = Vec::new();
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if known().any(|k| k == name) {
                continue;
            }
            let mut help = Vec::new();
            if let Some(near) = nearest(name, known()) {
                help.push(format!("did you mean \"{near}\"?"));
                misspelt.push(near);
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
        misspelt
    }

    fn report_missing_keys(&self) {
        for key in self.shape.keys.iter().filter(|k| k.required) {
            if !self.has(key.name) {
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
        self.reader.first_line(&self.span)
    }

    /// The value of a key, to point at it; the first line of the section when it is absent.
    pub fn place(&self, name: &str) -> Range<usize> {
        self.value(name).map_or_else(|| self.header(), Spanned::span)
    }

    /// Whether a list holds items that cannot be referred to, because their name is missing or is
    /// no text; what refers to them is not at fault.
    pub fn has_nameless(&self, list: &str, key: &str) -> bool {
        let named = |item: &Spanned<DeValue<'_>>| {
            let name = item.get_ref().as_table().and_then(|t| t.get(key));
            name.and_then(|n| n.get_ref().as_str()).is_some_and(|n| !n.trim().is_empty())
        };
        let all_named = |list: &Spanned<DeValue<'_>>| {
            list.get_ref().as_array().is_some_and(|items| items.iter().all(named))
        };
        self.may_hide(list) || self.value(list).is_some_and(|v| !all_named(v))
    }

    /// Whether there may be more items of a list than can be seen.
    pub fn may_hide(&self, list: &str) -> bool {
        let is_table = |item: &Spanned<DeValue<'_>>| item.get_ref().is_table();
        let all_seen = |list: &Spanned<DeValue<'_>>| {
            list.get_ref().as_array().is_some_and(|items| items.iter().all(is_table))
        };
        *self.reader.hides_names.borrow()
            || self.misspelt.contains(&list)
            || self.value(list).is_some_and(|v| !all_seen(v))
    }

    /// The reader that gathers problems.
    pub fn reader(&self) -> &'a Reader {
        self.reader
    }

    /// Whether the key is written, if only with a slip, which is reported already.
    pub fn has(&self, name: &str) -> bool {
        self.table.get(name).is_some() || self.misspelt.contains(&name)
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

    /// The name of this section itself: a bad one is reported, but what refers to it still finds it.
    pub fn id(&self, name: &str) -> Option<Placed<String>> {
        let text = self.words(name)?;
        check_name(self.reader, &text);
        Some(text)
    }

    /// The name of something else.
    pub fn name(&self, name: &str) -> Option<Placed<String>> {
        let text = self.words(name)?;
        check_name(self.reader, &text).then_some(text)
    }

    /// A list of names or words.
    pub fn names(&self, name: &str) -> Vec<Placed<String>> {
        self.array(name).into_iter().filter_map(|v| words(self.reader, name, v)).collect()
    }

    /// Names in a list, or one that stands by itself.
    pub fn name_or_names(&self, name: &str) -> Vec<Placed<String>> {
        let list = self.value(name).is_some_and(|v| v.get_ref().as_array().is_some());
        if list { self.names(name) } else { self.name(name).into_iter().collect() }
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
        let message = format!("{what} \"{}\" is not known", shorten(&text.value));
        self.no_such(text, message, known, None);
    }

    /// Reports a word that is none of the known ones in other words; `list` says where a long list
    /// of them can be seen.
    pub fn no_such<'k>(
        &self,
        text: &Placed<String>,
        message: String,
        known: impl Iterator<Item = &'k str> + Clone,
        list: Option<&str>,
    ) {
        // Comparing with all names is dear, and a full list of problems takes no more.
        if self.reader.is_full() {
            return self.reader.problem(&text.span, message, "not known", Vec::new());
        }
        let mut help = Vec::new();
        let written = text.value.trim();
        let same = known.clone().find(|k| *k == written);
        if let Some(near) = same.or_else(|| nearest(written, known.clone())) {
            help.push(format!("did you mean \"{}\"?", shorten(near)));
        }
        help.push(list.map_or_else(|| some_of(known), str::to_owned));
        self.reader.problem(&text.span, message, "not known", help);
    }

    /// A quantity written as text with its unit.
    pub fn quantity<Q: Quantity>(&self, name: &str) -> Option<Placed<Q>> {
        read_quantity(self.reader, name, || self.words_to(name), self.value(name)?)
    }

    /// A list of quantities.
    pub fn quantities<Q: Quantity>(&self, name: &str) -> Vec<Placed<Q>> {
        let item = |(i, v)| {
            let what = || format!("{} {}", self.words_to(name), i + 1);
            read_quantity(self.reader, name, what, v)
        };
        self.array(name).into_iter().enumerate().filter_map(item).collect()
    }

    /// Pairs of quantities, such as a curve of factor against temperature.
    pub fn pairs<A: Quantity, B: Quantity>(&self, name: &str) -> Vec<(Placed<A>, Placed<B>)> {
        let mut pairs = Vec::new();
        for (i, item) in self.array(name).into_iter().enumerate() {
            let what = |part: &str| format!("{} point {} {part}", self.words_to(name), i + 1);
            let parts: Vec<_> = item.get_ref().as_array().into_iter().flatten().collect();
            if let [a, b] = parts.as_slice() {
                let first = read_quantity(self.reader, name, || what(A::NAME), a);
                let second = read_quantity(self.reader, name, || what(B::NAME), b);
                pairs.extend(first.zip(second));
            } else {
                let (a, b) = (value::example::<A>(), value::example::<B>());
                self.wrong_kind(name, item, &format!("pairs such as [\"{a}\", \"{b}\"]"));
            }
        }
        pairs
    }

    /// Three coordinates.
    pub fn point(&self, name: &str) -> Option<Placed<[f64; 3]>> {
        point(self.reader, name, self.value(name)?)
    }

    /// Three numbers that are no coordinates; `are` says what they are.
    pub fn triple(&self, name: &str, are: &str) -> Option<Placed<[f64; 3]>> {
        value::triple(self.reader, name, self.value(name)?, are)
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
            self.wrong_kind(name, value, &format!("one table, written {}", one(name, shape)));
        }
        Some(self.inner(name, shape, table?, value.span(), None))
    }

    /// A list of tables.
    pub fn sections(&self, name: &str, shape: &'static Shape) -> Vec<Section<'a>> {
        let Some(value) = self.value(name) else {
            return Vec::new();
        };
        let wanted = format!("a list of tables, written {}", several(name, shape));
        let Some(items) = value.get_ref().as_array() else {
            // A header that lost a bracket leaves a table where a list would be.
            if !*self.reader.hides_names.borrow() {
                self.wrong_kind(name, value, &wanted);
            }
            return Vec::new();
        };
        let mut sections = Vec::new();
        for (i, item) in items.iter().enumerate() {
            let number = (items.len() > 1).then_some(i + 1);
            match item.get_ref().as_table() {
                Some(table) => sections.push(self.inner(name, shape, table, item.span(), number)),
                None => self.wrong_kind(name, item, &wanted),
            }
        }
        sections
    }

    /// Named tables, in the order of the text.
    pub fn map(&self, name: &str, shape: &'static Shape) -> Vec<(Placed<String>, Section<'a>)> {
        let Some(value) = self.value(name) else {
            return Vec::new();
        };
        let wanted = format!("named tables, written {}", shape.title);
        let Some(table) = value.get_ref().as_table() else {
            self.wrong_kind(name, value, &wanted);
            return Vec::new();
        };
        let mut entries = Vec::new();
        for (key, item) in table {
            let label = Placed { value: key.get_ref().to_string(), span: key.span() };
            check_name(self.reader, &label);
            match item.get_ref().as_table() {
                Some(inner) => {
                    let mut section = self.inner(name, shape, inner, item.span(), None);
                    section.trail = format!("{} {}", self.words_to(name), shorten(&label.value));
                    entries.push((label, section));
                }
                None => self.wrong_kind(name, item, &wanted),
            }
        }
        entries.sort_by_key(|(label, _)| label.span.start);
        entries
    }

    fn wrong_kind(&self, name: &str, value: &Spanned<DeValue<'_>>, wanted: &str) {
        wrong_kind(self.reader, name, value, wanted);
    }
}

/// The first 40 letters of a long name, so that a message stays readable.
pub fn shorten(text: &str) -> String {
    if text.chars().count() <= 40 {
        return visible(text);
    }
    let head: String = text.chars().take(37).collect();
    format!("{}...", visible(&head))
}

/// The known names, as many as a reader can take in.
fn some_of<'k>(known: impl Iterator<Item = &'k str>) -> String {
    let all: Vec<String> = known.map(shorten).collect();
    match all.get(..MOST_NAMES) {
        _ if all.is_empty() => "none is known".to_owned(),
        Some(first) if all.len() > MOST_NAMES => {
            format!("known: {} and {} more", first.join(", "), all.len() - MOST_NAMES)
        }
        _ => format!("known: {}", all.join(", ")),
    }
}

/// How a single table is written.
fn one(name: &str, shape: &Shape) -> String {
    if shape.title.starts_with('[') {
        return shape.title.to_owned();
    }
    format!("{name} = {}", inline(shape))
}

/// How a list of tables is written.
fn several(name: &str, shape: &Shape) -> String {
    if shape.title.starts_with('[') {
        return shape.title.to_owned();
    }
    format!("{name} = [{}]", inline(shape))
}

fn inline(shape: &Shape) -> String {
    let mut shown: Vec<String> = shape.keys.iter().filter(|k| k.required).map(example_of).collect();
    if shown.is_empty() {
        shown.extend(shape.keys.first().map(example_of));
    }
    format!("{{ {} }}", shown.join(", "))
}

/// What would be right for a key that is absent.
fn written(key: &Key) -> String {
    match key.kind {
        Kind::Choice(words) => format!("{} = one of {}", key.name, words.join(", ")),
        Kind::Map(shape) => format!("written {}", shape.title),
        Kind::Section(shape) | Kind::Sections(shape) if shape.title.starts_with('[') => {
            format!("written {}", shape.title)
        }
        _ => format!("for example {}", example_of(key)),
    }
}

fn example_of(key: &Key) -> String {
    let value = match key.kind {
        Kind::Name | Kind::Words => "\"...\"".to_owned(),
        Kind::Flag => "true".to_owned(),
        Kind::Number | Kind::Count => "2".to_owned(),
        Kind::Quantity(_, examples) => format!("\"{}\"", examples.first().unwrap_or(&"")),
        Kind::Quantities(_, examples) => format!("[\"{}\"]", examples.first().unwrap_or(&"")),
        Kind::Choice(words) => format!("\"{}\"", words.first().unwrap_or(&"")),
        Kind::Point => "[1, 0, 0]".to_owned(),
        Kind::Section(shape) => inline(shape),
        Kind::Assign => "{ NAME = \"...\" }".to_owned(),
        _ => "[...]".to_owned(),
    };
    format!("{} = {value}", key.name)
}
