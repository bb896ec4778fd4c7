//! Places from tapes: closed forms, round trips, drawn samples, both sides, and what cannot be.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on must fail loudly")]

use hosewright::geometry::trilateration::{Fix, Tape, TrilaterationError, trilaterate};
use nalgebra::{Matrix3, Point3, Rotation3, Vector3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// The same cases on every machine and in every run.
fn drawn() -> ProptestConfig {
    ProptestConfig {
        cases: 500,
        rng_seed: RngSeed::Fixed(24),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn tape(from: [f64; 3], distance_mm: f64) -> Tape {
    Tape { from: Point3::from(from), distance_mm, tolerance_mm: 2.0 }
}

/// Tapes from these points to a place, each reading `off` more.
fn tapes(from: &[[f64; 3]], to: [f64; 3], off: &[f64]) -> Vec<Tape> {
    let to = Point3::from(to);
    let each = from.iter().enumerate();
    each.map(|(i, f)| {
        let error = off.get(i).copied().unwrap_or(0.0);
        tape(*f, (to - Point3::from(*f)).norm() + error)
    })
    .collect()
}

/// Three walls of a corner: the place is as far from each axis point as closed form says.
const CORNER: [[f64; 3]; 3] = [[900.0, 0.0, 0.0], [0.0, 700.0, 0.0], [0.0, 0.0, 800.0]];

#[test]
fn a_point_on_the_axes_of_a_square_corner_is_found_on_both_sides() {
    // Datums at (a,0,0), (0,a,0), (0,0,a), all tapes r: the points (t,t,t) with
    // 3 t^2 - 2 a t + a^2 = r^2, here a = 300, r = 300: t = 0 and t = 200.
    let from = [[300.0, 0.0, 0.0], [0.0, 300.0, 0.0], [0.0, 0.0, 300.0]];
    let tapes = from.map(|f| tape(f, 300.0));
    for (guess, other) in [(0.0, 200.0), (200.0, 0.0), (90.0, 200.0), (110.0, 0.0)] {
        let fix = trilaterate(&tapes, &Point3::new(guess, guess, guess)).unwrap();
        let here = 200.0 - other;
        assert!((fix.at - Point3::new(here, here, here)).norm() < 1e-9, "{fix:?}");
        let mirror = fix.mirror.unwrap();
        assert!((mirror - Point3::new(other, other, other)).norm() < 1e-9, "{fix:?}");
    }
    let middle = trilaterate(&tapes, &Point3::new(100.0, 100.0, 100.0));
    assert_eq!(middle, Err(TrilaterationError::SideOpen));
}

#[test]
fn tapes_square_to_each_other_move_the_place_by_just_what_they_are_off() {
    // At the origin the tapes run along the axes: each coordinate has its own tape, so the standard
    // deviations are t / sqrt 3, and the farthest the place can be off is the diagonal of 1, 2 and 3 mm.
    let tapes: Vec<Tape> = (0..3)
        .map(|axis| {
            let mut from = [0.0; 3];
            from[axis] = 1e6;
            let tolerance_mm = [1.0, 2.0, 3.0][axis];
            Tape { from: Point3::from(from), distance_mm: 1e6, tolerance_mm }
        })
        .collect();
    let fix = trilaterate(&tapes, &Point3::new(-1.0, -1.0, -1.0)).unwrap();
    for (axis, gain) in fix.gains.iter().enumerate() {
        let mut expected = Vector3::zeros();
        expected[axis] = -1.0;
        assert!((gain - expected).norm() < 1e-9, "{gain:?}");
    }
    let expected = Vector3::new(1.0, 2.0, 3.0) / 3.0_f64.sqrt();
    assert!((fix.deviation_mm - expected).norm() < 1e-9, "{:?}", fix.deviation_mm);
    assert!((fix.worst_deviation_mm - 3.0_f64.sqrt()).abs() < 1e-9);
    assert!((fix.worst_direction - Vector3::z()).norm() < 1e-6);
    // Known points a kilometre away bend the way of the place by some thousandths of a millimetre.
    assert!((fix.reach_mm - 14.0_f64.sqrt()).abs() < 1e-4, "{}", fix.reach_mm);
    assert!((fix.reach_along_mm(&tapes, &Vector3::y()) - 2.0).abs() < 1e-9);
}

#[test]
fn a_fourth_tape_out_of_the_plane_tells_the_side_by_itself() {
    let from = [[0.0, 0.0, 0.0], [800.0, 0.0, 0.0], [0.0, 600.0, 0.0], [100.0, 100.0, 700.0]];
    let to = [300.0, 200.0, 500.0];
    let all = tapes(&from, to, &[]);
    // The guess on the wrong side is overruled, and there is no other side.
    let fix = trilaterate(&all, &Point3::new(300.0, 200.0, -500.0)).unwrap();
    assert!((fix.at - Point3::from(to)).norm() < 1e-9, "{fix:?}");
    assert_eq!(fix.mirror, None);
    // In the plane of the others it leaves both sides open, and the guess decides.
    let flat = [from[0], from[1], from[2], [800.0, 600.0, 0.0]];
    let fix = trilaterate(&tapes(&flat, to, &[]), &Point3::new(300.0, 200.0, -10.0)).unwrap();
    assert!((fix.at - Point3::new(300.0, 200.0, -500.0)).norm() < 1e-9, "{fix:?}");
    assert!((fix.mirror.unwrap() - Point3::from(to)).norm() < 1e-9);
}

#[test]
fn what_four_tapes_cannot_agree_on_is_shared_among_them() {
    // A square of datums around the foot of a point: by symmetry an error of one tape is shared
    // so that the residuals alternate in sign and are equal in size.
    let from = [[400.0, 0.0, 0.0], [0.0, 400.0, 0.0], [-400.0, 0.0, 0.0], [0.0, -400.0, 0.0]];
    let all = tapes(&from, [0.0, 0.0, 300.0], &[8.0]);
    let fix = trilaterate(&all, &Point3::new(0.0, 0.0, 250.0)).unwrap();
    // 8 mm, a quarter for each; bent by the place that moves some millimetres on a base of 500.
    for (residual, expected) in fix.residuals_mm.iter().zip([2.0, -2.0, 2.0, -2.0]) {
        assert!((residual - expected).abs() < 0.05, "{:?}", fix.residuals_mm);
    }
}

#[test]
fn the_least_sum_of_squares_is_least() {
    let from = [CORNER[0], CORNER[1], CORNER[2], [850.0, 650.0, 750.0], [-200.0, 300.0, 100.0]];
    let off = [3.0, -6.0, 2.0, 9.0, -4.0];
    let mut all = tapes(&from, [220.0, 180.0, 260.0], &off);
    all[1].tolerance_mm = 5.0;
    let fix = trilaterate(&all, &Point3::new(200.0, 200.0, 200.0)).unwrap();
    let cost = |at: Point3<f64>| -> f64 {
        let residual = |t: &Tape| (t.distance_mm - (at - t.from).norm()) / t.tolerance_mm;
        all.iter().map(|t| residual(t) * residual(t)).sum()
    };
    for axis in 0..3 {
        for step in [1e-3, -1e-3] {
            let mut aside = fix.at;
            aside[axis] += step;
            assert!(cost(aside) > cost(fix.at), "{axis} {step}");
        }
    }
    assert!(fix.steps < 20, "{}", fix.steps);
}

/// Numbers that only depend on where they begin: a plain linear congruence, after Knuth's MMIX.
struct Numbers(u64);

impl Numbers {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let top = u32::try_from(self.0 >> 32).unwrap();
        low + (high - low) * f64::from(top) / 4_294_967_296.0
    }
}

#[test]
fn drawn_samples_spread_as_the_covariance_says_and_never_beyond_the_reach() {
    let from = [[0.0, 0.0, 0.0], [900.0, 50.0, 20.0], [100.0, 700.0, -30.0], [500.0, 300.0, 900.0]];
    let to = Point3::new(420.0, 350.0, 480.0);
    for count in [3, 4] {
        let true_tapes = tapes(&from[..count], to.into(), &[]);
        let fix = trilaterate(&true_tapes, &to).unwrap();
        let mut numbers = Numbers(7);
        let (mut sum, mut squares, mut farthest) = (Vector3::zeros(), Matrix3::zeros(), 0.0_f64);
        let samples = 20_000;
        for _ in 0..samples {
            let off =
                |t: &Tape| Tape { distance_mm: t.distance_mm + numbers.between(-2.0, 2.0), ..*t };
            let moved: Vec<Tape> = true_tapes.iter().map(off).collect();
            let away = trilaterate(&moved, &to).unwrap().at - to;
            sum += away;
            squares += away * away.transpose();
            farthest = farthest.max(away.norm());
        }
        let mean = sum / f64::from(samples);
        let found = squares / f64::from(samples) - mean * mean.transpose();
        // A variance from n samples is off by sqrt(2/n), here 1 %; five times that.
        let scale = fix.covariance_mm2.diagonal().max();
        let apart = (found - fix.covariance_mm2).abs().max();
        assert!(apart < 0.05 * scale, "{count}: {found} and {}", fix.covariance_mm2);
        assert!(farthest <= fix.reach_mm * (1.0 + 1e-9), "{farthest} and {}", fix.reach_mm);
        assert!(farthest > 0.7 * fix.reach_mm, "{farthest} and {}", fix.reach_mm);
        let along = fix.covariance_mm2 * fix.worst_direction;
        let variance = fix.worst_deviation_mm * fix.worst_deviation_mm;
        assert!((along - fix.worst_direction * variance).norm() < 1e-9 * variance);
    }
}

#[test]
fn places_that_tapes_do_not_quite_agree_on_are_those_of_fifty_digit_arithmetic() {
    let text = include_str!("oracle/places.csv");
    let mut count = 0;
    for line in text.lines().skip(2) {
        let row: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let tape = |n: &[f64]| Tape {
            from: Point3::new(n[0], n[1], n[2]),
            distance_mm: n[3],
            tolerance_mm: n[4],
        };
        let all: Vec<Tape> = row[..25].chunks(5).map(tape).collect();
        let fix = trilaterate(&all, &Point3::new(80.0, 60.0, 400.0)).unwrap();
        let at = Point3::new(row[25], row[26], row[27]);
        assert!((fix.at - at).norm() < 1e-8, "{line}: {fix:?}");
        let [xx, xy, xz, yy, yz, zz] = row[28..].try_into().unwrap();
        let known = Matrix3::new(xx, xy, xz, xy, yy, yz, xz, yz, zz);
        let apart = (fix.covariance_mm2 - known).abs().max();
        assert!(apart < 1e-9 * known.max(), "{line}: {fix:?}");
        count += 1;
    }
    assert_eq!(count, 40);
}

fn refused(tapes: &[Tape]) -> TrilaterationError {
    trilaterate(tapes, &Point3::new(10.0, 20.0, 300.0)).unwrap_err()
}

#[test]
fn numbers_that_cannot_be_are_refused_by_name() {
    let good = tapes(&CORNER, [200.0, 150.0, 100.0], &[]);
    assert!(trilaterate(&good, &Point3::origin()).is_ok());
    let with = |change: &dyn Fn(&mut Tape)| {
        let mut all = good.clone();
        change(&mut all[1]);
        refused(&all).to_string()
    };
    assert_eq!(with(&|t| t.distance_mm = f64::NAN), "a distance is not a finite number");
    assert_eq!(with(&|t| t.distance_mm = -1.0), "a distance must be above zero, but is -1");
    assert_eq!(with(&|t| t.tolerance_mm = 0.0), "a tolerance must be above zero, but is 0");
    assert_eq!(with(&|t| t.from.y = f64::INFINITY), "a coordinate is not a finite number");
    assert!(with(&|t| t.distance_mm = 1e300).starts_with("a distance must be from 0 to"));
    let guess = Point3::new(0.0, f64::NAN, 0.0);
    assert!(matches!(trilaterate(&good, &guess), Err(TrilaterationError::Number(_))));
    assert_eq!(refused(&good[..2]), TrilaterationError::TooFew { count: 2 });
    assert_eq!(refused(&good.repeat(5)), TrilaterationError::TooMany { count: 15 });
}

#[test]
fn tapes_that_make_no_triangle_are_refused_with_what_is_between_them() {
    let from = [[0.0, 0.0, 0.0], [1000.0, 0.0, 0.0], [0.0, 1000.0, 0.0]];
    let all = [tape(from[0], 500.0), tape(from[1], 450.0), tape(from[2], 900.0)];
    assert_eq!(refused(&all), TrilaterationError::Apart { first: 0, second: 1, misses_mm: 50.0 });
    // One ends inside the other.
    let all = [tape(from[0], 2000.0), tape(from[1], 1200.0), tape(from[2], 900.0)];
    let TrilaterationError::Apart { first: 0, second: 2, misses_mm } = refused(&all) else {
        panic!("{:?}", refused(&all))
    };
    assert!((misses_mm - 100.0).abs() < 1e-9);
    // Each two meet, all three do not: the middle of this triangle is 577.4 from each corner.
    let corner = |y: f64, x: f64| [x, y, 0.0];
    let from = [corner(0.0, 0.0), corner(0.0, 1000.0), corner(750_000.0_f64.sqrt(), 500.0)];
    let TrilaterationError::DoNotMeet { short_mm } = refused(&from.map(|f| tape(f, 540.0))) else {
        panic!("{:?}", refused(&from.map(|f| tape(f, 540.0))))
    };
    assert!((short_mm - (1000.0 / 3.0_f64.sqrt() - 540.0)).abs() < 1e-9, "{short_mm}");
}

#[test]
fn weak_figures_are_named_or_known_badly() {
    // In one line, exactly and within the tolerance.
    for off in [0.0, 1.5] {
        let from = [[0.0, 0.0, 0.0], [400.0, off, 0.0], [800.0, 0.0, 0.0]];
        let all = tapes(&from, [300.0, 200.0, 100.0], &[]);
        assert_eq!(refused(&all), TrilaterationError::InLine { off_mm: off });
    }
    // The same known point three times is in line with everything.
    let all = tapes(&[[0.0; 3]; 3], [300.0, 200.0, 100.0], &[]);
    assert_eq!(refused(&all), TrilaterationError::InLine { off_mm: 0.0 });
    // Nearly in the plane of the known points.
    let from = [[0.0, 0.0, 0.0], [800.0, 0.0, 0.0], [0.0, 600.0, 0.0], [700.0, 500.0, 0.0]];
    for height in [0.0, 5.0, 30.0] {
        for count in [3, 4] {
            let all = tapes(&from[..count], [300.0, 200.0, height], &[]);
            let error = refused(&all);
            let named = matches!(error, TrilaterationError::InPlane { .. });
            assert!(named, "{height} {count}: {error:?}");
        }
    }
}

#[test]
fn the_height_over_the_known_points_is_known_as_well_as_closed_form_says() {
    // With the weights l of the foot in the triangle, z^2 = sum l r^2 - constant, so a tape moves the
    // height by l r / z.
    let from = [[0.0, 0.0, 0.0], [800.0, 0.0, 0.0], [0.0, 600.0, 0.0]];
    let weights = [1.0 - 300.0 / 800.0 - 200.0 / 600.0, 300.0 / 800.0, 200.0 / 600.0];
    for height in [80.0, 150.0, 300.0, 900.0] {
        let all = tapes(&from, [300.0, 200.0, height], &[]);
        let fix = trilaterate(&all, &Point3::new(300.0, 200.0, 1.0)).unwrap();
        let mut squares = 0.0;
        for ((gain, tape), weight) in fix.gains.iter().zip(&all).zip(weights) {
            let expected = weight * tape.distance_mm / height;
            assert!((gain.z - expected).abs() < 1e-9, "{height}: {gain:?}");
            squares += expected * expected;
        }
        let deviation = 2.0 / 3.0_f64.sqrt() * squares.sqrt();
        assert!((fix.deviation_mm.z - deviation).abs() < 1e-9);
        assert!(fix.reach_mm > fix.reach_along_mm(&all, &Vector3::z()));
    }
}

/// A place with tapes from points around it, well away from every weak figure.
fn figure(count: usize) -> impl Strategy<Value = (Vec<[f64; 3]>, [f64; 3])> {
    let around = prop::collection::vec(prop::array::uniform3(-40.0..40.0_f64), count);
    (around, prop::array::uniform3(-60.0..60.0_f64)).prop_map(move |(off, shift)| {
        let base: [[f64; 3]; 6] = [
            [-300.0, -250.0, 0.0],
            [500.0, -200.0, 30.0],
            [100.0, 600.0, -40.0],
            [200.0, 100.0, 900.0],
            [-400.0, 300.0, 600.0],
            [600.0, 500.0, 500.0],
        ];
        let moved = |i: usize, axis: usize| base[i][axis] + off[i][axis];
        let from = (0..count).map(|i| [moved(i, 0), moved(i, 1), moved(i, 2)]).collect();
        (from, [80.0 + shift[0], 60.0 + shift[1], 400.0 + shift[2]])
    })
}

fn fixed(tapes: &[Tape], near: [f64; 3]) -> Fix {
    trilaterate(tapes, &Point3::from(near)).unwrap()
}

proptest! {
    #![proptest_config(drawn())]

    #[test]
    fn a_place_comes_back_from_its_own_distances(count in 3..=6_usize, (from, to) in figure(6)) {
        let all = tapes(&from[..count], to, &[]);
        let fix = fixed(&all, [to[0] + 90.0, to[1] - 70.0, to[2] + 80.0]);
        prop_assert!((fix.at - Point3::from(to)).norm() < 1e-9, "{:?}", fix.at - Point3::from(to));
        prop_assert!(fix.residuals_mm.iter().all(|r| r.abs() < 1e-9));
        prop_assert!(fix.steps <= 12);
        if let Some(mirror) = fix.mirror {
            // The other side has the same distances as well.
            for tape in &all {
                prop_assert!(((mirror - tape.from).norm() - tape.distance_mm).abs() <= 2.0);
            }
        }
    }

    #[test]
    fn the_machine_may_stand_anywhere_and_any_way(
        (from, to) in figure(5), off in prop::array::uniform5(-2.0..2.0_f64),
        turn in prop::array::uniform3(-3.0..3.0_f64), shift in prop::array::uniform3(-900.0..900.0_f64),
    ) {
        let here = tapes(&from, to, &off);
        let turn = Rotation3::from_scaled_axis(Vector3::from(turn));
        let moved = |p: Point3<f64>| turn * p + Vector3::from(shift);
        let there: Vec<Tape> = here.iter().map(|t| Tape { from: moved(t.from), ..*t }).collect();
        let (a, b) = (fixed(&here, to), trilaterate(&there, &moved(Point3::from(to))).unwrap());
        prop_assert!((moved(a.at) - b.at).norm() < 1e-7);
        prop_assert!((a.reach_mm - b.reach_mm).abs() < 1e-7);
        prop_assert!((a.worst_deviation_mm - b.worst_deviation_mm).abs() < 1e-9);
    }

    #[test]
    fn a_gain_is_the_way_that_a_small_error_moves_the_place(
        (from, to) in figure(5), off in prop::array::uniform5(-2.0..2.0_f64), which in 0..5_usize,
    ) {
        let all = tapes(&from, to, &off);
        let fix = fixed(&all, to);
        let mut longer = all.clone();
        longer[which].distance_mm += 1e-3;
        let moved = (fixed(&longer, to).at - fix.at) / 1e-3;
        // The gain leaves out how the residuals bend it, some per cent of them over the distance.
        prop_assert!((moved - fix.gains[which]).norm() < 0.02, "{moved} {}", fix.gains[which]);
    }

    #[test]
    fn no_numbers_make_it_panic_or_give_what_is_no_number(
        from in prop::collection::vec(prop::array::uniform3(prop::num::f64::ANY), 3..6),
        distances in prop::collection::vec(prop::num::f64::ANY, 6), t in prop::num::f64::ANY,
    ) {
        let all: Vec<Tape> = from.iter().zip(&distances).map(|(f, d)| Tape {
            from: Point3::from(*f), distance_mm: *d, tolerance_mm: t,
        }).collect();
        if let Ok(fix) = trilaterate(&all, &Point3::origin()) {
            prop_assert!(fix.at.coords.iter().all(|c| c.is_finite()) && fix.reach_mm.is_finite());
        }
    }

    #[test]
    fn flat_and_far_figures_never_panic(
        from in prop::collection::vec(prop::array::uniform3(-3_i32..3), 3..7),
        distances in prop::collection::vec(1_u8..9, 7), scale in 0_i32..9, t in 1_u8..40,
    ) {
        let scale = libm::pow(10.0, f64::from(scale));
        let all: Vec<Tape> = from.iter().zip(&distances).map(|(f, d)| Tape {
            from: Point3::from(f.map(|c| f64::from(c) * scale)),
            distance_mm: f64::from(*d) * scale,
            tolerance_mm: f64::from(t) * scale / 10.0,
        }).collect();
        if let Ok(fix) = trilaterate(&all, &Point3::new(0.3 * scale, 0.2 * scale, 0.1 * scale)) {
            prop_assert!(fix.at.coords.iter().all(|c| c.is_finite()) && fix.reach_mm.is_finite());
        }
    }
}
