//! The size of each line: the smallest that passes every case and what rejects the next smaller one, the fewest
//! sizes for the whole machine, and what else would have to change where no size passes.
//!
//! Every size is put into the plan and judged by the checks, with all other lines as planned; only the circuits
//! that its flow reaches are solved again.

mod candidate;
mod elsewhere;
mod fewest;
mod judgement;
mod part;

use rayon::prelude::*;

pub use candidate::{Candidate, Noted};
pub use elsewhere::{Change, Elsewhere};
pub use fewest::{TableSet, Together};

use crate::assess::Assessment;
use crate::finding::{Finding, Verdict};
use crate::table::Tables;
use judgement::Judged;
use part::Part;

/// What was found out about the sizes of a plan.
#[derive(Debug)]
pub struct Sizing {
    /// The lines that were asked for, in the order of the plan.
    pub lines: Vec<LineSizing>,
    /// The fewest sizes, one for each table that sized lines are taken from; none where one line was asked for.
    pub sets: Vec<TableSet>,
    /// What the whole set does when it is fitted at once; none where there is no set.
    pub together: Option<Together>,
}

impl Sizing {
    /// The worst there is to say: a line of which no size passes, or a set that does not hold together, fails;
    /// a line that cannot be judged is open.
    pub fn worst(&self) -> Verdict {
        let of_line = |l: &LineSizing| match (l.smallest, &l.not_judged) {
            (Some(_), _) => Verdict::Ok,
            (None, Some(_)) => Verdict::Open,
            (None, None) => Verdict::Fail,
        };
        let lines = self.lines.iter().map(of_line).max().unwrap_or(Verdict::Ok);
        let broken = self.together.as_ref().is_some_and(|t| !t.fails.is_empty());
        if broken { Verdict::Fail } else { lines }
    }
}

/// The sizes of one line.
#[derive(Debug)]
pub struct LineSizing {
    /// Index of the line.
    pub line: usize,
    /// `kind/name` of the table of its hose or tube; none where the plan describes it.
    pub table: Option<String>,
    /// Its candidates, by bore.
    pub candidates: Vec<Candidate>,
    /// Index of the planned size among them.
    pub planned: Option<usize>,
    /// Index of the smallest that passes.
    pub smallest: Option<usize>,
    /// Why no size can be chosen, where nothing that depends on the size could be judged.
    pub not_judged: Option<String>,
    /// What fails at every size, about alike.
    pub always: Vec<Finding>,
    /// The size that the changes elsewhere are for, by its index; none where a size passes or none could help.
    pub helped: Option<usize>,
    /// The smallest changes elsewhere that make it pass, each by itself.
    pub changes: Vec<Change>,
}

impl LineSizing {
    /// The candidate before the smallest that passes.
    pub fn next_smaller(&self) -> Option<&Candidate> {
        self.smallest?.checked_sub(1).and_then(|i| self.candidates.get(i))
    }

    /// The smallest that passes.
    pub fn chosen(&self) -> Option<&Candidate> {
        self.smallest.and_then(|i| self.candidates.get(i))
    }
}

/// Sizes every line, or one of them by its index.
///
/// ```
/// use hosewright::{assess::read_and_assess, diagnostic::SourceText, size::size, table::Tables};
/// let plan = SourceText::new("plan.toml", hosewright::plan::starter::STARTER);
/// let tables = Tables::builtin();
/// let assessment = read_and_assess(&plan, &tables).unwrap();
/// let sizing = size(&assessment, &tables, None);
/// let line = &sizing.lines[0];
/// let chosen = line.chosen().unwrap();
/// assert!(chosen.passes());
/// assert!(line.candidates.iter().take_while(|c| c.size != chosen.size).all(|c| !c.passes()));
/// ```
pub fn size(assessment: &Assessment, tables: &Tables, only: Option<usize>) -> Sizing {
    let plan = &assessment.plan;
    let wanted: Vec<usize> =
        (0..plan.lines.len()).filter(|l| only.is_none_or(|o| o == *l)).collect();
    let parts = part::parts(assessment);
    let lines: Vec<LineSizing> = wanted
        .par_iter()
        .map(|line| {
            let part = parts.iter().find(|p| p.lines.contains(line));
            let alone = Part { lines: vec![*line] };
            size_line(assessment, tables, part.unwrap_or(&alone), *line)
        })
        .collect();
    let sets = if only.is_none() { fewest::sets(plan, &lines) } else { Vec::new() };
    let together = fewest::together(assessment, tables, &lines, &sets);
    Sizing { lines, sets, together }
}

fn size_line(assessment: &Assessment, tables: &Tables, part: &Part, line: usize) -> LineSizing {
    let plan = &assessment.plan;
    let id = &plan.lines[line].id;
    let fitted = candidate::fitted(plan, tables, line);
    let judged: Vec<Judged> = fitted
        .par_iter()
        .map(|f| Judged::of(&part.with_line(plan, line, &f.line), tables, id))
        .collect();
    let planned = fitted.iter().position(|f| f.planned);
    let always = judgement::always(&judged);
    let before = planned.and_then(|p| judged.get(p));
    let candidates: Vec<Candidate> = fitted
        .into_iter()
        .zip(&judged)
        .map(|(fitted, judged)| fitted.judged(judged, before, &always))
        .collect();
    let not_judged = judgement::not_judged(&judged);
    let smallest = candidates.iter().position(Candidate::passes).filter(|_| not_judged.is_none());
    let stuck = smallest.is_none() && not_judged.is_none();
    let helped = if stuck { candidate::best_to_help(&candidates) } else { None };
    let changes = helped.map_or_else(Vec::new, |helped| {
        let target = elsewhere::Target {
            tables,
            id,
            rejected: &candidates[helped].rejected,
            always: &always,
        };
        let with_it = part.with_line(plan, line, &candidates[helped].line);
        elsewhere::changes(&with_it, &target)
    });
    LineSizing {
        line,
        table: plan.lines[line].carrier.row().map(|(kind, row)| format!("{kind}/{}", row.table)),
        planned,
        smallest,
        not_judged,
        always: always.into_iter().map(|a| a.finding).collect(),
        helped,
        changes,
        candidates,
    }
}
