//! Straps for a person at a bench: flat length, bend lines, holes, order of work.

pub mod pattern;

use core::fmt::Write;

use super::Layout;
use super::caution::SHEET;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::{Column, in_units, length};
use crate::assess::Assessment;
use crate::finding::{Finding, Verdict};
use crate::solve::strap::{FlatBend, FlatFacts, KBy, KFacts};
use crate::trial::print::{BAR_MM, Printed};
use crate::units::System;

/// Length of the rules round the flat length.
const RULE: usize = 40;

/// What was found out about a strap.
pub fn findings(assessment: &Assessment, strap: usize) -> impl Iterator<Item = &Finding> {
    let id = assessment.plan.straps[strap].id.as_str();
    let own = move |f: &&Finding| f.code.starts_with("strap.") && f.is_about(id);
    assessment.findings.iter().filter(own)
}

/// The report of `strap`; of a sheet that is refused, only why.
pub fn text(
    assessment: &Assessment,
    straps: &[usize],
    printed: &Printed,
    layout: Layout,
) -> String {
    let mut out = String::new();
    if !printed.refused.is_empty() {
        refusal(&mut out, printed, layout);
        return out;
    }
    out.push_str(&wrapped(SHEET, layout.width, 0));
    bars(&mut out, printed, layout);
    for strap in straps {
        out.push('\n');
        one(&mut out, assessment, *strap, layout);
    }
    closing(&mut out, assessment, layout.width);
    out
}

fn refusal(out: &mut String, printed: &Printed, layout: Layout) {
    for why in &printed.refused {
        // The bar is called what it is called on the sheet, and is measured in mm.
        out.push_str(&wrapped(&format!("fail: {why}."), layout.width, 0));
    }
    let allowed = printed.allowed.as_ref();
    let limit = allowed.map_or("limit/installation has no rule printed-bar".to_owned(), |a| {
        format!("A bar may be off by {} mm ({}).", a.value, a.cite)
    });
    out.push_str(&wrapped(&limit, layout.width, 0));
    let remedy = "do: print again at 100 %, with \"fit to page\" and every other scaling off, and measure both bars; \
                  or mark the strip out by the list of lines.";
    out.push_str(&wrapped(remedy, layout.width, 0));
}

fn bars(out: &mut String, printed: &Printed, layout: Layout) {
    let sides = [(printed.measured.along_mm, "along"), (printed.measured.across_mm, "across")];
    let (known, missing): (Vec<_>, Vec<_>) = sides.iter().partition(|(mm, _)| mm.is_some());
    let Some(allowed) = &printed.allowed else { return };
    if known.is_empty() {
        return;
    }
    for (mm, side) in known {
        let mm = mm.unwrap_or(BAR_MM);
        let text = format!(
            "ok: the 100 mm bar {side} the strip measures {mm:.1} mm; it may be off by {} mm ({}).",
            allowed.value, allowed.cite
        );
        out.push_str(&wrapped(&text, layout.width, 0));
    }
    for (_, side) in missing {
        let text = format!(
            "open: the bar {side} the strip is not measured; a printer may stretch one way only."
        );
        out.push_str(&wrapped(&text, layout.width, 0));
    }
}

fn one(out: &mut String, assessment: &Assessment, strap: usize, layout: Layout) {
    let (plan, facts) = (&assessment.plan.straps[strap], &assessment.facts.straps[strap]);
    let named = plan.name.as_ref().map_or(String::new(), |n| format!(": {n}"));
    out.push_str(&wrapped(&format!("Strap {}{named}", plan.id), layout.width, 0));
    let rule = "=".repeat(RULE.min(layout.width));
    let flat = match &facts.flat {
        Ok(flat) => format!(
            "FLAT  {} x {} x {}",
            tenth(flat.length_mm, layout.system),
            length(plan.width_mm, layout.system),
            length(plan.thickness_mm, layout.system)
        ),
        Err(why) => format!("FLAT  open: {why}"),
    };
    let _ = writeln!(out, "{rule}");
    out.push_str(&wrapped(&flat, layout.width, 2));
    let _ = writeln!(out, "{rule}");
    out.push_str(&wrapped(&in_units(&neutral(&facts.k), layout.system), layout.width, 0));
    if let Ok(flat) = &facts.flat {
        bends(out, flat, layout);
        holes(out, flat, layout);
    }
    judged(out, assessment, strap, layout);
    if let Ok(flat) = &facts.flat {
        out.push_str("\nOrder of work\n");
        for (index, step) in flat.operations.iter().enumerate() {
            out.push_str(&wrapped(&format!("{}. {step}", index + 1), layout.width, 2));
        }
    }
}

/// A length to a tenth of a millimetre, whatever its size.
fn tenth(mm: f64, system: System) -> String {
    let inch = length(mm, System::Inch);
    match system {
        System::Metric => format!("{mm:.1} mm"),
        System::Inch => inch,
        System::Both => format!("{mm:.1} mm ({inch})"),
    }
}

fn neutral(k: &KFacts) -> String {
    let used = k.used.map_or(String::new(), |k| format!("k = {k:.3}"));
    let by = match k.by {
        KBy::TestBend => format!("{used} from the test bend"),
        KBy::Given => format!("{used} as the plan gives it"),
        KBy::Handbook => "(0.01743 R + 0.0078 T) N of the handbooks, a first guess".to_owned(),
    };
    format!(
        "Allowance of bends over an edge: {by} ({}). What is drawn round: on the middle of the thickness.",
        k.cite
    )
}

fn bends(out: &mut String, flat: &FlatFacts, layout: Layout) {
    if flat.bends.is_empty() {
        return;
    }
    out.push_str("\nLines from end A, on the side of the lining\n");
    let head: Vec<String> = ["bend".to_owned(), "way".to_owned()]
        .into_iter()
        .chain(["begins", "ends", "takes"].map(|n| Column::Length.head(n, layout.system)))
        .chain(["bend deg".to_owned(), Column::Length.head("inside", layout.system)])
        .chain(["SET deg".to_owned()])
        .chain(["edge", "sight"].map(|n| Column::Length.head(n, layout.system)))
        .collect();
    let mut grid = Grid::new(&[], &[2, 3, 4, 5, 6, 7, 8, 9]);
    for (index, bend) in flat.bends.iter().enumerate() {
        grid.rows.push(bend_row(index, bend, layout.system));
    }
    out.push_str(&grid.to_text_with(&head, layout.width));
    let mut whys: Vec<&String> =
        flat.bends.iter().filter_map(|b| b.overbend.as_ref().err()).collect();
    whys.dedup();
    for why in whys {
        out.push_str(&wrapped(&format!("SET and edge: open, {why}."), layout.width, 0));
    }
    if whys_are_none(flat) {
        let text = "SET and edge: the angle to bend to and the inside radius of the edge or former, so that the strip \
                    springs back to the wanted bend. A first guess for a metal that does not harden: try it on scrap.";
        out.push_str(&wrapped(text, layout.width, 0));
    }
}

fn whys_are_none(flat: &FlatFacts) -> bool {
    flat.bends.iter().all(|b| b.overbend.is_ok())
}

fn bend_row(index: usize, bend: &FlatBend, system: System) -> Vec<String> {
    let tenths = |mm: f64| match system {
        System::Metric => format!("{mm:.1}"),
        _ => Column::Length.number(mm, system),
    };
    let set = bend.overbend.as_ref().ok();
    let open = || "open".to_owned();
    vec![
        (index + 1).to_string(),
        way(bend).to_owned(),
        tenths(bend.area.from_mm),
        tenths(bend.area.to_mm),
        tenths(bend.allowance_mm),
        format!("{:.1}", bend.bend.angle_rad.to_degrees()),
        tenths(bend.bend.inside_mm),
        set.map_or_else(open, |s| format!("{:.1}", s.angle_rad.to_degrees())),
        set.map_or_else(open, |s| tenths(s.inside_mm)),
        bend.sight_mm.map_or(String::new(), tenths),
    ]
}

/// Which way a bend goes, for who looks at the side of the lining.
pub fn way(bend: &FlatBend) -> &'static str {
    match (bend.bend.wrapped, bend.bend.outward) {
        (true, _) => "round",
        (false, true) => "down",
        (false, false) => "up",
    }
}

fn holes(out: &mut String, flat: &FlatFacts, layout: Layout) {
    if flat.holes.is_empty() {
        return;
    }
    out.push('\n');
    let head: Vec<String> = core::iter::once("hole".to_owned())
        .chain(
            ["from A", "diameter", "to edge", "rim to bend"]
                .map(|n| Column::Length.head(n, layout.system)),
        )
        .collect();
    let mut grid = Grid::new(&[], &[1, 2, 3, 4]);
    for (index, hole) in flat.holes.iter().enumerate() {
        let tenths = |mm: f64| match layout.system {
            System::Metric => format!("{mm:.1}"),
            system => Column::Length.number(mm, system),
        };
        grid.rows.push(vec![
            (index + 1).to_string(),
            tenths(hole.from_a_mm),
            tenths(hole.diameter_mm),
            tenths(hole.edge_mm),
            hole.bend_mm.map_or(String::new(), tenths),
        ]);
    }
    out.push_str(&grid.to_text_with(&head, layout.width));
}

fn judged(out: &mut String, assessment: &Assessment, strap: usize, layout: Layout) {
    let said: Vec<&Finding> =
        findings(assessment, strap).filter(|f| f.verdict != Verdict::Ok).collect();
    if !said.is_empty() {
        out.push('\n');
    }
    for finding in said {
        let message = in_units(&finding.message, layout.system);
        let text = format!("{} {} {}: {message}", finding.verdict, finding.code, finding.place);
        out.push_str(&wrapped(&text, layout.width, 0));
        out.push_str(&wrapped(&format!("do: {}", finding.remedy), layout.width, 2));
    }
}
