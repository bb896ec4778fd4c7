//! Arguments of `sweep`.

use std::path::PathBuf;

use clap::Args as Group;

/// Arguments of `sweep`.
#[derive(Debug, Group)]
#[command(
    after_help = "A place is a section, the id or name of one of several, and keys, with dots between; a number counts \
in a list from 1: line.F1.size, component.TANK.ports.OUT.at.3, line.F1.duty.1.flow, case.\"hot day\".air. The plan has to \
say something there already. Several places give every combination, the last one changing fastest.\n\nThe record \
beside the plan is left out: it speaks of the plan as written.\n\nExit status: 2 if one variant was not understood, 1 \
if one fails, 0 otherwise."
)]
pub struct Sweep {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// What takes which values, such as line.F1.size=-6,-8
    #[arg(long, value_name = "PLACE=VALUES", required = true)]
    pub vary: Vec<String>,
    /// Instead of counts, one row for each finding of this check
    #[arg(long, value_name = "CODE", conflicts_with = "all")]
    pub code: Vec<String>,
    /// Instead of counts, every finding; with json the whole report of each variant
    #[arg(long)]
    pub all: bool,
    /// Turn results that rest on remembered or invented figures into cautions; exit with 1 unless all is ok
    #[arg(long)]
    pub strict: bool,
}
