//! Two TOML texts side by side, key by key.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use toml::{Table, Value};

use super::Part;
use super::names::Renames;
use super::written::{Change, Kind};
use crate::diagnostic::visible;
use crate::units::{
    AbsolutePressure, Angle, Density, Flow, FlowCoefficient, GaugePressure, KinematicViscosity,
    Length, LinearMass, Mass, PressureDifference, Quantity, Ratio, Stress, Temperature,
    TemperatureDifference, Time, Velocity, Volume, read_uncertain,
};

/// Keys that name an item of a list, the first that is there.
const IDENTITY: [&str; 6] = ["id", "name", "case", "what", "from", "of"];

/// Ways to read what is written in two units.
const SAME: [fn(&str, &str) -> bool; 19] = [
    same::<Length>,
    same::<Volume>,
    same::<Flow>,
    same::<GaugePressure>,
    same::<AbsolutePressure>,
    same::<PressureDifference>,
    same::<Temperature>,
    same::<TemperatureDifference>,
    same::<Time>,
    same::<Angle>,
    same::<Mass>,
    same::<LinearMass>,
    same::<Velocity>,
    same::<Ratio>,
    same::<Density>,
    same::<Stress>,
    same::<KinematicViscosity>,
    same::<FlowCoefficient>,
    same_amount,
];

/// Whether two texts are one quantity in two units.
fn same<Q: Quantity>(a: &str, b: &str) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * a.abs().max(b.abs());
    match (read_uncertain::<Q>(a), read_uncertain::<Q>(b)) {
        (Ok((a, None)), Ok((b, None))) => near(a.si(), b.si()),
        (Ok((a, Some(da))), Ok((b, Some(db)))) => near(a.si(), b.si()) && near(da.si(), db.si()),
        _ => false,
    }
}

/// Whether two texts are the same but for blanks.
fn same_amount(a: &str, b: &str) -> bool {
    a.split_whitespace().eq(b.split_whitespace())
}

/// Both texts on their way through the plans.
pub struct Walk<'w> {
    /// Old names to new ones.
    pub renames: &'w Renames,
    /// Places that are compared as places, in mm: the list they are in, and their key.
    pub places: &'w [(&'w str, &'w str)],
    /// What was found.
    pub found: Part<Change>,
}

impl Walk<'_> {
    /// The whole of two plans.
    pub fn whole(&mut self, old: &Table, new: &Table) {
        for key in keys(old, new) {
            match (old.get(key), new.get(key)) {
                (Some(Value::Table(a)), Some(Value::Table(b))) => {
                    self.table(key, key, (a, b), None);
                }
                (Some(a), Some(b)) => self.value("", key, key, a, b),
                (Some(a), None) => self.one_sided(Kind::Removed, key, a),
                (None, Some(b)) => self.one_sided(Kind::Added, key, b),
                (None, None) => {}
            }
        }
    }

    /// A list or a section that only one plan has.
    fn one_sided(&mut self, kind: Kind, key: &str, value: &Value) {
        match items(value) {
            Some(items) => {
                for (index, item) in items.iter().enumerate() {
                    self.push(kind, named(key, item, index), String::new(), None, None);
                }
            }
            None => self.push(kind, key.to_owned(), String::new(), None, None),
        }
    }

    /// A key of something that both plans give; `of` says of what, and `list` in which list that stands.
    fn value(&mut self, of: &str, list: &str, key: &str, old: &Value, new: &Value) {
        if let (Some(a), Some(b)) = (items(old), items(new)) {
            return self.list(of, key, (&a, &b));
        }
        match (old, new) {
            (Value::Table(a), Value::Table(b)) => {
                let list = if list == "component" && key == "ports" { "ports" } else { list };
                self.table(&within(of, list, key), list, (a, b), None);
            }
            (a, b) if self.equal(a, b) => self.found.same += 1,
            (a, b) => {
                let (a, b) = (shown(a), shown(b));
                self.push(Kind::Changed, of.to_owned(), key.to_owned(), Some(a), Some(b));
            }
        }
    }

    /// Every key of something but the one that names it.
    fn table(&mut self, of: &str, list: &str, (old, new): (&Table, &Table), name: Option<&str>) {
        for key in keys(old, new) {
            if name == Some(key) || self.places.contains(&(list, key)) {
                continue;
            }
            match (old.get(key), new.get(key)) {
                (Some(a), Some(b)) => self.value(of, list, key, a, b),
                (Some(a), None) => self.gone_or_come(Kind::Removed, of, (list, key), a),
                (None, Some(b)) => self.gone_or_come(Kind::Added, of, (list, key), b),
                (None, None) => {}
            }
        }
    }

    /// Items of a list, paired by what names them.
    fn list(&mut self, of: &str, key: &str, (old, new): (&[&Table], &[&Table])) {
        let full = |index: usize, item: &Table| {
            let name = named(key, item, index);
            if of.is_empty() { name } else { format!("{of}, {name}") }
        };
        // Several of one name are paired in their order.
        let mut left: BTreeMap<String, VecDeque<usize>> = BTreeMap::new();
        for (index, item) in new.iter().enumerate() {
            left.entry(identity(item, index)).or_default().push_back(index);
        }
        for (index, item) in old.iter().enumerate() {
            let wanted = self.new_identity(key, item, index);
            let Some(at) = left.get_mut(&wanted).and_then(VecDeque::pop_front) else {
                self.push(Kind::Removed, full(index, item), String::new(), None, None);
                continue;
            };
            let other = new[at];
            let (name, before) = (full(at, other), identity(item, index));
            // A duty of a case that was renamed is no other duty.
            if before != wanted && key != "duty" {
                let (name, before) = (name.clone(), Some(before));
                self.push(Kind::Renamed, name, String::new(), before, Some(wanted));
            }
            self.table(&name, key, (item, other), identity_key(other));
        }
        let mut come: Vec<usize> = left.into_values().flatten().collect();
        come.sort_unstable();
        for index in come {
            self.push(Kind::Added, full(index, new[index]), String::new(), None, None);
        }
    }

    /// A key that only one of the plans gives.
    fn gone_or_come(&mut self, kind: Kind, of: &str, (list, key): (&str, &str), value: &Value) {
        if let Some(items) = items(value) {
            for (index, item) in items.iter().enumerate() {
                let name = format!("{of}, {}", named(key, item, index));
                self.push(kind, name, String::new(), None, None);
            }
            return;
        }
        if list == "ports" && value.is_table() {
            return self.push(kind, within(of, list, key), String::new(), None, None);
        }
        let text = Some(shown(value));
        let (old, new) = if kind == Kind::Added { (None, text) } else { (text, None) };
        self.push(kind, of.to_owned(), key.to_owned(), old, new);
    }

    /// What names an item of the old plan in the new one.
    fn new_identity(&self, key: &str, item: &Table, index: usize) -> String {
        let old = identity(item, index);
        let map = match key {
            "line" => &self.renames.lines,
            "component" => &self.renames.components,
            "case" | "duty" => &self.renames.cases,
            _ => return self.renames.name(&old),
        };
        map.get(&old).cloned().unwrap_or(old)
    }

    fn equal(&self, old: &Value, new: &Value) -> bool {
        match (old, new) {
            (Value::String(a), Value::String(b)) => {
                let a = self.renames.name(self.renames.case(a));
                a == *b || SAME.iter().any(|same| same(&a, b))
            }
            (Value::Array(a), Value::Array(b)) => {
                a.len() == b.len() && a.iter().zip(b).all(|(a, b)| self.equal(a, b))
            }
            (Value::Table(a), Value::Table(b)) => {
                a.len() == b.len()
                    && a.iter().all(|(k, a)| b.get(k).is_some_and(|b| self.equal(a, b)))
            }
            _ => match (number(old), number(new)) {
                (Some(a), Some(b)) => a.total_cmp(&b).is_eq(),
                _ => old == new,
            },
        }
    }

    fn push(
        &mut self,
        kind: Kind,
        of: String,
        what: String,
        old: Option<String>,
        new: Option<String>,
    ) {
        self.found.changes.push(Change { kind, of, what, old, new, moved_mm: None });
    }
}

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Float(number) => Some(*number + 0.0),
        // Coordinates and counts of a plan are far below 2^53.
        #[expect(clippy::cast_precision_loss, reason = "see above; larger ones are only compared")]
        Value::Integer(number) => Some(*number as f64),
        _ => None,
    }
}

fn keys<'t>(old: &'t Table, new: &'t Table) -> BTreeSet<&'t str> {
    old.keys().chain(new.keys()).map(String::as_str).collect()
}

/// The tables of a list that holds nothing else.
fn items(value: &Value) -> Option<Vec<&Table>> {
    let list = value.as_array().filter(|l| !l.is_empty())?;
    list.iter().map(Value::as_table).collect()
}

/// What a section within something is called; a port bears the name of its component.
fn within(of: &str, list: &str, key: &str) -> String {
    match of.strip_prefix("component ").and_then(|id| id.strip_suffix(", ports")) {
        Some(id) if list == "ports" => format!("port {id}.{key}"),
        _ if of.is_empty() => key.to_owned(),
        _ => format!("{of}, {key}"),
    }
}

fn identity_key(item: &Table) -> Option<&'static str> {
    IDENTITY.into_iter().find(|key| item.contains_key(*key))
}

/// What names an item within its list.
fn identity(item: &Table, index: usize) -> String {
    let named = identity_key(item).and_then(|key| item.get(key));
    named.map_or_else(|| (index + 1).to_string(), shown)
}

fn named(list: &str, item: &Table, index: usize) -> String {
    format!("{list} {}", identity(item, index))
}

/// A value as it can be shown in a sentence.
fn shown(value: &Value) -> String {
    let text = match value {
        Value::String(text) => text.clone(),
        Value::Array(list) => {
            let list: Vec<String> = list.iter().map(shown).collect();
            format!("[{}]", list.join(", "))
        }
        Value::Table(table) => {
            let pairs: Vec<String> =
                table.iter().map(|(k, v)| format!("{k} {}", shown(v))).collect();
            format!("{{{}}}", pairs.join(", "))
        }
        Value::Integer(number) => number.to_string(),
        Value::Float(number) => number.to_string(),
        Value::Boolean(flag) => flag.to_string(),
        Value::Datetime(time) => time.to_string(),
    };
    visible(&text)
}
