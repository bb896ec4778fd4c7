//! Known points of the machine, and ports and clips by their taped distances from them.

use std::collections::{BTreeMap, BTreeSet};

use super::{Given, positive, shape};
use crate::document::{Section, shorten};
use crate::units::Length;

/// Fewest distances that make a place.
const FEWEST_TAPES: usize = 3;
/// Most distances to one place.
const MOST_TAPES: usize = 12;

/// A known point that distances are taped from.
#[derive(Clone, Debug)]
pub struct Datum {
    /// Short name.
    pub id: String,
    /// Where it is, mm.
    pub at_mm: [f64; 3],
}

/// A taped distance.
#[derive(Clone, Copy, Debug)]
pub struct Tape {
    /// Index of the datum it is taken from.
    pub datum: usize,
    /// What was read.
    pub distance: Length,
    /// How far that may be off, to either side.
    pub tolerance: Length,
}

/// The datums that tapes may name.
pub struct Datums<'d> {
    places: BTreeMap<&'d str, usize>,
    /// Whether one of them has no name that can be read.
    nameless: bool,
}

impl<'d> Datums<'d> {
    /// Gathers the names.
    pub fn new(root: &Section<'_>, datums: &'d [Datum]) -> Self {
        let named = datums.iter().enumerate().map(|(i, d)| (d.id.as_str(), i));
        Self { places: named.collect(), nameless: root.has_nameless("datum", "id") }
    }
}

/// Reads all `[[datum]]`.
pub fn read_datums(root: &Section<'_>, unit_mm: f64) -> Vec<Datum> {
    let mut datums = Vec::new();
    let mut given = Given::new("datum");
    for section in root.sections("datum", &shape::DATUM) {
        let at = section.point("at");
        let Some(id) = section.id("id") else { continue };
        given.is_new(&section, &id);
        // A place that has a fault is made up, so that what refers to it is not reported as well.
        let at_mm = at.map_or([0.0; 3], |a| a.value.map(|c| c * unit_mm));
        datums.push(Datum { id: id.value, at_mm });
    }
    datums
}

/// Reads `measured` of a port or a clip; none where it is absent or has a fault.
pub fn read(section: &Section<'_>, datums: &Datums<'_>) -> Vec<Tape> {
    let sections = section.sections("measured", &shape::TAPE);
    let mut seen = BTreeSet::new();
    let tapes = sections.iter().filter_map(|s| tape(s, datums, &mut seen)).collect();
    let list = section.value("measured").and_then(|v| v.get_ref().as_array());
    if let Some(count) = list.map(|l| l.len()) {
        report_count(section, count);
    }
    tapes
}

fn report_count(section: &Section<'_>, count: usize) {
    let noun = if count == 1 { "distance" } else { "distances" };
    let (message, label, help) = if count < FEWEST_TAPES {
        let message = format!("measured has {count} {noun}, but a place needs three or more");
        let help = "tape it from three datums or more; a fourth shows a tape that was misread";
        (message, "too few", help)
    } else if count > MOST_TAPES {
        let message = format!("measured has {count} distances, but takes {MOST_TAPES} at most");
        (message, "too many", "keep those that were taken with the most care")
    } else {
        return;
    };
    section.reader().problem(&section.place("measured"), message, label, vec![help.into()]);
}

fn tape(section: &Section<'_>, datums: &Datums<'_>, seen: &mut BTreeSet<String>) -> Option<Tape> {
    let from = section.name("from");
    let distance = positive::<Length>(section, "distance");
    let tolerance = positive::<Length>(section, "tolerance");
    let from = from?;
    if !seen.insert(from.value.clone()) {
        section.reader().problem(
            &from.span,
            format!("datum \"{}\" stands twice in measured", shorten(&from.value)),
            "again",
            vec!["two readings of one distance count once: write their mean".into()],
        );
    }
    let datum = datums.places.get(from.value.as_str()).copied();
    if datum.is_none() && !datums.nameless {
        section.unknown(&from, "datum", datums.places.keys().copied());
    }
    Some(Tape { datum: datum?, distance: distance?.value, tolerance: tolerance?.value })
}
