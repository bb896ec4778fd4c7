//! `hosewright log life`: how old the hoses are and what is due.

use super::{kept, out_of};
use crate::cli::args::LogLife;
use crate::cli::argument::positive;
use crate::cli::day::day;
use crate::cli::file::{read_plan, tables_beside};
use crate::cli::{Answer, Trouble};
use crate::diagnostic::visible;
use crate::life::{Asked, data, life, text};
use crate::plan::Plan;
use crate::report::grid::wrapped;
use crate::report::{Format, Layout};
use crate::units::{Quantity, Time};

pub fn run(args: &LogLife, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let kept = kept(&args.plan)?;
    let file = read_plan(&args.plan)?;
    let tables = tables_beside(&args.plan)?;
    let plan = Plan::read(&file, &tables).map_err(Trouble::Problems)?;
    let hours = args.hours.as_deref().map(|h| positive::<Time>("hours", h)).transpose()?;
    let asked = Asked {
        at: day(args.on.at.as_deref())?,
        hours: hours.map(|h| h.si() / 3600.0),
        rules: if args.rule.is_empty() { plan.hose_life.clone() } else { args.rule.clone() },
        batch: args.batch.clone(),
    };
    let found = life(&plan, &tables, &kept.entries, asked)
        .map_err(|(message, hint)| Trouble::hint(visible(&message), visible(&hint)))?;
    let answer = match format {
        Format::Text => {
            let doubt = kept.doubt.as_ref().map(|d| wrapped(d, layout.width, 0));
            format!("{}{}", doubt.unwrap_or_default(), text::text(&found, &plan.name, layout))
        }
        Format::Json => {
            let mut data = data::json(&found);
            data["doubt"] = kept.doubt.clone().into();
            format!("{data:#}\n")
        }
        Format::Csv => data::csv(&found),
    };
    Ok(out_of(&kept, answer, found.worst()))
}
