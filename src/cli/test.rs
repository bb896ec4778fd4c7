//! `hosewright test`: tests to make on the machine, and what a result means.

use std::f64::consts::FRAC_PI_2;
use std::mem::ManuallyDrop;

use super::args::{FlowTestArgs, InstrumentArgs, LeakArgs, ProofArgs, TestWhat};
use super::argument::{positive, read};
use super::file::{read_plan, tables_beside};
use super::reading::{instruments, pumped, readings, temperature};
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::diagnostic::visible;
use crate::report::{Format, Layout, flow_test, json, leak_test, proof_test, spreadsheet};
use crate::trial::flow::{Asked, flow};
use crate::trial::leak::{self, leak};
use crate::trial::proof::{self, proof};
use crate::units::{Angle, Quantity, Temperature, Time, Volume};

/// Cans that every builder has one of.
const CANS: [&str; 2] = ["1 L", "1 gal(US)"];

pub fn run(what: &TestWhat, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    match what {
        TestWhat::Flow(args) => flow_can(args, format, layout),
        TestWhat::Proof(args) => proof_lines(args, format, layout),
        TestWhat::Leak(args) => leak_lines(args, format, layout),
    }
}

fn proof_lines(args: &ProofArgs, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let asked = proof::Asked {
        rules: proof::Rules {
            hose: args.hose_rule.clone(),
            tube: args.tube_rule.clone(),
            liquid: args.liquid.clone(),
        },
        hold: args.hold.as_deref().map(|h| positive::<Time>("hold", h)).transpose()?,
        pumped: pumped(&args.pumped)?,
        measured: readings(&args.instruments)?,
        ..unmeasured(&args.instruments)?
    };
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = read_and_assess(&file, &tables).map_err(Trouble::Problems)?;
    let trial = proof(&assessment.plan, &assessment.facts, &tables, &asked)
        .map_err(|why| Trouble::plain(visible(&why)))?;
    let text = match format {
        Format::Text => proof_test::text(&assessment, &trial, layout),
        Format::Json => format!("{:#}\n", json::proof_test(&assessment, &trial)),
        Format::Csv => proof_test::csv(&assessment, &trial),
    };
    Ok(Answer::judged(text, trial.worst(), false))
}

fn leak_lines(args: &LeakArgs, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let asked = leak::Asked {
        temperature: temperature(&args.instruments)?,
        instruments: instruments(&args.instruments)?,
        measured: readings(&args.instruments)?,
    };
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = read_and_assess(&file, &tables).map_err(Trouble::Problems)?;
    let trial = leak(&assessment.plan, &assessment.facts, &tables, &asked)
        .map_err(|why| Trouble::plain(visible(&why)))?;
    let text = match format {
        Format::Text => leak_test::text(&assessment, &trial, layout),
        Format::Json => format!("{:#}\n", json::leak_test(&assessment, &trial)),
        Format::Csv => leak_test::csv(&assessment, &trial),
    };
    Ok(Answer::judged(text, trial.worst(), false))
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
        measured: args.measured.iter().map(|m| timed(m)).collect::<Result<_, _>>()?,
        error,
        ..Asked::with(cans(&args.can)?)
    })
}

/// The cans that are filled: those that every builder has where none is named.
fn cans(named: &[String]) -> Result<Vec<Volume>, Trouble> {
    let given = named.iter().map(String::as_str);
    let cans: Vec<&str> = if named.is_empty() { CANS.to_vec() } else { given.collect() };
    cans.into_iter().map(|c| positive::<Volume>("can", c)).collect()
}

/// The flow tests of a machine before anything was measured.
pub fn usual() -> Result<Asked, Trouble> {
    Ok(Asked::with(cans(&[])?))
}

/// The proof tests of a machine before anything was measured, by the rules of the tables.
pub fn usual_proof() -> Result<proof::Asked, Trouble> {
    unmeasured(&InstrumentArgs::usual())
}

/// The proof tests by the rules of the tables, with these instruments, before anything is measured.
fn unmeasured(args: &InstrumentArgs) -> Result<proof::Asked, Trouble> {
    Ok(proof::Asked::by_tables(temperature(args)?, instruments(args)?))
}

/// A test and its time.
fn timed(text: &str) -> Result<(String, Time), Trouble> {
    let Some((name, time)) = text.split_once('=') else {
        let message = format!("--measured \"{}\" is not TEST=TIME", visible(text));
        return Err(Trouble::hint(message, "for example --measured \"PA=130 s\""));
    };
    Ok((name.trim().to_owned(), positive("measured", time)?))
}
