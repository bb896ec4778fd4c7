//! The one call most users need: solve, then check.

pub mod poured;
pub mod spread;

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::check;
use crate::diagnostic::{Diagnostic, SourceText};
use crate::finding::{Finding, Verdict};
use crate::plan::Plan;
use crate::solve::{Facts, solve};
use crate::source::tables_named;
use crate::table::Tables;

/// A plan with everything that was found out about it.
#[derive(Debug)]
pub struct Assessment {
    /// The plan.
    pub plan: Plan,
    /// What was calculated.
    pub facts: Facts,
    /// What was judged.
    pub findings: Vec<Finding>,
    /// Tables that results rest on, with title and checksum.
    pub tables: Vec<TableUsed>,
}

/// A table that results rest on.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct TableUsed {
    /// `kind/name`.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Where it was read from.
    pub origin: String,
    /// Checksum of its text.
    pub checksum: String,
    /// Whether it hides a built-in table.
    pub hides_builtin: bool,
}

impl Assessment {
    /// The worst verdict.
    pub fn worst(&self) -> Verdict {
        self.findings.iter().map(|f| f.verdict).max().unwrap_or(Verdict::Ok)
    }

    /// How many findings have a verdict.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.findings.iter().filter(|f| f.verdict == verdict).count()
    }

    /// Turns results that rest on remembered or invented figures into cautions, and marks what is
    /// open, for `--strict`.
    pub fn tighten(&mut self) {
        for finding in &mut self.findings {
            if finding.verdict == Verdict::Ok && finding.standing.is_weak() {
                finding.verdict = Verdict::Caution;
                finding.message =
                    format!("{} (rests on a figure {})", finding.message, finding.standing);
                finding.remedy = "find the figure in a document, or measure it".into();
            }
        }
    }
}

/// Reads a plan and assesses it.
///
/// # Errors
/// All problems of the plan.
///
/// ```
/// use hosewright::{assess::read_and_assess, diagnostic::SourceText, finding::Verdict, table::Tables};
/// let plan = SourceText::new("plan.toml", hosewright::plan::starter::STARTER);
/// let assessment = read_and_assess(&plan, &Tables::builtin()).unwrap();
/// assert_ne!(assessment.worst(), Verdict::Fail);
/// ```
pub fn read_and_assess(
    file: &Arc<SourceText>,
    tables: &Tables,
) -> Result<Assessment, Vec<Diagnostic>> {
    Ok(assess(Plan::read(file, tables)?, tables))
}

/// Solves and checks a plan.
pub fn assess(plan: Plan, tables: &Tables) -> Assessment {
    let facts = solve(&plan, tables);
    let findings = check::run(&plan, tables, &facts);
    let tables = used(tables, &findings);
    Assessment { plan, facts, findings, tables }
}

/// Every source of the findings; a text that many of them share is given once.
fn sources(findings: &[Finding]) -> impl Iterator<Item = &str> {
    let mut seen = BTreeSet::new();
    let is_new = move |f: &&Finding| seen.insert(Arc::as_ptr(&f.source).cast::<u8>().addr());
    findings.iter().filter(is_new).map(|f| &*f.source)
}

fn used(tables: &Tables, findings: &[Finding]) -> Vec<TableUsed> {
    let hidden = tables.hidden();
    let named: BTreeSet<&str> = sources(findings).flat_map(tables_named).collect();
    named
        .into_iter()
        .filter_map(|id| {
            let (kind, name) = id.split_once('/')?;
            let table = tables.get(kind, name)?;
            Some(TableUsed {
                title: table.title.clone(),
                origin: table.origin.clone(),
                checksum: table.checksum.clone(),
                hides_builtin: hidden.iter().any(|h| h.kind == kind && h.name == name),
                id: id.to_owned(),
            })
        })
        .collect()
}
