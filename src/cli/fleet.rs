//! `hosewright check` of one plan or many, and `hosewright sweep`: each on its own core, written in the order given.

mod folder;

use std::io::{ErrorKind, Write};
use std::path::PathBuf;

use rayon::iter::{IndexedParallelIterator, IntoParallelIterator, ParallelIterator};

use super::args::{Check, Sweep as SweepArgs};
use super::file::{printable, read_plan, tables_beside};
use super::{Answer, Trouble, plan};
use crate::assess::{Assessment, read_and_assess};
use crate::check::abouts;
use crate::diagnostic::{SourceText, visible};
use crate::report::fleet::{Detail, Outcome, Problem, Summary, head, text};
use crate::report::{Format, Layout};
use crate::sweep::{Sweep, Vary};

/// So many are worked on before they are written: reports of the largest plans have some megabytes each.
const BLOCK: usize = 64;

pub fn check(args: &Check, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    if let [one] = args.plans.as_slice()
        && !one.is_dir()
    {
        return plan::check(args, one, format, layout);
    }
    if !args.short.is_empty() || args.spread || args.all || args.line.is_some() {
        let message = "--all, --line, --short and --spread are for one plan";
        return Err(Trouble::hint(message, "check them one by one, or leave the option out"));
    }
    if args.plans.iter().filter(|path| path.as_os_str() == "-").count() > 1 {
        return Err(Trouble::plain("standard input can be read as one plan only"));
    }
    let paths = listed(&args.plans)?;
    let names: Vec<String> = paths.iter().map(|path| printable(path)).collect();
    let one = |index: usize| Outcome {
        plan: &names[index],
        varied: Vec::new(),
        result: plan::checked_of_many(&paths[index], &args.on, args.strict).map_err(problems),
    };
    let many =
        Many { count: paths.len(), varied: &[], detail: Detail::Findings, strict: args.strict };
    many.run(one, format, layout)
}

/// The plans in the order given; a folder stands for those in it.
fn listed(given: &[PathBuf]) -> Result<Vec<PathBuf>, Trouble> {
    let mut paths = Vec::new();
    for path in given {
        if !path.is_dir() {
            paths.push(path.clone());
            continue;
        }
        let found = folder::plans(path)?;
        if found.plans.is_empty() {
            let message = format!("{} is a folder without a plan", printable(path));
            return Err(Trouble::hint(message, "a plan ends in .toml and has a section [plan]"));
        }
        if !found.passed_over.is_empty() {
            let names: Vec<String> = found.passed_over.iter().map(|p| printable(p)).collect();
            let note = format!("passed over, without a [plan]: {}\n", names.join(", "));
            let _ = anstream::stderr().write_all(note.as_bytes());
        }
        paths.extend(found.plans);
    }
    Ok(paths)
}

pub fn sweep(args: &SweepArgs, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let unknown = |code: &&String| !abouts().any(|a| a.code == **code);
    if let Some(code) = args.code.iter().find(unknown) {
        let codes: Vec<&str> = abouts().map(|a| a.code).collect();
        return Err(super::table::unknown("check", code, &codes));
    }
    let said = |why: String| Trouble::plain(visible(&why));
    let varied: Result<Vec<Vary>, String> = args.vary.iter().map(|v| Vary::read(v)).collect();
    let file = read_plan(&args.plan)?;
    let tables = tables_beside(&args.plan)?;
    let sweep = Sweep::new(&file.text, varied.map_err(said)?).map_err(said)?;
    let one = |index: usize| match sweep.variant(index) {
        Ok(variant) => {
            let changed = SourceText::new(file.name.clone(), variant.text);
            let result = read_and_assess(&changed, &tables).map_err(Trouble::Problems);
            let result = result.map(|a| tightened(a, args.strict)).map_err(problems);
            Outcome { plan: &file.name, varied: variant.given, result }
        }
        Err(why) => Outcome {
            plan: &file.name,
            varied: Vec::new(),
            result: Err(problems(Trouble::plain(why))),
        },
    };
    let detail = match args.code.as_slice() {
        _ if args.all => Detail::Findings,
        [] => Detail::Counts,
        codes => Detail::Of(codes),
    };
    let addresses: Vec<&str> = sweep.addresses().collect();
    let many = Many { count: sweep.count(), varied: &addresses, detail, strict: args.strict };
    many.run(one, format, layout)
}

fn tightened(mut assessment: Assessment, strict: bool) -> Assessment {
    if strict {
        assessment.tighten();
    }
    assessment
}

fn problems(trouble: Trouble) -> Vec<Problem> {
    match trouble {
        Trouble::Problems(list) => list.iter().map(Problem::from).collect(),
        Trouble::Plain(message, help) => {
            vec![Problem { place: None, message: visible(&message), help }]
        }
    }
}

/// How many there are, what was varied in them, and what is written of each.
struct Many<'m> {
    count: usize,
    varied: &'m [&'m str],
    detail: Detail<'m>,
    strict: bool,
}

impl Many<'_> {
    /// Works through them block by block; what is for programs is written as soon as its block is done.
    fn run<'o>(
        &self,
        one: impl Fn(usize) -> Outcome<'o> + Sync,
        format: Format,
        layout: Layout,
    ) -> Result<Answer, Trouble> {
        let mut status = 0;
        let mut all: Vec<Summary> = Vec::new();
        if format == Format::Csv && !written(&head(self.varied.iter().copied(), self.detail))? {
            return Ok(Answer { text: String::new(), status });
        }
        for from in (0..self.count).step_by(BLOCK) {
            let block = from..(from + BLOCK).min(self.count);
            let done: Vec<(Summary, String)> = block
                .into_par_iter()
                .with_max_len(1)
                .map(|index| self.told(&one(index), format))
                .collect();
            for (summary, text) in done {
                status = status.max(summary.status(self.strict));
                if format == Format::Text {
                    all.push(summary);
                } else if !written(&text)? {
                    return Ok(Answer { text: String::new(), status });
                }
            }
        }
        let text = match format {
            Format::Text => text(self.varied, &all, layout),
            Format::Json | Format::Csv => String::new(),
        };
        Ok(Answer { text, status })
    }

    fn told(&self, outcome: &Outcome<'_>, format: Format) -> (Summary, String) {
        let text = match format {
            Format::Text => String::new(),
            Format::Json => outcome.line(self.detail),
            Format::Csv => outcome.rows(self.detail),
        };
        (outcome.summary(), text)
    }
}

/// Writes a part of the answer; whether anybody still reads.
fn written(text: &str) -> Result<bool, Trouble> {
    let mut out = anstream::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(false),
        Err(error) => Err(Trouble::plain(format!("the report could not be written: {error}"))),
    }
}
