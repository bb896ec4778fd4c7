//! `hosewright fill`: what each system takes, and what a poured volume says.

use std::mem::ManuallyDrop;
use std::path::PathBuf;

use clap::Args as Group;

use super::file::{read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::assess::poured::{Amount, filling};
use crate::assess::read_and_assess;
use crate::diagnostic::visible;
use crate::report::{Format, Layout, fill as fill_text, json, spreadsheet};
use crate::units::{Quantity, Volume, read_uncertain};

/// Arguments of `fill`.
#[derive(Debug, Group)]
pub struct Fill {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Only what holds this fluid
    #[arg(long, value_name = "FLUID")]
    pub fluid: Option<String>,
    /// What went in until the tanks stood at their volume, such as "coolant=5.6 L ± 0.1 L": fluid or system
    #[arg(long, value_name = "FLUID=VOLUME")]
    pub poured: Vec<String>,
}

pub fn run(args: &Fill, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let amounts = args.poured.iter().map(|p| amount(p)).collect::<Result<Vec<_>, _>>()?;
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let filling = filling(&file, &tables, &assessment, &amounts)
        .map_err(|(why, help)| Trouble::hint(visible(&why), visible(&help)))?;
    let fluids = &assessment.plan.fluids;
    let is_asked = |i: &usize| {
        let of = &fluids[filling.systems[*i].fluid].id;
        args.fluid.as_ref().is_none_or(|asked| asked == of)
    };
    let chosen: Vec<usize> = (0..filling.systems.len()).filter(is_asked).collect();
    if let (Some(asked), true) = (&args.fluid, chosen.is_empty()) {
        let mut known: Vec<&str> =
            filling.systems.iter().map(|s| fluids[s.fluid].id.as_str()).collect();
        known.dedup();
        let message = format!("no system is filled with \"{}\"", visible(asked));
        return Err(Trouble::hint(message, format!("known: {}", known.join(", "))));
    }
    Ok(Answer::plain(match format {
        Format::Text => fill_text::text(&assessment, &filling, &chosen, layout),
        Format::Json => format!("{:#}\n", json::fill(&assessment, &filling, &chosen)),
        Format::Csv => spreadsheet::fill(&assessment, &filling, &chosen),
    }))
}

fn amount(text: &str) -> Result<Amount, Trouble> {
    let example = "for example --poured \"coolant=5.6 L ± 0.1 L\"";
    let Some((of, volume)) = text.split_once('=') else {
        let message = format!("--poured \"{}\" is not FLUID=VOLUME", visible(text));
        return Err(Trouble::hint(message, example));
    };
    let (volume, error) = read_uncertain::<Volume>(volume.trim())
        .map_err(|e| Trouble::Plain(format!("--poured: {}", e.message), e.help))?;
    if volume.si() <= 0.0 {
        return Err(Trouble::hint("--poured must be greater than zero", example));
    }
    let error_m3 = error.map(Quantity::si);
    Ok(Amount { of: of.trim().to_owned(), volume_m3: volume.si(), error_m3 })
}
