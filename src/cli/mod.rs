//! The command line: arguments, files, terminal, exit status. Only here.
pub mod args;
mod argument;
mod bench;
mod book;
mod compare;
mod day;
mod dip;
mod drawing;
mod explain;
mod file;
mod fill;
mod fleet;
mod identify;
mod joints;
mod log;
mod new;
mod packaging;
mod plan;
mod progress;
mod quick;
mod reading;
mod recorded;
mod route;
mod steps;
mod strap;
mod table;
mod test;

use std::ffi::OsString;
use std::io::{ErrorKind, IsTerminal, Write};
use std::process::ExitCode;

use clap::Parser;

use crate::diagnostic::Diagnostic;
use crate::finding::Verdict;
use crate::report::{Format, Layout, problem};
use args::{Args, Command};
use progress::Progress;

/// Width of a report that goes into a pipe or a file.
const PIPE_WIDTH: usize = 80;

/// What a command has to say.
pub(crate) struct Answer {
    /// For standard output.
    pub text: String,
    /// The exit status.
    pub status: u8,
}

impl Answer {
    /// An answer without a judgement.
    pub fn plain(text: String) -> Self {
        Self { text, status: 0 }
    }

    /// An answer whose exit status follows the worst verdict.
    pub fn judged(text: String, worst: Verdict, strict: bool) -> Self {
        let fails = worst == Verdict::Fail || (strict && worst != Verdict::Ok);
        Self { text, status: u8::from(fails) }
    }
}

/// Why a command could not be carried out.
pub(crate) enum Trouble {
    /// Problems in files.
    Problems(Vec<Diagnostic>),
    /// Anything else, in one sentence, with what would be right.
    Plain(String, Vec<String>),
}

impl Trouble {
    /// One sentence.
    pub fn plain(message: impl Into<String>) -> Self {
        Self::Plain(message.into(), Vec::new())
    }

    /// One sentence and a hint.
    pub fn hint(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self::Plain(message.into(), vec![help.into()])
    }
}

/// A trouble in one sentence.
pub(crate) fn told(trouble: Trouble) -> String {
    match trouble {
        Trouble::Plain(message, _) => message,
        Trouble::Problems(problems) => {
            let sentences: Vec<String> = problems
                .iter()
                .map(|p| {
                    let (line, column) = p.file.position(p.span.start);
                    format!("{}:{line}:{column}: {}", p.file.name, p.message)
                })
                .collect();
            sentences.join("; ")
        }
    }
}

/// Runs the command that the arguments name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args = match Args::try_parse_from(arguments) {
        Ok(args) => args,
        Err(error) => {
            // Help and version are answers, everything else is a misuse.
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let layout = Layout { width: width(args.width), system: args.units.into() };
    let format = args.format.into();
    // The bench answers until it is stopped: nobody waits for its end.
    let waiting = (!matches!(args.command, Command::Bench(_))).then(Progress::begin);
    let answer = dispatch(&args.command, format, layout);
    drop(waiting);
    match answer {
        Ok(answer) => finish(&answer),
        Err(trouble) => {
            complain(trouble, format, layout.width);
            ExitCode::from(2)
        }
    }
}

fn dispatch(command: &Command, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    match command {
        Command::New(new) => new::run(new),
        Command::Check(check) => fleet::check(check, format, layout),
        Command::Sweep(sweep) => fleet::sweep(sweep, format, layout),
        Command::Compare(args) => compare::run(args, format, layout),
        Command::Flow(flow) => plan::flow(flow, format, layout),
        Command::Size(size) => plan::size(size, format, layout),
        Command::Test(test) => test::run(&test.what, format, layout),
        Command::Cut(file) => plan::cut(file, format, layout),
        Command::Order(file) => plan::order(file, format, layout),
        Command::Fill(args) => fill::run(args, format, layout),
        Command::Mass(file) => plan::mass(file, format, layout),
        Command::Bend(bend) => plan::bend(bend, format, layout),
        Command::Joints(file) => joints::run(file, format, layout),
        Command::Steps(args) => steps::run(args, format, layout),
        Command::Strap(args) => strap::run(args, format, layout),
        Command::Dip(dip) => dip::run(dip, format, layout),
        Command::Identify(args) => identify::run(args, format, layout),
        Command::Bench(bench) => bench::run(bench, layout),
        Command::Book(book) => book::run(book, layout),
        Command::Route(route) => route::run(route, format, layout),
        Command::Log(log) => log::run(log, format, layout),
        Command::Tables(tables) => table::run(tables, format, layout.width),
        Command::Explain(explain) => explain::run(explain, format, layout.width),
        Command::Quick(quick) => quick::run(&quick.what, format, layout),
        Command::Schema(args) => Ok(packaging::schema(args)),
        Command::Complete(args) => Ok(packaging::complete(args)),
        Command::Manual(args) => packaging::manual(args),
    }
}

fn width(asked: Option<u16>) -> usize {
    if let Some(asked) = asked {
        return usize::from(asked);
    }
    if !std::io::stdout().is_terminal() {
        return PIPE_WIDTH;
    }
    terminal_size::terminal_size().map_or(PIPE_WIDTH, |(w, _)| usize::from(w.0))
}

fn finish(answer: &Answer) -> ExitCode {
    let mut out = anstream::stdout().lock();
    let written = out.write_all(answer.text.as_bytes()).and_then(|()| out.flush());
    match written {
        Ok(()) => ExitCode::from(answer.status),
        // Whoever reads has seen enough.
        Err(error) if error.kind() == ErrorKind::BrokenPipe => ExitCode::from(answer.status),
        Err(error) => {
            let _ = writeln!(anstream::stderr(), "error: the report could not be written: {error}");
            ExitCode::from(2)
        }
    }
}

fn complain(trouble: Trouble, format: Format, width: usize) {
    let data = format == Format::Json;
    let text = match trouble {
        Trouble::Problems(problems) if data => format!("{:#}\n", problem::to_json(&problems)),
        Trouble::Problems(problems) => problem::to_text(&problems, width),
        Trouble::Plain(message, help) if data => {
            let value = serde_json::json!({ "problems": [{
                "file": null, "line": null, "column": null, "message": message, "help": help,
            }] });
            format!("{value:#}\n")
        }
        Trouble::Plain(message, help) => {
            let help: Vec<String> = help.iter().map(|h| format!("  {h}\n")).collect();
            format!("error: {message}\n{}", help.concat())
        }
    };
    // Programs read the answer where they read every answer; people see problems on standard error.
    let _ = if data {
        anstream::stdout().write_all(text.as_bytes())
    } else {
        anstream::stderr().write_all(text.as_bytes())
    };
}
