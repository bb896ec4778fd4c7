//! `hosewright log built`: the machine as it was built, against its plan.

use std::mem::ManuallyDrop;

use serde_json::json;

use super::{kept, out_of};
use crate::assess::read_and_assess;
use crate::built::{built, data, text};
use crate::cli::args::LogBuilt;
use crate::cli::file::{read_plan, tables_beside};
use crate::cli::{Answer, Trouble};
use crate::compare::{self, Part, Side, compare};
use crate::report::grid::wrapped;
use crate::report::{Format, Layout};

pub fn run(args: &LogBuilt, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let kept = kept(&args.plan)?;
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let planned = ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let found = ManuallyDrop::new(built(&file, &tables, &planned, &kept.entries));
    let side = |assessment| Side { assessment, tables: &tables, text: &file.text };
    let mut changes = compare(&side(&planned), &side(&found.assessment));
    changes.titles = ["as planned", "as built"].map(|how| format!("{}, {how}", planned.plan.name));
    // What is ordered and what the cards say follows from the plan, not from what was read.
    (changes.order, changes.cards) = (Part::default(), Part::default());
    let answer = match format {
        Format::Text => {
            let doubt = kept.doubt.as_ref().map(|d| wrapped(d, layout.width, 0));
            let read = text::text(&found, layout);
            let changes = compare::text::text(&changes, layout, args.all);
            format!("{}{read}\n{changes}", doubt.unwrap_or_default())
        }
        Format::Json => {
            let data = json!({
                "doubt": kept.doubt,
                "built": data::json(&found),
                "changes": compare::data::json(&changes),
            });
            format!("{data:#}\n")
        }
        Format::Csv => data::csv(&found),
    };
    Ok(out_of(&kept, answer, found.worst()))
}
