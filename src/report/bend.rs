//! The bend table of a rigid tube for a person at a bender.

use core::fmt::Write;

use super::Layout;
use super::caution::{BENDING, cautions};
use super::grid::{Grid, wrapped};
use super::units::{Column, in_units, length};
use crate::assess::Assessment;
use crate::finding::{Finding, Verdict};
use crate::geometry::MirrorImage;
use crate::plan::{Bender, Mark};
use crate::solve::makeup::{StockFacts, fit_again};
use crate::solve::tube::{BendRow, SetBy, Side, TubeFacts, twins};
use crate::units::System;

/// The widest rule over and under the cut length.
const RULE: usize = 44;

/// Codes that decide on a bent tube besides those of bending alone.
const ALSO: [&str; 3] = ["geometry.bend-radius", "makeup.cut-length", "makeup.stock"];

/// The findings on the bending of a line.
pub fn findings(assessment: &Assessment, line: usize) -> impl Iterator<Item = &Finding> {
    let id = assessment.facts.lines[line].id.as_str();
    let all = assessment.findings.iter();
    let of_bending = |code: &str| code.starts_with("makeup.bend-") || ALSO.contains(&code);
    all.filter(move |f| of_bending(f.code) && f.is_about(id))
}

/// How tubes are bent, one after the other.
pub fn text(assessment: &Assessment, lines: &[usize], layout: Layout) -> String {
    let mut out = String::new();
    if lines.is_empty() {
        out.push_str(&wrapped("The plan has no rigid tube.", layout.width, 0));
        out.push('\n');
    }
    for line in lines {
        one(&mut out, assessment, *line, layout);
        out.push('\n');
    }
    for caution in core::iter::once(BENDING).chain(cautions(&assessment.plan, &assessment.facts)) {
        out.push_str(&wrapped(caution, layout.width, 0));
    }
    out
}

fn one(out: &mut String, assessment: &Assessment, line: usize, layout: Layout) {
    let (planned, facts) = (&assessment.plan.lines[line], &assessment.facts.lines[line]);
    let name = planned.name.as_ref().map_or(String::new(), |n| format!(", {n}"));
    let head = format!("{}{name}: {}", facts.id, facts.carrier);
    out.push_str(&wrapped(&head, layout.width, 0));
    let Some(Ok(tube)) = &facts.tube else {
        let why = facts.tube.as_ref().and_then(|t| t.as_ref().err()).map_or("", String::as_str);
        out.push_str(&wrapped(&format!("open: {why}"), layout.width, 2));
        return;
    };
    let bender = tube.bender.and_then(|index| assessment.plan.benders.get(index));
    cut(out, assessment, line, tube, layout);
    if tube.side().rows.is_empty() {
        out.push_str(&wrapped("No bend: the tube is straight.", layout.width, 0));
    } else {
        table(out, tube.side(), bender, layout);
        notes(out, tube, bender, layout);
        mirror(out, assessment, line, tube, layout);
    }
    judged(out, assessment, line, layout);
    steps(out, tube, layout);
    stick(out, assessment, line, layout);
}

/// The one number that cannot be taken back, between two rules.
fn cut(out: &mut String, assessment: &Assessment, line: usize, tube: &TubeFacts, layout: Layout) {
    let rule = "=".repeat(RULE.min(layout.width));
    let stated = match &assessment.facts.lines[line].makeup {
        Ok(makeup) => format!("CUT  {}", length(makeup.cut.cut_mm, layout.system)),
        Err(why) => format!("CUT  open: {why}"),
    };
    let _ = writeln!(out, "{rule}");
    out.push_str(&wrapped(&stated, layout.width, 2));
    let _ = writeln!(out, "{rule}");
    let shown = |mm: f64| in_units(&format!("{mm:.1} mm"), layout.system);
    let gain_mm = tube.polyline_mm - tube.length_mm;
    let stretch = match tube.stretch_mm {
        Some(mm) => format!(", less {} by which bending stretches it", shown(mm)),
        None if tube.side().rows.is_empty() => String::new(),
        None => "; how much bending stretches it is open, so the tube may come out too long".into(),
    };
    let ends = assessment.plan.lines[line].ends.iter().flatten();
    let flare = if ends.into_iter().any(|e| e.family.contains("flare")) {
        " A flare takes up a little tube besides: flare a piece of scrap, measure it and add what it lost."
    } else {
        ""
    };
    let text = format!(
        "{} from corner to corner, less {} saved by the bends{stretch}; rounded up to the cut step.{flare}",
        shown(tube.polyline_mm),
        shown(gain_mm)
    );
    out.push_str(&wrapped(&text, layout.width, 0));
}

fn table(out: &mut String, side: &Side, bender: Option<&Bender>, layout: Layout) {
    let what = match bender.and_then(|b| b.mark) {
        Some(Mark::Start) => ", to where the bend begins",
        Some(Mark::Centre) => ", to the middle of the bend",
        Some(Mark::Corner) => ", to the corner of the bend",
        None => "",
    };
    let bent = bender.map_or("no bender named".to_owned(), |b| format!("bender {}", b.id));
    let heading = format!("Bend from {} ({bent}). Marks count from {}{what}.", side.end, side.end);
    out.push('\n');
    out.push_str(&wrapped(&heading, layout.width, 0));
    let head: Vec<String> = ["bend".to_owned(), "at".to_owned()]
        .into_iter()
        .chain(["mark", "straight"].map(|name| Column::Length.head(name, layout.system)))
        .chain(["turn deg", "dial deg", "SET deg", "bend deg"].map(str::to_owned))
        .chain([Column::Length.head("radius", layout.system), "wall %".to_owned()])
        .collect();
    let mut grid = Grid::new(&[], &[2, 3, 4, 5, 6, 7, 8, 9]);
    for (index, row) in side.rows.iter().enumerate() {
        let mark = side.marks_mm.as_ref().ok().and_then(|m| m.get(index));
        grid.rows.push(cells(index, row, mark.copied(), layout.system));
    }
    let straight = tenths(side.last_straight_mm, layout.system);
    let last = [String::new(), other_end(side).to_owned(), String::new(), straight];
    grid.rows.push(last.into());
    out.push_str(&grid.to_text_with(&head, layout.width));
}

fn other_end(side: &Side) -> &'static str {
    if side.end == "end A" { "end B" } else { "end A" }
}

fn cells(index: usize, row: &BendRow, mark_mm: Option<f64>, system: System) -> Vec<String> {
    let open = || "open".to_owned();
    vec![
        (index + 1).to_string(),
        row.place.clone(),
        mark_mm.map_or_else(open, |mm| tenths(mm, system)),
        tenths(row.bend.straight_mm, system),
        if index == 0 { "-".to_owned() } else { turn(row.bend.rotation_rad) },
        format!("{:.0}", whole_turn(row.dial_deg)),
        row.set.as_ref().map_or_else(|_| open(), |set| format!("{:.1}", set.angle_deg)),
        format!("{:.1}", row.bend.angle_rad.to_degrees()),
        tenths(row.bend.radius_mm, system),
        row.wall.map_or_else(open, |w| format!("-{:.0}", 100.0 * w.thinning)),
    ]
}

/// A length to a tenth of a millimetre, or to the nearest 1/32 inch.
fn tenths(mm: f64, system: System) -> String {
    let inch = Column::Length.number(mm, System::Inch);
    match system {
        System::Metric => format!("{mm:.1}"),
        System::Inch => inch,
        System::Both => format!("{mm:.1} ({inch})"),
    }
}

/// A rotation with its sense; half a turn and none have no sense.
fn turn(rotation_rad: f64) -> String {
    let tenths = (10.0 * rotation_rad.to_degrees()).round() / 10.0;
    if tenths.abs() < 0.05 {
        "0.0".to_owned()
    } else if tenths.abs() > 179.95 {
        "180.0".to_owned()
    } else {
        format!("{tenths:+.1}")
    }
}

/// A dial shows 0 where it would show 360.
fn whole_turn(dial_deg: f64) -> f64 {
    let whole = dial_deg.round();
    if whole >= 360.0 { 0.0 } else { whole }
}

fn notes(out: &mut String, tube: &TubeFacts, bender: Option<&Bender>, layout: Layout) {
    let side = tube.side();
    let mut say =
        |text: &str| out.push_str(&wrapped(&in_units(text, layout.system), layout.width, 0));
    say(&format!(
        "turn: from the bend before to this one, + clockwise looking along the tube from {}. dial: the \
         same, counted on from bend 1. Put a dial round the tube with 0 on the drawn line: the inside of \
         the bend comes to its reading. In the bender it is the tube that turns, the other way round; \
         trust the dial.",
        side.end
    ));
    if let Err(why) = &side.marks_mm {
        say(&format!("mark: open, {why}."));
    }
    match side.rows.iter().find_map(|r| r.set.as_ref().ok()).map(|s| s.by) {
        Some(SetBy::TestBends) => {
            let scatter = tube
                .scatter_deg
                .map_or(String::new(), |s| format!(", which lie up to {s:.1} deg off their line"));
            let id = bender.map_or("", |b| b.id.as_str());
            say(&format!("SET: bend to this, from the test bends of {id}{scatter}."));
        }
        Some(SetBy::Strength) => say(
            "SET: a first guess from yield strength and modulus. A real tube springs back further: make \
             two test bends and type them in as test_bends of the [[bender]].",
        ),
        None => {}
    }
    if let Some(why) = tube.set_missing() {
        say(&format!("SET: open, {why}."));
    }
    for (place, off_mm) in &tube.passed {
        say(&format!(
            "{place} turns too little to be bent: the tube passes it straight, {off_mm:.1} mm beside."
        ));
    }
    if let Some(Err(why)) =
        side.rows.iter().map(|r| &r.set).find(|s| s.is_err() && bender.is_none())
    {
        say(&format!("open: {why}"));
    }
}

/// The trap that makes a left tube fit on the right only.
fn mirror(
    out: &mut String,
    assessment: &Assessment,
    line: usize,
    tube: &TubeFacts,
    layout: Layout,
) {
    let side = tube.side();
    let text = match tube.mirror {
        MirrorImage::Same => {
            "Mirror image: the same part, since every bend lies in one plane.".to_owned()
        }
        MirrorImage::TurnedRound => {
            "Mirror image: the same shape, but its ends change places.".to_owned()
        }
        MirrorImage::Another => format!(
            "MIRROR IMAGE: another part, which does not fit. To tell them apart: {}; in the mirror image \
             it is the other way round. Hold the first tube in its place before the second is bent.",
            sense(side)
        ),
    };
    out.push_str(&wrapped(&text, layout.width, 0));
    let facts = &assessment.facts;
    for twin in twins(&facts.lines, &facts.lines[line]) {
        let text = if twin.mirrored {
            format!(
                "{} is its mirror image: the same straights and angles, every turn the other way. Tag both \
                 before they leave the bender.",
                twin.line
            )
        } else {
            format!("{} is the same part.", twin.line)
        };
        out.push_str(&wrapped(&text, layout.width, 0));
    }
}

/// The first turn out of the plane, in words.
fn sense(side: &Side) -> String {
    let leaves = |r: &BendRow| libm::sin(r.bend.rotation_rad).abs() > 1e-2;
    let Some(index) = side.rows.iter().skip(1).position(leaves) else {
        return format!("compare the bend angles from {}", side.end);
    };
    let rotation_rad = side.rows[index + 1].bend.rotation_rad;
    let way = if rotation_rad > 0.0 { "clockwise" } else { "anticlockwise" };
    format!(
        "look along the straight from bend {} to bend {}, away from {}, and turn the tube until the leg \
         behind you points up: the next leg points {:.0} degrees {way} from up",
        index + 1,
        index + 2,
        side.end,
        rotation_rad.to_degrees().abs()
    )
}

fn judged(out: &mut String, assessment: &Assessment, line: usize, layout: Layout) {
    let said: Vec<&Finding> =
        findings(assessment, line).filter(|f| f.verdict != Verdict::Ok).collect();
    if said.is_empty() {
        return;
    }
    out.push('\n');
    for finding in said {
        let message = in_units(&finding.message, layout.system);
        let text = format!("{} {}: {message}", finding.verdict, finding.code);
        out.push_str(&wrapped(&text, layout.width, 0));
        out.push_str(&wrapped(&format!("do: {}", finding.remedy), layout.width, 2));
    }
}

fn steps(out: &mut String, tube: &TubeFacts, layout: Layout) {
    out.push_str("\nOrder of work\n");
    for (index, step) in tube.operations.iter().enumerate() {
        let text = format!("{}. {}", index + 1, in_units(step, layout.system));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

/// The bars of this tube, and what still comes out of them.
fn stick(out: &mut String, assessment: &Assessment, line: usize, layout: Layout) {
    let facts = &assessment.facts;
    let own = &facts.lines[line];
    let Some(stock) = facts.cutting.iter().find(|s| s.of == own.carrier) else { return };
    out.push('\n');
    out.push_str(&wrapped(&format!("Stock of {}", own.carrier), layout.width, 0));
    let plan = match &stock.plan {
        Ok(plan) => plan,
        Err(why) => return out.push_str(&wrapped(&format!("open: {why}"), layout.width, 2)),
    };
    for (index, bar) in plan.bars.iter().enumerate() {
        let cuts: Vec<&str> = bar.cuts.iter().map(|c| c.label.as_str()).collect();
        let text = format!(
            "piece {} of {}: {}; {} left, {}",
            index + 1,
            length(bar.length_mm, layout.system),
            cuts.join(", "),
            length(bar.left_mm, layout.system),
            again(assessment, stock, bar.left_mm)
        );
        out.push_str(&wrapped(&text, layout.width, 2));
    }
    if plan.bars.iter().all(|bar| bar.cuts.iter().all(|c| c.label != own.id)) {
        out.push_str(&wrapped(
            &format!("{} is not cut: no stock is left", own.id),
            layout.width,
            2,
        ));
    }
}

fn again(assessment: &Assessment, stock: &StockFacts, left_mm: f64) -> String {
    let fits: Vec<&str> =
        fit_again(&assessment.plan, stock, left_mm).map(|p| p.label.as_str()).collect();
    if fits.is_empty() {
        "too short for any of these lines again".to_owned()
    } else {
        format!("enough to make one of {} again", fits.join(", "))
    }
}
