//! Published and worked figures for routes, paths and attitudes.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on must fail loudly")]

pub mod case;
mod elastica;
mod oracle;
mod vessel;

use case::{Case, CaseFile, all_give_a_reason};
use hosewright::geometry::clock::{clock_along, clock_angle};
use hosewright::geometry::{
    Attitude, Path, Piece, Pose, Route, RouteEnd, RouteInput, Shortest, Swept, bow_of_slack,
    clearances, route, shortest,
};
use nalgebra::{Point3, Vector3};

/// The files of cases.
pub const FILES: [&CaseFile; 6] =
    [&ROUTE, &CLEARANCE, &CLOCK, &SHORTEST, &elastica::ELASTICA, &vessel::VESSEL];

fn vector(row: &[f64]) -> Vector3<f64> {
    Vector3::from_row_slice(row)
}

fn straight_end(seat: Point3<f64>, faces: Vector3<f64>) -> RouteEnd {
    RouteEnd { seat, faces, angle_rad: 0.0, drop_mm: 0.0, cut_off_mm: 0.0, aim: None }
}

fn laid(a: RouteEnd, b: RouteEnd, clips: &[Point3<f64>], bend_radius_mm: f64) -> Route {
    let straight_after_end_mm = 0.0;
    let input = RouteInput { a, b, clips, bend_radius_mm, straight_after_end_mm };
    let laid = route(&input).expect("a route");
    assert!(laid.shortfalls.is_empty(), "{:?}", laid.shortfalls);
    laid
}

/// Through points: the ends face along the first and the last leg, so no bend is added.
fn through(case: &Case) -> Route {
    let points: Vec<Point3<f64>> =
        case.rows("points_mm").iter().map(|row| Point3::from(vector(row))).collect();
    let (first, last) = (points[0], points[points.len() - 1]);
    let (second, before) = (points[1], points[points.len() - 2]);
    let a = straight_end(first, (second - first).normalize());
    let b = straight_end(last, (before - last).normalize());
    laid(a, b, &points[1..points.len() - 1], case.number("radius_mm"))
}

/// Between two poses: directions of travel at start and goal.
fn between(case: &Case) -> Route {
    let end = |point: &str, direction: f64, towards: &str| {
        let seat = Point3::from(vector(&case.numbers(point)));
        straight_end(seat, vector(&case.numbers(towards)) * direction)
    };
    let (a, b) = (end("from_mm", 1.0, "leaves"), end("to_mm", -1.0, "arrives"));
    laid(a, b, &[], case.number("radius_mm"))
}

fn arc_length(case: &Case) -> f64 {
    let radius_mm = case.number("radius_mm");
    let arc = Piece::Arc {
        start: Point3::new(radius_mm, 0.0, 0.0),
        centre: Point3::origin(),
        axis: Vector3::z(),
        radius_mm,
        angle_rad: case.number("angle_rad"),
    };
    Path::new(vec![arc]).expect("a path").length_mm()
}

fn rise(case: &Case) -> f64 {
    let axes = ["forward", "right", "up"].map(|name| vector(&case.numbers(name)));
    let [forward, right, up] = axes;
    let attitude = Attitude::new(forward, right, up).expect("axes");
    let up = attitude
        .up_when(case.number("nose_up_rad"), case.number("right_down_rad"))
        .expect("an attitude");
    vector(&case.numbers("offset_mm")).dot(&up)
}

/// Each case with its answer.
pub const ROUTE: CaseFile = CaseFile {
    path: "geometry/route",
    text: include_str!("geometry/route.toml"),
    kernel: |case| match case.call.as_str() {
        "route through points: length" => vec![through(case).length_mm],
        "route through points: bend angles" => {
            through(case).bends.iter().map(|bend| bend.angle_rad).collect()
        }
        "route between ends: length" => vec![between(case).length_mm],
        "route between ends: bend angles" => {
            between(case).bends.iter().map(|bend| bend.angle_rad).collect()
        }
        "path: arc length" => vec![arc_length(case)],
        "attitude: rise" => vec![rise(case)],
        other => panic!("{other} is not called here"),
    },
};

#[test]
fn routes_agree_with_worked_figures() {
    ROUTE.agree();
}

/// Distance of two centre lines without thickness.
fn apart(a: Vec<Piece>, b: Vec<Piece>) -> f64 {
    let lines =
        [a, b].map(|pieces| Swept { pieces, radius_mm: 0.0, grow: vec![], ends: [None; 2] });
    clearances(&lines, &[], 1e6).expect("a distance")[0].distance_mm
}

fn circle(case: &Case, which: &str) -> Vec<Piece> {
    let axis = vector(&case.numbers(&format!("normal_{which}")));
    let centre = Point3::from(vector(&case.numbers(&format!("centre_{which}_mm"))));
    let radius_mm = case.number(&format!("radius_{which}_mm"));
    let out = if axis.x.abs() < 0.5 { Vector3::x() } else { Vector3::y() };
    let start = centre + out * radius_mm;
    vec![Piece::Arc { start, centre, axis, radius_mm, angle_rad: std::f64::consts::TAU }]
}

fn straight_through(case: &Case, key: &str) -> Vec<Piece> {
    let points: Vec<Point3<f64>> =
        case.rows(key).iter().map(|row| Point3::from(vector(row))).collect();
    vec![Piece::Straight { from: points[0], to: points[1] }]
}

fn short_arc(case: &Case) -> Vec<Piece> {
    let point = |key: &str| Point3::from(vector(&case.numbers(key)));
    let (start, centre, end) = (point("start_mm"), point("centre_mm"), point("end_mm"));
    let axis = (start - centre).cross(&(end - centre)).normalize();
    let angle_rad = hosewright::geometry::angle_between(&(start - centre), &(end - centre));
    vec![Piece::Arc { start, centre, axis, radius_mm: (start - centre).norm(), angle_rad }]
}

/// Each case with its answer.
pub const CLEARANCE: CaseFile = CaseFile {
    path: "geometry/clearance",
    text: include_str!("geometry/clearance.toml"),
    kernel: |case| match case.call.as_str() {
        "clearance: circles" => vec![apart(circle(case, "a"), circle(case, "b"))],
        "clearance: arc and straight" => {
            vec![apart(short_arc(case), straight_through(case, "straight_mm"))]
        }
        "clearance: straights" => {
            vec![apart(straight_through(case, "a_mm"), straight_through(case, "b_mm"))]
        }
        "clearance: bow" => {
            let slacks = case.numbers("slack");
            slacks.into_iter().map(|slack| bow_of_slack(slack).expect("a bow")).collect()
        }
        other => panic!("{other} is not called here"),
    },
};

#[test]
fn clearances_agree_with_worked_figures() {
    CLEARANCE.agree();
}

/// Each case with its answer.
pub const CLOCK: CaseFile = CaseFile {
    path: "geometry/clock",
    text: include_str!("geometry/clock.toml"),
    kernel: |case| {
        let [near, far] = ["near", "far"].map(|name| vector(&case.numbers(name)));
        let angle = match case.call.as_str() {
            "clock angle" => clock_angle(&vector(&case.numbers("axis")), &near, &far),
            "clock angle through points" => clock_along(&through(case).path, &near, &far),
            other => panic!("{other} is not called here"),
        };
        vec![angle.expect("an angle")]
    },
};

#[test]
fn clock_angles_agree_with_the_standard() {
    CLOCK.agree();
}

/// The shortest path between two poses, in space or in the plane z = 0 with a heading.
fn shortest_of(case: &Case) -> Shortest {
    let pose = |point: &str, towards: &str| {
        let at = Point3::from(vector(&case.numbers(point)));
        Pose { at, direction: vector(&case.numbers(towards)).normalize() }
    };
    let (from, to) = (pose("from_mm", "leaves"), pose("to_mm", "arrives"));
    shortest(&from, &to, case.number("radius_mm")).expect("a path")
}

fn lengths_of_pieces(found: &Shortest) -> Vec<f64> {
    let pieces = found.path.pieces().iter();
    pieces
        .map(|piece| match piece {
            Piece::Straight { .. } => piece.length_mm(),
            Piece::Arc { angle_rad, .. } => angle_rad.to_degrees(),
        })
        .collect()
}

/// Each case with its answer.
pub const SHORTEST: CaseFile = CaseFile {
    path: "geometry/shortest",
    text: include_str!("geometry/shortest.toml"),
    kernel: |case| {
        let found = shortest_of(case);
        match case.call.as_str() {
            "shortest: length" => vec![found.length_mm],
            "shortest: pieces" => lengths_of_pieces(&found),
            "shortest: direction of the straight" => {
                found.path.pieces()[1].tangent_at(0.0).iter().copied().collect()
            }
            "shortest: no longer than" => {
                vec![(found.length_mm - case.number("planar_mm")).max(0.0)]
            }
            other => panic!("{other} is not called here"),
        }
    },
};

#[test]
fn shortest_paths_agree_with_worked_figures() {
    SHORTEST.agree();
}

#[test]
fn every_geometry_example_left_out_gives_its_reason() {
    all_give_a_reason(include_str!("geometry/not-covered.toml"));
}
