//! The run of one line as a picture of letters: how high it lies from end A to end B, and where it is held.

use core::fmt::Write;

use nalgebra::Vector3;

use super::Layout;
use super::grid::wrapped;
use super::units::length;
use crate::assess::Assessment;
use crate::geometry::Path;

/// Columns and rows of the picture, at most.
const MOST_COLUMNS: usize = 64;
const MOST_ROWS: usize = 9;
/// Columns before the picture: a height.
const MARGIN: usize = 12;
/// Fewer columns show nothing.
const LEAST_COLUMNS: usize = 24;
/// A line that climbs and falls by less than this is level, mm.
const LEVEL_MM: f64 = 1.0;

/// Where the line goes, its picture, and where it is held.
pub fn text(assessment: &Assessment, line: usize, layout: Layout) -> String {
    let (planned, facts) = (&assessment.plan.lines[line], &assessment.facts.lines[line]);
    let [from, to] = [&planned.from, &planned.to].map(|port| assessment.plan.port_name(port));
    let cut = facts.makeup.as_ref().map_or_else(
        |_| "cut length open".to_owned(),
        |makeup| format!("cut {}", length(makeup.cut.cut_mm, layout.system)),
    );
    let head = format!("{}: A at {from}, B at {to}; {}, {cut}", planned.id, facts.carrier);
    let mut out = String::from("\n");
    out.push_str(&wrapped(&head, layout.width, 0));
    let Ok(geometry) = &facts.geometry else {
        out.push_str(&wrapped("No picture: it has no route.", layout.width, 2));
        return out;
    };
    let stations = &geometry.support.stations_mm;
    let held = stations.get(1..stations.len().saturating_sub(1)).unwrap_or_default();
    let up = Vector3::from(assessment.plan.axes.up);
    picture(&mut out, &geometry.route.path, &up, held, layout);
    let list: Vec<String> = held
        .iter()
        .enumerate()
        .map(|(index, at)| format!("{} at {}", index + 1, length(*at, layout.system)))
        .collect();
    if !list.is_empty() {
        let text = format!("held from A: {}", list.join(", "));
        out.push_str(&wrapped(&text, layout.width, 2));
    }
    for sleeve in &planned.sleeves {
        let [start, end] = [sleeve.start_mm, sleeve.end_mm].map(|mm| length(mm, layout.system));
        out.push_str(&wrapped(
            &format!("{} sleeve from {start} to {end}", sleeve.kind),
            layout.width,
            2,
        ));
    }
    out
}

fn picture(out: &mut String, path: &Path, up: &Vector3<f64>, held: &[f64], layout: Layout) {
    let columns = layout.width.saturating_sub(MARGIN + 2).min(MOST_COLUMNS);
    if columns < LEAST_COLUMNS {
        return;
    }
    let long = path.length_mm();
    let last = real(columns - 1);
    let heights: Option<Vec<f64>> = (0..columns)
        .map(|column| Some(path.point_at(long * real(column) / last).ok()?.coords.dot(up)))
        .collect();
    let Some(heights) = heights else { return };
    let column = |station: f64| {
        nearest(&(0..columns).map(|c| long * real(c) / last).collect::<Vec<_>>(), station)
    };
    let mut marks = vec![(0, 'A'), (columns - 1, 'B')];
    marks.extend(held.iter().enumerate().map(|(index, station)| {
        // Nine clips have a figure each; a longer line is rare.
        let mark =
            u32::try_from(index + 1).ok().and_then(|n| char::from_digit(n, 10)).unwrap_or('+');
        (column(*station), mark)
    }));
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let over_a = |height: f64| {
        format!(
            "{} {}",
            sign(height - heights[0]),
            length((height - heights[0]).abs(), layout.system)
        )
    };
    let drawn = drawn(&heights, &marks);
    let rows = drawn.len();
    for (index, row) in drawn.into_iter().enumerate() {
        let label = match index {
            0 => over_a(high),
            last if last + 1 == rows => over_a(low),
            _ => String::new(),
        };
        let _ = writeln!(out, "{}", format!("{label:>MARGIN$}  {row}").trim_end());
    }
    let long = length(long, layout.system);
    let _ = writeln!(out, "{:MARGIN$}  0{long:>width$}", "", width = columns - 1);
    out.push_str(&wrapped(
        "Height over A, along the line, as the machine stands in the plan; the two scales differ.",
        layout.width,
        2,
    ));
}

/// Rows of letters from the top down; a mark stands where the line is at its column.
fn drawn(heights: &[f64], marks: &[(usize, char)]) -> Vec<String> {
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let span = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max) - low;
    let rows = if span < LEVEL_MM { 1 } else { MOST_ROWS };
    let levels: Vec<f64> =
        (0..rows).map(|r| low + span * real(rows - 1 - r) / real((rows - 1).max(1))).collect();
    let at: Vec<usize> = heights.iter().map(|h| nearest(&levels, *h)).collect();
    let mut grid = vec![vec![' '; heights.len()]; rows];
    for (column, row) in at.iter().copied().enumerate() {
        let next = at.get(column + 1).copied().unwrap_or(row);
        grid[row][column] = match next.cmp(&row) {
            core::cmp::Ordering::Equal => '-',
            core::cmp::Ordering::Less => '/',
            core::cmp::Ordering::Greater => '\\',
        };
        let between = row.min(next) + 1..row.max(next);
        between.for_each(|row| grid[row][column] = '|');
    }
    for (column, mark) in marks {
        if let Some(row) = at.get(*column) {
            grid[*row][*column] = *mark;
        }
    }
    grid.into_iter().map(|row| row.into_iter().collect()).collect()
}

/// Index of the figure that is nearest to another.
fn nearest(figures: &[f64], to: f64) -> usize {
    let off = |index: &usize| (figures[*index] - to).abs();
    (0..figures.len()).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(0)
}

fn sign(number: f64) -> char {
    if number < 0.0 { '-' } else { '+' }
}

/// A small count as a number.
fn real(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::MAX, f64::from)
}

#[cfg(test)]
mod tests {
    use super::drawn;

    #[test]
    fn a_run_up_and_down_again() {
        let heights = [0.0, 0.0, 40.0, 80.0, 80.0, 80.0, 40.0];
        let rows = drawn(&heights, &[(0, 'A'), (4, '1'), (6, 'B')]);
        assert_eq!(rows.len(), 9);
        assert_eq!(rows[0], "   -1\\ ");
        assert_eq!(rows[8], "A/     ");
        assert_eq!(rows[4], "  /   B");
        assert_eq!(drawn(&[3.0, 3.2, 3.1], &[]), ["---"]);
    }
}
