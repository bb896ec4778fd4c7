//! The strip of a dip stick as a drawing at full size: a row of marks for each attitude, the lower end of the stick at
//! the left.

use std::f64::consts::FRAC_PI_2;

use super::caution::{ALWAYS, DIP};
use super::dip::{digits, volume};
use super::drawing::{Anchor, Drawing, Stroke};
use crate::plan::Plan;
use crate::trial::dip::DipTrial;
use crate::units::System;

/// From row to row, mm.
const ROW_MM: f64 = 22.0;
/// Rows under each other; further attitudes stand in the report.
const MOST_ROWS: usize = 5;
/// Length of a mark, and of the line at the lower end, mm.
const MARK_MM: f64 = 8.0;
/// Height of small type, mm.
const TYPE_MM: f64 = 2.2;
/// The least step between the words of two marks, mm.
const WORDS_MM: f64 = 2.8;

/// Draws the strip. Words that would run into those of the mark before are left out; the mark is there all the same.
pub fn strip(plan: &Plan, trial: &DipTrial, system: System) -> Drawing {
    let facts = &trial.facts;
    let title = format!("{}: dip strip of {}", plan.name, plan.components[facts.component].id);
    let mut how = "Each row begins at the lower end of the stick: cut it there, and stick it on with that end down.".to_owned();
    if facts.standings.len() > MOST_ROWS {
        how.push_str(" Further attitudes stand in the report.");
    }
    let mut drawing = Drawing::new(title, vec![how, DIP.to_owned(), ALWAYS.to_owned()]);
    for index in 0..facts.standings.len().min(MOST_ROWS) {
        row(&mut drawing, trial, index, system);
    }
    drawing
}

fn row(drawing: &mut Drawing, trial: &DipTrial, index: usize, system: System) {
    let facts = &trial.facts;
    let y = -ROW_MM * f64::from(u32::try_from(index).unwrap_or_default());
    drawing.line([0.0, y], [facts.reach_mm, y], Stroke::Outline);
    drawing.line([0.0, y], [0.0, y + MARK_MM], Stroke::Outline);
    let name = format!("lower end; {}", facts.standings[index].name);
    drawing.text([0.0, y - TYPE_MM - 1.0], TYPE_MM, name, Anchor::Start);
    let places = digits(&facts.marks);
    let mut free = WORDS_MM;
    for mark in &facts.marks {
        let Some(mm) = mark.readings[index].mm() else { continue };
        let words = volume(mark.volume_mm3, places, system);
        let words = Some(words).filter(|_| mm >= free);
        free = if words.is_some() { mm + WORDS_MM } else { free };
        draw_mark(drawing, [mm, y], words);
    }
    if let Some(mm) = facts.full_mark.as_ref().and_then(|f| f.mark.readings[index].mm()) {
        drawing.line([mm, y - 2.0], [mm, y + MARK_MM + 6.0], Stroke::Outline);
        drawing.text([mm + 1.0, y - TYPE_MM - 1.0], TYPE_MM, "FULL", Anchor::Start);
    }
}

fn draw_mark(drawing: &mut Drawing, [x, y]: [f64; 2], words: Option<String>) {
    drawing.line([x, y], [x, y + MARK_MM], Stroke::Thin);
    if let Some(words) = words {
        let at = [x + 0.4 * TYPE_MM, y + MARK_MM + 0.8];
        drawing.text_turned(at, TYPE_MM, words, Anchor::Start, FRAC_PI_2);
    }
}
