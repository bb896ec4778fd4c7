//! The strip of a dip stick at full size, as SVG (W3C SVG 1.1): columns of marks, and a bar of 100 mm each way.

use core::fmt::Write;

use super::caution::DIP;
use super::dip::{digits, volume};
use super::drawing::svg::escaped;
use crate::plan::Plan;
use crate::solve::dip::Mark;
use crate::trial::dip::{BAR_MM, DipTrial};
use crate::units::System;

/// Width of the sheet, and its least height, mm: a sheet of A4.
const SHEET_MM: [f64; 2] = [210.0, 297.0];
/// White at the edge, mm.
const EDGE_MM: f64 = 12.0;
/// Width of a column, mm.
const COLUMN_MM: f64 = 36.0;
/// Columns beside each other; further attitudes stand in the report.
const MOST_COLUMNS: usize = 5;
/// Room for the heading, for the heads of columns, and for bars and cautions, mm.
const ROOM_MM: [f64; 3] = [18.0, 10.0, 46.0];
/// The least step between the words of two marks, mm.
const WORDS_MM: f64 = 2.6;

struct Sheet {
    out: String,
}

impl Sheet {
    fn line(&mut self, from: [f64; 2], to: [f64; 2]) {
        let [[a, b], [c, d]] = [from, to];
        let _ =
            writeln!(self.out, "<line x1=\"{a:.3}\" y1=\"{b:.3}\" x2=\"{c:.3}\" y2=\"{d:.3}\"/>");
    }

    fn text(&mut self, at: [f64; 2], size: f64, words: &str) {
        let [x, y] = at;
        let words = escaped(words);
        let _ = writeln!(
            self.out,
            "<text x=\"{x:.3}\" y=\"{y:.3}\" font-size=\"{size}\">{words}</text>"
        );
    }
}

/// The strip. The lower end of the stick is the line at the bottom of each column.
pub fn svg(plan: &Plan, trial: &DipTrial, system: System) -> String {
    let facts = &trial.facts;
    let height = SHEET_MM[1].max(facts.reach_mm + ROOM_MM.iter().sum::<f64>());
    let foot = height - ROOM_MM[2];
    let mut sheet = Sheet { out: head(height) };
    let id = &plan.components[facts.component].id;
    let top = foot - facts.reach_mm;
    sheet.text([EDGE_MM, 10.0], 4.0, &format!("Dip strip of {id}, {}", plan.name));
    sheet.text(
        [EDGE_MM, 15.0],
        2.4,
        "Print at 100 %, not fitted to the page. Measure both bars: if one is not 100 mm, throw the sheet away.",
    );
    for index in 0..facts.standings.len().min(MOST_COLUMNS) {
        let left = EDGE_MM + COLUMN_MM * f64::from(u32::try_from(index).unwrap_or_default());
        column(&mut sheet, trial, index, [left, foot, top], system);
    }
    if facts.standings.len() > MOST_COLUMNS {
        let more = "Further attitudes stand in the report.";
        sheet.text([EDGE_MM, foot + 6.0], 2.4, more);
    }
    bars(&mut sheet, height);
    for (row, words) in in_rows(DIP, 95).iter().enumerate() {
        let down = 2.8 * f64::from(u32::try_from(row).unwrap_or_default());
        sheet.text([EDGE_MM, height - 22.0 + down], 2.2, words);
    }
    sheet.out.push_str("</svg>\n");
    sheet.out
}

fn head(height: f64) -> String {
    let [width, _] = SHEET_MM;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height:.3}mm\" viewBox=\"0 0 {width} \
         {height:.3}\" stroke=\"#000\" stroke-width=\"0.18\" font-family=\"sans-serif\">\n<style>text {{ stroke: none; \
         fill: #000 }}</style>\n"
    )
}

fn column(
    sheet: &mut Sheet,
    trial: &DipTrial,
    index: usize,
    [left, foot, top]: [f64; 3],
    system: System,
) {
    let facts = &trial.facts;
    sheet.text([left, top - 4.0], 2.6, &facts.standings[index].name);
    sheet.line([left, foot], [left, top]);
    sheet.line([left, foot], [left + 12.0, foot]);
    sheet.text([left + 13.0, foot + 1.0], 2.2, "lower end");
    let places = digits(&facts.marks);
    let mut free = foot - WORDS_MM;
    for mark in &facts.marks {
        let Some(mm) = mark.readings[index].mm() else { continue };
        let at = foot - mm;
        sheet.line([left, at], [left + 10.0, at]);
        // Words that would run into those below are left out; the line is there all the same.
        if at <= free {
            sheet.text([left + 11.0, at + 0.9], 2.4, &volume(mark.volume_mm3, places, system));
            free = at - WORDS_MM;
        }
    }
    let full = facts.full_mark.as_ref().map(|f| &f.mark);
    if let Some(mm) = full.and_then(|m: &Mark| m.readings[index].mm()) {
        let at = foot - mm;
        sheet.line([left - 2.0, at], [left + 20.0, at]);
        sheet.text([left + 21.0, at + 0.9], 2.4, "FULL");
    }
}

/// A bar along the strip at the right edge, and one across below it.
fn bars(sheet: &mut Sheet, height: f64) {
    let right = SHEET_MM[0] - EDGE_MM;
    let low = height - 30.0;
    for [from, to, tick] in [
        [[right - BAR_MM, low], [right, low], [0.0, 2.0]],
        [[right, low - BAR_MM], [right, low], [2.0, 0.0]],
    ] {
        sheet.line(from, to);
        for end in [from, to] {
            sheet.line([end[0] - tick[0], end[1] - tick[1]], [end[0] + tick[0], end[1] + tick[1]]);
        }
    }
    sheet.text([right - BAR_MM, low - 1.5], 2.4, "across: 100 mm");
    sheet.text([right - 20.0, low - BAR_MM - 3.0], 2.4, "along: 100 mm");
}

/// A text in rows of at most so many letters.
fn in_rows(text: &str, most: usize) -> Vec<String> {
    let wrapped = super::grid::wrapped(text, most, 0);
    wrapped.lines().map(str::to_owned).collect()
}
