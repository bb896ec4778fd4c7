//! The order list for a person in a shop.

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use crate::assess::Assessment;
use crate::size::{Alternate, Alternates};

/// The order list.
pub fn text(assessment: &Assessment, alternates: Option<&[Alternates]>, layout: Layout) -> String {
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
    if let Some(alternates) = alternates {
        instead(&mut out, alternates, layout);
    }
    closing(&mut out, assessment, layout.width);
    out
}

/// What could be ordered instead.
fn instead(out: &mut String, alternates: &[Alternates], layout: Layout) {
    out.push('\n');
    let head = "Instead, in all lines of the part at once, with nothing that fails:";
    out.push_str(&wrapped(head, layout.width, 0));
    for one in alternates {
        let name = |p: &Alternate| match p.cautions {
            0 => p.part.clone(),
            1 => format!("{} (1 caution more)", p.part),
            more => format!("{} ({more} cautions more)", p.part),
        };
        let names: Vec<String> = one.passing.iter().map(name).collect();
        let list = match (names.is_empty(), one.asked) {
            (false, _) => names.join(", "),
            (true, 0) => "the tables have nothing alike".to_owned(),
            (true, 1) => "the one row alike does not pass".to_owned(),
            (true, asked) => format!("none of {asked} rows alike passes"),
        };
        out.push_str(&wrapped(&format!("{} {}: {list}", one.kind, one.part), layout.width, 2));
    }
}
