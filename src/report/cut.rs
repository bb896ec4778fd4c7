//! The cut list for a person at a bench.

use core::fmt::Write;

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::length;
use crate::assess::Assessment;
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
    out.push_str(&wrapped(&bound(plan.bars.len(), plan.least_bars, plan.proven), layout.width, 2));
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

fn bound(used: usize, least: usize, proven: bool) -> String {
    let pieces = |n: usize| {
        if n == 1 { "1 piece".to_owned() } else { format!("{n} pieces") }
    };
    if proven {
        format!("{} of stock, and no plan needs fewer", pieces(used))
    } else {
        format!(
            "{} of stock; at least {} are needed, so fewer may be possible",
            pieces(used),
            pieces(least)
        )
    }
}
