//! How near the lines come to what they keep clear of, and to each other.

mod swept;

use crate::geometry::GeometryError;
use crate::geometry::clearance::{
    Beside, Body, Near, Shape, Solid, Spot, Swept, clearances, stretches,
};
use crate::plan::{KeepOut, KeptBody, Plan};
use crate::source::{Cite, Sourced};
use crate::table::{Cell, Tables};
use crate::units::{Length, Quantity};
use nalgebra::{Point3, Vector3};

use super::LineFacts;
use swept::Tubes;

/// Far enough for the nearest line of a keep-out to be found wherever it is, mm.
const ANYWHERE_MM: f64 = 1e8;

/// What is near to what.
#[derive(Debug, Default)]
pub struct ClearanceFacts {
    /// The keep-outs, in the order of the plan.
    pub keep_outs: Vec<KeepOutFacts>,
    /// Lines that touch each other, or would if all is at its worst.
    pub lines: Vec<LinePair>,
    /// How many lines were looked at.
    pub looked_at: usize,
    /// Lines that could not be looked at, and why.
    pub left_out: Vec<(usize, String)>,
    /// Why nothing could be looked at.
    pub failed: Option<String>,
}

/// One keep-out.
#[derive(Debug)]
pub struct KeepOutFacts {
    /// Least distance wanted, mm: the builder's, else that of the table.
    pub least: Option<Sourced<f64>>,
    /// Distance that will do where the least cannot be had, mm.
    pub close: Option<Sourced<f64>>,
    /// The row of its kind.
    pub cite: Cite,
    /// The sleeve that answers for a line which is nearer.
    pub sleeve: Option<String>,
    /// The lines nearer than wanted, and the nearest of all; by their number.
    pub places: Vec<Place>,
}

/// The nearest place of a line.
#[derive(Clone, Debug)]
pub struct Place {
    /// The line.
    pub line: usize,
    /// From surface to surface with all movements and tolerances, mm.
    pub distance_mm: f64,
    /// The same, if its slack bows that way, mm.
    pub bowed_mm: f64,
    /// How far from end A, mm.
    pub station_mm: f64,
    /// Where, mm.
    pub at_mm: [f64; 3],
    /// The least distance wanted of this line, mm.
    pub least: Option<Sourced<f64>>,
    /// Where it is nearer than wanted, its bow counted, from and to end A, mm.
    pub stretches: Vec<[f64; 2]>,
}

/// Two lines that touch.
#[derive(Clone, Debug)]
pub struct LinePair {
    /// The lines, the lower number first.
    pub lines: [usize; 2],
    /// Distance as drawn, mm.
    pub drawn_mm: Option<f64>,
    /// With all movements and tolerances, mm.
    pub moved_mm: Option<f64>,
    /// The same, if the slack of both bows that way, mm.
    pub bowed_mm: f64,
    /// How far from end A of each, mm: the nearest place as drawn, else that of the others.
    pub stations_mm: [f64; 2],
    /// Where, on the first line, mm.
    pub at_mm: [f64; 3],
}

/// Looks at everything.
pub fn solve(plan: &Plan, tables: &Tables, lines: &[LineFacts]) -> ClearanceFacts {
    let tubes = Tubes::new(plan, tables, lines);
    let looked_at = tubes.lines.len();
    let found = keep_outs(plan, tables, &tubes)
        .and_then(|keep_outs| Ok((keep_outs, pairs(&tubes)?)))
        .map_err(|error| error.to_string());
    let left_out = tubes.left_out;
    match found {
        Ok((keep_outs, lines)) => {
            ClearanceFacts { keep_outs, lines, looked_at, left_out, failed: None }
        }
        Err(why) => {
            ClearanceFacts { left_out, failed: Some(why), looked_at, ..ClearanceFacts::default() }
        }
    }
}

fn keep_outs(
    plan: &Plan,
    tables: &Tables,
    tubes: &Tubes,
) -> Result<Vec<KeepOutFacts>, GeometryError> {
    plan.keep_outs.iter().map(|keep_out| one(plan, tables, tubes, keep_out)).collect()
}

fn one(
    plan: &Plan,
    tables: &Tables,
    tubes: &Tubes,
    keep_out: &KeepOut,
) -> Result<KeepOutFacts, GeometryError> {
    let row = Row::of(tables, keep_out);
    let shape = shape(keep_out, tubes);
    let mut places = Vec::new();
    for (at, line) in tubes.lines.iter().enumerate() {
        let nearest = |tube: &Swept| {
            let found =
                clearances(std::slice::from_ref(tube), std::slice::from_ref(&shape), ANYWHERE_MM);
            found.map(|near| near.first().copied())
        };
        let Some(near) = nearest(&tubes.moved[at])? else { continue };
        let bowed_mm = nearest(&tubes.bowed[at])?.map_or(near.distance_mm, |n| n.distance_mm);
        let least = row.least(plan, *line, keep_out);
        let wanted_mm = least.as_ref().map_or(0.0, |l| l.value);
        let mut stretch = Vec::new();
        if bowed_mm < wanted_mm {
            let found = stretches(&tubes.bowed[at], Beside::Shape(&shape), wanted_mm)?;
            stretch.extend(found.iter().map(|s| [s.start_mm, s.end_mm]));
        }
        places.push(Place {
            line: *line,
            distance_mm: near.distance_mm,
            bowed_mm,
            station_mm: near.on_a.station_mm.unwrap_or(0.0),
            at_mm: near.on_a.point.coords.into(),
            least,
            stretches: stretch,
        });
    }
    let nearest = places.iter().map(|p| p.distance_mm).fold(f64::INFINITY, f64::min);
    places.retain(|p| {
        p.distance_mm <= nearest || p.bowed_mm < p.least.as_ref().map_or(0.0, |l| l.value)
    });
    Ok(KeepOutFacts {
        least: row.typed.or(row.least),
        close: row.close.filter(|_| keep_out.clearance_mm.is_none()),
        cite: row.cite,
        sleeve: row.sleeve,
        places,
    })
}

/// What the table says of a kind of neighbour.
struct Row {
    typed: Option<Sourced<f64>>,
    least: Option<Sourced<f64>>,
    close: Option<Sourced<f64>>,
    sleeve: Option<String>,
    cite: Cite,
}

impl Row {
    fn of(tables: &Tables, keep_out: &KeepOut) -> Self {
        let table = tables.get("limit", "clearance");
        let row = table.and_then(|t| Some((t, t.row(&[("neighbour", &keep_out.kind)])?)));
        let length = |column: &str| {
            let (table, row) = row?;
            Some(table.quantity::<Length>(row, column)?.map(|l| l.si() * 1e3))
        };
        let own = || Cite::plan(&format!("clearance of {}", keep_out.id));
        let text = |column: &str| row.and_then(|(_, r)| r.cells.get(column)).map(Cell::to_text);
        Self {
            typed: keep_out.clearance_mm.map(|mm| Sourced::new(mm, own())),
            least: length("least"),
            close: length("close"),
            sleeve: text("sleeve"),
            cite: row.map_or_else(|| Cite::plan("no row"), |(table, row)| table.cite(row)),
        }
    }

    /// The figure for wiring is written for what burns; the builder's own holds for every line.
    fn least(&self, plan: &Plan, line: usize, keep_out: &KeepOut) -> Option<Sourced<f64>> {
        let burns = plan.fluids[plan.lines[line].fluid].fluid.flammable != Some(false);
        let speaks = keep_out.kind != "wiring" || burns;
        self.typed.clone().or_else(|| self.least.clone().filter(|_| speaks))
    }
}

/// The body with the room of its movements.
fn shape(keep_out: &KeepOut, tubes: &Tubes) -> Shape {
    let by = Vector3::from(keep_out.moves_by_mm);
    let solid = match keep_out.body {
        KeptBody::Box { low_mm, high_mm } => {
            let half = (Vector3::from(high_mm) - Vector3::from(low_mm)) * 0.5 + by;
            Solid::Box {
                centre: nalgebra::center(&Point3::from(low_mm), &Point3::from(high_mm)),
                axes: [Vector3::x(), Vector3::y(), Vector3::z()],
                half_mm: half.into(),
            }
        }
        KeptBody::Cylinder { from_mm, to_mm, radius_mm } => {
            moved_cylinder(Point3::from(from_mm), Point3::from(to_mm), radius_mm, &by)
        }
        KeptBody::Plane { at_mm, faces } => {
            let faces = Vector3::from(faces);
            Solid::HalfSpace { at: Point3::from(at_mm) + faces * faces.abs().dot(&by), faces }
        }
    };
    let place = keep_out.of.map(|component| tubes.place_of(component));
    Shape { solid, grow_mm: keep_out.moves_mm, place }
}

/// A cylinder that holds the cylinder wherever it moves: longer and thicker by what the movement has along and
/// square to its axis.
fn moved_cylinder(from: Point3<f64>, to: Point3<f64>, radius_mm: f64, by: &Vector3<f64>) -> Solid {
    let axis = (to - from).normalize();
    let along = axis.abs().dot(by);
    let corners = [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]];
    let square = |[y, z]: [f64; 2]| {
        let corner = Vector3::new(by.x, y * by.y, z * by.z);
        (corner - axis * axis.dot(&corner)).norm()
    };
    let aside = corners.into_iter().map(square).fold(0.0, f64::max);
    Solid::Cylinder {
        from: from - axis * along,
        to: to + axis * along,
        radius_mm: radius_mm + aside,
    }
}

/// Lines that touch at their worst, and how near they are otherwise.
fn pairs(tubes: &Tubes) -> Result<Vec<LinePair>, GeometryError> {
    let bowed = clearances(&tubes.bowed, &[], 0.0)?;
    if bowed.is_empty() {
        return Ok(Vec::new());
    }
    let (moved, drawn) = (clearances(&tubes.moved, &[], 0.0)?, clearances(&tubes.drawn, &[], 0.0)?);
    let same =
        |list: &[Near], near: &Near| list.iter().find(|n| (n.a, n.b) == (near.a, near.b)).copied();
    let pair = |near: &Near| {
        let Body::Line(b) = near.b else { return None };
        let (as_drawn, with_moves) = (same(&drawn, near), same(&moved, near));
        let place = as_drawn.or(with_moves).unwrap_or(*near);
        let station = |spot: &Spot| spot.station_mm.unwrap_or(0.0);
        Some(LinePair {
            lines: [tubes.lines[near.a], tubes.lines[b]],
            drawn_mm: as_drawn.map(|n| n.distance_mm),
            moved_mm: with_moves.map(|n| n.distance_mm),
            bowed_mm: near.distance_mm,
            stations_mm: [station(&place.on_a), station(&place.on_b)],
            at_mm: place.on_a.point.coords.into(),
        })
    };
    Ok(bowed.iter().filter_map(pair).collect())
}
