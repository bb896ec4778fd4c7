//! What could be ordered instead: other rows of the tables that pass the checks the planned ones pass.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::judgement::Judged;
use super::part::{Part, parts};
use crate::assess::{Assessment, assess};
use crate::finding::{Finding, Verdict};
use crate::plan::{Carrier, Line, Plan};
use crate::solve::bore_mm;
use crate::solve::network::circuit::circuits;
use crate::table::end::End;
use crate::table::hose::Hose;
use crate::table::{Cell, TableFile, Tables};
use crate::units::Quantity;

/// Rows are asked whose bore is off by no more than this share of the planned one (a figure of judgement).
const BORE_OFF: f64 = 0.15;

/// What could be ordered instead of a hose or an end.
#[derive(Debug)]
pub struct Alternates {
    /// `hose` or `end`.
    pub kind: &'static str,
    /// The planned one, as the order list names it.
    pub part: String,
    /// Its lines.
    pub lines: Vec<String>,
    /// What passes, by its name.
    pub passing: Vec<Alternate>,
    /// Rows that were asked.
    pub asked: usize,
}

/// A row that passes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alternate {
    /// Its name in the order list.
    pub part: String,
    /// Cautions that the planned one does not have.
    pub cautions: usize,
}

/// What could be ordered instead of every hose and every end that stands in a table or is described by the plan.
///
/// A row passes if, put into all lines of the part at once, it brings no fail and nothing that cannot be judged
/// beyond what the plan has, and if nothing fails on those lines. An end stays of its family, size, gender and
/// angle. Ends are made for a hose: a hose keeps its ends only where their table does not name another one.
pub fn alternates(assessment: &Assessment, tables: &Tables) -> Vec<Alternates> {
    let plan = Plan { stock: None, ..assessment.plan.clone() };
    let before = Before::of(&assess(plan.clone(), tables).findings);
    let parts = parts(assessment, &circuits(&plan));
    let mut named: BTreeSet<(&'static str, String)> = BTreeSet::new();
    for line in &plan.lines {
        if let Carrier::Hose(hose) = &line.carrier {
            named.insert(("hose", hose.label.clone()));
        }
        named.extend(line.ends.iter().flatten().map(|end| ("end", end.label.clone())));
    }
    let asked = Asked { plan: &plan, tables, before: &before, parts: &parts };
    named.into_par_iter().map(|(kind, part)| of_part(&asked, kind, part)).collect()
}

/// What is said of the plan as it is, by code and place.
struct Before {
    fails: BTreeSet<(&'static str, String)>,
    open: BTreeSet<(&'static str, String)>,
    cautions: BTreeSet<(&'static str, String)>,
}

impl Before {
    fn of(findings: &[Finding]) -> Self {
        let with = |verdict: Verdict| {
            let those = findings.iter().filter(|f| f.verdict == verdict);
            those.map(|f| (f.code, f.place.clone())).collect()
        };
        Self {
            fails: with(Verdict::Fail),
            open: with(Verdict::Open),
            cautions: with(Verdict::Caution),
        }
    }
}

/// What every row is held against.
struct Asked<'a> {
    plan: &'a Plan,
    tables: &'a Tables,
    before: &'a Before,
    /// Lines that are solved together.
    parts: &'a [Part],
}

fn of_part(asked: &Asked<'_>, kind: &'static str, part: String) -> Alternates {
    let Asked { plan, tables, .. } = asked;
    let own: Vec<usize> =
        (0..plan.lines.len()).filter(|i| has(&plan.lines[*i], kind, &part)).collect();
    let rows = own.first().map_or_else(Vec::new, |first| {
        let line = &plan.lines[*first];
        if kind == "hose" { hoses(line, tables) } else { ends(line, &part, tables) }
    });
    let many = rows.len();
    let judge = |row: Row| {
        let name = row.label().to_owned();
        let plan = exchanged(plan, tables, &own, &part, &row)?;
        Some(Alternate { part: name, cautions: asked.cautions(&plan, &own)? })
    };
    let mut passing: Vec<Alternate> = rows.into_par_iter().filter_map(judge).collect();
    passing.sort_by(|a, b| (a.cautions, &a.part).cmp(&(b.cautions, &b.part)));
    let lines = own.iter().map(|i| plan.lines[*i].id.clone()).collect();
    Alternates { kind, part, lines, passing, asked: many }
}

fn has(line: &Line, kind: &str, part: &str) -> bool {
    if kind == "hose" {
        return matches!(&line.carrier, Carrier::Hose(hose) if hose.label == part);
    }
    line.ends.iter().flatten().any(|end| end.label == part)
}

/// A row of a table, with the hose that the table says an end is made for.
enum Row {
    Hose { hose: Box<Hose>, table: String },
    End { end: Box<End>, made_for: Option<String> },
}

impl Row {
    fn label(&self) -> &str {
        match self {
            Self::Hose { hose, .. } => &hose.label,
            Self::End { end, .. } => &end.label,
        }
    }
}

fn all_rows<'t>(
    tables: &'t Tables,
    kind: &'static str,
) -> impl Iterator<Item = (&'t TableFile, String)> {
    let files = tables.names(kind).into_iter().filter_map(move |name| tables.get(kind, name));
    files.flat_map(|table| {
        let cells = table.rows.iter().filter_map(|row| row.cells.get("size"));
        let sizes: BTreeSet<String> = cells.map(Cell::to_text).collect();
        sizes.into_iter().map(move |size| (table, size))
    })
}

/// Hoses of about the same bore.
fn hoses(line: &Line, tables: &Tables) -> Vec<Row> {
    let Some(planned) = bore_mm(line).map(|b| b.value) else { return Vec::new() };
    let other = |(table, size): (&TableFile, String)| {
        let hose = Hose::from_table(table, &size)?;
        let carrier = Carrier::Hose(hose.clone());
        let bore = bore_mm(&Line { carrier, ..line.clone() })?.value;
        let like =
            (bore - planned).abs() <= BORE_OFF * planned && hose.label != line.carrier.label();
        like.then(|| Row::Hose { hose: Box::new(hose), table: table.name.clone() })
    };
    all_rows(tables, "hose").filter_map(other).collect()
}

/// Ends of the same family, size, gender and angle.
fn ends(line: &Line, part: &str, tables: &Tables) -> Vec<Row> {
    let Some(planned) = line.ends.iter().flatten().find(|e| e.label == part) else {
        return Vec::new();
    };
    let other = |(table, size): (&TableFile, String)| {
        let end = End::from_table(table, &size)?;
        let like = end.family == planned.family
            && end.size == planned.size
            && end.gender == planned.gender
            && (end.angle.si() - planned.angle.si()).abs() < 1e-6
            && end.label != planned.label;
        like.then(|| Row::End { end: Box::new(end), made_for: made_for(table) })
    };
    all_rows(tables, "end").filter_map(other).collect()
}

fn made_for(table: &TableFile) -> Option<String> {
    table.fact_words("hose_family").map(|w| w.value)
}

/// The plan with the row in place of the part; none where an end is not made for its hose.
fn exchanged(plan: &Plan, tables: &Tables, own: &[usize], part: &str, row: &Row) -> Option<Plan> {
    let mut plan = plan.clone();
    for index in own {
        let line = plan.lines.get_mut(*index)?;
        match row {
            Row::Hose { hose, table } => {
                let mut fixed = line.ends.iter().flatten().filter_map(|e| e.table.as_ref());
                let kept = |name: &String| {
                    let own = tables.get("end", name).and_then(made_for);
                    own.is_none_or(|own| own == *table)
                };
                if !fixed.all(kept) {
                    return None;
                }
                line.carrier = Carrier::Hose((**hose).clone());
            }
            Row::End { end, made_for } => {
                let hose = line.carrier.row().map(|(_, row)| row.table.clone());
                if made_for.is_some() && *made_for != hose {
                    return None;
                }
                for own in line.ends.iter_mut().flatten().filter(|own| own.label == part) {
                    *own = (**end).clone();
                }
            }
        }
    }
    Some(plan)
}

impl Asked<'_> {
    /// Cautions that are new with a row; none where it does not pass. Most rows do not, so the machine as a whole is asked
    /// last: what cannot be built is not asked for its flow, and of what flows badly nothing else is asked.
    fn cautions(&self, plan: &Plan, own: &[usize]) -> Option<usize> {
        let built = |i: &usize| Judged::built(plan, &plan.lines[*i], self.tables);
        if own.iter().any(|i| built(i).fails()) || self.flow_badly(plan, own) {
            return None;
        }
        let findings = assess(plan.clone(), self.tables).findings;
        let ids: BTreeSet<&str> = own.iter().map(|i| plan.lines[*i].id.as_str()).collect();
        let after = Before::of(&findings);
        let on_own = |f: &&Finding| f.verdict == Verdict::Fail && ids.contains(f.subject());
        let passes = after.fails.is_subset(&self.before.fails)
            && after.open.is_subset(&self.before.open)
            && !findings.iter().any(|f| on_own(&f));
        passes.then(|| after.cautions.difference(&self.before.cautions).count())
    }

    /// Whether anything is said of these lines that keeps a row from passing, judged by what they are solved together with:
    /// no other line changes what is said of them.
    fn flow_badly(&self, plan: &Plan, own: &[usize]) -> bool {
        let solved = |part: &&Part| part.lines.iter().any(|l| own.contains(l));
        let together = self.parts.iter().filter(solved).cloned();
        let alone = own.iter().filter(|l| !self.parts.iter().any(|p| p.lines.contains(l)));
        let mut all = together.chain(alone.map(|l| Part { lines: vec![*l] }));
        all.any(|part| {
            let judged = Judged::all(&part.as_planned(plan), self.tables);
            let mut here = own.iter().filter(|l| part.lines.contains(l));
            here.any(|line| self.spoils(&judged, &plan.lines[*line].id))
        })
    }

    fn spoils(&self, judged: &Judged, line: &str) -> bool {
        judged.about(line).any(|f| match f.verdict {
            Verdict::Fail => f.subject() == line,
            Verdict::Open => !self.before.open.contains(&(f.code, f.place.clone())),
            Verdict::Ok | Verdict::Caution => false,
        })
    }
}
