//! Arguments of `compare`.

use std::path::PathBuf;

use clap::Args as Group;

/// Arguments of `compare`.
#[derive(Debug, Group)]
#[command(
    after_help = "A plan from standard input is read with the tables beside the other one, as in: \
git show HEAD:plan.toml | hosewright compare - plan.toml\n\nExit status: that of the new plan, 0 without a \
fail and 1 with one."
)]
pub struct Compare {
    /// The plan as it was; `-` for standard input
    pub old: PathBuf,
    /// The plan as it is; `-` for standard input
    pub new: PathBuf,
    /// Every change in full, not just what fits on one screen
    #[arg(long)]
    pub all: bool,
}
