//! Names of the places along a line, so that a message can say where something is wrong.

use std::fmt;

/// One of the two ends of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhichEnd {
    /// The end the line is counted from.
    A,
    /// The end the line is counted to.
    B,
}

impl fmt::Display for WhichEnd {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::A => "end A",
            Self::B => "end B",
        })
    }
}

/// A corner or an end of the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// The measuring point of an end.
    End(WhichEnd),
    /// The first bend after an end, put there because the end does not face its next point.
    LeadOut(WhichEnd),
    /// A clip, counted from 0 at end a; messages count from 1.
    Clip(usize),
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::End(end) => write!(out, "{end}"),
            Self::LeadOut(end) => write!(out, "the bend out of {end}"),
            Self::Clip(index) => write!(out, "clip {}", index.saturating_add(1)),
        }
    }
}
