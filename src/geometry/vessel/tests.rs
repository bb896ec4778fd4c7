//! Parts of a vessel by themselves: where levels are looked for, rims that are touched, and in how many steps.

use std::cell::Cell;

use nalgebra::{Point3, Vector3};

use super::{Ends, InnerBody, Vessel, VesselShape, enclosed, inner_of, outer_of};
use crate::geometry::tests::{direction, drawn};

const SHAPES: [VesselShape; 4] = [
    VesselShape::Box { length_mm: 200.0, width_mm: 100.0, height_mm: 150.0 },
    VesselShape::Obround { length_mm: 200.0, width_mm: 60.0, height_mm: 150.0 },
    VesselShape::LyingCylinder {
        diameter_mm: 180.0,
        length_mm: 400.0,
        ends: Ends::Dished { depth_mm: 30.0 },
    },
    VesselShape::UprightCylinder {
        diameter_mm: 120.0,
        height_mm: 300.0,
        ends: Ends::Conical { depth_mm: 40.0 },
    },
];

#[test]
fn the_corners_of_a_vessel_hold_it_and_stand_no_farther_out() {
    for shape in &SHAPES {
        let (body, low, high) = outer_of(shape).unwrap();
        for axis in 0..3 {
            for (corner, out) in [(&low, -1.0), (&high, 1.0)] {
                // Some place of the face at the corner is within the vessel, and none of it beyond.
                let face = |off: f64| {
                    (0..=40_i32).flat_map(move |i| (0..=40_i32).map(move |j| (i, j))).any(
                        |(i, j)| {
                            let mut place = *corner;
                            place[axis] += off;
                            for (other, share) in [((axis + 1) % 3, i), ((axis + 2) % 3, j)] {
                                let share = f64::from(share) / 40.0;
                                place[other] = low[other] + share * (high[other] - low[other]);
                            }
                            body.holds(&place, 1e-9)
                        },
                    )
                };
                assert!(face(0.0) && !face(1e-3 * out), "{shape:?}: axis {axis}, side {out}");
            }
        }
    }
}

#[test]
fn levels_are_looked_for_between_the_lowest_and_the_highest_corner() {
    for shape in &SHAPES {
        let vessel = Vessel::new(shape, None).unwrap();
        for index in 1..50 {
            let up = direction(index, 0);
            let corners = (0..8).map(|corner| {
                let pick = |axis: usize| {
                    if corner >> axis & 1 == 0 { vessel.low[axis] } else { vessel.high[axis] }
                };
                up.dot(&Vector3::new(pick(0), pick(1), pick(2)))
            });
            let (least, most) = corners
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), level| {
                    (a.min(level), b.max(level))
                });
            let spread = vessel.spread_mm(&up);
            assert!(spread.0 < least && spread.0 > least - 1e-5, "{index}");
            assert!(spread.1 > most && spread.1 < most + 1e-5, "{index}");
        }
    }
}

#[test]
fn a_level_is_enclosed_in_few_steps() {
    let functions: [fn(f64) -> f64; 4] = [
        |x| x - 0.3,
        |x| x * x * x - 0.001,
        |x| libm::sqrt(x) - 0.9,
        |x| libm::exp(9.0 * x) / 1000.0 - 1.0,
    ];
    for (number, function) in functions.into_iter().enumerate() {
        let asked = Cell::new(0_u32);
        let counted = |x: f64| {
            asked.set(asked.get() + 1);
            Ok(function(x))
        };
        let found = enclosed(counted, (0.0, 1.0), (function(0.0), function(1.0))).unwrap();
        assert!(function(found).abs() < 2e-12, "{number}: {found}");
        // Halving alone takes 43.
        assert!(asked.get() <= 21, "{number}: {} values", asked.get());
    }
    let steep = |x: f64| Ok(if x < 0.7 { -1.0 } else { 1e-9 });
    assert!((enclosed(steep, (0.0, 1.0), (-1.0, 1e-9)).unwrap() - 0.7).abs() < 1e-12);
}

#[test]
fn a_straight_enters_and_leaves_where_it_meets_the_walls() {
    let vessel = Vessel::new(&SHAPES[0], None).unwrap();
    // From inside, from outside either way, and beside.
    let along = |at: [f64; 3], towards: [f64; 3]| {
        vessel.inside_along(&Point3::from(at), &Vector3::from(towards)).unwrap()
    };
    let near = |found: Option<(f64, f64)>, known: (f64, f64)| {
        let (from, to) = found.unwrap();
        assert!((from - known.0).abs() < 1e-9 && (to - known.1).abs() < 1e-9, "{from} {to}");
    };
    near(along([20.0, 10.0, 30.0], [1.0, 0.0, 0.0]), (-20.0, 180.0));
    near(along([20.0, 10.0, 30.0], [0.0, 1.0, 0.0]), (-60.0, 40.0));
    near(along([-700.0, 10.0, 30.0], [1.0, 0.0, 0.0]), (700.0, 900.0));
    near(along([50.0, 0.0, 950.0], [0.0, 0.0, -1.0]), (800.0, 950.0));
    assert_eq!(along([-700.0, 60.0, 30.0], [1.0, 0.0, 0.0]), None);
    // Across a corner: from where y is 50 at x = 190 to where x is 200.
    let root = std::f64::consts::FRAC_1_SQRT_2;
    near(along([180.0, 60.0, 30.0], [root, -root, 0.0]), (10.0 / root, 20.0 / root));
}

#[test]
fn an_inner_body_is_held_by_the_points_given_for_it() {
    for index in 1..50 {
        let from = Point3::from(direction(index, 0) * 20.0);
        let to_mm = from + direction(index, 2) * drawn(index, 4, (10.0, 60.0));
        let tube = InnerBody::Cylinder { from_mm: from, to_mm, radius_mm: 7.0 };
        let (body, rim) = inner_of(&tube).unwrap();
        let axis = (to_mm - from).normalize();
        let mut ends = [0, 0];
        for point in &rim {
            let along = axis.dot(&(point - from));
            let out = (point - from - axis * along).norm();
            assert!(
                (out - 7.0).abs() < 1e-9 && body.holds(point, 1e-9) && !body.holds(point, -1e-3)
            );
            let end = usize::from(along > 1.0);
            assert!((along - [0.0, (to_mm - from).norm()][end]).abs() < 1e-9, "{index}: {along}");
            ends[end] += 1;
        }
        assert_eq!(ends, [360, 360]);
        // They go all round: the sum of what stands out is nothing.
        let middle: Vector3<f64> = rim.iter().map(|p| p - nalgebra::center(&from, &to_mm)).sum();
        assert!(middle.norm() < 1e-6, "{index}");
        // And they are spread: to every side one stands out nearly the whole radius.
        for side in 0..12 {
            let out = axis.cross(&direction(index, 1)).normalize();
            let turn = std::f64::consts::TAU * f64::from(side) / 12.0;
            let out = out * libm::cos(turn) + axis.cross(&out) * libm::sin(turn);
            let most = rim.iter().map(|p| out.dot(&(p - from))).fold(0.0, f64::max);
            assert!(most > 7.0 - 1e-3, "{index}, {side}: {most}");
        }
    }
}
