//! What a search leaves out rests on floors: none is above the least of a scan, and none lies far below it.

use nalgebra::{Point3, Rotation3};

use super::super::part::Part;
use super::{along_arc, along_way, nearest_on, of_bars, to_point};
use crate::geometry::Piece;
use crate::geometry::tests::{direction, drawn};

const RADIUS: f64 = 40.0;
/// Places of a scan, to each side.
const PLACES: i32 = 400;
/// Half the length that a floor stands for.
const HALF: f64 = 6.0;

/// A part of an arc, turned anywhere, that grows by a slope.
fn arc(index: u32, axis: u32, slope: f64) -> Part {
    let axis_of_arc = direction(index, axis);
    let out = crate::geometry::direction::any_square(&axis_of_arc);
    let centre = Point3::from(direction(index, axis + 1) * 30.0);
    let piece = Piece::Arc {
        start: centre + out * RADIUS,
        centre,
        axis: axis_of_arc,
        radius_mm: RADIUS,
        angle_rad: 0.7,
    };
    Part { slope, ..Part::of(&piece, 0.0, 0.0, piece.length_mm()) }
}

/// The least of a function over `-HALF ..= HALF`.
fn scanned(value: impl Fn(f64) -> f64) -> f64 {
    let places = (-PLACES..=PLACES).map(|at| HALF * f64::from(at) / f64::from(PLACES));
    places.map(value).fold(f64::INFINITY, f64::min)
}

#[test]
fn along_a_direction_the_floor_is_a_wave_to_the_third_order() {
    for index in 1..400 {
        let part = arc(index, 0, drawn(index, 3, (-0.2, 0.2)));
        let (away, u) = (direction(index, 2), drawn(index, 4, (-5.0, 5.0)));
        let floor = along_way(&part, u, HALF, &away).value;
        let least = scanned(|v| away.dot(&(part.point(u + v) - part.point(u))) - part.slope * v);
        // Both the third derivative that is there and the one allowed for.
        let most = (1.0 / 6.0 + 0.5) * HALF * HALF * HALF / (RADIUS * RADIUS);
        assert!(floor <= least + 1e-12 && floor >= least - most, "{index}: {floor} {least}");
    }
}

#[test]
fn to_a_point_the_floor_is_below_the_distance_to_the_third_order() {
    for index in 1..400 {
        let slope = if index % 2 == 0 { 0.0 } else { drawn(index, 3, (-0.2, 0.2)) };
        let part = arc(index, 0, slope);
        let ring = part.circle.unwrap();
        let point = Point3::from(direction(index, 2) * drawn(index, 1, (60.0, 300.0)));
        let u = drawn(index, 4, (-5.0, 5.0));
        let floor = to_point(&part, &ring, &point, u, HALF).value;
        let distance = |v: f64| (part.point(u + v) - point).norm();
        let least = scanned(|v| distance(v) - part.slope * v);
        let nearest = scanned(distance);
        let aside = (ring.centre - point).norm();
        // Where no hyperbola does, least root and farthest growth are taken each by itself.
        let grown = 2.0 * part.slope.abs() * HALF;
        let third = aside / (RADIUS * RADIUS) * (1.0 / 6.0 + 0.5) * HALF * HALF * HALF / nearest;
        assert!(floor <= least + 1e-9, "{index}: {floor} is above {least}");
        assert!(floor >= least - 1.1 * third - grown, "{index}: {floor} {least}");
    }
}

#[test]
fn to_an_arc_the_floor_is_below_the_distance_to_the_second_order() {
    let (mut on, mut beyond) = (0.0_f64, 0.0_f64);
    for index in 1..3000 {
        let (a, b) = (arc(index, 0, 0.0), arc(index, 2, 0.0));
        let (ring, circle) = (a.circle.unwrap(), b.circle.unwrap());
        let u = drawn(index, 4, (-5.0, 5.0));
        let beside = |v: f64| nearest_on(&b, &circle, &a, u + v);
        let distance = |v: f64| (a.point(u + v) - b.point(beside(v).on_b)).norm();
        let least = scanned(distance);
        let floor = along_arc(&a, &ring, &b, &circle, u, HALF).value;
        assert!(floor <= least + 1e-9, "{index}: {floor} is above {least}");
        let places = [-HALF, 0.0, HALF].map(beside);
        if least < 10.0 || places.iter().any(|place| place.rho < 20.0) {
            continue;
        }
        // Beside the arc all along, or beyond one end of it: there the floor is to be near.
        let over = places.map(|place| place.angle.abs() * RADIUS - b.half_mm);
        if over.iter().all(|mm| *mm < -1.0) {
            on = on.max(least - floor);
        } else if over.iter().all(|mm| *mm > 2.0 * HALF) {
            beyond = beyond.max(least - floor);
        }
    }
    assert!(on > 1.0 && on < 2.2 && beyond > 0.1 && beyond < 0.25, "{on} {beyond}");
}

#[test]
fn the_nearest_places_of_two_bars_are_those_of_a_scan() {
    for index in 1..300 {
        let parallel = index % 3 == 0;
        let bar = |axis: u32| {
            let along = direction(index, if parallel { 0 } else { axis });
            let from = Point3::from(direction(index, axis + 1) * drawn(index, axis, (0.0, 60.0)));
            let length = drawn(index, axis + 2, (2.0, 100.0));
            Part::of(&Piece::Straight { from, to: from + along * length }, 0.0, 0.0, length)
        };
        let (a, b) = (bar(0), bar(2));
        let met = of_bars(&a.core, &b.core);
        assert!(met.on_a.abs() <= a.half_mm && met.on_b.abs() <= b.half_mm);
        let there = (a.point(met.on_a) - b.point(met.on_b)).norm();
        assert!((met.distance_mm - there).abs() < 1e-9, "{index}");
        let to_b = |p: Point3<f64>| {
            let on_b = b.core.along.dot(&(p - b.core.mid)).clamp(-b.half_mm, b.half_mm);
            (p - b.point(on_b)).norm()
        };
        let step = a.half_mm / f64::from(PLACES);
        let scanned = (-PLACES..=PLACES).map(|at| to_b(a.point(f64::from(at) * step)));
        let least = scanned.fold(f64::INFINITY, f64::min);
        let most = if met.distance_mm > 1.0 { step * step / met.distance_mm } else { step };
        assert!(met.distance_mm <= least + 1e-9, "{index}: {} {least}", met.distance_mm);
        assert!(met.distance_mm >= least - most, "{index}: {} {least}", met.distance_mm);
    }
}

#[test]
fn a_turned_part_is_the_same_part() {
    let part = arc(7, 0, 0.1);
    let circle = part.circle.unwrap();
    let turn = Rotation3::new(circle.axis * (3.0 / RADIUS));
    let moved = circle.centre + turn * (part.point(0.0) - circle.centre);
    assert!((part.point(3.0) - moved).norm() < 1e-12);
    let (travel, bend) = part.turning(3.0);
    assert!((travel - turn * circle.on).norm() < 1e-12);
    assert!((bend + turn * circle.out / RADIUS).norm() < 1e-12);
}

#[test]
fn a_box_about_a_part_holds_it_and_is_no_larger_than_its_tangents() {
    for index in 1..200 {
        let part = Part { radius_mm: 5.0, ..arc(index, 0, drawn(index, 3, (-0.2, 0.2))) };
        let [low, high] = part.bounds();
        let grown = part.largest_radius();
        let mut reached = [[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]];
        for at in -200..=200 {
            let point = part.point(part.half_mm * f64::from(at) / 200.0);
            for axis in 0..3 {
                reached[0][axis] = reached[0][axis].min(point[axis] - grown);
                reached[1][axis] = reached[1][axis].max(point[axis] + grown);
            }
        }
        // The corner of the tangents stands this far out over the arc.
        let corner = RADIUS * (1.0 / libm::cos(part.half_mm / RADIUS) - 1.0);
        for axis in 0..3 {
            let out = [reached[0][axis] - low[axis], high[axis] - reached[1][axis]];
            assert!(out.iter().all(|mm| (-1e-9..=corner + 1e-9).contains(mm)), "{index}: {out:?}");
        }
    }
}
