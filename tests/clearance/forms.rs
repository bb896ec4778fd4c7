//! Cases with a closed form, above all those in which a search could go wrong: parallel, touching, one in the other.

use core::f64::consts::{FRAC_PI_2, PI, TAU};

use hosewright::geometry::{GeometryError, Piece, Shape, Solid, Swept, clearances};
use nalgebra::{Point3, Vector3};

use super::{beside, between, flat_arc, of, point, straight};

const EDGES: [Vector3<f64>; 3] =
    [Vector3::new(1.0, 0.0, 0.0), Vector3::new(0.0, 1.0, 0.0), Vector3::new(0.0, 0.0, 1.0)];

fn block(centre: [f64; 3], half_mm: [f64; 3]) -> Shape {
    let solid = Solid::Box { centre: Point3::from(centre), axes: EDGES, half_mm };
    Shape { solid, grow_mm: 0.0, place: None }
}

fn drum(from: [f64; 3], to: [f64; 3], radius_mm: f64) -> Shape {
    let solid = Solid::Cylinder { from: Point3::from(from), to: Point3::from(to), radius_mm };
    Shape { solid, grow_mm: 0.0, place: None }
}

fn wall(at: [f64; 3], faces: [f64; 3]) -> Shape {
    let solid = Solid::HalfSpace { at: Point3::from(at), faces: Vector3::from(faces) };
    Shape { solid, grow_mm: 0.0, place: None }
}

fn close(got: f64, wanted: f64, what: &str) {
    assert!((got - wanted).abs() <= 2e-7, "{what}: {got}, not {wanted}");
}

#[test]
fn straights_in_every_position() {
    let a = straight([0.0, 0.0, 0.0], [100.0, 0.0, 0.0], 4.0);
    let cases = [
        ("alongside", [20.0, 30.0, 0.0], [80.0, 30.0, 0.0], 20.0),
        ("alongside, the other way", [80.0, 30.0, 0.0], [20.0, 30.0, 0.0], 20.0),
        ("alongside, further on", [130.0, 40.0, 0.0], [200.0, 40.0, 0.0], 40.0),
        ("in one line, behind", [150.0, 0.0, 0.0], [190.0, 0.0, 0.0], 40.0),
        ("in one line, in it", [50.0, 0.0, 0.0], [190.0, 0.0, 0.0], -10.0),
        ("the same", [0.0, 0.0, 0.0], [100.0, 0.0, 0.0], -10.0),
        ("crossing", [50.0, -20.0, 0.0], [50.0, 20.0, 0.0], -10.0),
        ("over it", [50.0, -20.0, 30.0], [50.0, 20.0, 30.0], 20.0),
        ("end on end", [100.0, 0.0, 0.0], [100.0, 50.0, 0.0], -10.0),
        ("end over the middle", [60.0, 0.0, 25.0], [60.0, 0.0, 90.0], 15.0),
        ("end beyond the end", [103.0, 4.0, 0.0], [200.0, 400.0, 0.0], -5.0),
        ("almost alongside", [0.0, 30.0, 0.0], [100.0, 30.0 - 1e-6, 0.0], 20.0 - 1e-6),
    ];
    for (what, from, to, wanted) in cases {
        close(between(&a, &straight(from, to, 6.0)).distance_mm, wanted, what);
    }
}

#[test]
fn a_line_grows_where_it_is_told_to_on_whichever_piece_that_is() {
    let corners = [point(0.0, 0.0, 0.0), point(100.0, 0.0, 0.0), point(100.0, 100.0, 0.0)];
    let grow = vec![(120.0, 0.0), (150.0, 9.0), (180.0, 0.0)];
    let line = Swept { grow, ..Swept::through(&corners, 5.0) };
    let to = |from: [f64; 3], to: [f64; 3]| between(&line, &straight(from, to, 0.0)).distance_mm;
    close(to([50.0, -60.0, 0.0], [50.0, -90.0, 0.0]), 55.0, "on the first piece");
    close(to([100.0, 50.0, 70.0], [100.0, 50.0, 90.0]), 56.0, "at its thickest, on the second");
    close(to([100.0, 95.0, 70.0], [100.0, 99.0, 70.0]), 65.0, "where it has grown thin again");
}

#[test]
fn arcs_that_share_an_axis_are_equally_far_everywhere() {
    let inner = of(vec![flat_arc([0.0; 3], 80.0, 0.3, FRAC_PI_2)], 5.0);
    for (height, radius, wanted) in
        [(0.0, 110.0, 30.0), (40.0, 110.0, 50.0), (25.0, 80.0, 25.0), (0.0, 80.0, 0.0)]
    {
        let outer = of(vec![flat_arc([0.0, 0.0, height], radius, 0.1, PI)], 5.0);
        close(between(&inner, &outer).distance_mm, wanted - 10.0, "on one axis");
    }
}

#[test]
fn arcs_that_almost_share_an_axis() {
    let inner = of(vec![flat_arc([0.0; 3], 80.0, 0.0, TAU)], 5.0);
    for off in [1e-9, 1e-6, 1e-3, 1.0] {
        let outer = of(vec![flat_arc([off, 0.0, 0.0], 110.0, 0.0, TAU)], 5.0);
        close(between(&inner, &outer).distance_mm, 20.0 - off, "a little aside");
    }
}

#[test]
fn arcs_alongside_that_both_grow() {
    let grow = vec![(0.0, 6.0), (60.0, 0.0)];
    let inner = Swept { grow: grow.clone(), ..of(vec![flat_arc([0.0; 3], 80.0, 0.0, PI)], 5.0) };
    let outer = Swept { grow, ..of(vec![flat_arc([0.0; 3], 120.0, 0.0, PI)], 5.0) };
    // Both are thickest where they begin, side by side.
    close(between(&inner, &outer).distance_mm, 40.0 - 22.0, "thickest at the beginning");
}

#[test]
fn a_straight_on_the_axis_of_an_arc() {
    let arc = of(vec![flat_arc([0.0; 3], 80.0, 0.0, 4.0)], 5.0);
    let axis = straight([0.0, 0.0, -50.0], [0.0, 0.0, 50.0], 10.0);
    close(between(&arc, &axis).distance_mm, 65.0, "on the axis");
}

#[test]
fn a_tube_round_a_cylinder() {
    let ring = of(vec![flat_arc([0.0, 0.0, 10.0], 80.0, 0.0, 5.0)], 5.0);
    let tank = drum([0.0, 0.0, -50.0], [0.0, 0.0, 50.0], 60.0);
    close(beside(&ring, &tank).distance_mm, 15.0, "round a tank");
    // Over the rim: 30 mm out and 40 mm up.
    let over = of(vec![flat_arc([0.0, 0.0, 90.0], 90.0, 0.0, 5.0)], 5.0);
    close(beside(&over, &tank).distance_mm, 45.0, "over the rim");
}

#[test]
fn a_straight_beside_a_box() {
    let level = |y: f64, z: f64| straight([-100.0, y, z], [100.0, y, z], 5.0);
    let a_box = block([0.0; 3], [30.0, 20.0, 10.0]);
    for (y, z, wanted) in [
        (0.0, 40.0, 25.0),
        (50.0, 50.0, 45.0),
        (20.0, 10.0, -5.0),
        (0.0, 0.0, -15.0),
        (18.0, 0.0, -7.0),
    ] {
        close(beside(&level(y, z), &a_box).distance_mm, wanted, "along a box");
    }
    let corner = straight([33.0, 24.0, 10.0], [400.0, 300.0, 200.0], 1.0);
    close(beside(&corner, &a_box).distance_mm, 4.0, "off an edge");
    let moving = Shape { grow_mm: 8.0, ..a_box };
    close(beside(&level(0.0, 40.0), &moving).distance_mm, 17.0, "a moving box");
}

#[test]
fn lines_beside_a_wall() {
    let floor = wall([0.0, 0.0, 0.0], [0.0, 0.0, 1.0]);
    let climbing = straight([0.0, 0.0, 12.0], [100.0, 0.0, 90.0], 5.0);
    close(beside(&climbing, &floor).distance_mm, 7.0, "over the floor");
    let bow = Piece::Arc {
        start: point(40.0, 0.0, 60.0),
        centre: point(0.0, 0.0, 60.0),
        axis: Vector3::y(),
        radius_mm: 40.0,
        angle_rad: PI,
    };
    close(beside(&of(vec![bow], 5.0), &floor).distance_mm, 15.0, "a bow that hangs down");
    close(
        beside(&straight([0.0, 0.0, -3.0], [9.0, 0.0, 20.0], 5.0), &floor).distance_mm,
        -8.0,
        "in it",
    );
}

#[test]
fn lines_that_touch_but_do_not_cross() {
    let a = straight([0.0, 0.0, 0.0], [100.0, 0.0, 0.0], 10.0);
    let b = straight([50.0, -50.0, 15.0], [50.0, 50.0, 15.0], 5.0);
    assert_eq!(clearances(&[a.clone(), b.clone()], &[], 0.0).map(|n| n.len()), Ok(1));
    let apart = straight([50.0, -50.0, 15.001], [50.0, 50.0, 15.001], 5.0);
    assert_eq!(clearances(&[a, apart], &[], 0.0).map(|n| n.len()), Ok(0));
}

#[test]
fn what_cannot_be_a_line_or_a_shape_is_refused() {
    let good = straight([0.0; 3], [100.0, 0.0, 0.0], 4.0);
    let refused = |line: Swept, shape: Option<Shape>| {
        clearances(&[good.clone(), line], shape.as_slice(), 25.0).err()
    };
    let out = |e: Option<GeometryError>| matches!(e, Some(GeometryError::OutOfRange { .. }));
    let no_number = |e: Option<GeometryError>| matches!(e, Some(GeometryError::NotFinite { .. }));
    assert_eq!(refused(of(Vec::new(), 1.0), None), Some(GeometryError::EmptyPath));
    assert!(out(refused(Swept { radius_mm: -1.0, ..good.clone() }, None)));
    assert!(no_number(refused(Swept { radius_mm: f64::NAN, ..good.clone() }, None)));
    assert!(no_number(refused(straight([0.0; 3], [f64::INFINITY, 0.0, 0.0], 1.0), None)));
    let unordered = Swept { grow: vec![(5.0, 1.0), (5.0, 2.0)], ..good.clone() };
    assert!(matches!(refused(unordered, None), Some(GeometryError::NotAscending { .. })));
    assert!(out(refused(of(vec![flat_arc([0.0; 3], 10.0, 0.0, 7.0)], 1.0), None)));
    let broken = vec![flat_arc([0.0; 3], 10.0, 0.0, 1.0), flat_arc([0.0; 3], 10.0, 0.0, 1.0)];
    assert!(matches!(refused(of(broken, 1.0), None), Some(GeometryError::BrokenPath { .. })));
    assert!(out(refused(good.clone(), Some(block([0.0; 3], [1.0, -1.0, 1.0])))));
    assert!(out(refused(good.clone(), Some(wall([0.0; 3], [0.0, 0.0, 1.001])))));
    let flat = drum([0.0; 3], [0.0; 3], 5.0);
    assert!(matches!(refused(good.clone(), Some(flat)), Some(GeometryError::NotAboveZero { .. })));
    assert!(no_number(clearances(&[good], &[], f64::NAN).err()));
}
