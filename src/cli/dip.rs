//! `hosewright dip`: dip marks of a tank.

use std::f64::consts::FRAC_PI_2;
use std::mem::ManuallyDrop;
use std::path::PathBuf;

use clap::Args as Group;

use super::args::Drawn;
use super::argument::{positive, read};
use super::drawing::write_drawing;
use super::file::{read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::diagnostic::visible;
use crate::plan::Plan;
use crate::report::{Format, Layout, dip as dip_text, dip_strip, json, spreadsheet};
use crate::trial::dip::{Asked, dip};
use crate::units::{Angle, Quantity, Volume};

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
    /// Draw the strip
    #[command(flatten)]
    pub drawn: Drawn,
}

pub fn run(args: &Dip, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let asked = asked(args)?;
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let plan = Plan::read(&file, &tables).map_err(Trouble::Problems)?;
    let trial = dip(&plan, &tables, &args.tank, &asked)
        .map_err(|(why, help)| Trouble::hint(visible(&why), visible(&help)))?;
    if !trial.refused() && args.drawn.is_asked_for() {
        write_drawing(&dip_strip::strip(&plan, &trial, layout.system), &args.drawn)?;
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
    let measured = args.drawn.measured()?;
    Ok(Asked {
        step: args.volumes.as_deref().map(|v| positive::<Volume>("volumes", v)).transpose()?,
        pitches_rad: args.nose_up.iter().map(pitch).collect::<Result<_, _>>()?,
        bars_mm: [measured.along_mm, measured.across_mm].into_iter().flatten().collect(),
    })
}
