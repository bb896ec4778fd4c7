//! Any text, handed to the import of a route from points.

use hosewright::diagnostic::SourceText;
use hosewright::document::points::read_points;
use hosewright::geometry::simplify::{MOST_POINTS, simplify};
use nalgebra::Point3;

use super::refused;

/// Points are read and simplified, or refused with problems that can be shown.
pub fn feed(bytes: &[u8]) {
    let file = SourceText::new("points.csv", String::from_utf8_lossy(bytes));
    let points = match read_points(&file, MOST_POINTS) {
        Ok(points) => points,
        Err(problems) => return refused(&file, &problems),
    };
    let line: Vec<Point3<f64>> = points.iter().map(|p| Point3::from(p.value)).collect();
    if let Ok(found) = simplify(&line, 2.0) {
        assert!(found.kept.len() >= 2 && found.kept.iter().all(|i| *i < line.len()));
        assert!(found.length_mm.is_finite() && found.farthest_mm.is_finite());
    }
}
