//! `hosewright steps`: how one line is made up, step by step, each with what it is held against.

use std::mem::ManuallyDrop;
use std::path::PathBuf;

use clap::Args as Group;

use super::file::{read_plan, tables_beside};
use super::plan::line_index;
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::report::{Format, Layout, json, steps as steps_text};
use crate::trial::proof::steps;

/// Arguments of `steps`.
#[derive(Debug, Group)]
pub struct Steps {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// The line
    pub line: String,
}

pub fn run(args: &Steps, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let line = line_index(&assessment.plan.lines, &args.line)?;
    let facts = steps(&assessment.plan, &assessment.facts, &tables, line);
    Ok(Answer::plain(match format {
        Format::Text => steps_text::text(&assessment, line, &facts, layout),
        Format::Json => format!("{:#}\n", json::steps(&assessment, line, &facts)),
        Format::Csv => steps_text::csv(&assessment, line, &facts),
    }))
}
