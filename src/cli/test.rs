//! `hosewright test`: tests to make on the machine, and what a result means.

use std::f64::consts::FRAC_PI_2;
use std::mem::ManuallyDrop;

use super::args::{FlowTestArgs, TestWhat};
use super::argument::{positive, read};
use super::file::{read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::diagnostic::visible;
use crate::report::{Format, Layout, flow_test, json, spreadsheet};
use crate::trial::flow::{Asked, flow};
use crate::units::{Angle, Quantity, Temperature, Time, Volume};

/// Cans that every builder has one of.
const CANS: [&str; 2] = ["1 L", "1 gal(US)"];

pub fn run(what: &TestWhat, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    match what {
        TestWhat::Flow(args) => flow_can(args, format, layout),
    }
}

fn flow_can(args: &FlowTestArgs, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let asked = asked(args)?;
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = read_and_assess(&file, &tables).map_err(Trouble::Problems)?;
    let trial =
        flow(&assessment.plan, &tables, &asked).map_err(|why| Trouble::plain(visible(&why)))?;
    let text = match format {
        Format::Text => flow_test::text(&assessment, &trial, layout),
        Format::Json => format!("{:#}\n", json::flow_test(&assessment, &trial)),
        Format::Csv => spreadsheet::flow_test(&assessment.plan, &trial),
    };
    Ok(Answer::judged(text, trial.worst(), false))
}

fn asked(args: &FlowTestArgs) -> Result<Asked, Trouble> {
    let nose_up = args.nose_up.as_deref().map(|a| read::<Angle>("nose-up", a)).transpose()?;
    if nose_up.is_some_and(|a| a.si().abs() > FRAC_PI_2) {
        return Err(Trouble::hint(
            "--nose-up is more than a quarter turn",
            "for example \"12 deg\"",
        ));
    }
    let given = args.can.iter().map(String::as_str);
    let cans: Vec<&str> = if args.can.is_empty() { CANS.to_vec() } else { given.collect() };
    let cans = cans.into_iter().map(|c| positive::<Volume>("can", c)).collect::<Result<_, _>>()?;
    let error = args.error.as_deref().map(|e| read::<Time>("error", e)).transpose()?;
    let error = error.unwrap_or(Time::from_si(0.0));
    if error.si() < 0.0 {
        return Err(Trouble::plain("--error must not be negative"));
    }
    let temperature = args.temperature.as_deref();
    Ok(Asked {
        nose_up_rad: nose_up.map(Quantity::si),
        open: args.open,
        temperature: temperature.map(|t| read::<Temperature>("temperature", t)).transpose()?,
        cans,
        measured: args.measured.iter().map(|m| timed(m)).collect::<Result<_, _>>()?,
        error,
    })
}

/// The flow tests of a machine before anything was measured.
pub fn usual() -> Result<Asked, Trouble> {
    Ok(Asked {
        nose_up_rad: None,
        open: false,
        temperature: None,
        cans: CANS.into_iter().map(|c| positive::<Volume>("can", c)).collect::<Result<_, _>>()?,
        measured: Vec::new(),
        error: Time::from_si(0.0),
    })
}

/// A test and its time.
fn timed(text: &str) -> Result<(String, Time), Trouble> {
    let Some((name, time)) = text.split_once('=') else {
        let message = format!("--measured \"{}\" is not TEST=TIME", visible(text));
        return Err(Trouble::hint(message, "for example --measured \"PA=130 s\""));
    };
    Ok((name.trim().to_owned(), positive("measured", time)?))
}
