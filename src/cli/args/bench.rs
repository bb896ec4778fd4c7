//! Arguments of `bench`.

use std::path::PathBuf;

use clap::Args as Group;

/// Arguments of `bench`.
#[derive(Debug, Group)]
pub struct Bench {
    /// The plan
    pub plan: PathBuf,
    /// Port on this machine; any free one if absent
    #[arg(long)]
    pub port: Option<u16>,
    /// Large type
    #[arg(long)]
    pub large: bool,
}
