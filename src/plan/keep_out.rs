//! What the lines have to keep clear of.

use super::component::unit_direction;
use super::{Component, Given, not_negative, positive, shape};
use crate::document::{Placed, Section};
use crate::table::{Cell, Tables};
use crate::units::{Length, Quantity};

/// A body that the lines keep clear of.
#[derive(Clone, Debug)]
pub struct KeepOut {
    /// Short name.
    pub id: String,
    /// Full name.
    pub name: Option<String>,
    /// Kind of neighbour: a row of limit/clearance.
    pub kind: String,
    /// Where it is.
    pub body: KeptBody,
    /// How far it moves at most in any direction, mm.
    pub moves_mm: f64,
    /// How far it moves at most along each axis, mm, besides.
    pub moves_by_mm: [f64; 3],
    /// The builder's own least distance, mm.
    pub clearance_mm: Option<f64>,
    /// The component that it belongs to.
    pub of: Option<usize>,
}

/// Where a keep-out is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KeptBody {
    /// A box along the axes, by its lowest and highest corner, mm.
    Box {
        /// Lowest coordinates.
        low_mm: [f64; 3],
        /// Highest coordinates.
        high_mm: [f64; 3],
    },
    /// A cylinder with flat ends.
    Cylinder {
        /// Middle of one end, mm.
        from_mm: [f64; 3],
        /// Middle of the other end, mm.
        to_mm: [f64; 3],
        /// Radius, mm.
        radius_mm: f64,
    },
    /// Everything behind a plane.
    Plane {
        /// A point of the plane, mm.
        at_mm: [f64; 3],
        /// Unit direction of the open side.
        faces: [f64; 3],
    },
}

/// Reads all `[[keep_out]]`.
pub fn read(
    root: &Section<'_>,
    tables: &Tables,
    components: &[Component],
    unit_mm: f64,
) -> Vec<KeepOut> {
    let table = tables.get("limit", "clearance");
    let rows = table.into_iter().flat_map(|t| t.rows.iter());
    let kinds: Vec<String> =
        rows.filter_map(|r| r.cells.get("neighbour")).map(Cell::to_text).collect();
    let mut given = Given::new("keep_out");
    let mut all = Vec::new();
    for section in root.sections("keep_out", &shape::KEEP_OUT) {
        let kind = section.name("kind").filter(|kind| {
            let known = kinds.contains(&kind.value);
            if !known {
                section.unknown(kind, "kind", kinds.iter().map(String::as_str));
            }
            known
        });
        let body = read_body(&section, unit_mm);
        let moves_by_mm = read_moves_by(&section, unit_mm);
        let length = |key: &str| not_negative::<Length>(&section, key).map(|l| l.value.si() * 1e3);
        let (moves, clearance_mm) = (length("moves"), length("clearance"));
        let of = section.name("of").and_then(|of| component(&section, &of, components));
        let Some(id) = section.id("id") else { continue };
        let fresh = given.is_new(&section, &id);
        if let (Some(kind), Some(body), true) = (kind, body, fresh) {
            all.push(KeepOut {
                id: id.value,
                name: section.words("name").map(|n| n.value),
                kind: kind.value,
                body,
                moves_mm: moves.unwrap_or(0.0),
                moves_by_mm: moves_by_mm.unwrap_or([0.0; 3]),
                clearance_mm,
                of,
            });
        }
    }
    all
}

fn component(
    section: &Section<'_>,
    of: &Placed<String>,
    components: &[Component],
) -> Option<usize> {
    let found = components.iter().position(|c| c.id == of.value);
    if found.is_none() {
        section.unknown(of, "component", components.iter().map(|c| c.id.as_str()));
    }
    found
}

fn read_moves_by(section: &Section<'_>, unit_mm: f64) -> Option<[f64; 3]> {
    let by = section.point("moves_by")?;
    if section.has("moves") {
        section.reader().problem(
            &by.span,
            "moves and moves_by say the same thing twice",
            "besides moves",
            vec!["keep moves_by where the movement differs by direction".into()],
        );
        return None;
    }
    if by.value.iter().any(|c| *c < 0.0) {
        section.reader().problem(
            &by.span,
            "moves_by must not be negative",
            "negative",
            vec!["the part moves this far to either side".into()],
        );
        return None;
    }
    Some(by.value.map(|c| c * unit_mm))
}

/// The body; none or several are a problem.
fn read_body(section: &Section<'_>, unit_mm: f64) -> Option<KeptBody> {
    let forms = ["box", "cylinder", "plane"];
    let written: Vec<&str> = forms.into_iter().filter(|form| section.has(form)).collect();
    match written.as_slice() {
        ["box"] => read_box(&section.section("box", &shape::BOX)?, unit_mm),
        ["cylinder"] => read_cylinder(&section.section("cylinder", &shape::CYLINDER)?, unit_mm),
        [_] => read_plane(&section.section("plane", &shape::PLANE)?, unit_mm),
        [] => {
            section.reader().absence(
                &section.header(),
                "a keep_out needs one of the keys \"box\", \"cylinder\" and \"plane\"",
                vec!["box = { from = [0, 0, 0], to = [100, 50, 20] }".into()],
            );
            None
        }
        [_, second, ..] => {
            section.reader().problem(
                &section.place(second),
                "a keep_out has one shape, and this one has several",
                "one too many",
                vec!["write one [[keep_out]] for each".into()],
            );
            None
        }
    }
}

/// A box or a cylinder in the directions of a tank; one of both.
pub fn read_inside(section: &Section<'_>, unit_mm: f64) -> Option<KeptBody> {
    if section.has("box") == section.has("cylinder") {
        section.reader().absence(
            &section.header(),
            "an inner body needs one of the keys \"box\" and \"cylinder\"",
            vec!["box = { from = [40, -30, 10], to = [200, 30, 60] }".into()],
        );
        return None;
    }
    match section.section("box", &shape::BOX) {
        Some(body) => read_box(&body, unit_mm),
        None => read_cylinder(&section.section("cylinder", &shape::CYLINDER)?, unit_mm),
    }
}

fn read_box(section: &Section<'_>, unit_mm: f64) -> Option<KeptBody> {
    let (from, to) = (section.point("from")?, section.point("to")?);
    let over =
        |pick: fn(f64, f64) -> f64| [0, 1, 2].map(|i| pick(from.value[i], to.value[i]) * unit_mm);
    let (low_mm, high_mm) = (over(f64::min), over(f64::max));
    if no_length(section, &to, &from) {
        return None;
    }
    Some(KeptBody::Box { low_mm, high_mm })
}

fn read_cylinder(section: &Section<'_>, unit_mm: f64) -> Option<KeptBody> {
    let (from, to) = (section.point("from"), section.point("to"));
    let radius = positive::<Length>(section, "radius").map(|r| r.value.si() * 1e3);
    let half = positive::<Length>(section, "diameter").map(|d| d.value.si() * 0.5e3);
    if section.has("radius") == section.has("diameter") {
        section.reader().absence(
            &section.header(),
            "a cylinder needs one of the keys \"radius\" and \"diameter\"",
            vec!["diameter = \"40 mm\"".into()],
        );
        return None;
    }
    let (from, to) = (from?, to?);
    if no_length(section, &to, &from) {
        return None;
    }
    Some(KeptBody::Cylinder {
        from_mm: from.value.map(|c| c * unit_mm),
        to_mm: to.value.map(|c| c * unit_mm),
        radius_mm: radius.or(half)?,
    })
}

fn read_plane(section: &Section<'_>, unit_mm: f64) -> Option<KeptBody> {
    let at = section.point("at");
    let faces = section.point("faces")?;
    let faces = unit_direction(section, "faces", &faces)?;
    Some(KeptBody::Plane { at_mm: at?.value.map(|c| c * unit_mm), faces })
}

/// Whether both points are one, which is reported.
fn no_length(section: &Section<'_>, to: &Placed<[f64; 3]>, from: &Placed<[f64; 3]>) -> bool {
    let same = (0..3).all(|i| (to.value[i] - from.value[i]).abs() < 1e-9);
    if same {
        section.reader().problem(
            &to.span,
            "from and to are one point",
            "the same point",
            vec!["give two corners, or the two ends of the axis".into()],
        );
    }
    same
}
