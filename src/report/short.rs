//! What is left of hoses that were cut too short.

use serde_json::{Value, json};

use super::Layout;
use super::grid::wrapped;
use super::units::in_units;
use crate::assess::Assessment;
use crate::check::makeup::reach::rescue;
use crate::trial::short::{Short, Usable, cut_short};

/// A paragraph for each hose that was cut short; nothing where none was.
pub fn text(assessment: &Assessment, layout: Layout) -> String {
    let short = cut_short(&assessment.plan, &assessment.facts);
    short.iter().map(|s| one(assessment, s, layout)).collect()
}

fn one(assessment: &Assessment, short: &Short<'_>, layout: Layout) -> String {
    let mut out = String::from("\n");
    let mut say = |text: &str, indent: usize| {
        out.push_str(&wrapped(&in_units(text, layout.system), layout.width, indent));
    };
    say(&heading(assessment, short), 0);
    for line in figures(assessment, short) {
        say(&line, 2);
    }
    say(&says(short), 2);
    for way in ways(short) {
        say(&format!("- {way}"), 4);
    }
    out
}

fn heading(assessment: &Assessment, short: &Short<'_>) -> String {
    let line = &assessment.plan.lines[short.line];
    let word = short.verdict().word();
    format!("{}, cut {:.1} mm short: {word}", line.id, short.by_mm)
}

fn figures(assessment: &Assessment, short: &Short<'_>) -> Vec<String> {
    let facts = &assessment.facts.lines[short.line];
    let mut lines = Vec::new();
    if let (Ok(makeup), Ok(geometry)) = (&facts.makeup, &facts.geometry) {
        let cut = &makeup.cut;
        lines.push(format!(
            "{:.1} mm of hose instead of {:.1} mm: an assembly of {:.1} mm on a route of {:.1} mm",
            cut.cut_mm, short.planned_mm, cut.assembly_mm, geometry.route.length_mm
        ));
        let rule = if short.keeps_rule { "keeps" } else { "is below" };
        lines.push(format!(
            "slack {:.2} %, which {rule} the {:.0} % of the rule",
            cut.slack_percent, short.least_percent
        ));
    }
    let left = short.reach.left;
    lines.push(format!(
        "slack left in service: {:.1} mm in the worst case, {:.1} mm ± {:.1} mm likely",
        left.worst_mm, left.in_service_mm, left.spread_mm
    ));
    if let Some(least) = facts.shape.as_ref().and_then(|s| s.least_possible) {
        lines.push(format!(
            "at its least bend radius no hose shorter than {:.1} mm can join these ports, clips or not",
            least.length_mm
        ));
    }
    lines
}

/// What to make of it.
fn says(short: &Short<'_>) -> String {
    let rule = if short.keeps_rule { "" } else { "fails the slack rule and " };
    match short.usable {
        Usable::AsItIs => "still keeps every rule of length".to_owned(),
        Usable::OnlyIf if short.reach.left.worst_mm < 0.0 => {
            format!("{rule}can be pulled tight in the worst case; usable only if you")
        }
        Usable::OnlyIf => format!("{rule}has little to spare; usable only if you"),
        Usable::Doubtful => format!("{rule}may well be pulled tight: do not use it unless you"),
        Usable::Not => format!("{rule}is pulled tight in service: reject it, unless you"),
        Usable::Unknown => format!(
            "{rule}cannot be judged: the plan does not give {}",
            short.reach.missing.join(", ")
        ),
    }
}

/// What would help, each way by itself.
fn ways(short: &Short<'_>) -> Vec<String> {
    if matches!(short.usable, Usable::AsItIs | Usable::Unknown) {
        return Vec::new();
    }
    let mut ways: Vec<String> =
        short.reach.rescues.iter().map(|r| rescue(r, short.reach)).collect();
    ways.push(format!("else cut a new hose of {:.1} mm", short.planned_mm));
    ways
}

/// The same for programs.
pub fn json(assessment: &Assessment) -> Value {
    let short = cut_short(&assessment.plan, &assessment.facts);
    let one = |s: &Short<'_>| {
        let facts = &assessment.facts.lines[s.line];
        let cut = facts.makeup.as_ref().ok().map(|m| m.cut);
        json!({
            "line": facts.id,
            "short_mm": s.by_mm,
            "planned_mm": s.planned_mm,
            "cut_mm": cut.map(|c| c.cut_mm),
            "assembly_mm": cut.map(|c| c.assembly_mm),
            "slack_percent": cut.map(|c| c.slack_percent),
            "slack_left_worst_mm": s.reach.left.worst_mm,
            "slack_left_likely_mm": s.reach.left.in_service_mm,
            "slack_left_spread_mm": s.reach.left.spread_mm,
            "verdict": s.verdict().word(),
            "says": says(s),
            "ways": ways(s),
        })
    };
    short.iter().map(one).collect()
}
