//! `hosewright tables`: figures with their sources.

use super::args::Tables as TableArgs;
use super::file::tables_beside;
use super::{Answer, Trouble};
use crate::diagnostic::nearest;
use crate::report::{Format, table};
use crate::table::Tables;

pub fn run(args: &TableArgs, format: Format, width: usize) -> Result<Answer, Trouble> {
    let tables = match &args.beside {
        Some(plan) => tables_beside(plan)?,
        None => Tables::builtin(),
    };
    if let Some(kind) = &args.kind
        && !tables.kinds().contains(&kind.as_str())
    {
        return Err(unknown("kind of table", kind, &tables.kinds()));
    }
    let (Some(kind), Some(name)) = (&args.kind, &args.name) else {
        return Ok(list(&tables, args.kind.as_deref(), format, width));
    };
    let Some(found) = tables.get(kind, name) else {
        return Err(unknown(&format!("{kind} table"), name, &tables.names(kind)));
    };
    Ok(Answer::plain(match format {
        Format::Text => table::text(found, width),
        Format::Json => format!("{:#}\n", table::json(found)),
        Format::Csv => table::csv(found),
    }))
}

fn list(tables: &Tables, kind: Option<&str>, format: Format, width: usize) -> Answer {
    Answer::plain(match format {
        Format::Json => format!("{:#}\n", table::list_json(tables, kind)),
        Format::Csv => table::list_csv(tables, kind),
        Format::Text => table::list(tables, kind, width),
    })
}

/// One message for a name that is none of the known ones.
pub fn unknown(what: &str, written: &str, known: &[&str]) -> Trouble {
    let mut help = Vec::new();
    help.extend(nearest(written, known.iter().copied()).map(|n| format!("did you mean \"{n}\"?")));
    help.push(format!("known: {}", known.join(", ")));
    let shown: String = crate::document::shorten(written).escape_debug().collect();
    Trouble::Plain(format!("no {what} \"{shown}\""), help)
}
