//! What a stranger may hand to the readers: the bodies of the fuzz targets, and their twins that always run.

pub mod assess;
pub mod plan;
pub mod points;
pub mod record;
pub mod table;
pub mod units;

use std::sync::Arc;

use hosewright::diagnostic::{Diagnostic, SourceText};
use hosewright::report::problem;

/// Problems lie within their text and can be shown in both forms.
pub fn refused(file: &Arc<SourceText>, problems: &[Diagnostic]) {
    assert!(!problems.is_empty(), "refused without a problem");
    for problem in problems {
        assert_eq!(problem.file.name, file.name);
        // The end of a text is pointed at as if a letter stood there.
        let (start, end) = (problem.span.start, problem.span.end.min(problem.file.text.len()));
        assert!(problem.file.text.get(start..end).is_some(), "{:?} is no place", problem.span);
        assert!(!problem.message.is_empty(), "a problem without a word");
    }
    assert!(problem::to_text(problems, 80).contains("nothing was calculated"));
    assert!(problem::to_json(problems)["problems"].is_array());
}
