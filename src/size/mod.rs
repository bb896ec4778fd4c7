//! The size of each line: the smallest that passes every case and what rejects the next smaller one, the fewest
//! sizes for the whole machine, and what else would have to change where no size passes.
//!
//! Every size is put into the plan and judged by the checks, with all other lines as planned; only the circuits
//! that its flow reaches are solved again.

mod alternate;
mod candidate;
mod elsewhere;
mod fewest;
mod judgement;
mod line;
mod part;

use rayon::prelude::*;

pub use alternate::{Alternate, Alternates, alternates};
pub use candidate::{Candidate, Noted};
pub use elsewhere::{Change, Elsewhere};
pub use fewest::{TableSet, Together};

use crate::assess::Assessment;
use crate::finding::{Finding, Verdict};
use crate::solve::network::circuit::circuits;
use crate::table::Tables;
use judgement::Judged;
use line::Around;
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
    let circuits = circuits(plan);
    let parts = part::parts(assessment, &circuits);
    let touched = |p: &&Part| p.lines.iter().any(|l| wanted.contains(l));
    let parts: Vec<(Part, Judged)> = parts
        .iter()
        .filter(touched)
        .map(|p| (p.clone(), Judged::all(&p.as_planned(plan), tables)))
        .collect();
    let lines: Vec<LineSizing> = wanted
        .par_iter()
        .map(|line| {
            let circuits = circuits.as_slice();
            if let Some((part, planned)) = parts.iter().find(|(p, _)| p.lines.contains(line)) {
                return line::size(&Around { plan, tables, circuits, part, planned }, *line);
            }
            let part = Part { lines: vec![*line] };
            let planned = Judged::all(&part.as_planned(plan), tables);
            let around = Around { plan, tables, circuits, part: &part, planned: &planned };
            line::size(&around, *line)
        })
        .collect();
    let sets = if only.is_none() { fewest::sets(&lines) } else { Vec::new() };
    let together = fewest::together(assessment, tables, &lines, &sets);
    Sizing { lines, sets, together }
}
