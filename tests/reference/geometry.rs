//! Published and worked figures for routes, paths and attitudes.

#![expect(clippy::expect_used, reason = "a test that cannot go on must fail loudly")]

pub mod case;
mod elastica;

use case::{Case, all_agree, all_give_a_reason};
use hosewright::geometry::{Attitude, Path, Piece, Route, RouteEnd, RouteInput, route};
use nalgebra::{Point3, Vector3};

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

#[test]
fn routes_agree_with_worked_figures() {
    all_agree(include_str!("geometry/route.toml"), |case| match case.call.as_str() {
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
    });
}

#[test]
fn every_geometry_example_left_out_gives_its_reason() {
    all_give_a_reason(include_str!("geometry/not-covered.toml"));
}
