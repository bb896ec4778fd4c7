//! Natural shapes of hoses: random ends, laws that hold for every shape, and what is refused.

use hosewright::geometry::angle_between;
use hosewright::geometry::free_hose::{
    FreeHose, FreeHoseError, FreeHoseInput, HoseWeight, free_hose, free_hose_near, free_hose_shapes,
};
use nalgebra::{Point3, Vector3};

/// Random numbers that are the same every time.
struct Chance(u64);

impl Chance {
    fn share(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    }

    fn direction(&mut self) -> Vector3<f64> {
        loop {
            let [x, y, z] = [0; 3].map(|_| 2.0 * self.share() - 1.0);
            let wish = Vector3::new(x, y, z);
            if wish.norm() < 1.0 && wish.norm() > 0.05 {
                return wish.normalize();
            }
        }
    }

    /// Ends anywhere in reach, every second hose with a load number from 0.1 to 100.
    fn input(&mut self) -> FreeHoseInput {
        let (leaves, arrives, along) = (self.direction(), self.direction(), self.direction());
        let to = Point3::from(along * (0.98 * 800.0 * self.share()));
        let heavy = HoseWeight {
            per_length_n_m: 0.1 * libm::pow(1000.0, self.share()) / 0.512,
            stiffness_n_m2: 1.0,
            up: self.direction(),
        };
        let weight = (self.share() < 0.5).then_some(heavy);
        FreeHoseInput {
            from: Point3::origin(),
            leaves,
            to,
            arrives,
            length_mm: 800.0,
            weight,
            segments: 40,
        }
    }
}

fn whole(shape: &FreeHose) -> f64 {
    shape.energy + shape.weight_energy
}

/// What holds for every shape, whatever its ends.
fn assert_sound(input: &FreeHoseInput, shape: &FreeHose) {
    let last = shape.points.len() - 1;
    assert_eq!(last, input.segments);
    assert!((shape.points[0] - input.from).norm() < 1e-9);
    assert!((shape.points[last] - input.to).norm() < 1e-6, "{input:?}");
    assert!((shape.tangents[0] - input.leaves).norm() < 1e-9);
    assert!((shape.tangents[last] - input.arrives).norm() < 1e-8);
    assert!(shape.tangents.iter().all(|tangent| (tangent.norm() - 1.0).abs() < 1e-14));
    assert!(shape.residual < 1e-11 && shape.error_estimate_mm < 1e-5, "{input:?}");
    let chords: f64 = shape.points.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum();
    let turned = shape.energy.sqrt() / 40.0;
    assert!(chords <= 800.0 && chords > 800.0 * (1.0 - turned * turned), "{chords}");
    // The tightest bend lies where it is told: no piece turns faster, and the one there nearly as fast.
    let step_mm = 800.0 / 40.0;
    let tightest = 1.0 / shape.tightest_radius_mm;
    let mut nearest = (f64::INFINITY, 0.0);
    let mut middle_mm = 0.5 * step_mm;
    for pair in shape.tangents.windows(2) {
        let rate = angle_between(&pair[0], &pair[1]) / step_mm;
        assert!(rate <= tightest * (1.0 + 1e-6), "{input:?}");
        let off_mm = (middle_mm - shape.tightest_station_mm).abs();
        nearest = if off_mm < nearest.0 { (off_mm, rate) } else { nearest };
        middle_mm += step_mm;
    }
    assert!(nearest.0 <= 0.51 * step_mm && nearest.1 > 0.35 * tightest, "{input:?}");
    let bow = shape.points.iter().map(|point| off_straight(input, point)).fold(0.0, f64::max);
    assert!(shape.bow_mm >= bow - 1e-6 && shape.bow_mm < bow + 800.0 / 40.0);
}

fn off_straight(input: &FreeHoseInput, point: &Point3<f64>) -> f64 {
    let (run, way) = (input.to - input.from, point - input.from);
    let share = (way.dot(&run) / run.norm_squared()).clamp(0.0, 1.0);
    (way - run * share).norm()
}

/// Number that came to rest of so many random hoses.
fn settled(count: u32) -> u32 {
    let mut chance = Chance(20);
    let mut found = 0;
    for _ in 0..count {
        let input = chance.input();
        if let Ok(shape) = free_hose(&input) {
            assert!(shape.stable);
            assert_sound(&input, &shape);
            found += 1;
        }
    }
    found
}

#[test]
fn hoses_between_random_ends_come_to_rest_from_a_cold_start() {
    assert_eq!(settled(400), 400);
}

#[test]
fn ten_thousand_hoses_between_random_ends_come_to_rest() {
    assert_eq!(settled(10_000), 10_000);
}

#[test]
fn of_places_that_bend_alike_the_first_is_named() {
    // An arch between ends in line bends as tight at both ends as in its middle, an offset in both halves alike.
    for (to, length_mm) in
        [(Point3::new(300.0, 0.0, 0.0), 330.0), (Point3::new(300.0, 120.0, 0.0), 340.0)]
    {
        let shape = free_hose(&FreeHoseInput {
            from: Point3::origin(),
            leaves: Vector3::x(),
            to,
            arrives: Vector3::x(),
            length_mm,
            weight: None,
            segments: 400,
        })
        .unwrap();
        let bend = |at: usize| angle_between(&shape.tangents[at], &shape.tangents[at + 1]);
        assert!((bend(0) - bend(399)).abs() < 1e-6, "{} {}", bend(0), bend(399));
        let most = if to.y > 0.0 { 0.3 * length_mm } else { 1e-6 };
        assert!(shape.tightest_station_mm < most, "{}", shape.tightest_station_mm);
    }
}

#[test]
fn a_hose_that_grows_passes_from_shape_to_shape() {
    let mut chance = Chance(23);
    let mut others = 0;
    for _ in 0..200 {
        let mut input = chance.input();
        let known = free_hose(&input).unwrap();
        input.length_mm *= 1.02;
        let (near, searched) =
            (free_hose_near(&known, &input).unwrap(), free_hose(&input).unwrap());
        assert!(near.stable);
        assert!((near.points[40] - input.to).norm() < 1e-6 && near.residual < 1e-11);
        let same = (whole(&near) - whole(&searched)).abs() < 1e-7 * (1.0 + whole(&searched).abs());
        others += u32::from(!same);
    }
    // A search may find one of less energy, into which the hose does not pass by itself.
    assert!(others <= 2, "{others}");
    // A hose of quite other ends is searched for.
    let (known, input) = (free_hose(&chance.input()).unwrap(), chance.input());
    let (near, searched) = (free_hose_near(&known, &input).unwrap(), free_hose(&input).unwrap());
    assert!(
        near.stable && whole(&near) >= whole(&searched) - 1e-7 * (1.0 + whole(&searched).abs())
    );
}

#[test]
fn the_force_at_the_far_end_is_what_moving_it_costs() {
    let mut chance = Chance(21);
    for _ in 0..12 {
        let input = chance.input();
        let shape = free_hose(&input).unwrap();
        let step_mm = 0.02;
        for axis in [Vector3::x(), Vector3::y(), Vector3::z()] {
            let [more, less] = [step_mm, -step_mm].map(|by| {
                let moved = FreeHoseInput { to: input.to + axis * by, ..input };
                whole(&free_hose(&moved).unwrap())
            });
            // Energies count EI / (2 L); the force counts EI / L^2 where no stiffness is given.
            let stiffness = input.weight.map_or(1.0, |weight| weight.stiffness_n_m2);
            let length = if input.weight.is_some() { 0.8 } else { 1.0 };
            let cost =
                (more - less) / (2.0 * step_mm / 800.0) * stiffness / (2.0 * length * length);
            let force = shape.force.dot(&axis);
            let size = 1e-4 * (1.0 + shape.force.norm());
            assert!((cost - force).abs() < size, "{cost} {force} {input:?}");
        }
    }
}

#[test]
fn forces_and_moments_of_both_ends_balance_the_weight() {
    let mut chance = Chance(22);
    for _ in 0..40 {
        let input = chance.input();
        let shape = free_hose(&input).unwrap();
        let Some(HoseWeight { per_length_n_m, up, .. }) = input.weight else { continue };
        let weight = up * (per_length_n_m * 0.8);
        assert!((shape.force + shape.force_from - weight).norm() < 1e-9 * (1.0 + weight.norm()));
        // Moments about the first end: the weight acts at the mean of the hose, by Simpson's rule.
        let simpson = |at: usize| {
            if at == 0 || at == 40 { 1.0 } else { 2.0 + 2.0 * f64::from(u8::from(at % 2 == 1)) }
        };
        let mean = shape
            .points
            .iter()
            .enumerate()
            .map(|(at, p)| p.coords * simpson(at))
            .sum::<Vector3<f64>>()
            / 120.0;
        let to_m = input.to.coords * 1e-3;
        let turning = shape.moment + shape.moment_from + to_m.cross(&shape.force)
            - (mean * 1e-3).cross(&weight);
        assert!(turning.norm() < 2e-4 * (1.0 + weight.norm()), "{turning} {input:?}");
    }
}

#[test]
fn a_hose_led_the_other_way_round_has_the_same_shape() {
    let mut chance = Chance(23);
    for _ in 0..20 {
        let input = FreeHoseInput { weight: None, ..chance.input() };
        let (from, to) = (input.to, input.from);
        let back =
            FreeHoseInput { from, to, leaves: -input.arrives, arrives: -input.leaves, ..input };
        let (there, back) = (free_hose(&input).unwrap(), free_hose(&back).unwrap());
        assert!((there.energy - back.energy).abs() < 1e-9 * there.energy);
        assert!((there.bow_mm - back.bow_mm).abs() < 1e-6);
        assert!((there.tightest_radius_mm - back.tightest_radius_mm).abs() < 1e-6);
    }
}

#[test]
fn no_other_stable_shape_found_has_less_energy() {
    let mut chance = Chance(24);
    for _ in 0..6 {
        let input = chance.input();
        let (least, all) = (free_hose(&input).unwrap(), free_hose_shapes(&input).unwrap());
        let stable = all.iter().find(|shape| shape.stable).unwrap();
        assert!(whole(stable) >= whole(&least) - 1e-6 * whole(&least).abs(), "{input:?}");
        assert!(all.windows(2).all(|pair| whole(&pair[0]) <= whole(&pair[1])));
    }
}

fn in_line(distance_mm: f64, up: Vector3<f64>, load: f64) -> FreeHoseInput {
    let weight = HoseWeight { per_length_n_m: load, stiffness_n_m2: 1.0, up };
    FreeHoseInput {
        from: Point3::new(10.0, 20.0, 30.0),
        leaves: Vector3::x(),
        to: Point3::new(10.0 + distance_mm, 20.0, 30.0),
        arrives: Vector3::x(),
        length_mm: 1000.0,
        weight: (load > 0.0).then_some(weight),
        segments: 10,
    }
}

#[test]
fn a_level_hose_sags_straight_down_however_light_it_is() {
    for load in [0.01, 0.1, 1.0, 10.0, 1000.0] {
        let shape = free_hose(&in_line(900.0, Vector3::z(), load)).unwrap();
        assert!(shape.stable && !shape.turns_freely && !shape.buckled, "{load}");
        assert!(shape.points.iter().all(|point| (point.y - 20.0).abs() < 1e-4), "{load}");
        assert!(
            (shape.sag_mm.unwrap() - shape.bow_mm).abs() < 1e-6 && shape.sag_mm.unwrap() > 100.0
        );
    }
}

#[test]
fn a_heavy_hose_hangs_like_a_chain() {
    // Catenary of 1000 mm over 900 mm: sinh(x) / x = 1000 / 900.
    let mut x: f64 = 1.0;
    for _ in 0..50 {
        x -= (x.sinh() / x - 10.0 / 9.0) / (x.cosh() / x - x.sinh() / (x * x));
    }
    let chain_mm = 450.0 / x * (x.cosh() - 1.0);
    let off = |load: f64| {
        let shape = free_hose(&in_line(900.0, Vector3::z(), load)).unwrap();
        (shape.sag_mm.unwrap() - chain_mm).abs() / chain_mm
    };
    assert!(off(9e4) < 0.01 && off(9e4) < 0.5 * off(9e3), "{} {}", off(9e3), off(9e4));
}

#[test]
fn a_hose_in_line_buckles_in_a_plane_that_nothing_decides() {
    for (up, load) in [(Vector3::z(), 0.0), (Vector3::x(), 5.0)] {
        let shape = free_hose(&in_line(950.0, up, load)).unwrap();
        assert!(shape.buckled && shape.turns_freely && shape.stable);
    }
}

#[test]
fn a_hose_just_long_enough_is_straight_and_a_shorter_one_is_refused() {
    let straight = free_hose(&in_line(1000.0, Vector3::z(), 0.0)).unwrap();
    assert_eq!((straight.bow_mm, straight.energy), (0.0, 0.0));
    assert!(straight.tightest_radius_mm.is_infinite() && straight.points.len() == 11);
    for (station, point) in (0..).zip(&straight.points) {
        let along = 100.0 * f64::from(station);
        assert!(((point - straight.points[0]).norm() - along).abs() < 1e-9, "{station}: {point}");
    }
    let short = free_hose(&in_line(1000.1, Vector3::z(), 0.0));
    assert!(matches!(short, Err(FreeHoseError::TooShort { .. })), "{short:?}");
    let sideways = FreeHoseInput { leaves: Vector3::y(), ..in_line(1000.0, Vector3::z(), 0.0) };
    assert!(matches!(free_hose(&sideways), Err(FreeHoseError::TooTaut { .. })));
    assert!(matches!(
        free_hose(&in_line(1000.0, Vector3::z(), 3.0)),
        Err(FreeHoseError::TooTaut { .. })
    ));
}

#[test]
fn input_that_makes_no_sense_is_refused() {
    let good = in_line(900.0, Vector3::z(), 1.0);
    let weight = good.weight.unwrap();
    let bad = [
        FreeHoseInput { length_mm: f64::NAN, ..good },
        FreeHoseInput { length_mm: 0.0, ..good },
        FreeHoseInput { segments: 0, ..good },
        FreeHoseInput { segments: usize::MAX, ..good },
        FreeHoseInput { leaves: Vector3::zeros(), ..good },
        FreeHoseInput { arrives: Vector3::x() * 2.0, ..good },
        FreeHoseInput { from: Point3::new(f64::INFINITY, 0.0, 0.0), ..good },
        FreeHoseInput { weight: Some(HoseWeight { stiffness_n_m2: 0.0, ..weight }), ..good },
        FreeHoseInput { weight: Some(HoseWeight { per_length_n_m: -1.0, ..weight }), ..good },
        FreeHoseInput { weight: Some(HoseWeight { per_length_n_m: 1e9, ..weight }), ..good },
        FreeHoseInput { weight: Some(HoseWeight { up: Vector3::zeros(), ..weight }), ..good },
    ];
    for input in bad {
        assert!(matches!(free_hose(&input), Err(FreeHoseError::Geometry(_))), "{input:?}");
    }
}
