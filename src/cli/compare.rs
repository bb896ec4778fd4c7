//! `hosewright compare`: two plans and all that follows from them, side by side.

use std::mem::ManuallyDrop;
use std::path::Path;

use super::args::Compare;
use super::file::{read_plan, tables_beside};
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::compare::{Side, compare, data, text};
use crate::report::{Format, Layout};

pub fn run(args: &Compare, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let piped = |path: &Path| path.as_os_str() == "-";
    if piped(&args.old) && piped(&args.new) {
        let message = "both plans cannot come from standard input";
        return Err(Trouble::hint(message, "name the file of one of them"));
    }
    let beside = |path: &Path, other: &Path| tables_beside(if piped(path) { other } else { path });
    let (old_file, new_file) = (read_plan(&args.old)?, read_plan(&args.new)?);
    let old_tables = ManuallyDrop::new(beside(&args.old, &args.new)?);
    let new_tables = ManuallyDrop::new(beside(&args.new, &args.old)?);
    // Each plan has its own problems to tell.
    let (old, new) =
        (read_and_assess(&old_file, &old_tables), read_and_assess(&new_file, &new_tables));
    let (old, new) = match (old, new) {
        (Ok(old), Ok(new)) => (ManuallyDrop::new(old), ManuallyDrop::new(new)),
        (old, new) => {
            let problems = [old.err(), new.err()].into_iter().flatten().flatten();
            return Err(Trouble::Problems(problems.collect()));
        }
    };
    let sides = [
        Side { assessment: &old, tables: &old_tables, text: &old_file.text },
        Side { assessment: &new, tables: &new_tables, text: &new_file.text },
    ];
    let found = compare(&sides[0], &sides[1]);
    let text = match format {
        Format::Text => text::text(&found, layout, args.all),
        Format::Json => format!("{:#}\n", data::json(&found)),
        Format::Csv => data::csv(&found),
    };
    Ok(Answer::judged(text, found.worst, false))
}
