//! All arguments in one place, with their help.

mod bench;
mod book;
mod compare;
mod drawn;
mod identify;
mod log;
mod packaging;
mod route;
mod strap;
mod sweep;
mod test;

use std::path::PathBuf;

use clap::{Args as Group, Parser, Subcommand, ValueEnum};

use super::dip::Dip;
use super::fill::Fill;
use super::steps::Steps;
use crate::assess::spread::{SAMPLES, SAMPLES_RANGE};
use crate::report::Format as ReportFormat;
use crate::units::System;
pub use bench::Bench;
pub use book::Book;
pub use compare::Compare;
pub use drawn::{Drawn, Paper};
pub use identify::{Identify, Thread};
pub use log::{Log, LogAdd, LogBuilt, LogLeft, LogLife, LogPack, LogShow, LogVerify, LogWhat};
pub use packaging::{Complete, Manual, Schema, SchemaOf};
pub use route::{PointUnit, Route};
pub use strap::Strap;
pub use sweep::Sweep;
pub use test::{FlowTestArgs, InstrumentArgs, LeakArgs, ProofArgs, Test, TestWhat};

/// Plans, checks and cuts the hoses and tubes of a machine built at home.
#[derive(Debug, Parser)]
#[command(name = "hosewright", version, about, max_term_width = 100, arg_required_else_help = true)]
#[command(after_help = "Exit status: 0 no fail, 1 at least one fail, 2 the plan, a table or the \
arguments were not understood.\n`-` as a plan is standard input.\n\nA planning aid: inspect and test \
before use; local codes and licensed practice decide.")]
pub struct Args {
    /// How to write the answer
    #[arg(long, value_enum, default_value_t, global = true)]
    pub format: Format,
    /// Units of the answer
    #[arg(long, value_enum, default_value_t, global = true)]
    pub units: Units,
    /// Columns of the text; the terminal's width, or 80 into a pipe
    #[arg(long, value_name = "COLUMNS", global = true, value_parser = clap::value_parser!(u16).range(20..=500))]
    pub width: Option<u16>,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// How to write the answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people
    #[default]
    Text,
    /// For programs
    Json,
    /// For spreadsheets
    Csv,
}

impl From<Format> for ReportFormat {
    fn from(format: Format) -> Self {
        match format {
            Format::Text => Self::Text,
            Format::Json => Self::Json,
            Format::Csv => Self::Csv,
        }
    }
}

/// Units of the answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// mm, bar, L/min, degC
    #[default]
    Metric,
    /// in, psi, gal(US)/h, degF
    Inch,
    /// Metric with inch behind it
    Both,
}

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Inch => Self::Inch,
            Units::Both => Self::Both,
        }
    }
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a commented starter plan
    New(New),
    /// Check every line of a plan in every case; of many plans, each in a row
    Check(Check),
    /// Check one plan with values varied, each combination in a row
    Sweep(Sweep),
    /// What changed between two plans, and what that does to every result
    Compare(Compare),
    /// Flow, pressure and temperature of every circuit in every case
    Flow(Flow),
    /// Smallest size of each line that passes every case, and the fewest sizes for the machine
    Size(Size),
    /// Tests to make on the machine, and what a result means
    Test(Test),
    /// Cut list: pieces, and the stock they come out of
    Cut(PlanFile),
    /// Order list: stock, ends, clips, sleeves
    Order(Order),
    /// Bend table of a rigid tube: cut length, marks, angles to set, order of work
    Bend(Bend),
    /// Every joint numbered in the order of the walk: value of one table, spanner, lubricant, caps, who signs
    Joints(PlanFile),
    /// How one line is made up, step by step, each with what it is held against
    Steps(Steps),
    /// Flat pattern of a strap: bend lines, holes, order of work, and a drawing at full size
    Strap(Strap),
    /// Dip marks of a tank, level and on a slope, and what poured points say of them
    Dip(Dip),
    /// What each system takes, gains and lets run back, in which order to bleed, and what a poured volume says
    Fill(Fill),
    /// Mass and moment: dry and wet by system, with the fuel burned, and what a return moves
    Mass(PlanFile),
    /// Which measured pipe is which line of a plan, which is none, and what to measure next
    Identify(Identify),
    /// The book as a page on this machine that follows the plan while it is edited, and what-if
    Bench(Bench),
    /// The book: findings, drawings, cards, lists and sheets, as one HTML file to print and to hold
    Book(Book),
    /// Clips of a line, to paste into a plan, from points that were taped
    Route(Route),
    /// The record of what was done: add an entry, show entries, verify that none was changed
    Log(Log),
    /// Show tables of figures with their sources
    Tables(Tables),
    /// Explain a check
    Explain(Explain),
    /// Single calculations without a plan
    Quick(Quick),
    /// The JSON schema of a plan, of a pile, or of the report of a check
    Schema(Schema),
    /// Completions of commands and options for a shell, on standard output
    Complete(Complete),
    /// Write the manual pages, one for each command, into a folder
    Manual(Manual),
}

/// Arguments of `new`.
#[derive(Debug, Group)]
pub struct New {
    /// File to write, with its schema beside it; `-` prints the plan
    pub file: PathBuf,
}

/// Arguments of `size`.
#[derive(Debug, Group)]
pub struct Size {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Only this line
    #[arg(long, value_name = "ID")]
    pub line: Option<String>,
}

/// Arguments of `check`.
#[derive(Debug, Group)]
#[command(
    after_help = "Of several plans or a folder each is checked as it is alone, on all cores, and written in the order \
given: a table as text, one row a finding as csv, one line a plan as json (JSON Lines). A plan that is not \
understood is told in its place, and the exit status is then 2."
)]
pub struct Check {
    /// The plan; `-` for standard input; several, or a folder with plans
    #[arg(required = true, value_name = "PLAN")]
    pub plans: Vec<PathBuf>,
    /// Turn results that rest on remembered or invented figures into cautions; exit with 1 unless all is ok
    #[arg(long)]
    pub strict: bool,
    /// Write out what is ok as well, and every open finding
    #[arg(long)]
    pub all: bool,
    /// Only this line, with a picture of its run; the exit status is that of its findings
    #[arg(long, value_name = "ID", conflicts_with = "spread")]
    pub line: Option<String>,
    /// A hose that was cut too short, such as "O2=5 mm": what is left of it, and what would rescue it
    #[arg(long, value_name = "LINE=LENGTH", conflicts_with = "spread")]
    pub short: Vec<String>,
    /// How far the results move with the quantities that carry ±; with csv, that table alone
    #[arg(long)]
    pub spread: bool,
    /// Samples to draw for --spread, from 20 to 100000
    #[arg(long, value_name = "NUMBER", requires = "spread", default_value_t = SAMPLES, value_parser = samples)]
    pub samples: u32,
    /// The day for which hoses are judged.
    #[command(flatten)]
    pub on: Day,
}

/// The day on which hoses are as old as they are.
#[derive(Debug, Default, Group)]
pub struct Day {
    /// The day for which the age of hoses is told, such as 2026-05-01; today if absent
    #[arg(long, value_name = "DATE")]
    pub at: Option<String>,
}

/// A number of samples.
fn samples(text: &str) -> Result<u32, String> {
    let (least, most) = SAMPLES_RANGE;
    let number = text.parse::<u32>().ok().filter(|n| (least..=most).contains(n));
    number.ok_or_else(|| format!("write a whole number from {least} to {most}"))
}

/// Arguments of `flow`.
#[derive(Debug, Group)]
pub struct Flow {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Only this case
    #[arg(long, value_name = "NAME")]
    pub case: Option<String>,
}

/// A command that takes a plan.
#[derive(Debug, Group)]
pub struct PlanFile {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
}

/// Arguments of `order`.
#[derive(Debug, Group)]
pub struct Order {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Name what could be ordered instead of each hose and end: other rows of the tables that pass the checks
    #[arg(long)]
    pub alternates: bool,
}

/// Arguments of `bend`.
#[derive(Debug, Group)]
pub struct Bend {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// The line; every rigid tube if absent
    pub line: Option<String>,
}

/// Arguments of `tables`.
#[derive(Debug, Group)]
pub struct Tables {
    /// Kind of table: hose, tube, end, fluid, limit ...
    pub kind: Option<String>,
    /// Name of the table
    pub name: Option<String>,
    /// Look in the `tables` folder beside this plan as well
    #[arg(long, value_name = "PLAN")]
    pub beside: Option<PathBuf>,
}

/// Arguments of `explain`.
#[derive(Debug, Group)]
pub struct Explain {
    /// Code of a check, such as geometry.bend-radius; all codes if absent
    pub code: Option<String>,
}

/// Arguments of `quick`.
#[derive(Debug, Group)]
pub struct Quick {
    /// Which calculation
    #[command(subcommand)]
    pub what: QuickWhat,
}

/// Which calculation.
#[derive(Debug, Subcommand)]
pub enum QuickWhat {
    /// Darcy friction factor by Colebrook, 64/Re or the band between
    Friction(Friction),
    /// Pressure drop of a straight bore
    Drop(Drop),
    /// Smallest bore that keeps a pressure drop
    Bore(Bore),
    /// Working pressure at a temperature
    Derate(Derate),
    /// Cut length from a path
    Length(Length),
    /// Bending stiffness of a hose from how it hangs over an edge
    Stiffness(Stiffness),
    /// Thread and seat from a calliper, a pitch gauge and a look at the cone
    Thread(Thread),
}

/// Arguments of `quick friction`.
#[derive(Debug, Group)]
pub struct Friction {
    /// Reynolds number
    #[arg(long, value_name = "NUMBER")]
    pub reynolds: String,
    /// Roughness over bore
    #[arg(long, value_name = "NUMBER", default_value = "0")]
    pub roughness_ratio: String,
}

/// A fluid by table, or by its figures.
#[derive(Debug, Group)]
pub struct FluidArgs {
    /// Fluid table, then its grade, such as "water" or "engine-oil 15W-50"
    #[arg(long, value_name = "NAME", requires = "temperature", conflicts_with_all = ["density", "viscosity", "kinematic"])]
    pub fluid: Option<String>,
    /// Temperature of that fluid
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// Density
    #[arg(long, value_name = "QUANTITY", required_unless_present = "fluid")]
    pub density: Option<String>,
    /// Dynamic viscosity, such as "12 cP"
    #[arg(long, value_name = "QUANTITY", conflicts_with = "kinematic")]
    pub viscosity: Option<String>,
    /// Kinematic viscosity, such as "46 mm2/s"
    #[arg(long, value_name = "QUANTITY")]
    pub kinematic: Option<String>,
}

/// Arguments of `quick drop`.
#[derive(Debug, Group)]
pub struct Drop {
    /// Bore
    #[arg(long, value_name = "QUANTITY")]
    pub bore: String,
    /// Length
    #[arg(long, value_name = "QUANTITY")]
    pub length: String,
    /// Flow
    #[arg(long, value_name = "QUANTITY")]
    pub flow: String,
    /// The fluid
    #[command(flatten)]
    pub fluid: FluidArgs,
    /// Roughness of the wall; smooth if absent
    #[arg(long, value_name = "QUANTITY")]
    pub roughness: Option<String>,
    /// Sum of loss coefficients on this bore
    #[arg(long, value_name = "NUMBER", default_value = "0")]
    pub loss_sum: String,
}

/// Arguments of `quick bore`.
#[derive(Debug, Group)]
pub struct Bore {
    /// Length
    #[arg(long, value_name = "QUANTITY")]
    pub length: String,
    /// Flow
    #[arg(long, value_name = "QUANTITY")]
    pub flow: String,
    /// Greatest pressure drop
    #[arg(long, value_name = "QUANTITY")]
    pub drop: String,
    /// The fluid
    #[command(flatten)]
    pub fluid: FluidArgs,
    /// Roughness of the wall; smooth if absent
    #[arg(long, value_name = "QUANTITY")]
    pub roughness: Option<String>,
    /// Sum of loss coefficients on this bore
    #[arg(long, value_name = "NUMBER", default_value = "0")]
    pub loss_sum: String,
}

/// Arguments of `quick derate`.
#[derive(Debug, Group)]
pub struct Derate {
    /// Hose table and size, such as "mil-h-8794 -8"
    #[arg(long, value_name = "TABLE SIZE", conflicts_with_all = ["rated", "curve"])]
    pub hose: Option<String>,
    /// Working pressure when cold
    #[arg(long, value_name = "QUANTITY", requires = "curve", required_unless_present = "hose")]
    pub rated: Option<String>,
    /// Points of temperature and share, such as "20 degC=100 %, 120 degC=60 %"
    #[arg(long, value_name = "POINTS", allow_hyphen_values = true)]
    pub curve: Option<String>,
    /// Temperature of the line
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub temperature: String,
}

/// Arguments of `quick length`.
#[derive(Debug, Group)]
pub struct Length {
    /// Length of the path from seat to seat
    #[arg(long, value_name = "QUANTITY")]
    pub path: String,
    /// Cut-off of the fitting at end A; negative for a hose pushed over a spigot
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub cut_off_a: String,
    /// Cut-off of the fitting at end B
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub cut_off_b: String,
    /// Slack as a share of the assembly; the rule's least if absent
    #[arg(long, value_name = "QUANTITY")]
    pub slack: Option<String>,
    /// Round the cut up to this
    #[arg(long, value_name = "QUANTITY", default_value = "1 mm")]
    pub step: String,
}

/// Arguments of `quick stiffness`.
#[derive(Debug, Group)]
pub struct Stiffness {
    /// Length of hose beyond the edge it is clamped to, level there
    #[arg(long, value_name = "QUANTITY")]
    pub overhang: String,
    /// Mass of the hose per length, with what is in it
    #[arg(long, value_name = "QUANTITY", required_unless_present = "tip_mass")]
    pub mass: Option<String>,
    /// Mass hung on the free end; without --mass the weight of the hose is left out
    #[arg(long, value_name = "QUANTITY")]
    pub tip_mass: Option<String>,
    /// How far the free end hangs below the clamp
    #[arg(
        long,
        value_name = "QUANTITY",
        required_unless_present = "angle",
        conflicts_with = "angle"
    )]
    pub droop: Option<String>,
    /// Angle of the line from the clamp to the free end below the level
    #[arg(long, value_name = "QUANTITY")]
    pub angle: Option<String>,
    /// The same reading with the hose turned half round: the mean is free of its curl
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub turned: Option<String>,
}
