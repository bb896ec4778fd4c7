//! Shortest paths of bounded curvature: never longer than paths laid another way, and alike under every symmetry.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on must fail loudly")]

mod plane;

use hosewright::geometry::{
    GeometryError, Piece, Pose, Shortest, ShortestKind, angle_between, shortest,
    shortest_with_straights,
};
use nalgebra::{Point3, Rotation3, Unit, Vector3};
use std::f64::consts::{PI, TAU};

/// Numbers that look drawn at random and are the same in every run.
struct Drawn(u64);

impl Drawn {
    fn share(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap()) / f64::from(u32::MAX)
    }

    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.share()
    }

    fn direction(&mut self) -> Vector3<f64> {
        let up = self.between(-1.0, 1.0);
        let round = self.between(0.0, TAU);
        let flat = (1.0 - up * up).sqrt();
        Vector3::new(flat * libm::cos(round), flat * libm::sin(round), up)
    }

    fn pose(&mut self, reach: f64) -> Pose {
        let at = Point3::from(self.direction() * reach * self.share());
        Pose { at, direction: self.direction() }
    }

    /// A pair of poses of one of many kinds, and a radius: near, far, parallel, opposed, on one point, on one line,
    /// in one plane, and a hair off some of these.
    fn pair(&mut self, kind: usize) -> (Pose, Pose, f64) {
        let radius_mm = [1.0, 40.0, 250.0][kind % 3];
        let reach = [0.5, 2.0, 3.5, 6.0, 15.0, 200.0][kind % 6] * radius_mm;
        let (from, mut to) = (self.pose(reach), self.pose(reach));
        let ahead = from.direction * self.between(-reach, reach);
        match kind % 17 {
            0 => to.direction = from.direction,
            1 => to.direction = -from.direction,
            2 => to.at = from.at,
            3 => to = Pose { at: from.at, direction: -from.direction },
            4 => to.at = from.at + ahead,
            5 => to = Pose { at: from.at + ahead, direction: from.direction },
            6 => to = Pose { at: from.at + ahead, direction: -from.direction },
            7 => to = in_plane_of(&from, &to),
            8 => to.direction = (from.direction + self.direction() * 1e-8).normalize(),
            9 => {
                to = Pose {
                    at: from.at + ahead,
                    direction: (-from.direction + self.direction() * 1e-6).normalize(),
                }
            }
            10 => {
                to = in_plane_of(&from, &to);
                to.at += self.direction() * 1e-8 * radius_mm;
            }
            _ => {}
        }
        (from, to, radius_mm)
    }
}

/// The second pose brought into a plane that holds the first.
fn in_plane_of(from: &Pose, to: &Pose) -> Pose {
    let normal = from.direction.cross(&(to.at - from.at)).normalize();
    let direction = to.direction - normal * normal.dot(&to.direction);
    Pose { at: to.at, direction: direction.normalize() }
}

/// What is wrong with a path, as the largest of all faults over the length or in radians.
fn fault(from: &Pose, to: &Pose, radius_mm: f64, found: &Shortest) -> f64 {
    let pieces = found.path.pieces();
    let (first, last) = (pieces.first().unwrap(), pieces.last().unwrap());
    let size = found.length_mm;
    let mut faults = vec![
        (first.start() - from.at).norm() / size,
        (last.end() - to.at).norm() / size,
        angle_between(&first.tangent_at(0.0), &from.direction),
        angle_between(&last.tangent_at(last.length_mm()), &to.direction),
    ];
    for pair in pieces.windows(2) {
        let ends = pair[0].tangent_at(pair[0].length_mm());
        faults.push((pair[1].start() - pair[0].end()).norm() / size);
        faults.push(angle_between(&ends, &pair[1].tangent_at(0.0)));
    }
    for piece in pieces {
        if let Piece::Arc { start, centre, axis, radius_mm: r, .. } = piece {
            faults.push((r / radius_mm - 1.0).abs());
            faults.push(((start - centre).norm() / radius_mm - 1.0).abs());
            faults.push((start - centre).dot(axis).abs() / radius_mm);
        }
    }
    faults.into_iter().fold(0.0, f64::max)
}

#[test]
fn paths_hit_both_ends_and_keep_the_radius() {
    let mut drawn = Drawn(1);
    for kind in 0..3000 {
        let (from, to, radius_mm) = drawn.pair(kind);
        let found = shortest(&from, &to, radius_mm).unwrap_or_else(|e| panic!("{kind}: {e}"));
        let fault = fault(&from, &to, radius_mm, &found);
        assert!(fault < 1e-9, "{kind}: {fault:e}");
        assert!(found.least_possible_mm <= found.length_mm, "{kind}: the bound is above the path");
        assert!((found.path.length_mm() - found.length_mm).abs() <= 1e-12 * found.length_mm);
        assert!(found.candidates > 0);
    }
}

/// A feasible line laid forward from a pose: where it ends and how long it is.
struct Laid {
    at: Point3<f64>,
    tangent: Vector3<f64>,
    normal: Vector3<f64>,
    length: f64,
}

impl Laid {
    fn from(pose: &Pose, drawn: &mut Drawn) -> Self {
        let normal = pose.direction.cross(&drawn.direction()).normalize();
        Self { at: pose.at, tangent: pose.direction, normal, length: 0.0 }
    }

    fn twist(&mut self, angle: f64) {
        self.normal =
            Rotation3::from_axis_angle(&Unit::new_normalize(self.tangent), angle) * self.normal;
    }

    fn arc(&mut self, angle: f64, radius_mm: f64) {
        let axis = Unit::new_normalize(self.tangent.cross(&self.normal));
        let turn = Rotation3::from_axis_angle(&axis, angle);
        let centre = self.at + self.normal * radius_mm;
        self.at = centre + turn * (self.at - centre);
        self.tangent = (turn * self.tangent).normalize();
        self.normal = turn * self.normal;
        self.length += angle * radius_mm;
    }

    fn straight(&mut self, run: f64) {
        self.at += self.tangent * run;
        self.length += run;
    }

    /// A line of one of several makes: arc, straight, arc; three arcs; five pieces; a helix; a random walk of arcs.
    fn any(pose: &Pose, radius_mm: f64, make: usize, drawn: &mut Drawn) -> Self {
        let mut laid = Self::from(pose, drawn);
        let most = if drawn.share() < 0.5 { PI } else { TAU };
        match make % 5 {
            0 | 1 => {
                for piece in 0..(3 + 2 * (make % 5)) {
                    if piece % 2 == 1 {
                        laid.straight(3.0 * drawn.share() * radius_mm);
                    } else {
                        laid.twist(drawn.between(0.0, TAU));
                        laid.arc(drawn.between(0.0, most), radius_mm);
                    }
                }
            }
            2 => {
                for _ in 0..3 {
                    laid.twist(drawn.between(0.0, TAU));
                    laid.arc(drawn.between(0.0, most), radius_mm);
                }
            }
            3 => {
                let (steps, twist) = (60, drawn.between(-0.2, 0.2));
                let whole = drawn.between(0.5, 8.0);
                for _ in 0..steps {
                    laid.twist(twist);
                    laid.arc(whole / f64::from(steps), radius_mm);
                }
            }
            _ => {
                // As in the shortest of them: nearly one plane, then a quick twist, and that twice.
                let quick = drawn.between(1.0, PI);
                for (run, twist) in [(1.0, quick), (5.0, quick), (1.0, 0.0)] {
                    let run = run * drawn.between(0.3, 1.0);
                    for _ in 0..8 {
                        laid.twist(drawn.between(-0.03, 0.03));
                        laid.arc(run / 8.0, radius_mm);
                    }
                    laid.twist(twist);
                }
            }
        }
        laid
    }
}

/// A helicoidal arc is drawn as plane arcs and sought until twice as many gain little: so much may be missing.
const DRAWN: f64 = 1e-3;
/// At the edge of what a curve of the full curvature reaches, the shortest path jumps to another one several times as
/// long. A line that ends this near that edge, as a share of the radius, may stand on either side of it.
const EDGE: f64 = 1e-6;

#[test]
fn never_longer_than_a_line_laid_any_other_way() {
    let mut drawn = Drawn(2);
    let (mut closest, mut near, mut edges, mut longer) = (f64::INFINITY, 0, 0, Vec::new());
    for make in 0..10_000 {
        let radius_mm = [1.0, 40.0, 250.0][make % 3];
        let from = drawn.pose(10.0 * radius_mm);
        let laid = Laid::any(&from, radius_mm, make, &mut drawn);
        let to = Pose { at: laid.at, direction: laid.tangent };
        let found = shortest(&from, &to, radius_mm).unwrap_or_else(|e| panic!("{make}: {e}"));
        assert!(found.least_possible_mm <= laid.length * (1.0 + 1e-9), "{make}: the bound");
        let over = found.length_mm / laid.length;
        closest = closest.min((over - 1.0).abs());
        let is_near = !found.proven && (to.at - from.at).norm() < 4.0 * radius_mm;
        near += u32::from(is_near);
        if over <= 1.0 + if is_near { DRAWN } else { 1e-9 } {
            continue;
        }
        let inside = shortest(&from, &to, radius_mm * (1.0 - EDGE)).unwrap();
        if is_near && inside.length_mm <= laid.length * (1.0 + DRAWN) {
            edges += 1;
        } else {
            longer.push(format!("{make}: {over} of a line of {}", laid.length / radius_mm));
        }
    }
    assert!(closest < 1e-9, "some of the lines are the shortest themselves: {closest}");
    assert!(near > 3000, "{near} near ones");
    assert!(longer.is_empty(), "{longer:#?}");
    assert!(edges < 10, "{edges} at the edge");
}

type Moved = fn(&Pose) -> Pose;

fn mirrored(pose: &Pose) -> Pose {
    let across = |v: Vector3<f64>| Vector3::new(v.x, v.y, -v.z);
    Pose { at: Point3::from(across(pose.at.coords)), direction: across(pose.direction) }
}

fn rotated(pose: &Pose) -> Pose {
    let turn = Rotation3::from_euler_angles(0.3, 1.1, -2.0);
    let at = turn * pose.at + Vector3::new(3.0, -20.0, 7.0);
    Pose { at, direction: turn * pose.direction }
}

#[test]
fn the_same_under_reversal_mirror_rotation_and_scale() {
    let mut drawn = Drawn(3);
    let turned = |pose: &Pose| Pose { at: pose.at, direction: -pose.direction };
    let scaled = |pose: &Pose| Pose { at: pose.at * 3.0, direction: pose.direction };
    for kind in 0..1500 {
        let (from, to, radius_mm) = drawn.pair(kind);
        let length = |a: &Pose, b: &Pose, r: f64| shortest(a, b, r).unwrap().length_mm;
        let Shortest { length_mm: known, kind: family, .. } =
            shortest(&from, &to, radius_mm).unwrap();
        let same = |what: &str, found: f64| {
            // A hair off a plane or a line, rounding decides where the same path is closed.
            let share = if (8..=10).contains(&(kind % 17)) { 1e-7 } else { 1e-9 };
            let share = if family == ShortestKind::HelicoidalArc { DRAWN } else { share };
            assert!((found - known).abs() <= share * known, "{kind} {what}: {found} and {known}");
        };
        same("reversed", length(&turned(&to), &turned(&from), radius_mm));
        for (what, moved) in [("mirrored", mirrored as Moved), ("rotated", rotated)] {
            same(what, length(&moved(&from), &moved(&to), radius_mm));
        }
        same("scaled", length(&scaled(&from), &scaled(&to), 3.0 * radius_mm) / 3.0);
    }
}

#[test]
fn straights_at_the_ends_are_part_of_the_path() {
    let from = Pose { at: Point3::origin(), direction: Vector3::x() };
    let to = Pose { at: Point3::new(300.0, 200.0, 100.0), direction: Vector3::z() };
    let found = shortest_with_straights(&from, &to, 50.0, 30.0, 20.0).unwrap();
    let ahead = Pose { at: Point3::new(30.0, 0.0, 0.0), ..from };
    let before = Pose { at: Point3::new(300.0, 200.0, 80.0), ..to };
    let inner = shortest(&ahead, &before, 50.0).unwrap();
    assert!((found.length_mm - inner.length_mm - 50.0).abs() < 1e-9);
    assert!((found.path.pieces()[0].length_mm() - 30.0).abs() < 1e-12);
    assert!(fault(&from, &to, 50.0, &found) < 1e-12);
    assert!(found.proven && found.least_possible_mm <= found.length_mm);
}

#[test]
fn what_is_no_pair_of_poses_is_refused() {
    let from = Pose { at: Point3::origin(), direction: Vector3::x() };
    let at = |x: f64| Pose { at: Point3::new(x, 0.0, 0.0), direction: Vector3::x() };
    assert_eq!(shortest(&from, &from, 10.0), Err(GeometryError::EmptyPath));
    assert!(matches!(shortest(&from, &at(f64::NAN), 1.0), Err(GeometryError::NotFinite { .. })));
    assert!(matches!(shortest(&from, &at(9.0), 0.0), Err(GeometryError::NotAboveZero { .. })));
    assert!(matches!(shortest(&from, &at(1e12), 1.0), Err(GeometryError::OutOfRange { .. })));
    let long = Pose { at: Point3::new(9.0, 0.0, 0.0), direction: Vector3::x() * 2.0 };
    assert!(matches!(shortest(&from, &long, 1.0), Err(GeometryError::NotUnit { .. })));
    let stub = shortest_with_straights(&from, &at(9.0), 1.0, -1.0, 0.0);
    assert!(matches!(stub, Err(GeometryError::OutOfRange { .. })));
}
