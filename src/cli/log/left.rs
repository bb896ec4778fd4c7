//! `log left` and `log pack`: how far the machine is, and what an inspector gets.

use std::mem::ManuallyDrop;
use std::path::Path;

use super::{Answer, Trouble, beside, trouble};
use crate::assess::{Assessment, read_and_assess};
use crate::book::{Book, Look, pack as pack_page};
use crate::cli::args::{Day, LogLeft, LogPack};
use crate::cli::file::{printable, read_plan, tables_beside, write_over};
use crate::cli::recorded::{Drawn, of_bytes};
use crate::finding::Verdict;
use crate::record;
use crate::report::left::{left as left_report, refused};
use crate::report::{Format, Layout};
use crate::signed::Signed;
use crate::table::Tables;

/// A plan, its assessment with what was found of its record, and the record.
struct Held {
    text: String,
    tables: ManuallyDrop<Tables>,
    assessment: ManuallyDrop<Assessment>,
    signed: Signed,
}

fn held(plan: &Path, on: &Day) -> Result<Held, Trouble> {
    let path = beside(plan)?;
    let bytes = record::load(&path).map_err(|r| trouble(&path, plan, &r))?;
    let file = read_plan(plan)?;
    let tables = ManuallyDrop::new(tables_beside(plan)?);
    let mut assessment = read_and_assess(&file, &tables).map_err(Trouble::Problems)?;
    let drawn = Drawn::of(&file, &tables, &assessment);
    let signed = drawn.signed(of_bytes(&bytes), Some(&drawn.trial()?));
    let found = drawn.judged(&assessment.facts, Some(&signed), on)?;
    assessment.findings.extend(found);
    let assessment = ManuallyDrop::new(assessment);
    Ok(Held { text: file.text.clone(), tables, assessment, signed })
}

pub fn left(args: &LogLeft, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let held = held(&args.plan, &args.on)?;
    let file = printable(&beside(&args.plan)?);
    let text = left_report(&held.assessment, &held.signed, &file, format, layout);
    let worst = if held.signed.is_whole() { Verdict::Ok } else { Verdict::Fail };
    Ok(Answer::judged(text, worst, false))
}

pub fn pack(args: &LogPack, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let held = held(&args.plan, &args.on)?;
    let missing = held.signed.missing(&held.assessment.findings);
    if !missing.is_empty() {
        return Ok(Answer::judged(refused(&missing, format, layout), Verdict::Fail, false));
    }
    let look = Look { system: layout.system, paper: args.paper.into(), ..Look::default() };
    let book = Book {
        signed: Some(&held.signed),
        ..Book::of(&held.assessment, &held.tables, &held.text, look)
    };
    let page = pack_page::html(&book, &held.signed);
    if args.out.as_os_str() == "-" {
        return Ok(Answer::plain(page));
    }
    write_over(&args.out, &page, |old| old.contains(pack_page::GENERATOR), "a pack")?;
    let name = printable(&args.out);
    Ok(Answer::plain(match format {
        Format::Json => format!("{:#}\n", serde_json::json!({ "written": name, "missing": [] })),
        _ => format!("{name} is written: print it for the inspector\n"),
    }))
}
