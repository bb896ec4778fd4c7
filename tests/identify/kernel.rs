//! Chances against enumeration, densities against numerical integration, bits against closed forms.
#![expect(clippy::panic, reason = "a test says why when it cannot go on")]

use hosewright::identify::IdentifyError;
use hosewright::identify::assignment::{Assignment, Weights, assign};
use hosewright::identify::information::expected_bits;
use hosewright::identify::reading::Reading;

/// Numbers from 0 to 1 in a fixed row (a linear congruential generator; Numerical Recipes, from memory).
struct Row(u32);

impl Row {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1 << 24)
    }
}

fn random(pipes: usize, places: usize, gaps: f64, start: u32) -> Weights {
    let mut row = Row(start);
    let mut cell = || (row.next() >= gaps).then(|| 8.0 * row.next() - 3.0);
    let at = (0..pipes).map(|_| (0..places).map(|_| cell()).collect()).collect();
    Weights { at, nowhere: vec![0.5; pipes] }
}

/// All ways of sharing out, one after the other: chances, and the likeliest way with its logarithm.
struct Enumerated {
    chance: Vec<Vec<f64>>,
    all: f64,
    best: (f64, Vec<Option<usize>>),
}

fn enumerate(weights: &Weights) -> Enumerated {
    let places = weights.at[0].len();
    let mut found = Enumerated {
        chance: vec![vec![0.0; places]; weights.at.len()],
        all: 0.0,
        best: (f64::NEG_INFINITY, Vec::new()),
    };
    go_on(weights, 0.0, &mut Vec::new(), &mut found);
    for row in &mut found.chance {
        for chance in row {
            *chance /= found.all;
        }
    }
    found
}

fn go_on(weights: &Weights, log: f64, way: &mut Vec<Option<usize>>, found: &mut Enumerated) {
    let pipe = way.len();
    if pipe == weights.at.len() {
        let weight = libm::exp(log);
        found.all += weight;
        for (pipe, place) in way.iter().enumerate() {
            if let Some(place) = place {
                found.chance[pipe][*place] += weight;
            }
        }
        if log > found.best.0 {
            found.best = (log, way.clone());
        }
        return;
    }
    way.push(None);
    go_on(weights, log + weights.nowhere[pipe], way, found);
    way.pop();
    for place in 0..weights.at[pipe].len() {
        if let Some(own) = weights.at[pipe][place].filter(|_| !way.contains(&Some(place))) {
            way.push(Some(place));
            go_on(weights, log + own, way, found);
            way.pop();
        }
    }
}

fn shared(weights: &Weights) -> Assignment {
    assign(weights).unwrap_or_else(|e| panic!("{e}"))
}

fn farthest(found: &Assignment, by_hand: &Enumerated) -> f64 {
    let rows = found.chance.iter().zip(&by_hand.chance);
    rows.flat_map(|(a, b)| a.iter().zip(b)).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

#[test]
fn chances_and_the_best_way_are_those_of_enumeration() {
    for (pipes, places, gaps) in
        [(7, 6, 0.0), (6, 7, 0.0), (7, 7, 0.5), (8, 6, 0.7), (5, 5, 0.9), (1, 1, 0.0)]
    {
        for start in 0..10 {
            let weights = random(pipes, places, gaps, start * 7919 + 3);
            let (found, by_hand) = (shared(&weights), enumerate(&weights));
            assert!(found.exact);
            // Sums of some thousand terms; rounding alone.
            assert!(farthest(&found, &by_hand) < 1e-12, "{pipes} {places} {gaps} {start}");
            let log: f64 = (0..pipes)
                .map(|p| found.best[p].map_or(weights.nowhere[p], |l| weights.at[p][l].unwrap()))
                .sum();
            // The costs are whole millionths.
            assert!((log - by_hand.best.0).abs() < 1e-5, "{start}: {:?}", by_hand.best);
        }
    }
}

#[test]
fn messages_come_close_to_enumeration_where_the_sum_is_too_long() {
    for start in 0..4 {
        let weights = random(4, 15, 0.0, start * 31 + 1);
        let (found, by_hand) = (shared(&weights), enumerate(&weights));
        assert!(!found.exact);
        // An approximation: how near it comes is measured here, not proved.
        assert!(farthest(&found, &by_hand) < 0.05, "{}", farthest(&found, &by_hand));
        assert!(farthest(&found, &by_hand) > 0.0);
    }
}

#[test]
fn chances_of_a_pipe_and_of_a_place_never_sum_to_more_than_one() {
    let weights = random(30, 40, 0.3, 11);
    let found = shared(&weights);
    for (row, nowhere) in found.chance.iter().zip(&found.nowhere) {
        assert!((row.iter().sum::<f64>() + nowhere - 1.0).abs() < 1e-9);
    }
    for place in 0..40 {
        assert!(found.chance.iter().map(|row| row[place]).sum::<f64>() < 1.0 + 1e-6);
    }
    assert_eq!(found, shared(&weights));
}

#[test]
fn nothing_and_tables_that_are_none() {
    let nothing = shared(&Weights { at: Vec::new(), nowhere: Vec::new() });
    assert!(nothing.best.is_empty() && nothing.exact);
    let no_place = shared(&Weights { at: vec![Vec::new(); 2], nowhere: vec![0.0; 2] });
    assert_eq!((no_place.best, no_place.nowhere), (vec![None; 2], vec![1.0; 2]));
    let ragged = Weights { at: vec![vec![None], vec![None, None]], nowhere: vec![0.0; 2] };
    assert!(matches!(assign(&ragged), Err(IdentifyError::NotATable { row: 1, .. })));
    let wild = Weights { at: vec![vec![Some(f64::NAN)]], nowhere: vec![0.0] };
    assert!(matches!(assign(&wild), Err(IdentifyError::NotFinite { .. })));
}

#[test]
fn the_density_of_a_window_is_its_convolution_with_the_error() {
    for (value, error) in [(309.0, 3.0), (310.5, 3.0), (315.0, 3.0), (321.0, 8.0)] {
        let reading = Reading::new(value, error).unwrap();
        let (low, high) = (310.5, 320.7);
        // Midpoint rule over the window.
        let steps = 20_000;
        let width = (high - low) / f64::from(steps);
        let at = |i: i32| reading.at(low + (f64::from(i) + 0.5) * width).unwrap();
        let sum: f64 = (0..steps).map(|i| at(i) * width).sum();
        let found = reading.in_window(low, high).unwrap();
        assert!((found - sum / (high - low)).abs() < 1e-9, "{value}: {found}");
    }
    assert!(Reading::new(315.0, 0.0).is_err() && Reading::new(f64::NAN, 1.0).is_err());
    assert!(Reading::new(1.0, 1.0).unwrap().in_window(2.0, 2.0).is_err());
}

#[test]
fn bits_are_those_of_closed_forms() {
    // A symmetric channel that errs once in nine: 1 - h(1/9) bits.
    let err: f64 = 1.0 / 9.0;
    let flips = [vec![1.0 - err, err], vec![err, 1.0 - err]];
    let entropy = -(err * libm::log2(err) + (1.0 - err) * libm::log2(1.0 - err));
    let found = expected_bits(&[0.5, 0.5], &flips).unwrap();
    assert!((found - (1.0 - entropy)).abs() < 1e-12);
    assert!(expected_bits(&[0.3, 0.7], &[vec![0.5, 0.5], vec![0.5, 0.5]]).unwrap() < 1e-12);
    assert!(expected_bits(&[0.3, 0.3], &flips).is_err());
}
