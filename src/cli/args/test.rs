//! Arguments of `test`.

use std::path::PathBuf;

use clap::{Args as Group, Subcommand};

/// Temperature of a test where none is given.
const USUAL_TEMPERATURE: &str = "20 degC";

/// Arguments of `test`.
#[derive(Debug, Group)]
pub struct Test {
    /// Which test
    #[command(subcommand)]
    pub what: TestWhat,
}

/// Which test.
#[derive(Debug, Subcommand)]
pub enum TestWhat {
    /// Time to fill a can, for each pump alone and each tank
    Flow(FlowTestArgs),
    /// Proof pressure, hold and liquid for each line, and what two readings mean
    Proof(ProofArgs),
    /// Leak test with air, under pressure and under vacuum, and the hole behind two readings
    Leak(LeakArgs),
}

/// Arguments of `test flow`.
#[derive(Debug, Group)]
pub struct FlowTestArgs {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Pitch the machine is propped to; the steepest of the plan's cases if absent
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub nose_up: Option<String>,
    /// The line is opened at the measuring end: 0 bar there instead of the pressure that is needed
    #[arg(long)]
    pub open: bool,
    /// Temperature of the fluid; that of the plan's first case if absent
    #[arg(long, value_name = "QUANTITY", allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// A can; 1 L and 1 gal(US) if absent; times that were measured are of the first
    #[arg(long, value_name = "QUANTITY")]
    pub can: Vec<String>,
    /// A time that was measured, such as "PA=130 s" or "PA TL=130 s": pump or tank, or both
    #[arg(long, value_name = "TEST=TIME")]
    pub measured: Vec<String>,
    /// By how much each time may be wrong
    #[arg(long, value_name = "QUANTITY", requires = "measured")]
    pub error: Option<String>,
}

/// Arguments of `test proof`.
#[derive(Debug, Group)]
pub struct ProofArgs {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Factor for hoses, a row of limit/design-factor, instead of their printed proof pressure
    #[arg(long, value_name = "ROW")]
    pub hose_rule: Option<String>,
    /// Factor for rigid tubes, a row of limit/design-factor
    #[arg(long, value_name = "ROW")]
    pub tube_rule: Option<String>,
    /// How long to hold; the longest that documents ask for if absent
    #[arg(long, value_name = "QUANTITY")]
    pub hold: Option<String>,
    /// Liquid, table and grade, such as "hydraulic-oil VG 46"; the line's own if absent, water instead of fuel
    #[arg(long, value_name = "NAME")]
    pub liquid: Option<String>,
    /// What was pumped in, such as "P2=38 mL from 0 bar to 315 bar": tells trapped air, and how a hose swells
    #[arg(long, value_name = "LINES=READING")]
    pub pumped: Vec<String>,
    /// Gauge, thermometer, pump
    #[command(flatten)]
    pub instruments: InstrumentArgs,
}

/// Arguments of `test leak`.
#[derive(Debug, Group)]
pub struct LeakArgs {
    /// The plan; `-` for standard input
    pub plan: PathBuf,
    /// Gauge, thermometer, pump
    #[command(flatten)]
    pub instruments: InstrumentArgs,
}

/// What is read in a test, and how well.
#[derive(Debug, Group)]
pub struct InstrumentArgs {
    /// Two readings, such as "F1=0.2 bar to 0.18 bar in 10 min, 18 degC to 21 degC"; several lines that were closed together as "F1 F3=..."
    #[arg(long, value_name = "LINES=READING")]
    pub measured: Vec<String>,
    /// By how much each pressure may be wrong
    #[arg(long, value_name = "QUANTITY", requires = "measured")]
    pub error: Option<String>,
    /// By how much each temperature may be wrong
    #[arg(long, value_name = "QUANTITY", requires = "measured")]
    pub error_temperature: Option<String>,
    /// Room in pump, gauge and their hoses, under the same pressure
    #[arg(long, value_name = "QUANTITY", requires = "measured")]
    pub rig: Option<String>,
    /// Pressure of the air, absolute; 1.01325 bar abs if absent
    #[arg(long, value_name = "QUANTITY")]
    pub air: Option<String>,
    /// Temperature of the test as planned
    #[arg(long, value_name = "QUANTITY", default_value = USUAL_TEMPERATURE, allow_hyphen_values = true)]
    pub temperature: String,
}

impl InstrumentArgs {
    /// What is asked where nothing is said.
    pub fn usual() -> Self {
        Self {
            measured: Vec::new(),
            error: None,
            error_temperature: None,
            rig: None,
            air: None,
            temperature: USUAL_TEMPERATURE.to_owned(),
        }
    }
}
