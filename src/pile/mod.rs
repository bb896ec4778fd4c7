//! Measured pipes told apart by a plan: which is which line, which is none, and what to measure next.

mod judge;
mod line;
mod next;
mod outcome;
mod read;
pub mod rules;
mod shape;
mod thread;

pub use judge::{Objection, Pair};
pub use line::{Wanted, WantedEnd, WantedThread};
pub use next::Measurement;
pub use outcome::{Answer, Group, Outcome, Part, Sure, identify};
pub use read::{Pile, Pipe, PipeEnd, ThreadName};
pub use thread::{Candidate, ThreadTold, thread};
