//! Commands that take a plan: `check`, `flow`, `size`, `cut`, `mass`, `order`, `bend`.

use std::mem::ManuallyDrop;
use std::path::Path;
use std::sync::Arc;

use super::args::{Bend, Check, Day, Flow, Order, PlanFile, Size};
use super::argument::positive;
use super::file::{read_plan, tables_beside};
use super::recorded::Drawn;
use super::{Answer, Trouble};
use crate::assess::spread::{Settings, Spread, spread};
use crate::assess::{Assessment, assess, read_and_assess};
use crate::diagnostic::{SourceText, visible};
use crate::finding::Verdict;
use crate::plan::{Carrier, Line, Plan};
use crate::report::terminal::Detail;
use crate::report::{
    Format, Layout, bend as bend_text, cut as cut_text, flow as flow_text, json, mass as mass_text,
    order as order_text, size as size_text, spreadsheet, terminal,
};
use crate::size::{alternates, size as sizes};
use crate::solve::mass;
use crate::table::Tables;
use crate::units::{Length, Quantity};

/// The assessment of a plan. It is never taken apart again: the process ends with the report.
fn assessed(plan: &Path) -> Result<ManuallyDrop<Assessment>, Trouble> {
    let file = read_plan(plan)?;
    let tables = ManuallyDrop::new(tables_beside(plan)?);
    let assessment = read_and_assess(&file, &tables).map_err(Trouble::Problems)?;
    Ok(ManuallyDrop::new(assessment))
}

/// A plan that was checked, with all that its report is made of.
struct Checked {
    file: Arc<SourceText>,
    tables: ManuallyDrop<Tables>,
    assessment: ManuallyDrop<Assessment>,
}

/// Reads and assesses a plan, and holds the record beside it against it; hoses may be cut short before.
fn checked(path: &Path, short: &[String], on: &Day, strict: bool) -> Result<Checked, Trouble> {
    let file = read_plan(path)?;
    let tables = ManuallyDrop::new(tables_beside(path)?);
    let mut plan = Plan::read(&file, &tables).map_err(Trouble::Problems)?;
    cut_short(&mut plan, short)?;
    let mut assessment = ManuallyDrop::new(assess(plan, &tables));
    // A hose that is thought shorter is not the one whose card was signed.
    if short.is_empty() {
        let drawn = Drawn::of(&file, &tables, &assessment);
        let signed = drawn.signed_beside(path)?;
        let found = drawn.judged(&assessment.facts, signed.as_ref(), on)?;
        assessment.findings.extend(found);
    }
    if strict {
        assessment.tighten();
    }
    Ok(Checked { file, tables, assessment })
}

/// One of many plans, checked as it is checked alone.
pub fn checked_of_many(path: &Path, on: &Day, strict: bool) -> Result<Assessment, Trouble> {
    let Checked { tables, assessment, .. } = checked(path, &[], on, strict)?;
    // The process goes on, and what is not needed any more must not pile up.
    drop(ManuallyDrop::into_inner(tables));
    Ok(ManuallyDrop::into_inner(assessment))
}

/// The check of one plan.
pub fn check(args: &Check, path: &Path, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let Checked { file, tables, mut assessment } =
        checked(path, &args.short, &args.on, args.strict)?;
    let lines = &assessment.plan.lines;
    let only = args.line.as_deref().map(|id| line_index(lines, id)).transpose()?;
    if let Some(id) = args.line.as_deref() {
        assessment.findings.retain(|finding| finding.is_about(id));
    }
    let settings = Settings { samples: args.samples, strict: args.strict };
    let spread = args.spread.then(|| spread(&file, &tables, &assessment, settings));
    let spread = spread.as_ref();
    let detail = if args.all { Detail::All } else { Detail::Normal };
    let text = match (format, spread) {
        (Format::Text, _) => terminal::check(&assessment, spread, layout, detail, only),
        (Format::Json, _) => format!("{:#}\n", json::check(&assessment, spread)),
        (Format::Csv, None) => spreadsheet::check(&assessment),
        (Format::Csv, Some(spread)) => spreadsheet::spread(spread),
    };
    let moved = spread.map_or(Verdict::Ok, Spread::worst);
    let worst = if args.strict { assessment.worst().max(moved) } else { assessment.worst() };
    Ok(Answer::judged(text, worst, args.strict))
}

/// Shortens the hoses that were cut short.
fn cut_short(plan: &mut Plan, cuts: &[String]) -> Result<(), Trouble> {
    for text in cuts {
        let Some((id, by)) = text.split_once('=') else {
            let message = format!("--short \"{}\" is not LINE=LENGTH", visible(text));
            return Err(Trouble::hint(message, "for example --short \"O2=5 mm\""));
        };
        let by_mm = positive::<Length>("short", by)?.si() * 1e3;
        let index = line_index(&plan.lines, id.trim())?;
        let line = &mut plan.lines[index];
        if matches!(line.carrier, Carrier::Tube(_)) {
            let message = format!("{} is a rigid tube: --short is for hoses", line.id);
            return Err(Trouble::plain(message));
        }
        line.cut_short_mm = by_mm;
    }
    Ok(())
}

/// The line of an id.
pub fn line_index(lines: &[Line], id: &str) -> Result<usize, Trouble> {
    lines.iter().position(|l| l.id == id).ok_or_else(|| {
        let known: Vec<&str> = lines.iter().map(|l| l.id.as_str()).collect();
        let message = format!("the plan has no line \"{}\"", visible(id));
        Trouble::hint(message, format!("known: {}", known.join(", ")))
    })
}

pub fn flow(args: &Flow, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let assessment = assessed(&args.plan)?;
    let only = args.case.as_deref();
    if let Some(name) = only
        && !assessment.facts.cases.iter().any(|c| c.name == name)
    {
        let known: Vec<&str> = assessment.facts.cases.iter().map(|c| c.name.as_str()).collect();
        let message = format!("case \"{}\" is not among those that were solved", visible(name));
        return Err(Trouble::hint(message, format!("known: {}", known.join("; "))));
    }
    Ok(Answer::plain(match format {
        Format::Text => flow_text::text(&assessment, only, layout),
        Format::Json => format!("{:#}\n", json::flow(&assessment, only)),
        Format::Csv => spreadsheet::flow(&assessment, only),
    }))
}

pub fn size(args: &Size, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = read_and_assess(&file, &tables).map_err(Trouble::Problems)?;
    let lines = &assessment.plan.lines;
    let only = args.line.as_deref().map(|id| line_index(lines, id)).transpose()?;
    let sizing = ManuallyDrop::new(sizes(&assessment, &tables, only));
    let text = match format {
        Format::Text => size_text::text(&assessment, &sizing, layout),
        Format::Json => format!("{:#}\n", json::sizing(&assessment, &sizing)),
        Format::Csv => spreadsheet::sizes(&assessment, &sizing),
    };
    Ok(Answer::judged(text, sizing.worst(), false))
}

pub fn cut(args: &PlanFile, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let assessment = assessed(&args.plan)?;
    Ok(Answer::plain(match format {
        Format::Text => cut_text::text(&assessment, layout),
        Format::Json => format!("{:#}\n", json::cut(&assessment)),
        Format::Csv => spreadsheet::cut(&assessment),
    }))
}

pub fn mass(args: &PlanFile, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let assessment = assessed(&args.plan)?;
    let facts = mass::solve(&assessment.plan, &assessment.facts);
    Ok(Answer::plain(match format {
        Format::Text => mass_text::text(&assessment, &facts, layout),
        Format::Json => format!("{:#}\n", json::mass(&assessment, &facts)),
        Format::Csv => spreadsheet::mass(&assessment, &facts),
    }))
}

pub fn order(args: &Order, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let alternates = args.alternates.then(|| alternates(&assessment, &tables));
    let alternates = alternates.as_deref();
    Ok(Answer::plain(match format {
        Format::Text => order_text::text(&assessment, alternates, layout),
        Format::Json => format!("{:#}\n", json::order(&assessment, alternates)),
        Format::Csv => spreadsheet::order(&assessment, alternates),
    }))
}

pub fn bend(args: &Bend, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let assessment = assessed(&args.plan)?;
    let lines = &assessment.facts.lines;
    let tubes: Vec<usize> = (0..lines.len()).filter(|i| lines[*i].tube.is_some()).collect();
    let known: Vec<&str> = tubes.iter().map(|i| lines[*i].id.as_str()).collect();
    let known = format!("rigid tubes of the plan: {}", known.join(", "));
    let chosen = match args.line.as_deref() {
        None => tubes,
        Some(id) => match lines.iter().position(|l| l.id == id) {
            Some(line) if lines[line].tube.is_some() => vec![line],
            Some(_) => {
                let message = format!("line {} is a hose, and a hose is not bent", visible(id));
                return Err(Trouble::hint(message, known));
            }
            None => {
                let message = format!("the plan has no line \"{}\"", visible(id));
                return Err(Trouble::hint(message, known));
            }
        },
    };
    let text = match format {
        Format::Text => bend_text::text(&assessment, &chosen, layout),
        Format::Json => format!("{:#}\n", json::bend(&assessment, &chosen)),
        Format::Csv => spreadsheet::bend(&assessment, &chosen),
    };
    let of_lines = chosen.iter().flat_map(|line| bend_text::findings(&assessment, *line));
    let worst = of_lines.map(|f| f.verdict).max().unwrap_or(Verdict::Ok);
    Ok(Answer::judged(text, worst, false))
}
