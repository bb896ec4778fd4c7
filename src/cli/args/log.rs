//! Arguments of `log`.

use std::path::PathBuf;

use clap::builder::PossibleValuesParser;
use clap::{Args as Group, Subcommand};

use super::{Day, Paper};
use crate::record::Kind;

/// Arguments of `log`.
#[derive(Debug, Group)]
pub struct Log {
    /// What to do with the record
    #[command(subcommand)]
    pub what: LogWhat,
}

/// What to do with the record.
#[derive(Debug, Subcommand)]
pub enum LogWhat {
    /// Write down what was done; the entry stands behind all others and is never changed
    Add(LogAdd),
    /// Show the entries
    Show(LogShow),
    /// Follow the chain of digests: whether anything was changed, lost or moved
    Verify(LogVerify),
    /// What is left to do: the state of every line by the entries that hold, and what comes next
    Left(LogLeft),
    /// The inspector's pack: what was measured and who did what, line by line; refused while anything is blank
    Pack(LogPack),
    /// As built against plan: what was read, and all checks run again on it
    Built(LogBuilt),
    /// Age of the hoses, what is due, joints to look at again, and how flows went over the years
    Life(LogLife),
}

/// Arguments of `log add`.
#[derive(Debug, Group)]
#[command(
    after_help = "The record stands beside the plan: plan.log beside plan.toml. Copy the digits that \
each entry prints onto a card: without them nobody can tell whether entries were cut off at its end."
)]
pub struct LogAdd {
    /// The plan
    pub plan: PathBuf,
    /// What was done
    #[arg(value_parser = PossibleValuesParser::new(Kind::ALL.map(Kind::word)))]
    pub what: String,
    /// What it was done to: a line (F1), an end of a line (F1.A), a clip of a line ("F1 clip 2"), a port (TANK.OUT), a component (TANK) or a flow test by its need, pump or tank ("test:PA TL"); "line:F1" where two things have one name
    pub place: Option<String>,
    /// Who did it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// What was read, such as "cut=462 mm", "assembly=486 mm", "clock=90 deg", "caps on=2 caps", "caps off=2 caps", of a
    /// test "pressure=12 bar"; cure, made and fitted are dates, batch is text
    #[arg(long, value_name = "NAME=QUANTITY")]
    pub value: Vec<String>,
    /// Anything worth telling
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// A picture; its name and its digest go into the entry
    #[arg(long, value_name = "FILE")]
    pub photo: Vec<PathBuf>,
    /// When it was done, in UTC, such as 2026-05-01T14:03:22Z; now if absent
    #[arg(long, value_name = "TIME")]
    pub time: Option<String>,
}

/// Arguments of `log show`.
#[derive(Debug, Group)]
#[command(
    after_help = "Exit status: 0, and 1 where the record does not hold or cannot be read whole."
)]
pub struct LogShow {
    /// The plan
    pub plan: PathBuf,
    /// Only what was done to this line and to the joints at its ends
    #[arg(long, value_name = "ID")]
    pub line: Option<String>,
}

/// Arguments of `log verify`.
#[derive(Debug, Group)]
#[command(
    after_help = "Exit status: 0 the chain holds, 1 it does not. Entries cut off at the end, and a record \
that was written anew, are found with --head alone."
)]
pub struct LogVerify {
    /// The plan
    pub plan: PathBuf,
    /// The digits on the card: 16 or more of the digest that `log add` printed last
    #[arg(long, value_name = "DIGEST")]
    pub head: Option<String>,
}

/// Arguments of `log left`.
#[derive(Debug, Group)]
#[command(
    after_help = "An entry holds as long as the words that were printed for its line, joint or test are \
the same; one that does not hold counts for nothing. Exit status: 0, and 1 where the record does not hold."
)]
pub struct LogLeft {
    /// The plan
    pub plan: PathBuf,
    /// The day for which hoses are judged.
    #[command(flatten)]
    pub on: Day,
}

/// Arguments of `log pack`.
#[derive(Debug, Group)]
#[command(
    after_help = "Exit status: 1 where it is refused, with the reasons. Nothing in it is a legal \
sign-off: who inspects and who may sign is for national rules."
)]
pub struct LogPack {
    /// The plan
    pub plan: PathBuf,
    /// Where to write it, `-` for standard output
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Paper it is printed on
    #[arg(long, value_enum, default_value_t)]
    pub paper: Paper,
    /// The day for which hoses are judged.
    #[command(flatten)]
    pub on: Day,
}

/// Arguments of `log built`.
#[derive(Debug, Group)]
#[command(
    after_help = "Readings that are used: cut, assembly and clock of a line; x, y and z (in one entry) of a clip \
or of a joint, torque of a joint; poured, and can with time, of a component. Their \u{b1} is their error.\n\nExit status: 0, and 1 where \
something read is out of its tolerance, a check fails as built, or the record does not hold."
)]
pub struct LogBuilt {
    /// The plan
    pub plan: PathBuf,
    /// Every change against the plan in full
    #[arg(long)]
    pub all: bool,
}

/// Arguments of `log life`.
#[derive(Debug, Group)]
#[command(
    after_help = "Dates of a hose are values of its entries: cure=2024-Q1, made=2024-03-15, fitted=2024-04-02, \
batch=A123, hours=\"12 h\".\n\nExit status: 0, and 1 where something is overdue or the record does not hold."
)]
pub struct LogLife {
    /// The plan
    pub plan: PathBuf,
    /// The day for which hoses are judged.
    #[command(flatten)]
    pub on: Day,
    /// What the hour meter shows, such as "120 h"
    #[arg(long, value_name = "QUANTITY")]
    pub hours: Option<String>,
    /// A rule to hold the hoses against, in place of those that the plan chooses; where neither chooses, all are shown
    #[arg(long, value_name = "NAME")]
    pub rule: Vec<String>,
    /// Only hoses of this batch, those that were replaced among them
    #[arg(long, value_name = "BATCH")]
    pub batch: Option<String>,
}
