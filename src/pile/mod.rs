//! Measured pipes told apart by a plan: which is which line, which is none, and what to measure next.

mod judge;
mod line;
mod next;
mod outcome;
mod read;
pub mod rules;
mod shape;
mod thread;

use crate::plan::schema::of_file;

pub use judge::{Objection, Pair};
pub use line::{Wanted, WantedEnd, WantedThread};
pub use next::Measurement;
pub use outcome::{Answer, Group, Outcome, Part, Sure, identify};
pub use read::{Pile, Pipe, PipeEnd, ThreadName};
pub use thread::{Candidate, ThreadTold, thread};

/// The JSON schema of a pile file, made from the key lists that its reader uses.
///
/// ```
/// let schema = hosewright::pile::schema();
/// assert!(schema["properties"]["pipe"]["items"]["properties"]["end_a"].is_object());
/// ```
pub fn schema() -> serde_json::Value {
    of_file(&shape::ROOT, "A pile of measured pipes")
}
