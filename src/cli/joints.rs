//! `hosewright joints`: every joint numbered, with its value, its spanner and what belongs on the thread.

use std::mem::ManuallyDrop;

use super::args::PlanFile;
use super::file::{read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::finding::Verdict;
use crate::report::{Format, Layout, joints as joints_text, json};
use crate::solve::joints;

pub fn run(args: &PlanFile, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let facts = joints::solve(&assessment.plan, &tables);
    let text = match format {
        Format::Text => joints_text::text(&assessment, &facts, layout),
        Format::Json => format!("{:#}\n", json::joints(&assessment, &facts)),
        Format::Csv => joints_text::csv(&assessment, &facts),
    };
    let worst = joints_text::findings(&assessment).map(|f| f.verdict).max();
    Ok(Answer::judged(text, worst.unwrap_or(Verdict::Ok), false))
}
