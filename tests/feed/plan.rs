//! Any text, handed to the reader of plans.

use hosewright::diagnostic::SourceText;
use hosewright::plan::Plan;
use hosewright::table::Tables;

use super::refused;

/// A plan is read, or refused with problems that can be shown.
pub fn feed(bytes: &[u8]) {
    let file = SourceText::new("plan.toml", String::from_utf8_lossy(bytes));
    if let Err(problems) = Plan::read(&file, &Tables::builtin()) {
        refused(&file, &problems);
    }
}
