//! The sizes of one line, with all others as planned.

use rayon::prelude::*;

use super::candidate::{self, Candidate, Fitted};
use super::judgement::{self, Judged, Own};
use super::part::Part;
use super::{LineSizing, elsewhere};
use crate::plan::Plan;
use crate::solve::network::circuit::Circuit;
use crate::table::Tables;

/// What a line stands in.
pub struct Around<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Limits.
    pub tables: &'a Tables,
    /// Its circuits.
    pub circuits: &'a [Circuit],
    /// The lines that are solved together with it.
    pub part: &'a Part,
    /// What is said of them as planned.
    pub planned: &'a Judged,
}

/// Tries every size of a line. What cannot be built is not asked for its flow.
pub fn size(around: &Around<'_>, line: usize) -> LineSizing {
    let Around { plan, tables, part, .. } = around;
    let own = Own::of(plan, around.circuits, line);
    let fitted = candidate::fitted(plan, tables, line);
    let planned = fitted.iter().position(|f| f.planned);
    let built: Vec<Judged> =
        fitted.par_iter().map(|f| Judged::built(plan, &f.line, tables)).collect();
    let flowing = flowing(around, (line, &own), &fitted, &built);
    let known: Vec<&Judged> = flowing.iter().flatten().collect();
    let always = judgement::always(&known);
    let not_judged = judgement::not_judged(&known).filter(|_| !known.is_empty());
    let before = planned.and_then(|p| flowing[p].as_ref());
    let judged = flowing.iter().zip(&built).map(|(f, b)| f.as_ref().unwrap_or(b));
    let candidates: Vec<Candidate> =
        fitted.iter().zip(judged).map(|(f, j)| f.judged(j, before, &always)).collect();
    let smallest = candidates.iter().position(Candidate::passes).filter(|_| not_judged.is_none());
    let stuck = smallest.is_none() && not_judged.is_none();
    let helped = if stuck { candidate::best_to_help(&candidates) } else { None };
    let changes = helped.map_or_else(Vec::new, |helped| {
        let candidate = &candidates[helped];
        let target =
            elsewhere::Target { tables, own: &own, rejected: &candidate.rejected, always: &always };
        elsewhere::changes(&part.with_line(plan, line, &candidate.line), &target)
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

/// What is said of each size that can be built, flow included. Where only one can and something fails, a
/// neighbour is asked as well, to tell what is a matter of the size.
fn flowing(
    around: &Around<'_>,
    (line, own): (usize, &Own),
    fitted: &[Fitted],
    built: &[Judged],
) -> Vec<Option<Judged>> {
    let judge = |fitted: &Fitted| {
        if fitted.planned {
            return around.planned.of(own);
        }
        let with_it = around.part.with_line(around.plan, line, &fitted.line);
        Judged::all(&with_it, around.tables).of(own)
    };
    let mut all: Vec<Option<Judged>> = fitted
        .par_iter()
        .zip(built)
        .map(|(fitted, built)| (!built.fails()).then(|| judge(fitted)))
        .collect();
    let mut asked = all.iter().enumerate().filter_map(|(i, j)| j.as_ref().map(|j| (i, j.fails())));
    if let (Some((only, true)), None) = (asked.next(), asked.next()) {
        let neighbour = (only + 1 < fitted.len()).then_some(only + 1).or(only.checked_sub(1));
        if let Some(neighbour) = neighbour {
            all[neighbour] = Some(judge(&fitted[neighbour]));
        }
    }
    all
}
