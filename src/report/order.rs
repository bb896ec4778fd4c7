//! The order list for a person in a shop.

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use crate::assess::Assessment;

/// The order list.
pub fn text(assessment: &Assessment, layout: Layout) -> String {
    let mut out = wrapped(&format!("Order list of {}", assessment.plan.name), layout.width, 0);
    let mut grid = Grid::new(&["kind", "what", "count", "spares", "for"], &[2, 3]);
    for item in &assessment.facts.order {
        let count = if item.unit == "m" {
            format!("{:.2} m", item.count)
        } else {
            format!("{:.0}", item.count)
        };
        let spares = if item.spares == 0 { String::new() } else { item.spares.to_string() };
        let row =
            vec![item.kind.to_owned(), item.what.clone(), count, spares, item.lines.join(" ")];
        grid.rows.push(row);
    }
    out.push_str(&grid.to_text(layout.width));
    out.push_str("The count includes the spares.\n");
    closing(&mut out, assessment, layout.width);
    out
}
