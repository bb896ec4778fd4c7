//! The cut list for a person at a bench.

use core::fmt::Write;

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::length;
use crate::assess::Assessment;
use crate::makeup::stock::{CuttingPlan, Spare};
use crate::solve::makeup::StockFacts;
use crate::units::{Length, Quantity, inch_fraction};

/// The cut list: the pieces, then the bars they come out of.
pub fn text(assessment: &Assessment, layout: Layout) -> String {
    let mut out = String::new();
    out.push_str(&wrapped(&format!("Cut list of {}", assessment.plan.name), layout.width, 0));
    pieces(&mut out, assessment, layout);
    for stock in &assessment.facts.cutting {
        bars(&mut out, stock, layout);
    }
    closing(&mut out, assessment, layout.width);
    out
}

fn pieces(out: &mut String, assessment: &Assessment, layout: Layout) {
    let head = ["line", "of", "cut", "nearest 1/32 in", "assembly", "end A", "end B"];
    let mut grid = Grid::new(&head, &[2, 3, 4]);
    for (line, facts) in assessment.plan.lines.iter().zip(&assessment.facts.lines) {
        let end = |i: usize| line.ends[i].as_ref().map_or("bare".to_owned(), |e| e.label.clone());
        let (cut, inch, assembly) = match &facts.makeup {
            Ok(makeup) => (
                length(makeup.cut.cut_mm, layout.system),
                inch_with_error(makeup.cut.cut_mm),
                length(makeup.cut.assembly_mm, layout.system),
            ),
            Err(why) => (format!("open: {why}"), String::new(), String::new()),
        };
        let row = vec![line.id.clone(), facts.carrier.clone(), cut, inch, assembly, end(0), end(1)];
        grid.rows.push(row);
    }
    out.push_str(&grid.to_text(layout.width));
}

/// The nearest fraction and how far it is off.
fn inch_with_error(mm: f64) -> String {
    let fraction = inch_fraction(Length::from_si(mm / 1e3), 32);
    // A tenth of a millimetre is all a tape shows; adding zero takes the sign off a zero.
    let error = (fraction.error_mm * 10.0).round() / 10.0 + 0.0;
    format!("{fraction}, {error:+.1} mm")
}

fn bars(out: &mut String, stock: &StockFacts, layout: Layout) {
    let _ = writeln!(out, "\n{}", stock.of);
    let plan = match &stock.plan {
        Ok(plan) => plan,
        Err(why) => return out.push_str(&wrapped(&format!("open: {why}"), layout.width, 2)),
    };
    for (index, bar) in plan.bars.iter().enumerate() {
        let cuts: Vec<String> = bar
            .cuts
            .iter()
            .map(|c| format!("{} {}", c.label, length(c.length_mm, layout.system)))
            .collect();
        let text = format!(
            "piece {} of {}: {}; left {}",
            index + 1,
            length(bar.length_mm, layout.system),
            cuts.join(", "),
            length(bar.left_mm, layout.system)
        );
        out.push_str(&wrapped(&text, layout.width, 2));
    }
    out.push_str(&wrapped(&bound(plan), layout.width, 2));
    if let Some(spare) = &plan.spare {
        out.push_str(&wrapped(&spare_text(spare, layout), layout.width, 2));
    }
    let too_long = plan.too_long.iter().map(|i| (i, "no stock is long enough"));
    let not_placed = plan.not_placed.iter().map(|i| (i, "the stock is used up"));
    for (index, why) in too_long.chain(not_placed) {
        if let Some(piece) = stock.pieces.get(*index) {
            let cut = length(piece.length_mm, layout.system);
            let text = format!("not cut: {} {cut}, {why}", piece.label);
            out.push_str(&wrapped(&text, layout.width, 2));
        }
    }
}

fn pieces_of(count: usize) -> String {
    if count == 1 { "1 piece".to_owned() } else { format!("{count} pieces") }
}

fn bound(plan: &CuttingPlan) -> String {
    let shelf = plan.bars.len().saturating_sub(plan.bought);
    let used = match (shelf, plan.bought) {
        (0, bought) => format!("{} of stock to buy", pieces_of(bought)),
        (shelf, 0) => format!("{} of stock from the shelf, nothing to buy", pieces_of(shelf)),
        (shelf, bought) => {
            format!("{} of stock from the shelf and {} to buy", pieces_of(shelf), pieces_of(bought))
        }
    };
    let gap = plan.bought.saturating_sub(plan.least_bought);
    if plan.proven {
        format!("{used}; no plan needs fewer")
    } else if gap == 0 {
        format!("{used}; no plan needs fewer, but one with less length is not ruled out")
    } else {
        let least = plan.least_bought;
        format!("{used}; at least {least} are needed, so up to {gap} fewer may be possible")
    }
}

fn spare_text(spare: &Spare, layout: Layout) -> String {
    let longest = length(spare.length_mm, layout.system);
    if spare.at_most_mm > spare.length_mm {
        let most = length(spare.at_most_mm, layout.system);
        return format!(
            "a spare of {longest} still comes out; for one up to {most} no plan was found, and a longer one needs \
             more stock"
        );
    }
    let more = match spare.longer_costs {
        None => "no stock of the plan gives a longer one".to_owned(),
        Some((0, more_mm)) => {
            format!("a longer one needs {} more of stock", length(more_mm, layout.system))
        }
        Some((count, more_mm)) => format!(
            "a longer one costs {} of stock more, {} in all",
            pieces_of(count),
            length(more_mm, layout.system)
        ),
    };
    format!("the longest spare that still comes out is {longest}; {more}")
}
