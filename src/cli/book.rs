//! `hosewright book`: everything to print and to hold, as one HTML file.

use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

use super::args::Book as BookArgs;
use super::file::{printable, read_plan, tables_beside, write_over};
use super::test::usual;
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::book::{Book, GENERATOR, Look, html};
use crate::diagnostic::visible;
use crate::report::Layout;
use crate::trial::flow::flow;

pub fn run(args: &BookArgs, layout: Layout) -> Result<Answer, Trouble> {
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let assessment = ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let look = Look { system: layout.system, paper: args.paper.into(), large: args.large };
    let trial =
        flow(&assessment.plan, &tables, &usual()?).map_err(|why| Trouble::plain(visible(&why)))?;
    let flow_trial = Some(&trial);
    let book =
        Book { assessment: &assessment, tables: &tables, text: &file.text, flow_trial, look };
    let text = html(&book);
    let worst = assessment.worst();
    let out = args.out.clone().unwrap_or_else(|| beside(&args.plan));
    if out.as_os_str() == "-" {
        return Ok(Answer::judged(text, worst, false));
    }
    write_over(&out, &text, |old| old.contains(GENERATOR), "a book")?;
    let said =
        format!("{} is written: open it in a browser, and print what you need\n", printable(&out));
    Ok(Answer::judged(said, worst, false))
}

/// `boat/plan.toml` as `boat/plan-book.html`; from standard input to standard output.
fn beside(plan: &Path) -> PathBuf {
    if plan.as_os_str() == "-" {
        return plan.to_owned();
    }
    let mut name = plan.file_stem().map(std::ffi::OsStr::to_os_string).unwrap_or_default();
    name.push("-book.html");
    plan.with_file_name(name)
}
