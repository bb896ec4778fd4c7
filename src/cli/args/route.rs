//! Arguments of `route`.

use std::path::PathBuf;

use clap::{Args as Group, ValueEnum};

/// Arguments of `route`.
#[derive(Debug, Group)]
pub struct Route {
    /// CSV file of points, one a row: x,y,z, with decimal points; other columns need a first row of names; lines from `#` on are comments; `-` for standard input
    pub points: PathBuf,
    /// Unit of the points, and of the plan
    #[arg(long, value_enum)]
    pub unit: PointUnit,
    /// Leave out points no farther than this beside the straight between those that are left; none is left out if absent
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub straight: Option<String>,
    /// The first and the last point are the ports, not clips
    #[arg(long)]
    pub ends: bool,
}

/// Unit of points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PointUnit {
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Metres
    M,
    /// Inches
    In,
}
