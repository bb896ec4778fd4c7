//! Which line, component or case of one plan is which of the other, also where it bears another name.

use std::collections::BTreeMap;

use crate::plan::{Case, Component, Line, Plan};

/// Places closer than this are one place, mm.
const SAME_PLACE_MM: f64 = 0.01;

/// What bears another name, old to new.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Renames {
    /// Components: the same kind with the same ports, in the same places or under the same full name.
    pub components: BTreeMap<String, String>,
    /// Lines: from and to the same ports.
    pub lines: BTreeMap<String, String>,
    /// Cases that are the same but for their name.
    pub cases: BTreeMap<String, String>,
}

impl Renames {
    /// What can be told from the ends, the places and the conditions; what two things could be is left as it is.
    pub fn between(old: &Plan, new: &Plan) -> Self {
        let mut renames = Self::default();
        let components = [&old.components, &new.components];
        renames.components = pairs(components, |c| &c.id, same_component);
        let same = |a: &Line, b: &Line| {
            let ends = |plan: &Plan, line: &Line| [line.from, line.to].map(|e| plan.port_name(&e));
            ends(old, a).map(|name| renames.name(&name)) == ends(new, b)
        };
        let lines = pairs([&old.lines, &new.lines], |l| &l.id, same);
        renames.lines = lines;
        renames.cases = pairs([&old.cases, &new.cases], |c| &c.name, same_case);
        renames
    }

    /// A text of the old plan with the new names of components and lines.
    pub fn name(&self, text: &str) -> String {
        let in_name = |c: char| c.is_alphanumeric() || c == '_' || c == '-';
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some(first) = rest.chars().next() {
            let end = if in_name(first) {
                rest.find(|c| !in_name(c)).unwrap_or(rest.len())
            } else {
                first.len_utf8()
            };
            let (word, after) = rest.split_at(end);
            let other = self.lines.get(word).or_else(|| self.components.get(word));
            out.push_str(other.map_or(word, String::as_str));
            rest = after;
        }
        out
    }

    /// The new name of a case.
    pub fn case<'c>(&'c self, name: &'c str) -> &'c str {
        self.cases.get(name).map_or(name, String::as_str)
    }
}

/// Pairs of things with different names that are the same, where only one of each can be meant.
fn pairs<T>(
    [old, new]: [&Vec<T>; 2],
    name: impl Fn(&T) -> &String,
    same: impl Fn(&T, &T) -> bool,
) -> BTreeMap<String, String> {
    let left = |all: &[T], id: &str| !all.iter().any(|t| name(t) == id);
    let gone: Vec<&T> = old.iter().filter(|o| left(new, name(o))).collect();
    let come: Vec<&T> = new.iter().filter(|n| left(old, name(n))).collect();
    let mut found = BTreeMap::new();
    for one in &gone {
        let mut matches = come.iter().filter(|n| same(one, n));
        if let (Some(other), None) = (matches.next(), matches.next())
            && gone.iter().filter(|o| same(o, other)).count() == 1
        {
            found.insert(name(one).clone(), name(other).clone());
        }
    }
    found
}

fn same_component(a: &Component, b: &Component) -> bool {
    let near =
        |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < SAME_PLACE_MM);
    let alike = a.kind == b.kind && !a.ports.is_empty() && a.ports.len() == b.ports.len();
    let named = a.name.is_some() && a.name == b.name;
    let mut ports = a.ports.iter().zip(&b.ports);
    alike && ports.all(|(a, b)| a.name == b.name && (named || near(&a.at_mm, &b.at_mm)))
}

fn same_case(a: &Case, b: &Case) -> bool {
    Case { name: b.name.clone(), ..a.clone() } == *b
}
