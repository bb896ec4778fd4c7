//! Arguments of what goes with the program: `schema`, `complete`, `manual`.

use std::path::PathBuf;

use clap::{Args as Group, ValueEnum};

/// Arguments of `schema`.
#[derive(Debug, Group)]
pub struct Schema {
    /// Of what
    #[arg(value_enum, default_value_t)]
    pub of: SchemaOf,
}

/// What a schema describes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// A plan
    #[default]
    Plan,
    /// A pile of measured pipes
    Pile,
    /// What `check --format json` writes
    Report,
}

/// Arguments of `complete`.
#[derive(Debug, Group)]
pub struct Complete {
    /// The shell that reads them
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// Arguments of `manual`.
#[derive(Debug, Group)]
pub struct Manual {
    /// The folder, such as ~/.local/share/man/man1; it must be there
    pub folder: PathBuf,
}
