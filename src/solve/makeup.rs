//! Cut lengths and the cut list.

use std::collections::BTreeMap;

use super::LineFacts;
use super::clocking::{self, ClockFacts};
use super::geometry::GeometryFacts;
use super::reach::{self, Made, ReachFacts};
use super::tube::stretch_of;
use crate::makeup::cut_length::{CutInput, CutLength, as_cut, cut_length};
use crate::makeup::stock::{CuttingPlan, StockInput, StockLength, WantedPiece, cutting_plan};
use crate::makeup::{MakeupError, mass};
use crate::plan::{Carrier, Line, Plan};
use crate::source::Sourced;
use crate::table::{Tables, limit};
use crate::units::Quantity;

/// The make-up of one line.
#[derive(Debug)]
pub struct MakeupFacts {
    /// Cut length, assembly and slack.
    pub cut: CutLength,
    /// Least slack wanted, as a share of the assembly; none for a tube.
    pub slack_least: Option<Sourced<f64>>,
    /// Most slack wanted.
    pub slack_most: Option<Sourced<f64>>,
    /// What is left of the slack in service; none for a tube.
    pub reach: Option<ReachFacts>,
    /// The clock angle of two angled ends, or why there is none.
    pub clock: Result<Option<ClockFacts>, String>,
    /// Bare hose or tube, g.
    pub mass_g: Option<f64>,
    /// Volume of the bore, ml.
    pub volume_ml: Option<f64>,
}

/// The bars that one hose or tube is cut from.
#[derive(Debug)]
pub struct StockFacts {
    /// Hose or tube.
    pub of: String,
    /// Lengths on the shelf or to be bought.
    pub stock: Vec<StockLength>,
    /// The bars, or why there are none.
    pub plan: Result<CuttingPlan, String>,
    /// The pieces, in the order of the plan.
    pub pieces: Vec<WantedPiece>,
}

/// Cut length, slack, mass and volume of a line.
///
/// # Errors
/// In words: what is missing, or why nothing can be cut.
pub fn solve(
    plan: &Plan,
    tables: &Tables,
    line: &Line,
    geometry: Option<&GeometryFacts>,
    bore: Option<&Sourced<f64>>,
) -> Result<MakeupFacts, String> {
    let geometry = geometry.ok_or("there is no route to cut to")?;
    let [Some(a), Some(b)] = geometry.cut_off_mm else {
        return Err("the cut-off of an end is not known".into());
    };
    let rigid = matches!(line.carrier, Carrier::Tube(_));
    let slack_least = limit::installation_share(tables, "slack-min").filter(|_| !rigid);
    let slack_most = limit::installation_share(tables, "slack-max").filter(|_| !rigid);
    let (shrink, grow) = length_change(tables, line);
    let least = slack_least.as_ref().map_or(0.0, |s| s.value);
    let most = slack_most.as_ref().map_or(0.0, |s| s.value);
    let input = CutInput {
        path_mm: geometry.route.length_mm,
        // What bending adds need not be cut, like the length of a fitting.
        cut_off_a_mm: a + stretch_of(plan, line, &geometry.route),
        cut_off_b_mm: b,
        slack_fraction: least,
        least_slack_fraction: least,
        most_slack_fraction: most,
        contraction_fraction: shrink,
        elongation_fraction: grow,
        step_mm: plan.cut_step_mm,
    };
    let cut = cut(line, &input, line.slack.filter(|_| !rigid)).map_err(|e| e.to_string())?;
    let made = Made { cut: &cut, contraction: shrink, least_slack: least };
    let reach = if rigid { None } else { reach::solve(plan, line, geometry, made) };
    Ok(MakeupFacts {
        reach,
        clock: clocking::solve(tables, line, geometry, cut.assembly_mm),
        slack_least,
        slack_most,
        mass_g: mass_g(line, &cut),
        volume_ml: bore.and_then(|b| mass::volume_ml(b.value, cut.assembly_mm).ok()),
        cut,
    })
}

/// The lengths of a line, with the builder's slack where there is one.
fn cut(line: &Line, input: &CutInput, slack: Option<f64>) -> Result<CutLength, MakeupError> {
    let by_rule = cut_length(input)?;
    let cut = match slack {
        None => by_rule,
        Some(slack) => {
            // The builder's slack sets the cut; the rule still sets the window.
            let own = CutInput {
                slack_fraction: slack,
                least_slack_fraction: slack.min(input.least_slack_fraction),
                most_slack_fraction: slack.max(input.most_slack_fraction),
                ..*input
            };
            let cut = cut_length(&own)?;
            CutLength { shortest_mm: by_rule.shortest_mm, longest_mm: by_rule.longest_mm, ..cut }
        }
    };
    if line.cut_short_mm == 0.0 { Ok(cut) } else { as_cut(input, cut.cut_mm - line.cut_short_mm) }
}

/// Shortening and lengthening under pressure, both as positive shares; the hose's own figures come
/// before the general rule.
fn length_change(tables: &Tables, line: &Line) -> (f64, f64) {
    let Carrier::Hose(hose) = &line.carrier else {
        return (0.0, 0.0);
    };
    let rule = |name: &str| limit::installation_share(tables, name).map(|s| s.value);
    let own = |s: &Option<Sourced<f64>>| s.as_ref().map(|s| s.value);
    let shrink = own(&hose.length_change_min).or_else(|| rule("length-change-min"));
    let grow = own(&hose.length_change_max).or_else(|| rule("length-change-max"));
    (-shrink.unwrap_or(0.0).min(0.0), grow.unwrap_or(0.0).max(0.0))
}

fn mass_g(line: &Line, cut: &CutLength) -> Option<f64> {
    let g_per_m = match &line.carrier {
        Carrier::Hose(hose) => hose.mass.as_ref()?.value.si() * 1e3,
        Carrier::Tube(tube) => mass::tube_g_per_m(
            tube.outside.value.si() * 1e3,
            tube.wall.value.si() * 1e3,
            tube.strength.density.as_ref()?.value.si(),
        )
        .ok()?,
    };
    mass::assembly_g(g_per_m, cut.cut_mm, 0.0).ok()
}

/// The cut list: the lines of each hose and tube on its stock lengths.
pub fn cutting(plan: &Plan, lines: &[LineFacts]) -> Vec<StockFacts> {
    let mut wanted: BTreeMap<&str, Vec<WantedPiece>> = BTreeMap::new();
    for line in lines {
        if let Ok(makeup) = &line.makeup {
            let piece = WantedPiece { length_mm: makeup.cut.cut_mm, label: line.id.clone() };
            wanted.entry(&line.carrier).or_default().push(piece);
        }
    }
    wanted
        .into_iter()
        .map(|(of, pieces)| {
            let stock = stock_lengths(plan, of);
            let plan = cut_from(plan, &pieces, &stock);
            StockFacts { of: of.to_owned(), stock, plan, pieces }
        })
        .collect()
}

fn stock_lengths(plan: &Plan, of: &str) -> Vec<StockLength> {
    let pieces = plan.stock.iter().flat_map(|s| &s.pieces);
    pieces
        .filter(|p| p.of == of)
        .map(|p| StockLength { length_mm: p.length_mm, count: p.count })
        .collect()
}

fn cut_from(
    plan: &Plan,
    pieces: &[WantedPiece],
    stock: &[StockLength],
) -> Result<CuttingPlan, String> {
    let shelf = plan.stock.as_ref().ok_or("the plan has no [stock]")?;
    if stock.is_empty() {
        return Err("no stock length is given for it".into());
    }
    let (kerf_mm, squaring_mm) = (shelf.kerf_mm, shelf.squaring_mm);
    cutting_plan(&StockInput { pieces, stock, kerf_mm, squaring_mm }).map_err(|e| e.to_string())
}

/// Pieces of the cut list that could be cut once more from what is left of a bar.
pub fn fit_again<'f>(
    plan: &Plan,
    stock: &'f StockFacts,
    left_mm: f64,
) -> impl Iterator<Item = &'f WantedPiece> {
    let kerf_mm = plan.stock.as_ref().map_or(0.0, |s| s.kerf_mm);
    stock.pieces.iter().filter(move |piece| piece.length_mm + kerf_mm <= left_mm)
}
