//! Dip marks on the tank: whether the printed strip is true to size, which poured reading is odd, and where the stick
//! would stand better.

use crate::finding::Verdict;
use crate::plan::Plan;
use crate::solve::dip::{DipFacts, Shift, can_be_dipped, solve};
use crate::table::Tables;
use crate::units::{Quantity, Volume};

use super::print::{Bar, bar};

/// What the builder asks for.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// Volume from mark to mark; a round one if absent.
    pub step: Option<Volume>,
    /// Pitches besides those of the plan, rad.
    pub pitches_rad: Vec<f64>,
    /// What the printed bars measure, mm.
    pub bars_mm: Vec<f64>,
}

/// The dip marks of a tank, judged.
#[derive(Debug)]
pub struct DipTrial {
    /// The marks.
    pub facts: DipFacts,
    /// The poured points as they were typed: sums in mm3 and readings in mm.
    pub poured: Vec<(f64, f64)>,
    /// The printed bars.
    pub bars: Vec<Bar>,
    /// A place of the stick where marks move by less than half as much with the attitude.
    pub better: Option<Shift>,
}

impl DipTrial {
    /// The worst verdict: a sheet that is not to size fails, an odd reading is a caution.
    pub fn worst(&self) -> Verdict {
        let bars = self.bars.iter().map(|b| b.verdict);
        let fit = self.facts.poured.iter().map(|f| match f {
            Ok(fit) if fit.odd.is_empty() => Verdict::Ok,
            Ok(_) => Verdict::Caution,
            Err(_) => Verdict::Open,
        });
        bars.chain(fit).max().unwrap_or(Verdict::Ok)
    }

    /// A poured point as it was typed: the sum in mm3 and the reading in mm.
    pub fn read(&self, index: usize) -> (f64, f64) {
        self.poured.get(index).copied().unwrap_or_default()
    }

    /// Whether a measured bar shows that the sheet is not to size.
    pub fn refused(&self) -> bool {
        self.bars.iter().any(|b| b.verdict != Verdict::Ok)
    }
}

/// The dip marks of a tank by its id.
///
/// # Errors
/// In words, with what would be right behind it.
pub fn dip(
    plan: &Plan,
    tables: &Tables,
    tank: &str,
    asked: &Asked,
) -> Result<DipTrial, (String, String)> {
    let dipped = plan.components.iter().filter(|c| c.tank.as_ref().is_some_and(can_be_dipped));
    let known: Vec<&str> = dipped.map(|c| c.id.as_str()).collect();
    let known = if known.is_empty() {
        "give a tank a shape and a stick: shape = { kind = \"box\", ... }, stick = { at = \"150 mm\" }".to_owned()
    } else {
        format!("tanks with a shape and a stick: {}", known.join(", "))
    };
    let Some(component) = plan.components.iter().position(|c| c.id == tank) else {
        return Err((format!("the plan has no component \"{tank}\""), known));
    };
    let step = asked.step.map(Quantity::si);
    let facts = solve(plan, tables, component, step, &asked.pitches_rad)
        .map_err(|why| (format!("{tank} cannot be dipped: {why}"), known))?;
    let bars = asked.bars_mm.iter().map(|mm| bar(tables, *mm)).collect();
    let better = facts.shifts.and_then(|[now, middle, best]| {
        // Mid length is what a builder finds without a tape, so it comes first where it is nearly as good.
        let found = if middle.most_mm <= 1.25 * best.most_mm { middle } else { best };
        (2.0 * found.most_mm < now.most_mm).then_some(found)
    });
    let poured = plan.components[component].tank.as_ref().and_then(|t| t.poured.as_ref());
    let poured = poured.map_or_else(Vec::new, |p| p.points.clone());
    Ok(DipTrial { facts, poured, bars, better })
}
