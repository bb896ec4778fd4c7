//! What runs off when a machine is opened at the top: by hand, and laws.
#![expect(clippy::unwrap_used, reason = "the networks are written out here")]

use hosewright::geometry::joined::{Joined, Part, Spot, Stretch};
use hosewright::geometry::{Path, Piece};
use nalgebra::{Point3, Vector3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const UP: Vector3<f64> = Vector3::new(0.0, 0.0, 1.0);

fn network(places: &[[f64; 3]], legs: &[(usize, usize, [bool; 2])]) -> Joined {
    let stretch = |(from, to, passes): &(usize, usize, [bool; 2])| {
        let piece = Piece::Straight { from: places[*from].into(), to: places[*to].into() };
        let way = Path::new(vec![piece]).ok();
        Stretch { ends: [*from, *to], way, area_mm2: Some(50.0), passes: *passes }
    };
    let nodes = places.iter().map(|p| Point3::from(*p)).collect();
    Joined::new(nodes, legs.iter().map(stretch).collect()).unwrap()
}

fn length(parts: &[Part]) -> f64 {
    parts.iter().map(|p| p.to_mm - p.from_mm).sum()
}

const BOTH: [bool; 2] = [true, true];
const UPWARDS: [bool; 2] = [true, false];

/// A tank, a column of 1000 mm in two halves, a level run at the top, and a column of 700 mm back.
const COOLER: [[f64; 3]; 5] = [
    [0.0, 0.0, 0.0],
    [0.0, 0.0, 500.0],
    [0.0, 0.0, 1000.0],
    [200.0, 0.0, 1000.0],
    [200.0, 0.0, 300.0],
];

#[test]
fn a_cooler_over_the_tank_runs_empty_both_ways() {
    let legs = [(0, 1, BOTH), (1, 2, BOTH), (2, 3, BOTH), (3, 4, BOTH)];
    let found =
        network(&COOLER, &legs).run_off(&UP, 200.0, &[Spot::Node(0), Spot::Node(4)]).unwrap();
    assert!((length(&found.runs) - (800.0 + 200.0 + 700.0)).abs() < 1e-9, "{found:?}");
    assert!(found.stays.is_empty(), "{found:?}");
}

#[test]
fn a_check_valve_holds_the_column_over_it_up_to_the_crest() {
    let legs = [(0, 1, UPWARDS), (1, 2, BOTH), (2, 3, BOTH), (3, 4, BOTH)];
    let tank = [Spot::Node(0), Spot::Node(4)];
    let found = network(&COOLER, &legs).run_off(&UP, 200.0, &tank).unwrap();
    // The valve sits at the upper end of the first leg: the column over it has to get over the crest.
    assert!((length(&found.stays) - 500.0).abs() < 1e-6, "{found:?}");
    assert!((length(&found.runs) - (300.0 + 200.0 + 700.0)).abs() < 1e-6, "{found:?}");
    // With the other port alone all of the far side runs, and both halves of the feed stay.
    let back = network(&COOLER, &legs).run_off(&UP, 200.0, &[Spot::Node(4)]).unwrap();
    assert!((length(&back.stays) - 800.0).abs() < 1e-6, "{back:?}");
}

#[test]
fn a_low_loop_between_tank_and_cooler_holds_nothing_back() {
    // Down to -300 and up to 400: what is pushed through the loop runs into the tank.
    let places = [[0.0, 0.0, 0.0], [50.0, 0.0, -300.0], [100.0, 0.0, 400.0]];
    let found = network(&places, &[(0, 1, BOTH), (1, 2, BOTH)])
        .run_off(&UP, 100.0, &[Spot::Node(0)])
        .unwrap();
    let leg = (50.0_f64 * 50.0 + 700.0 * 700.0).sqrt();
    assert!((length(&found.runs) - leg * 300.0 / 700.0).abs() < 1e-9, "{found:?}");
    assert!(found.stays.is_empty());
}

fn rows() -> impl Strategy<Value = (Vec<f64>, Vec<bool>, f64)> {
    (3..9_usize).prop_flat_map(|count| {
        let heights = prop::collection::vec(0.0..1000.0_f64, count);
        (heights, prop::collection::vec(any::<bool>(), count - 1), 0.0..1000.0_f64)
    })
}

fn row(heights: &[f64], valves: &[bool]) -> Joined {
    let step = (0..).map(|i| 100.0 * f64::from(i));
    let places: Vec<[f64; 3]> = heights.iter().zip(step).map(|(z, x)| [x, 0.0, *z]).collect();
    let legs: Vec<(usize, usize, [bool; 2])> = valves
        .iter()
        .enumerate()
        .map(|(i, valve)| (i, i + 1, if *valve { UPWARDS } else { BOTH }))
        .collect();
    network(&places, &legs)
}

/// Length of a row that stands over a height.
fn over(heights: &[f64], surface: f64) -> f64 {
    let leg = |pair: &[f64]| {
        let (low, high) = (pair[0].min(pair[1]), pair[0].max(pair[1]));
        let long = ((high - low) * (high - low) + 1e4).sqrt();
        let share = if high <= surface { 0.0 } else { (high - surface.max(low)) / (high - low) };
        long * share.clamp(0.0, 1.0)
    };
    heights.windows(2).map(leg).sum()
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300, rng_seed: RngSeed::Fixed(7), failure_persistence: None, ..ProptestConfig::default()
    })]

    #[test]
    fn what_runs_and_what_stays_are_all_that_stands_over_the_surface((heights, valves, surface) in rows()) {
        let found = row(&heights, &valves).run_off(&UP, surface, &[Spot::Node(0)]).unwrap();
        let both = length(&found.runs) + length(&found.stays);
        // A sliver at each end of a part is rounding.
        prop_assert!((both - over(&heights, surface)).abs() < 1e-3, "{both}");
    }

    #[test]
    fn a_higher_surface_and_a_further_valve_let_less_run_off((heights, valves, surface) in rows()) {
        let tank = [Spot::Node(0)];
        let runs = |valves: &[bool], surface: f64| {
            length(&row(&heights, valves).run_off(&UP, surface, &tank).unwrap().runs)
        };
        let all = runs(&valves, surface);
        prop_assert!(runs(&valves, surface + 50.0) <= all + 1e-6);
        let mut more = valves.clone();
        more[valves.len() / 2] = true;
        prop_assert!(runs(&more, surface) <= all + 1e-3);
    }

    #[test]
    fn brute_force_finds_the_same_for_a_row_without_valves((heights, _, surface) in rows()) {
        // From a place liquid gets to the first node over the highest place between: it runs off where it stands there itself.
        let none = vec![false; heights.len() - 1];
        let found = length(&row(&heights, &none).run_off(&UP, surface, &[Spot::Node(0)]).unwrap().runs);
        let (mut crest, mut expected) = (f64::NEG_INFINITY, 0.0);
        for pair in heights.windows(2) {
            crest = crest.max(pair[0]);
            let long = ((pair[1] - pair[0]) * (pair[1] - pair[0]) + 1e4).sqrt();
            let steps = 20_000_u32;
            let mut top = crest;
            for step in 0..steps {
                let share = (f64::from(step) + 0.5) / f64::from(steps);
                let z = pair[0] + share * (pair[1] - pair[0]);
                top = top.max(z);
                if z > surface && z >= top - 1e-9 {
                    expected += long / f64::from(steps);
                }
            }
            crest = top;
        }
        prop_assert!((found - expected).abs() < 2.0, "{found} {expected}");
    }
}
