//! `hosewright bench`: the book as a page on this machine, live while the plan is edited.

use std::io::Write;
use std::path::Path;

use super::args::{Bench, Day};
use super::file::{printable, read_plan, replace, tables_beside};
use super::recorded::{Drawn, state};
use super::{Answer, Trouble, told};
use crate::bench::{Loaded, OnDisk, Setting, serve};
use crate::book::Look;
use crate::report::Layout;

pub fn run(args: &Bench, layout: Layout) -> Result<Answer, Trouble> {
    if args.plan.as_os_str() == "-" {
        return Err(Trouble::hint(
            "the page needs a file that it can watch",
            "name the plan's file",
        ));
    }
    // What is no plan file at all is refused at once; a plan with faults is shown with its faults.
    read_plan(&args.plan)?;
    let [read, beside, write] = [(); 3].map(|()| args.plan.clone());
    let setting = Setting {
        plan: args.plan.clone(),
        look: Look { system: layout.system, large: args.large, ..Look::default() },
        load: Box::new(move || load(&read)),
        judge: Box::new(move |file, tables, assessment| {
            let drawn = Drawn::of(file, tables, assessment);
            let signed = drawn.signed_beside(&beside).map_err(told)?;
            let found =
                drawn.judged(&assessment.facts, signed.as_ref(), &Day::default()).map_err(told)?;
            assessment.findings.extend(found);
            Ok(signed)
        }),
        save: Box::new(move |text| replace(&write, text).map_err(told)),
        port: args.port.unwrap_or(0),
    };
    serve(setting, |address| {
        let mut out = anstream::stdout().lock();
        let _ = writeln!(
            out,
            "The bench is at {address}\nIt follows {}; stop it with Ctrl-C.",
            printable(&args.plan)
        );
        let _ = out.flush();
    })
    .map_err(|e| Trouble::plain(format!("the page could not be served: {e}")))?;
    Ok(Answer::plain(String::new()))
}

fn load(plan: &Path) -> Loaded {
    Ok(OnDisk {
        file: read_plan(plan).map_err(told)?,
        tables: tables_beside(plan).map_err(told)?,
        record: state(plan),
    })
}
