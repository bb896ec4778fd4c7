//! `[plan]`: the machine, its unit, its axes and how well things are measured.

use super::{Axes, axes, not_negative, positive, shape};
use crate::document::{Section, shorten};
use crate::table::{Cell, Tables, life, torque};
use crate::units::{Length, Quantity};

/// How far lengths and places may be off, mm, where the builder says.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tolerances {
    /// A cut hose.
    pub cut_mm: Option<f64>,
    /// The cut-off of one fitting.
    pub cut_off_mm: Option<f64>,
    /// The place of a port that has no tolerance of its own.
    pub port_mm: Option<f64>,
}

impl Tolerances {
    fn read(head: &Section<'_>) -> Self {
        let mm = |key| not_negative::<Length>(head, key).map(|t| t.value.si() * 1e3);
        Self {
            cut_mm: mm("cut_tolerance"),
            cut_off_mm: mm("cut_off_tolerance"),
            port_mm: mm("port_tolerance"),
        }
    }
}

/// What stands in `[plan]`.
pub struct Head {
    pub name: String,
    pub revision: Option<String>,
    pub note: Option<String>,
    pub axes: Axes,
    pub cut_step_mm: f64,
    pub tolerances: Tolerances,
    pub waterline_mm: Option<[f64; 3]>,
    pub rules: Vec<String>,
    pub hose_life: Vec<String>,
    pub torque: Vec<String>,
}

impl Head {
    /// Reads it; all its faults are reported together.
    pub fn read(head: &Section<'_>, tables: &Tables, unit_mm: f64) -> Option<Self> {
        // Everything is read before the first `?`, so that one fault does not hide the next.
        let words = |key| head.words(key).map(|w| w.value);
        let name = words("name");
        let axes = head.section("axes", &shape::AXES).and_then(|s| axes::read(&s));
        let cut_step = positive::<Length>(head, "cut_step");
        let waterline = head.point("waterline");
        let rest = Self {
            name: String::new(),
            revision: words("revision"),
            note: words("note"),
            cut_step_mm: cut_step.map_or(1.0, |l| l.value.si() * 1e3),
            tolerances: Tolerances::read(head),
            waterline_mm: waterline.map(|w| w.value.map(|c| c * unit_mm)),
            rules: read_rules(head, tables),
            hose_life: read_hose_life(head, tables),
            torque: read_torque(head, tables),
            axes: axes?,
        };
        Some(Self { name: name?, ..rest })
    }
}

/// The unit of bare coordinates, mm.
pub fn length_unit_mm(head: &Section<'_>) -> Option<f64> {
    let units = [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4)];
    head.choice("length_unit", &units).map(|u| u.value)
}

/// Names of a list that are all known.
fn read_known(head: &Section<'_>, key: &str, what: &str, known: &[String]) -> Vec<String> {
    let mut names = Vec::new();
    for name in head.names(key) {
        if known.contains(&name.value) {
            names.push(name.value);
        } else {
            head.unknown(&name, what, known.iter().map(String::as_str));
        }
    }
    names
}

fn read_rules(head: &Section<'_>, tables: &Tables) -> Vec<String> {
    let table = tables.get("limit", "regulation");
    let known: Vec<String> = table
        .into_iter()
        .flat_map(|t| t.rows.iter().filter_map(|r| r.cells.get("id")).map(Cell::to_text))
        .collect();
    read_known(head, "rules", "rule", &known)
}

fn read_hose_life(head: &Section<'_>, tables: &Tables) -> Vec<String> {
    let known: Vec<String> = life::rules(tables).into_iter().map(|rule| rule.name).collect();
    read_known(head, "hose_life", "rule on the life of hose", &known)
}

/// The torque tables of the plan, which must say which families they cover. No two may cover the same one: their values
/// differ, and a joint is never tightened by what lies between.
fn read_torque(head: &Section<'_>, tables: &Tables) -> Vec<String> {
    let mut chosen: Vec<String> = Vec::new();
    for name in head.name_or_names("torque") {
        let Some(table) = tables.get("torque", &name.value) else {
            head.unknown(&name, "torque table", tables.names("torque").into_iter());
            continue;
        };
        let families = torque::families(table);
        if families.is_empty() {
            let message =
                format!("torque table {} does not say what it covers", shorten(&name.value));
            let help =
                "give it the fact covers, such as [\"flare-37 hose hose\"]: family, what, column";
            head.reader().problem(&name.span, message, "covers nothing", vec![help.into()]);
        }
        let other = chosen.iter().find_map(|other| {
            let theirs = torque::families(tables.get("torque", other)?);
            Some((other, families.iter().find(|f| theirs.contains(f))?))
        });
        if let Some((other, family)) = other {
            let message = format!(
                "{} and {} both cover {family}, and a family is tightened by one table",
                shorten(other),
                shorten(&name.value)
            );
            let help = vec!["keep one of them".into()];
            head.reader().problem(&name.span, message, "covers it as well", help);
            continue;
        }
        chosen.push(name.value);
    }
    chosen
}
