//! `hosewright route`: clips of a line from points that were taped.

use nalgebra::Point3;

use super::args::{PointUnit, Route};
use super::argument::positive;
use super::file::{printable, read_points as read_file};
use super::{Answer, Trouble};
use crate::document::points::read_points;
use crate::geometry::simplify::{MOST_POINTS, simplify};
use crate::report::route::{Taped, write};
use crate::report::{Format, Layout};
use crate::units::{Length, Quantity};

impl PointUnit {
    /// The word of a plan and millimetres in it.
    fn known(self) -> (&'static str, f64) {
        match self {
            Self::Mm => ("mm", 1.0),
            Self::Cm => ("cm", 10.0),
            Self::M => ("m", 1000.0),
            Self::In => ("in", 25.4),
        }
    }
}

pub fn run(args: &Route, format: Format, layout: Layout) -> Result<Answer, Trouble> {
    let straight =
        args.straight.as_deref().map(|s| positive::<Length>("straight", s)).transpose()?;
    let straight_mm = straight.map(|s| s.si() * 1e3);
    let file = read_file(&args.points)?;
    let points = read_points(&file, MOST_POINTS).map_err(Trouble::Problems)?;
    let (unit, unit_mm) = args.unit.known();
    let line: Vec<Point3<f64>> = points.iter().map(|p| Point3::from(p.value) * unit_mm).collect();
    let all = || (0..line.len()).collect();
    let simplified = simplify(&line, straight_mm.unwrap_or(0.0));
    let mut simplified = simplified.map_err(|e| Trouble::plain(e.to_string()))?;
    if straight_mm.is_none() {
        // Nobody asked for points to be left out, not even for those on a straight.
        simplified.kept = all();
    }
    let taped = Taped {
        file: &printable(args.points.as_path()),
        unit,
        given: points.len(),
        kept: simplified.kept.iter().filter_map(|i| points.get(*i)).map(|p| p.value).collect(),
        straight_mm,
        farthest_mm: simplified.farthest_mm,
        length_mm: simplified.length_mm,
        ends: args.ends,
    };
    Ok(Answer::plain(write(&taped, format, layout)))
}
