//! Any text that reads as a plan, worked through to the written report.

use hosewright::assess::assess;
use hosewright::diagnostic::SourceText;
use hosewright::plan::Plan;
use hosewright::report::terminal::{self, Detail};
use hosewright::report::{Layout, json, spreadsheet};
use hosewright::table::Tables;
use hosewright::units::System;

/// Whatever is read as a plan is assessed and written in all three forms.
pub fn feed(bytes: &[u8]) {
    let file = SourceText::new("plan.toml", String::from_utf8_lossy(bytes));
    let tables = Tables::builtin();
    let Ok(plan) = Plan::read(&file, &tables) else { return };
    let assessment = assess(plan, &tables);
    assert!(!assessment.findings.is_empty(), "a check speaks every time");
    let layout = Layout { width: 80, system: System::Both };
    assert!(!terminal::check(&assessment, None, layout, Detail::All, None).is_empty());
    assert!(json::check(&assessment, None).is_object());
    assert!(spreadsheet::check(&assessment).contains('\n'));
}
