//! What goes with the program: `schema`, `complete`, `manual`.

use clap::CommandFactory;
use clap_mangen::Man;

use super::args::{Args, Complete, Manual, Schema, SchemaOf};
use super::file::{printable, write_over};
use super::{Answer, Trouble};
use crate::pile;
use crate::plan::schema;
use crate::report;

/// What every command is called by.
const NAME: &str = "hosewright";

pub fn schema(args: &Schema) -> Answer {
    let schema = match args.of {
        SchemaOf::Plan => format!("{:#}\n", schema::schema()),
        SchemaOf::Pile => format!("{:#}\n", pile::schema()),
        SchemaOf::Report => report::schema::CHECK.to_owned(),
    };
    Answer::plain(schema)
}

pub fn complete(args: &Complete) -> Answer {
    let mut bytes = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), NAME, &mut bytes);
    Answer::plain(String::from_utf8_lossy(&bytes).into_owned())
}

pub fn manual(args: &Manual) -> Result<Answer, Trouble> {
    if !args.folder.is_dir() {
        let message = format!("there is no folder {}", printable(&args.folder));
        return Err(Trouble::hint(message, "make it first, or name another"));
    }
    let mut command = Args::command().disable_help_subcommand(true);
    command.build();
    let mut pages = Vec::new();
    gather(&command, &mut pages).map_err(|e| Trouble::plain(format!("no manual page: {e}")))?;
    let ours = |text: &str| text.contains(&format!(".TH {NAME}"));
    for (name, text) in &pages {
        write_over(&args.folder.join(name), text, ours, "a manual page")?;
    }
    let folder = printable(&args.folder);
    Ok(Answer::plain(format!("wrote {} manual pages into {folder}\n", pages.len())))
}

/// The pages of a command and of all below it, each with the name of its file.
fn gather(command: &clap::Command, pages: &mut Vec<(String, String)>) -> std::io::Result<()> {
    let man = Man::new(command.clone());
    let mut bytes = Vec::new();
    man.render(&mut bytes)?;
    pages.push((man.get_filename(), String::from_utf8_lossy(&bytes).into_owned()));
    command.get_subcommands().try_for_each(|below| gather(below, pages))
}
