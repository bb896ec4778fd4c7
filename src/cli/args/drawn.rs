//! Arguments of what is drawn at full size: files, paper, and the bars of the print.

use std::path::PathBuf;

use clap::{Args as Group, ValueEnum};

use crate::report::drawing::sheet;

/// A drawing at full size.
#[derive(Debug, Group)]
pub struct Drawn {
    /// Draw at full size into this new file, a long drawing into several, numbered; not while a bar is wrong
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Draw at full size for a drawing program into this new file; not while a bar is wrong
    #[arg(long, value_name = "FILE")]
    pub dxf: Option<PathBuf>,
    /// Paper that the SVG is printed on
    #[arg(long, value_enum, default_value_t)]
    pub paper: Paper,
    /// What the printed bar of 100 mm along the strip measures, such as "98.5 mm"
    #[arg(long, value_name = "QUANTITY")]
    pub bar: Option<String>,
    /// What the printed bar of 100 mm across the strip measures
    #[arg(long, value_name = "QUANTITY")]
    pub bar_across: Option<String>,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// 297 x 210 mm
    #[default]
    A4,
    /// 11 x 8.5 in
    Letter,
}

impl From<Paper> for sheet::Paper {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self::A4,
            Paper::Letter => Self::Letter,
        }
    }
}
