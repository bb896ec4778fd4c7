//! Arguments of `strap`.

use std::path::PathBuf;

use clap::Args as Group;

use super::Drawn;

/// Arguments of `strap`.
#[derive(Debug, Group)]
pub struct Strap {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// The strap; every strap if absent
    pub strap: Option<String>,
    /// Draw one strap
    #[command(flatten)]
    pub drawn: Drawn,
}
