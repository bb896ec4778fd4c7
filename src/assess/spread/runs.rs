//! The same plan assessed many times, its uncertain quantities moved a little each time.

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;

use super::reading::{Cased, Item, Key, Reading, Unsolved, readings};
use crate::assess::{Assessment, assess};
use crate::diagnostic::SourceText;
use crate::plan::{Plan, Shifts};
use crate::table::Tables;

/// What is the same in every run.
pub struct Ground<'g> {
    pub file: &'g Arc<SourceText>,
    pub tables: &'g Tables,
    /// Where each moved quantity begins in the text.
    pub places: Vec<usize>,
    /// Whether weak figures count as cautions.
    pub strict: bool,
    /// Where the case tells results apart.
    pub cased: Cased,
    /// Place of each nominal result in a run.
    pub index: BTreeMap<Key, usize>,
    /// Where the network has no answer as planned.
    pub unsolved: Unsolved,
}

/// What one run gave.
pub struct Run {
    /// The results of the nominal plan, in its order; none where this run says nothing of one.
    pub known: Vec<Option<Reading>>,
    /// Results that the nominal plan does not have.
    pub more: Vec<Item>,
    /// What the network has no answer for, beyond the nominal plan: what, and why.
    pub lost: Vec<(String, String)>,
}

impl Ground<'_> {
    /// Runs with these shifts, worked on side by side and given in their order. A plan that cannot be read
    /// once it is moved gives its first problem.
    pub fn runs(&self, all: &[Vec<f64>]) -> Vec<Result<Run, String>> {
        all.par_iter().map(|shifts| self.run(shifts)).collect()
    }

    fn run(&self, shifts: &[f64]) -> Result<Run, String> {
        let moved: Shifts = self.places.iter().copied().zip(shifts.iter().copied()).collect();
        let plan = Plan::read_shifted(self.file, self.tables, &moved).map_err(|problems| {
            problems.first().map_or_else(String::new, |first| {
                let (line, _) = first.file.position(first.span.start);
                format!("line {line}: {}", first.message)
            })
        })?;
        let mut assessment = assess(plan, self.tables);
        if self.strict {
            assessment.tighten();
        }
        Ok(self.taken(&assessment))
    }

    fn taken(&self, assessment: &Assessment) -> Run {
        let mut run = Run {
            known: vec![None; self.index.len()],
            more: Vec::new(),
            lost: Unsolved::of(assessment).beyond(&self.unsolved),
        };
        for item in readings(assessment, &self.cased) {
            match self.index.get(&item.key) {
                Some(place) => run.known[*place] = Some(item.reading),
                None => run.more.push(item),
            }
        }
        run
    }
}
