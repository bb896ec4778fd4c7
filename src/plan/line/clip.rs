//! The clips of a line: corners of its route, as points or as tables.

use toml::Spanned;
use toml::de::DeValue;

use super::Known;
use crate::document::{self, Section};
use crate::plan::measured::{self, Tape};
use crate::plan::{not_negative, shape};
use crate::units::Length;

/// No line has more clips; the work on a route grows with more than their square.
const MOST: usize = 500;

/// A corner of the route.
#[derive(Clone, Debug)]
pub struct Clip {
    /// Where, mm.
    pub at_mm: [f64; 3],
    /// Distances that were taped to it; none where it is as drawn.
    pub measured: Vec<Tape>,
    /// How far it may be from where it is drawn.
    pub tolerance: Option<Length>,
    /// Whether a clip holds the line there.
    pub held: bool,
    /// Whether air can be let out there.
    pub bleed: bool,
    /// Whether fluid can be let out there.
    pub drain: bool,
}

/// What a clip is called, counted from 1: `F1, clip 2`.
pub fn clip_name(line: &str, number: usize) -> String {
    format!("{line}, clip {number}")
}

/// Reads `clips` of a line.
pub fn clips(section: &Section<'_>, known: &Known<'_>) -> Vec<Clip> {
    let items = section.array("clips");
    if !items.is_empty() && items.iter().all(|i| document::number(i.get_ref()).is_some()) {
        section.reader().problem(
            &section.place("clips"),
            "clips is a list of points, and this is a single point",
            "one point",
            vec![
                "each point has its own brackets: clips = [[330, 0, 380], [650, -80, 320]]".into(),
            ],
        );
        return Vec::new();
    }
    if items.len() > MOST {
        let message = format!("{} clips on one line; {MOST} at most", items.len());
        let help = vec!["hosewright route --straight leaves out points on a straight".into()];
        section.reader().problem(&section.place("clips"), message, "too many", help);
        return Vec::new();
    }
    let numbered = items.into_iter().enumerate();
    numbered.filter_map(|(i, item)| clip(section, item, i + 1, known)).collect()
}

fn clip(
    section: &Section<'_>,
    item: &Spanned<DeValue<'_>>,
    number: usize,
    known: &Known<'_>,
) -> Option<Clip> {
    let Some(table) = item.get_ref().as_table() else {
        let at = document::point(section.reader(), "a clip", item)?;
        return Some(Clip {
            at_mm: at.value.map(|c| c * known.unit_mm),
            measured: Vec::new(),
            tolerance: None,
            held: true,
            bleed: false,
            drain: false,
        });
    };
    let clip = section.inner("clips", &shape::CLIP, table, item.span(), Some(number));
    let flag = |key: &str, absent: bool| clip.flag(key).unwrap_or(absent);
    let (held, bleed, drain) = (flag("held", true), flag("bleed", false), flag("drain", false));
    let measured = measured::read(&clip, known.datums);
    let tolerance = not_negative::<Length>(&clip, "tolerance").map(|t| t.value);
    let at_mm = clip.point("at")?.value.map(|c| c * known.unit_mm);
    Some(Clip { at_mm, measured, tolerance, held, bleed, drain })
}
