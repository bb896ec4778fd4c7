//! Dip marks for a person with a stick: the marks level and in every attitude, poured points, the printed bars.

use super::Layout;
use super::caution::{ALWAYS, DIP};
use super::grid::{Grid, wrapped};
use crate::finding::Verdict;
use crate::geometry::vessel::poured::PouredFit;
use crate::plan::Plan;
use crate::solve::dip::{Mark, Reading};
use crate::trial::dip::DipTrial;
use crate::trial::print::{BAR_MM, Bar};
use crate::units::System;

/// Cubic millimetres in a litre and in a US gallon.
const LITRE: f64 = 1e6;
const GALLON: f64 = 231.0 * 25.4 * 25.4 * 25.4;

/// A place on the stick: tenths of a millimetre, or hundredths of an inch.
pub fn place(mm: f64, system: System) -> String {
    match system {
        System::Metric => format!("{mm:.1} mm"),
        System::Inch => format!("{:.2} in", mm / 25.4),
        System::Both => format!("{mm:.1} mm ({:.2} in)", mm / 25.4),
    }
}

/// A volume in litres or US gallons with so many digits behind the point.
pub fn volume(mm3: f64, digits: usize, system: System) -> String {
    let (litres, gallons) = (mm3 / LITRE, mm3 / GALLON);
    match system {
        System::Metric => format!("{litres:.digits$} L"),
        System::Inch => format!("{gallons:.digits$} gal(US)"),
        System::Both => format!("{litres:.digits$} L ({gallons:.digits$} gal(US))"),
    }
}

/// Digits behind the point that tell one mark from the next.
pub fn digits(marks: &[Mark]) -> usize {
    let round = |places: usize| {
        let scale = [1.0, 10.0, 100.0][places];
        marks.iter().all(|m| {
            let shown = m.volume_mm3 / LITRE * scale;
            (shown - shown.round()).abs() < 1e-6
        })
    };
    (0..3).find(|p| round(*p)).unwrap_or(3)
}

/// What a stick shows, in words.
pub fn shown(reading: Reading, system: System) -> String {
    match reading {
        Reading::At(mm) => place(mm, system),
        Reading::Dry => "dry".into(),
        Reading::Over => "over the top".into(),
    }
}

/// The report of `dip`.
pub fn text(plan: &Plan, trial: &DipTrial, layout: Layout) -> String {
    let mut out = String::new();
    let system = layout.system;
    let mut say = |text: &str| out.push_str(&wrapped(text, layout.width, 0));
    let component = &plan.components[trial.facts.component];
    let name = component.name.as_deref().map_or(String::new(), |n| format!(", {n}"));
    say(&format!("Dip marks of {}{name}, {}", component.id, plan.name));
    for line in about(trial, system) {
        say(&line);
    }
    out.push('\n');
    out.push_str(&level_grid(trial, system).to_text(layout.width));
    for index in 1..trial.facts.standings.len() {
        out.push('\n');
        let heading = format!(
            "{}: with marks of its own, and what the level marks show",
            trial.facts.standings[index].name
        );
        out.push_str(&wrapped(&heading, layout.width, 0));
        out.push_str(&standing_grid(trial, index, system).to_text(layout.width));
    }
    out.push('\n');
    for line in notes(trial, system) {
        out.push_str(&wrapped(&line, layout.width, 0));
    }
    for caution in [DIP, ALWAYS] {
        out.push_str(&wrapped(caution, layout.width, 0));
    }
    out
}

fn about(trial: &DipTrial, system: System) -> Vec<String> {
    let facts = &trial.facts;
    let how = if facts.change == 0.0 {
        "closed form".to_owned()
    } else {
        format!("integrated, settled to {:.0e} of the full tank", facts.change)
    };
    let mut lines = vec![
        format!("Full to the top: {} ({how})", volume(facts.full_mm3, 3, system)),
        "Readings are along the stick from its lower end to where the surface meets it.".to_owned(),
    ];
    if facts.only_level {
        lines.push("Measured level only: what it shows on a slope is not known.".into());
    }
    lines
}

fn level_grid(trial: &DipTrial, system: System) -> Grid {
    let mut grid = Grid::new(&["volume", "level dip", "by the poured points"], &[0, 1, 2]);
    let places = digits(&trial.facts.marks);
    for mark in &trial.facts.marks {
        grid.rows.push(vec![
            volume(mark.volume_mm3, places, system),
            shown(mark.readings[0], system),
            mark.as_poured_mm.map_or("-".into(), |mm| place(mm, system)),
        ]);
    }
    grid
}

fn standing_grid(trial: &DipTrial, index: usize, system: System) -> Grid {
    let mut grid = Grid::new(&["volume", "dip", "level marks show", "wrong by"], &[0, 1, 2, 3]);
    let places = digits(&trial.facts.marks);
    for mark in &trial.facts.marks {
        let wrong = mark.shown_mm3[index].map(|s| s - mark.volume_mm3);
        grid.rows.push(vec![
            volume(mark.volume_mm3, places, system),
            shown(mark.readings[index], system),
            mark.shown_mm3[index].map_or("-".into(), |s| volume(s, 2, system)),
            wrong.map_or("-".into(), |w| volume(w, 2, system)),
        ]);
    }
    grid
}

/// Everything beside the marks, a sentence or two each.
pub fn notes(trial: &DipTrial, system: System) -> Vec<String> {
    let mut lines = Vec::new();
    lines.extend(worst_on_slope(trial, system));
    lines.extend(stick_move(trial, system));
    lines.extend(full(trial, system));
    if let Some((low, high)) = trial.facts.inner_mm {
        lines.push(format!(
            "Between {} and {} level the body inside takes room: a millimetre of dip is less there.",
            place(low, system),
            place(high, system)
        ));
    }
    match &trial.facts.poured {
        None => {}
        Some(Err(why)) => lines.push(format!("open: the poured points could not be fitted: {why}")),
        Some(Ok(fit)) => lines.extend(poured(trial, fit, system)),
    }
    lines.extend(trial.bars.iter().map(|b| bar(b, system)));
    lines
}

/// The worst that level marks show in each attitude.
fn worst_on_slope(trial: &DipTrial, system: System) -> Vec<String> {
    let places = digits(&trial.facts.marks);
    let one = |index: usize| {
        let wrong = |m: &&Mark| m.shown_mm3[index].map_or(0.0, |s| (s - m.volume_mm3).abs());
        let worst = trial.facts.marks.iter().max_by(|a, b| wrong(a).total_cmp(&wrong(b)))?;
        let shows = worst.shown_mm3[index]?;
        Some(format!(
            "Level marks read {} are not true: at worst they show {} for a true {}.",
            trial.facts.standings[index].name,
            volume(shows, 2, system),
            volume(worst.volume_mm3, places, system)
        ))
    };
    (1..trial.facts.standings.len()).filter_map(one).collect()
}

fn stick_move(trial: &DipTrial, system: System) -> Option<String> {
    let better = trial.better?;
    let [now, middle, _] = trial.facts.shifts?;
    let word = if better == middle { "at mid length, " } else { "" };
    Some(format!(
        "Move the hole of the stick: {word}{} from the first end, marks differ from the level ones by at most {}, \
         where it is planned by {}.",
        place(better.at_mm, system),
        place(better.most_mm, system),
        place(now.most_mm, system)
    ))
}

fn full(trial: &DipTrial, system: System) -> Option<String> {
    let full = trial.facts.full_mark.as_ref()?;
    let by_standing = trial.facts.standings.iter().zip(&full.mark.readings);
    let dips: Vec<String> =
        by_standing.map(|(s, r)| format!("{} {}", s.name, shown(*r, system))).collect();
    Some(format!(
        "Full mark: {}, which leaves {} to expand by yardstick {} ({}): {}.",
        volume(full.mark.volume_mm3, 2, system),
        volume(full.space_mm3, 2, system),
        full.rule,
        full.cite.text,
        dips.join(", ")
    ))
}

fn poured(trial: &DipTrial, fit: &PouredFit, system: System) -> Vec<String> {
    let mut lines = vec![format!(
        "Poured points: add {} ± {} to a reading; the tank holds {:.1} ± {:.1} % of its drawing. Every lot's error stays \
         in all later sums: after the last one up to {}.",
        place(fit.offset_mm, system),
        place(2.0 * fit.offset_sd_mm, system),
        100.0 * fit.scale,
        200.0 * fit.scale_sd,
        volume(fit.sum_error_mm3, 2, system)
    )];
    for index in &fit.odd {
        let (point, read) = (&fit.points[*index], trial.read(*index));
        lines.push(format!(
            "caution: the reading of {} at {} is odd: the others expect {}. It is off by {:.0} times what the errors \
             explain and is left out; read or pour it again.",
            place(read.1, system),
            volume(read.0, 2, system),
            place(point.expected_mm, system),
            point.score.abs()
        ));
    }
    if fit.odd.is_empty() {
        lines.push("No reading is odd: each agrees with what the others expect of it.".into());
    }
    lines.push(
        "Method: least squares with the shared errors of the sums, each point against all others; odd beyond three \
         standard deviations (common practice)."
            .into(),
    );
    lines
}

/// A printed bar in one sentence.
pub fn bar(bar: &Bar, system: System) -> String {
    let measures = place(bar.measures_mm, system);
    match (&bar.most_off_mm, bar.verdict) {
        (Some(most), Verdict::Ok) => {
            format!("ok: the printed bar measures {measures}, within {}", place(most.value, system))
        }
        (Some(most), _) => format!(
            "fail: the printed bar measures {measures} and not {}: the strip is not to size and is refused. At most {} \
             off ({}). Print it at 100 %, without fitting it to the page, and measure both bars again.",
            place(BAR_MM, system),
            place(most.value, system),
            most.cite.text
        ),
        (None, _) => format!("open: no rule says how far a bar of {measures} may be off"),
    }
}
