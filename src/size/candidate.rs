//! The sizes that a line can have, by bore.

use super::judgement::{Always, Judged};
use crate::finding::Finding;
use crate::plan::{Line, LossLaw, Plan};
use crate::solve::bore_mm;
use crate::table::Tables;
use crate::units::{Length, Quantity};

/// A loss coefficient is that of a part of the line's own size where its bore differs by no more than this, mm.
const SAME_BORE_MM: f64 = 0.05;

/// What goes with a size and should be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Noted {
    /// The end fitting at A (0) or B (1) stays as it is: no other size of it is known.
    KeptEnd(usize),
    /// The loss of this index was on the bore of the line and is now on its new one.
    MovedLoss(usize),
    /// The loss of this index stays on the bore that the plan gives it.
    KeptLoss(usize),
}

/// A size of a line.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The size as its table spells it, or the id of the builder's own hose or tube.
    pub size: String,
    /// What the cut list calls it.
    pub label: String,
    /// Bore, mm.
    pub bore_mm: Option<f64>,
    /// The line in this size.
    pub line: Line,
    /// What rejects it, the worst first.
    pub rejected: Vec<Finding>,
    /// What could not be judged.
    pub open: Vec<Finding>,
    /// Threaded ends that do not fit their ports in this size: other ports or adapters would be needed.
    pub misfits: Vec<Finding>,
    /// What goes with it.
    pub noted: Vec<Noted>,
}

impl Candidate {
    /// Whether nothing rejects it.
    pub fn passes(&self) -> bool {
        self.rejected.is_empty()
    }
}

/// A size put into its line.
#[derive(Debug)]
pub struct Fitted {
    size: String,
    /// The line in this size.
    pub line: Line,
    /// Whether it is the planned one.
    pub planned: bool,
    bore_mm: Option<f64>,
    noted: Vec<Noted>,
}

/// All sizes of a line with a known bore, by bore; the planned one always.
pub fn fitted(plan: &Plan, tables: &Tables, line: usize) -> Vec<Fitted> {
    let line = &plan.lines[line];
    let own_bore = bore_mm(line).map(|b| b.value);
    let planned = line.carrier.row().map(|(_, row)| row.size.clone());
    let as_planned = Fitted {
        size: planned.clone().unwrap_or_else(|| line.carrier.label().to_owned()),
        line: line.clone(),
        planned: true,
        bore_mm: own_bore,
        noted: Vec::new(),
    };
    let others = line.sizes(tables).into_iter().filter(|s| Some(s) != planned.as_ref());
    let mut all: Vec<Fitted> = others.filter_map(|size| fit(line, tables, size)).collect();
    all.push(as_planned);
    // Of those alike in bore the planned one comes first, then they stand as in their table.
    all.sort_by(|a, b| {
        let bore = |f: &Fitted| f.bore_mm.unwrap_or(f64::INFINITY);
        bore(a).total_cmp(&bore(b)).then(b.planned.cmp(&a.planned))
    });
    all
}

fn fit(line: &Line, tables: &Tables, size: String) -> Option<Fitted> {
    let resized = line.resized(tables, &size)?;
    let (before, after) = (bore_mm(line)?.value, bore_mm(&resized.line)?.value);
    let mut noted = Vec::new();
    noted.extend((0..2).filter(|end| resized.kept_ends[*end]).map(Noted::KeptEnd));
    let mut line = resized.line;
    for (index, loss) in line.losses.iter_mut().enumerate() {
        let LossLaw::Coefficient { bore, .. } = &mut loss.law else { continue };
        if (bore.si() * 1e3 - before).abs() <= SAME_BORE_MM {
            *bore = Length::from_si(after / 1e3);
            noted.push(Noted::MovedLoss(index));
        } else {
            noted.push(Noted::KeptLoss(index));
        }
    }
    Some(Fitted { size, line, planned: false, bore_mm: Some(after), noted })
}

impl Fitted {
    /// The candidate with what the checks said of it.
    pub fn judged(&self, judged: &Judged, before: Option<&Judged>, always: &[Always]) -> Candidate {
        Candidate {
            label: self.line.carrier.label().to_owned(),
            size: self.size.clone(),
            bore_mm: self.bore_mm,
            line: self.line.clone(),
            rejected: judged.rejected(before, always),
            open: judged.open(),
            misfits: judged.misfits(),
            noted: self.noted.clone(),
        }
    }
}

/// The candidate that changes elsewhere are looked for: the largest that only flow and pressure reject.
pub fn best_to_help(candidates: &[Candidate]) -> Option<usize> {
    let by_flow = |f: &Finding| f.code.starts_with("hydraulics.") || f.code.starts_with("network.");
    candidates.iter().rposition(|c| !c.passes() && c.rejected.iter().all(by_flow))
}
