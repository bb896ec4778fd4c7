//! Writers: an assessment in, text out. Nothing is decided here; numbers are rounded here only.

pub mod bend;
pub mod caution;
pub mod cut;
pub mod deferred;
pub mod dip;
pub mod dip_strip;
pub mod drawing;
pub mod fill;
pub mod fleet;
pub mod flow;
pub mod flow_test;
pub mod grid;
pub mod identify;
pub mod joints;
pub mod json;
pub mod leak_test;
pub mod left;
pub mod mass;
pub mod order;
pub mod problem;
pub mod proof_test;
pub mod quick;
pub mod record;
pub mod route;
pub mod run;
pub mod schema;
pub mod short;
pub mod size;
pub mod spreadsheet;
pub mod steps;
pub mod strap;
pub mod summary;
pub mod table;
pub mod terminal;
pub mod thread;
pub mod uncertainty;
pub mod units;

/// How a report is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Format {
    /// For people, in a terminal.
    #[default]
    Text,
    /// For programs.
    Json,
    /// For spreadsheets.
    Csv,
}

/// How text is laid out.
#[derive(Clone, Copy, Debug)]
pub struct Layout {
    /// Columns of the terminal.
    pub width: usize,
    /// Metric, inch or both.
    pub system: crate::units::System,
}
