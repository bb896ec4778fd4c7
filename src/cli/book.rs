//! `hosewright book`: everything to print and to hold, as one HTML file.

use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

use super::args::Book as BookArgs;
use super::file::{printable, read_plan, tables_beside, write_new, write_over};
use super::recorded::{Drawn, read_beside};
use super::test::usual_proof;
use super::{Answer, Trouble};
use crate::assess::read_and_assess;
use crate::book::{Book, GENERATOR, Look, html, sheet};
use crate::diagnostic::visible;
use crate::report::Layout;
use crate::report::drawing::dxf;
use crate::trial::proof::proof;

pub fn run(args: &BookArgs, layout: Layout) -> Result<Answer, Trouble> {
    let file = read_plan(&args.plan)?;
    let tables = ManuallyDrop::new(tables_beside(&args.plan)?);
    let mut assessment =
        ManuallyDrop::new(read_and_assess(&file, &tables).map_err(Trouble::Problems)?);
    let look = Look {
        system: layout.system,
        paper: args.paper.into(),
        large: args.large,
        pocket: args.pocket,
        changed: args.changed,
    };
    let drawn = Drawn::of(&file, &tables, &assessment);
    let trial = drawn.trial()?;
    let signed = read_beside(&args.plan)?.map(|read| drawn.signed(read, Some(&trial)));
    if args.changed && signed.is_none() {
        let message = format!("there is no record beside {}", printable(&args.plan));
        return Err(Trouble::hint(message, "--changed needs one: hosewright log add begins it"));
    }
    let found = drawn.judged(&assessment.facts, signed.as_ref(), &args.on)?;
    assessment.findings.extend(found);
    let pressed = proof(&assessment.plan, &assessment.facts, &tables, &usual_proof()?)
        .map_err(|why| Trouble::plain(visible(&why)))?;
    let book = Book {
        flow_trial: Some(&trial),
        proof_trial: Some(&pressed),
        signed: signed.as_ref(),
        ..Book::of(&assessment, &tables, &file.text, look)
    };
    let text = html(&book);
    if let Some(folder) = &args.dxf {
        draw(&book, folder)?;
    }
    let worst = assessment.worst();
    let out = args.out.clone().unwrap_or_else(|| beside(&args.plan, args.changed));
    if out.as_os_str() == "-" {
        return Ok(Answer::judged(text, worst, false));
    }
    write_over(&out, &text, |old| old.contains(GENERATOR), "a book")?;
    let said =
        format!("{} is written: open it in a browser, and print what you need\n", printable(&out));
    Ok(Answer::judged(said, worst, false))
}

/// Writes every drawing at full size into a folder, all or none.
fn draw(book: &Book<'_>, folder: &Path) -> Result<(), Trouble> {
    let name = printable(folder);
    if !folder.is_dir() {
        return Err(Trouble::hint(format!("there is no folder {name}"), "make it first"));
    }
    let (drawn, _) = sheet::drawings(book);
    let files: Vec<(PathBuf, String)> = drawn
        .iter()
        .map(|named| (folder.join(&named.name).with_extension("dxf"), dxf::text(&named.drawing)))
        .collect();
    if let Some((path, _)) = files.iter().find(|(path, _)| path.exists()) {
        let message = format!("{} is there already", printable(path));
        return Err(Trouble::hint(message, "choose an empty folder"));
    }
    files.iter().try_for_each(|(path, text)| write_new(path, text))
}

/// `boat/plan.toml` as `boat/plan-book.html`, what changed as `boat/plan-changed.html`; from standard input to standard output.
fn beside(plan: &Path, changed: bool) -> PathBuf {
    if plan.as_os_str() == "-" {
        return plan.to_owned();
    }
    let mut name = plan.file_stem().map(std::ffi::OsStr::to_os_string).unwrap_or_default();
    name.push(if changed { "-changed.html" } else { "-book.html" });
    plan.with_file_name(name)
}
