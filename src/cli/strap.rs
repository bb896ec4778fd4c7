//! `hosewright strap`: flat patterns of straps, drawn at full size, and the bars of a printed sheet.

use std::mem::ManuallyDrop;

use super::args::Strap as StrapArgs;
use super::drawing::write_drawing;
use super::file::{read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::assess::{Assessment, read_and_assess};
use crate::diagnostic::visible;
use crate::finding::Verdict;
use crate::report::strap::pattern::pattern;
use crate::report::{Format, Layout, json, spreadsheet, strap};
use crate::trial::print::printed;

pub fn run(args: &StrapArgs, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let measured = args.drawn.measured()?;
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let straps = chosen(&assessment, args.strap.as_deref())?;
    let printed = printed(&assessment.plan, &assessment.facts, &straps, &tables, measured);
    let usable = printed.refused.is_empty();
    if usable {
        draw(args, &assessment, &straps)?;
    }
    let text = match format {
        Format::Text => strap::text(&assessment, &straps, &printed, layout),
        Format::Json => format!("{:#}\n", json::strap(&assessment, &straps, &printed)),
        Format::Csv => spreadsheet::strap(&assessment, &straps),
    };
    let found = straps.iter().flat_map(|s| strap::findings(&assessment, *s)).map(|f| f.verdict);
    let worst = if usable { found.max().unwrap_or(Verdict::Ok) } else { Verdict::Fail };
    Ok(Answer::judged(text, worst, false))
}

fn chosen(assessment: &Assessment, id: Option<&str>) -> Result<Vec<usize>, Trouble> {
    let straps = &assessment.plan.straps;
    let known: Vec<&str> = straps.iter().map(|s| s.id.as_str()).collect();
    if known.is_empty() {
        return Err(Trouble::hint("the plan has no strap", "describe it as a [[strap]]"));
    }
    let Some(id) = id else { return Ok((0..straps.len()).collect()) };
    let index = straps.iter().position(|s| s.id == id).ok_or_else(|| {
        let message = format!("the plan has no strap \"{}\"", visible(id));
        Trouble::hint(message, format!("known: {}", known.join(", ")))
    })?;
    Ok(vec![index])
}

/// Writes the drawings that were asked for.
fn draw(args: &StrapArgs, assessment: &Assessment, straps: &[usize]) -> Result<(), Trouble> {
    if !args.drawn.is_asked_for() {
        return Ok(());
    }
    let [strap] = straps else {
        let known: Vec<&str> = assessment.plan.straps.iter().map(|s| s.id.as_str()).collect();
        let message = "a drawing shows one strap: name it behind the plan";
        return Err(Trouble::hint(message, format!("known: {}", known.join(", "))));
    };
    let drawing = pattern(assessment, *strap).map_err(|why| Trouble::plain(visible(&why)))?;
    write_drawing(&drawing, &args.drawn)
}
