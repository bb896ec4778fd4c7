//! `hosewright dip`: dip marks of a tank.

use std::f64::consts::FRAC_PI_2;
use std::mem::ManuallyDrop;
use std::path::PathBuf;

use clap::Args as Group;

use super::args::Paper;
use super::argument::{positive, read};
use super::drawing::write_drawing;
use super::file::{read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::diagnostic::visible;
use crate::plan::Plan;
use crate::report::{Format, Layout, dip as dip_text, dip_strip, json, spreadsheet};
use crate::trial::dip::{Asked, dip};
use crate::units::{Angle, Length, Quantity, Volume};

/// Arguments of `dip`.
#[derive(Debug, Group)]
pub struct Dip {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// The tank, with shape and stick
    pub tank: String,
    /// Volume from mark to mark; a round one if absent
    #[arg(long, value_name = "QUANTITY")]
    pub volumes: Option<String>,
    /// A pitch besides those of the plan's cases, such as that of the parked machine
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub nose_up: Vec<String>,
    /// Draw the strip at full size into this new file, a long one into several, numbered; not while a bar is wrong
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Draw the strip at full size for a drawing program into this new file; not while a bar is wrong
    #[arg(long, value_name = "FILE")]
    pub dxf: Option<PathBuf>,
    /// Paper that the SVG is printed on
    #[arg(long, value_enum, default_value_t)]
    pub paper: Paper,
    /// What a printed bar of 100 mm measures; give both, along and across
    #[arg(long, value_name = "QUANTITY")]
    pub bar: Vec<String>,
}

pub fn run(args: &Dip, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let asked = asked(args)?;
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let plan = Plan::read(&file, &tables).map_err(Trouble::Problems)?;
    let trial = dip(&plan, &tables, &args.tank, &asked)
        .map_err(|(why, help)| Trouble::hint(visible(&why), visible(&help)))?;
    if !trial.refused() && (args.svg.is_some() || args.dxf.is_some()) {
        let strip = dip_strip::strip(&plan, &trial, layout.system);
        write_drawing(&strip, args.svg.as_deref(), args.dxf.as_deref(), args.paper)?;
    }
    let text = match format {
        Format::Text => dip_text::text(&plan, &trial, layout),
        Format::Json => format!("{:#}\n", json::dip(&plan, &trial)),
        Format::Csv => spreadsheet::dip(&trial),
    };
    Ok(Answer::judged(text, trial.worst(), false))
}

fn asked(args: &Dip) -> Result<Asked, Trouble> {
    let pitch = |text: &String| {
        let angle = read::<Angle>("nose-up", text)?.si();
        if angle.abs() > FRAC_PI_2 {
            let message = "--nose-up is more than a quarter turn";
            return Err(Trouble::hint(message, "for example \"9.5 deg\""));
        }
        Ok(angle)
    };
    let bar = |text: &String| Ok(positive::<Length>("bar", text)?.si() * 1e3);
    Ok(Asked {
        step: args.volumes.as_deref().map(|v| positive::<Volume>("volumes", v)).transpose()?,
        pitches_rad: args.nose_up.iter().map(pitch).collect::<Result<_, _>>()?,
        bars_mm: args.bar.iter().map(bar).collect::<Result<_, Trouble>>()?,
    })
}
