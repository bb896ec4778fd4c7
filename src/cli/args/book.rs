//! Arguments of `book`.

use std::path::PathBuf;

use clap::Args as Group;

use super::{Day, Paper};

/// Arguments of `book`.
#[derive(Debug, Group)]
pub struct Book {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Where to write it, `-` for standard output; beside the plan if absent
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Paper it is printed on
    #[arg(long, value_enum, default_value_t)]
    pub paper: Paper,
    /// Large type
    #[arg(long)]
    pub large: bool,
    /// The cards alone, in the size of a pocket
    #[arg(long, conflicts_with = "large")]
    pub pocket: bool,
    /// Also write the sheets at full size for a drawing program, as new files in this folder
    #[arg(long, value_name = "FOLDER")]
    pub dxf: Option<PathBuf>,
    /// Only the cards that are not what was signed last, by the record beside the plan, each with a slip that voids the old one
    #[arg(long, conflicts_with = "dxf")]
    pub changed: bool,
    /// The day for which hoses are judged.
    #[command(flatten)]
    pub on: Day,
}
