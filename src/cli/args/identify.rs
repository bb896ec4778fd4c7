//! Arguments of `identify` and `quick thread`.

use std::path::PathBuf;

use clap::Args as Group;

/// Arguments of `identify`.
#[derive(Debug, Group)]
#[command(
    after_help = "Exit status: 0, and 1 where a pipe must not be used on the line that its tag \
names."
)]
pub struct Identify {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// The pile of measured pipes; `-` for standard input
    pub pile: PathBuf,
}

/// Arguments of `quick thread`.
#[derive(Debug, Group)]
pub struct Thread {
    /// Diameter over the crests of a male thread, or between those of a female one
    #[arg(long, value_name = "QUANTITY", requires = "error")]
    pub outside: Option<String>,
    /// By how much that diameter may be wrong
    #[arg(long, value_name = "QUANTITY")]
    pub error: Option<String>,
    /// Pitch by a gauge, such as "1.5 mm" or "16 tpi"
    #[arg(long, value_name = "PITCH")]
    pub pitch: Option<String>,
    /// By how much the pitch may be wrong; 1 % of it if absent
    #[arg(long, value_name = "QUANTITY", requires = "pitch")]
    pub pitch_error: Option<String>,
    /// Angle of the cone against the axis
    #[arg(long, value_name = "QUANTITY", requires = "cone_error")]
    pub cone: Option<String>,
    /// By how much that angle may be wrong
    #[arg(long, value_name = "QUANTITY")]
    pub cone_error: Option<String>,
    /// Male or female; both are thought of if absent
    #[arg(long, value_name = "GENDER", value_parser = ["male", "female"])]
    pub gender: Option<String>,
}
