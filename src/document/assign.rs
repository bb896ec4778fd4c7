//! Tables that give something to names of the plan: `{ SEL = "left", P2 = "off" }`.

use core::ops::Range;
use std::collections::BTreeSet;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::value::{check_name, example, read_quantity};
use super::{Placed, Section, shorten, words};
use crate::units::Quantity;

/// A name with what is given to it.
type Given<T> = (Placed<String>, T);

impl<'a> Section<'a> {
    /// Words by name, in the order of the text.
    pub fn assign(&self, key: &str) -> Vec<Given<Placed<String>>> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        self.words_of(key, value)
    }

    /// A list of tables of words by name, each with its place.
    pub fn assigns(&self, key: &str) -> Vec<Placed<Vec<Given<Placed<String>>>>> {
        let item =
            |v: &'a Spanned<DeValue<'a>>| Placed { value: self.words_of(key, v), span: v.span() };
        self.array(key).into_iter().map(item).collect()
    }

    /// Quantities by name, in the order of the text.
    pub fn assign_quantities<Q: Quantity>(&self, key: &str) -> Vec<Given<Placed<Q>>> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let mut given = Vec::new();
        for (name, item) in self.entries(key, value, example::<Q>()) {
            let what = || format!("{} {}", self.words_to(key), shorten(&name.value));
            let read = read_quantity(self.reader, &name.value, what, item);
            given.extend(read.map(|r| (name, r)));
        }
        given
    }

    fn words_of(&self, key: &str, value: &'a Spanned<DeValue<'a>>) -> Vec<Given<Placed<String>>> {
        let mut given = Vec::new();
        for (name, item) in self.entries(key, value, "...") {
            let read = words(self.reader, &shorten(&name.value), item);
            given.extend(read.map(|r| (name, r)));
        }
        given
    }

    /// The names of a table with their values; what is no table or no name is a problem.
    fn entries(
        &self,
        key: &str,
        value: &'a Spanned<DeValue<'a>>,
        example: &str,
    ) -> Vec<Given<&'a Spanned<DeValue<'a>>>> {
        let Some(table) = value.get_ref().as_table() else {
            let wanted = format!("names with a text each, such as {{ NAME = \"{example}\" }}");
            self.wrong_kind(key, value, &wanted);
            return Vec::new();
        };
        let mut all = Vec::new();
        flatten(None, table, &mut all);
        all.sort_by_key(|(name, _)| name.span.start);
        let mut seen = BTreeSet::new();
        all.retain(|(name, _)| {
            let fresh = seen.insert(name.value.clone());
            if !fresh {
                self.reader.problem(
                    &name.span,
                    format!("\"{}\" stands twice in {key}", shorten(&name.value)),
                    "again",
                    vec!["take one of the two out".into()],
                );
            }
            check_name(self.reader, name) && fresh
        });
        all
    }
}

/// A name with a dot that stands without quotes reads as a table in a table: it is put together again.
fn flatten<'a>(
    before: Option<&Placed<String>>,
    table: &'a DeTable<'a>,
    all: &mut Vec<Given<&'a Spanned<DeValue<'a>>>>,
) {
    for (key, value) in table {
        let name = join(before, key.get_ref(), key.span());
        match value.get_ref().as_table() {
            Some(inner) if !inner.is_empty() => flatten(Some(&name), inner, all),
            _ => all.push((name, value)),
        }
    }
}

fn join(before: Option<&Placed<String>>, key: &str, span: Range<usize>) -> Placed<String> {
    match before {
        Some(first) => Placed {
            value: format!("{}.{key}", first.value),
            span: first.span.start.min(span.start)..span.end.max(first.span.end),
        },
        None => Placed { value: key.to_owned(), span },
    }
}
